"""How long a job took, where somebody knows; and what the yard learns from it of that kind of job."""

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta

import pytest
from django.test import Client

from tests.conftest import entry
from tests.work.conftest import Crew, typed, words
from yardwright.fleet.models import Boat, Work
from yardwright.procedures.findings import Came, Finding
from yardwright.procedures.own import written
from yardwright.procedures.step import Has
from yardwright.procedures.steps import book, going_by
from yardwright.season import model as season
from yardwright.season.model import History, Right
from yardwright.work import own_steps, services, step_services
from yardwright.work.history import history
from yardwright.work.models import Fact, Kind
from yardwright.yard.models import Person

Use = Callable[[Person], Client]
HERS = "/boats/TEA/work-done/"
KEY = next(step for step in book().steps if step.code == "key_in")
HOUR = timedelta(hours=1)


@pytest.fixture(autouse=True)
def gelcoat(teal: Boat) -> Work:
    return Work.objects.create(
        boat=teal, place_in_list=0, what="gelcoat", trade="yard hand", minutes=120
    )


def done() -> Fact:
    return Fact.objects.get(kind=Kind.DONE)


def test_work_s_minutes_are_kept_with_what_was_planned(
    ines: Client, teal: Boat, gelcoat: Work
) -> None:
    assert "It took about" in words(ines.get(HERS))
    sent = typed(what="gelcoat", took_min="4 h")
    assert ines.post(HERS, sent).status_code == 302
    assert "Done: gelcoat, took 240 min" in words(ines.get(f"/facts/{done().pk}/"))
    Work.objects.filter(pk=gelcoat.pk).update(minutes=500)
    assert history() == (History("gelcoat", 1, "yard hand", ((240, 120),)),)
    assert ines.post(HERS, sent).status_code == 302  # a repeat, after what was planned changed
    assert Fact.objects.filter(kind=Kind.DONE).count() == 1


def test_a_step_s_minutes_stand_beside_those_of_the_book_now(
    ines: Client, crew: Crew, teal: Boat
) -> None:
    at = f"/boats/TEA/steps/{KEY.code}/"
    assert ines.post(at, typed(took_min="25")).status_code == 302
    assert "25 min" not in words(ines.get(at))  # beside whose name it was done by
    assert "took 25 min" in words(ines.get(f"/facts/{done().pk}/"))
    assert history() == (History(KEY.code, 1, "", ((25, KEY.minutes),)),)
    Person.objects.filter(pk=crew.ines.pk).update(rights=[Right.INK])
    crew.ines.refresh_from_db()
    row = written(replace(KEY, minutes=20))
    step_services.keep_step(entry(crew.ines), KEY.code, row, "the lock is slow")
    with going_by(own_steps.the_yards_book):
        assert history() == (History(KEY.code, 1, "", ((25, 20),)),)


def test_a_step_for_each_engine_stands_beside_what_both_were_planned_at(
    crew: Crew, teal: Boat
) -> None:
    step = next(one for one in book().steps if one.each_engine and not one.opens)
    teal.has = [*step.needs, *step.for_any, Has.TWO_ENGINES]
    teal.save()
    both = 2 * step.minutes
    services.do_step(entry(crew.ines), teal, step, {}, {}, both)
    assert history() == (History(step.code, 1, "", ((both, both),)),)
    teal.has = [*step.needs, *step.for_any]  # one engine now: what was planned then stays
    teal.save()
    assert history() == (History(step.code, 1, "", ((both, both),)),)
    Person.objects.filter(pk=crew.ines.pk).update(rights=[Right.INK])
    crew.ines.refresh_from_db()
    row = written(replace(step, minutes=step.minutes + 5))
    step_services.keep_step(entry(crew.ines), step.code, row, "the clamps are rusty")
    with going_by(own_steps.the_yards_book):
        assert history() == (History(step.code, 1, "", ((both, both + 10),)),)


def test_what_was_planned_long_may_have_taken_long(ines: Client, gelcoat: Work) -> None:
    """Else such jobs were told only when they were quick."""
    Work.objects.filter(pk=gelcoat.pk).update(minutes=4000)
    assert ines.post(HERS, typed(what="gelcoat", took_min="6000")).status_code == 302
    assert history() == (History("gelcoat", 1, "yard hand", ((6000, 4000),)),)


@pytest.mark.parametrize(
    ("took", "says"),
    [
        ("0", "It took 0 min? Give 1 to 100000 min, or leave it empty."),
        ("100001", "It took 100001 min?"),
        ("-5", "It took -5 min?"),
        ("long", "How long it took: 'long' is no number"),
        ("3 kg", "How long it took:"),
    ],
)
def test_odd_minutes_write_nothing_and_stay_to_be_mended(
    ines: Client, took: str, says: str
) -> None:
    for at, sent in (
        (HERS, typed(what="gelcoat", took_min=took)),
        (f"/boats/TEA/steps/{KEY.code}/", typed(took_min=took)),
    ):
        answer = ines.post(at, sent)
        assert answer.status_code == 422
        assert says in words(answer)
        assert f'value="{took}"' in words(answer)
    assert not Fact.objects.filter(kind=Kind.DONE).exists()


def test_left_empty_the_job_is_counted_and_no_minutes(ines: Client) -> None:
    assert ines.post(HERS, typed(what="gelcoat", took_min=" ")).status_code == 302
    assert "took_min" not in done().body
    assert history() == (History("gelcoat", 1, "yard hand"),)


def test_what_is_struck_out_teaches_nothing(crew: Crew, teal: Boat) -> None:
    slip = services.finish_work(entry(crew.tomas), teal, "gelcoat", 900)
    services.strike_out(entry(crew.tomas), slip, "it was 90")
    assert history() == ()
    services.finish_work(entry(crew.tomas), teal, "gelcoat", 90)
    assert history() == (History("gelcoat", 1, "yard hand", ((90, 120),)),)


def test_it_is_the_kind_of_job_that_is_learned_never_who(crew: Crew, teal: Boat) -> None:
    for person, took in ((crew.ines, 100), (crew.tomas, 200)):
        services.finish_work(entry(person), teal, "gelcoat", took)
    (kind,) = history()
    assert sorted(kind.took_min) == [(100, 120), (200, 120)]
    assert "Ines" not in repr(kind)


def found(crew: Crew, teal: Boat, ago: timedelta, minutes: int, by: Person | None = None) -> Fact:
    """A split hose that becomes work."""
    one = services.find(entry(by or crew.ines, ago), teal, Finding.SPLIT_HOSE, there=True)
    piece = season.Work(f"hose {minutes}", "mechanic", minutes)
    services.come_of(entry(crew.ines, ago), one, Came.ORDERED, piece.what, piece)
    return one


def test_what_is_found_belongs_to_the_job_that_it_was_found_on(crew: Crew, teal: Boat) -> None:
    services.finish_work(entry(crew.ines, 3 * HOUR), teal, "gelcoat")
    found(crew, teal, 2 * HOUR, 40)  # before the key, after the gelcoat
    found(crew, teal, 1.5 * HOUR, 50)
    services.do_step(entry(crew.ines, HOUR), teal, KEY, {}, {})
    after = found(crew, teal, timedelta(minutes=5), 70)  # nothing came after: the last one
    found(crew, teal, 2 * HOUR, 80, crew.tomas)  # he did no job on her that day
    found(crew, teal, 30 * HOUR, 90)  # another day
    kinds = {kind.what: kind for kind in history()}
    assert kinds["gelcoat"].found_min == ()
    assert kinds[KEY.code] == History(KEY.code, 1, "", (), (40 + 50 + 70,))
    services.strike_out(entry(crew.ines), after, "it was another boat")
    assert {kind.what: kind.found_min for kind in history()}[KEY.code] == (90,)


def test_what_stays_as_it_is_found_no_work(crew: Crew, teal: Boat) -> None:
    one = services.find(entry(crew.ines), teal, Finding.MICE, there=True)
    services.come_of(entry(crew.ines), one, Came.NOTHING, "they left", None)
    services.do_step(entry(crew.ines), teal, KEY, {}, {})
    assert history() == (History(KEY.code, 1),)


def test_on_several_boats_no_minutes_are_asked(ines: Client) -> None:
    assert "It took about" not in words(ines.get(f"/steps/{KEY.code}/boats/"))
