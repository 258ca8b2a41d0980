"""Season Review: each number counted by hand from a few deeds on Teal."""

from collections.abc import Callable
from datetime import timedelta

import pytest
from django.test import Client

from tests.conftest import entry
from tests.work.conftest import Crew, asks_for_log_in, refuses_method, words
from yardwright.fleet.models import Boat
from yardwright.procedures.going_in import State
from yardwright.procedures.put_backs import Before, Proof
from yardwright.procedures.steps import book, shipped
from yardwright.procedures.ways_in import Disturbance
from yardwright.work import facts, services
from yardwright.work.models import Fact
from yardwright.work.season_review import Review, review
from yardwright.yard.models import Person

PAGE = "/season-review/"
PLAIN = next(
    s for s in shipped().steps if not (s.opens or s.proves or s.watch_learner or s.hazards)
)


@pytest.fixture
def bare(crew: Crew, teal: Boat) -> Boat:
    """A boat that nothing was written about."""
    return Boat.objects.create(name="Wigeon", tag="WIG", has=["outboard"])


def hours(n: float) -> timedelta:
    return timedelta(hours=n)


def lead_off(crew: Crew, boat: Boat, ago: float) -> Fact:
    kind = next(
        k
        for k in book().kinds.values()
        if k.before == Before.WATER and not k.second and not k.barrier
    )
    return services.undo(entry(crew.tomas, hours(ago)), boat, kind, "bag")


def of(boat: Boat, found: Review) -> list[object]:
    return [one for one in found.late if one.undone.boat == boat]


def test_caught_by_which_check(crew: Crew, bare: Boat) -> None:
    """One put back, then found not to hold, then put back again by another."""
    before = review()
    undone = lead_off(crew, bare, 9)
    asked = Proof(undone.body["proof"])
    assert review().still_open == before.still_open + 1
    services.put_back(entry(crew.tomas, hours(8)), undone, asked)
    assert review().still_open == before.still_open
    services.does_not_hold(entry(crew.ines, hours(7)), undone, "comes off by hand")
    after = review()
    assert after.still_open == before.still_open + 1
    assert [doubt.body["words"] for doubt in after.doubts] == ["comes off by hand"]
    assert f"{undone.what}: it did not hold once. Ask for a stronger proof." in after.to_change
    services.put_back(entry(crew.tomas, hours(6)), undone, asked)
    counted = dict(review().by_proof)
    assert counted[asked] == dict(before.by_proof).get(asked, 0) + 1


def test_late_is_after_the_deed_that_had_to_wait(crew: Crew, bare: Boat) -> None:
    late, in_time = lead_off(crew, bare, 9), lead_off(crew, bare, 8.9)
    asked = Proof(late.body["proof"])
    services.put_back(entry(crew.tomas, hours(6)), in_time, asked)
    assert of(bare, review()) == []
    facts.add_moved(entry(crew.ines, hours(5)), bare, State.IN_THE_WATER)
    (open_still,) = of(bare, review())
    assert (open_still.undone, open_still.closed_at) == (late, None)  # type: ignore[attr-defined]
    services.put_back(entry(crew.tomas, hours(4)), late, asked)
    (one,) = of(bare, review())
    assert one.closed_at is not None  # type: ignore[attr-defined]
    assert f"{late.what}: once late for the water. Put its step earlier." in review().to_change


def test_what_made_looks_lapse(crew: Crew, bare: Boat) -> None:
    services.disturb(entry(crew.ines, hours(9)), bare, Disturbance.FROST)  # nothing was proven yet
    assert dict(review().lapsed).get(Disturbance.FROST, 0) == 0
    services.look(entry(crew.ines, hours(8)), bare, "her cover", holds=True)
    services.disturb(entry(crew.ines, hours(7)), bare, Disturbance.FROST)
    services.disturb(entry(crew.ines, hours(6)), bare, Disturbance.FROST)
    assert dict(review().lapsed)[Disturbance.FROST] == 1  # one boat, however often


def test_minutes_by_the_time_between_entries(crew: Crew, bare: Boat) -> None:
    """Three times, each three times the usual; one more after a night counts for nothing."""
    long = PLAIN.minutes * 3
    assert long < 240  # within one go
    at = 100.0
    facts.add_note(entry(crew.ines, hours(at)), bare, "begins")
    for n in range(1, 4):
        assert not [one for one in review().took if one.step.code == PLAIN.code]
        ago = timedelta(hours=at) - timedelta(minutes=long * n)
        facts.add_done(entry(crew.ines, ago), bare, PLAIN.code, "step")
    facts.add_done(entry(crew.ines, hours(1)), bare, PLAIN.code, "step")
    took = [one for one in review().took if one.step.code == PLAIN.code]
    assert not took  # a note is no deed of hers to count from: two gaps only
    facts.add_done(entry(crew.ines, hours(1) - timedelta(minutes=long)), bare, PLAIN.code, "step")
    (one,) = [one for one in review().took if one.step.code == PLAIN.code]
    assert one.times == 3
    assert one.minutes == pytest.approx(long, abs=0.1)
    assert f"about {long} min, longer than its usual {PLAIN.minutes} (3 times)" in one.sentence


def test_minutes_that_somebody_said_count_before_the_time_between_entries(
    crew: Crew, bare: Boat
) -> None:
    for n in range(1, 4):
        at = entry(crew.ines, hours(20 * n))
        facts.add_done(at, bare, PLAIN.code, "step", took_min=PLAIN.minutes * 2)
    (one,) = [one for one in review().took if one.step.code == PLAIN.code]
    assert (one.times, one.minutes) == (3, PLAIN.minutes * 2)


def test_usual_minutes_are_not_spoken_of(crew: Crew, bare: Boat) -> None:
    for n in range(6):
        ago = hours(50) - timedelta(minutes=PLAIN.minutes * n)
        facts.add_done(entry(crew.ines, ago), bare, PLAIN.code, "step")
    assert not [one for one in review().took if one.step.code == PLAIN.code]


def test_last_season_is_not_in_it(crew: Crew, bare: Boat) -> None:
    before = review().undone
    lead_off(crew, bare, 24 * 320)
    assert review().undone == before


def test_the_page(ines: Client, crew: Crew, bare: Boat) -> None:
    undone = lead_off(crew, bare, 9)
    services.does_not_hold(entry(crew.ines, hours(7)), undone, "comes off by hand")
    page = words(ines.get(PAGE))
    assert review().sentence in page
    assert "comes off by hand" in page
    assert "Not known" in page.split("Where minutes differ")[1]


def test_few_queries_however_much_was_done(
    ines: Client,
    crew: Crew,
    bare: Boat,
    django_assert_max_num_queries: Callable[[int], object],
) -> None:
    for n in range(12):
        undone = lead_off(crew, bare, 9 + n)
        services.does_not_hold(entry(crew.ines, hours(7)), undone, "loose")
    with django_assert_max_num_queries(12):  # type: ignore[attr-defined]
        ines.get(PAGE)


def test_methods_and_strangers(
    ines: Client, crew: Crew, as_person: Callable[[Person], Client]
) -> None:
    refuses_method(ines, PAGE, "POST", "PUT", "DELETE")
    assert as_person(crew.guest).get(PAGE).status_code == 200
    asks_for_log_in(ines, PAGE)


@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("sheet", ["season-review", "findings"])
def test_its_paper_twin(ines: Client, paper: str, sheet: str) -> None:
    assert ines.get(f"/{sheet}.pdf?paper={paper}").content.startswith(b"%PDF")
    assert ines.get(f"/{sheet}.pdf?paper=A3").status_code == 422
    ines.logout()
    assert ines.get(f"/{sheet}.pdf").status_code == 302
