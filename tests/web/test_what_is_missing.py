"""After a season file came in, serve asks for the manager's log-in, once and alone."""

from collections.abc import Callable, Iterator

from django.contrib.auth.models import User

from yardwright.fleet.models import Boat
from yardwright.season.model import Right
from yardwright.web.serve import ask_what_is_missing
from yardwright.yard.models import Person, Yard

SECRET = "four warm winter words"  # noqa: S105  # a test's


def typed(*answers: str) -> Callable[[str], str]:
    left: Iterator[str] = iter(answers)
    return lambda _question: next(left)


def test_a_yard_from_a_file_is_asked_for_its_manager_alone(teal: Boat) -> None:
    ask_what_is_missing(typed("Ines"), typed(SECRET))
    ines = Person.objects.get(name="Ines")
    assert ines.trades == ["mechanic"]
    assert set(ines.rights) == set(Right)
    assert ines.user is not None
    assert Yard.objects.count() == 1


def test_a_yard_with_a_log_in_is_asked_nothing(teal: Boat) -> None:
    User.objects.create_user("Hanna", password=SECRET)
    ask_what_is_missing(typed(), typed())
    assert User.objects.count() == 1
