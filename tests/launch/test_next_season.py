"""The yard begins another season: what was promised and done in the last one no longer counts."""

from datetime import date, datetime, timedelta

import pytest

from tests.conftest import entry, set_clock
from yardwright.fleet.models import Boat
from yardwright.launch import queries, services, strip
from yardwright.procedures.going_in import State
from yardwright.season.model import Promise
from yardwright.work import exchange, facts
from yardwright.work import queries as work
from yardwright.work.models import Fact, Kind
from yardwright.yard.models import Person, Yard

SPRING = datetime.fromisoformat("2032-05-04T09:00-04:00")


@pytest.fixture
def next_spring(mara: Person) -> Boat:
    """Teal, told 6 May 2031 in Ink, her engine done then; out since October, on land again."""
    boat = Boat.objects.get(name="Teal")
    facts.add_done(entry(mara), boat, "engine", "work")
    moves = (State.HANDED_OVER, State.BLOCKED_UP, State.FITTING_OUT)
    for days, state in enumerate(moves, start=1):
        facts.add_moved(entry(mara, -timedelta(days=days * 40)), boat, state)
    Yard.objects.update(first_day=date(2032, 5, 1), last_day=date(2032, 6, 30))
    set_clock(SPRING)
    return boat


def test_a_day_of_last_season_is_no_promise(next_spring: Boat) -> None:
    assert queries.promises(next_spring) == Promise()
    (hers,) = work.values([next_spring])
    assert hers.promise == Promise()
    assert queries.inks() == {}
    assert strip.pressing(SPRING.date(), timedelta(days=7), None) == []


def test_her_new_ink_alone_is_kept(next_spring: Boat, mara: Person) -> None:
    facts.add_promised(entry(mara), next_spring, "ink", date(2032, 5, 11))
    assert queries.inks() == {"Teal": date(2032, 5, 11)}
    pressing = strip.pressing(SPRING.date(), timedelta(days=7), None)
    assert [boat.name for boat, _ in pressing] == ["Teal"]


def test_handed_over_no_ink_of_last_season_is_missed(
    next_spring: Boat, mara: Person, monkeypatch: pytest.MonkeyPatch
) -> None:
    def lifted(*_: object) -> Fact:
        return facts.add_moved(entry(mara), next_spring, State.HANDED_OVER)

    monkeypatch.setattr(services, "_lifted", lifted)
    services.hand_over(entry(mara), next_spring)
    assert not Fact.objects.filter(kind=Kind.PROMISED, what__in=("kept", "missed")).exists()


def test_work_done_last_season_is_to_be_done_again(next_spring: Boat, mara: Person) -> None:
    def left() -> list[str]:
        boat = next(one for one in exchange.to_plan().boats if one.name == "Teal")
        return [piece.what for piece in boat.work]

    assert left() == ["engine", "hull"]
    assert work.work_done(work.story([next_spring])[next_spring.pk]) == {}
    facts.add_done(entry(mara), next_spring, "engine", "work")
    assert left() == ["hull"]
    assert [*work.work_done(work.story([next_spring])[next_spring.pk])] == ["engine"]
