"""Heron Slip as values: what issue and story ask of the demo yard, and that it holds together."""

from collections import Counter
from datetime import timedelta
from itertools import pairwise

import pytest

from yardwright.demo import heron_slip
from yardwright.demo.heron_slip import NOW, season, winter_of
from yardwright.demo.stories import stories
from yardwright.procedures.float_check import Floats
from yardwright.procedures.going_in import MOVES, State
from yardwright.procedures.land_check import RainOut
from yardwright.procedures.put_backs import Before, Harm, holds_back, left_undone
from yardwright.procedures.step import Season as Part
from yardwright.procedures.step import Stage
from yardwright.procedures.steps import not_covered, steps_for
from yardwright.procedures.verdict import Verdict
from yardwright.procedures.ways_in import OPENINGS
from yardwright.season import checks
from yardwright.season.faults import faults
from yardwright.season.model import Boat, Season
from yardwright.season.read import read
from yardwright.season.spring import not_planned
from yardwright.season.water import windows
from yardwright.season.write import write

MINUTE = timedelta(minutes=1)


def boat(name: str) -> Boat:
    return checks.boat_named(season(), name)


def test_no_faults_and_the_same_each_time() -> None:
    made = season()
    assert faults(made) == ()
    season.cache_clear()
    assert season() == made


def test_sixty_boats_half_laid_up() -> None:
    states = Counter(one.state for one in season().boats)
    assert states.total() == 60
    assert states[State.LAID_UP] == 30
    assert states[State.FITTING_OUT] >= 10
    assert set(states) <= set(MOVES)
    assert len({one.engine for one in season().boats}) >= 5


def test_names_of_birds_and_their_tags_are_each_her_own() -> None:
    assert len({one.name for one in season().boats}) == 60
    assert len({one.tag for one in season().boats}) == 60
    assert len({one.owner.name for one in season().boats if one.owner}) == 60


def test_three_learners_whom_no_plan_counts_on() -> None:
    learners = [person for person in season().people if person.learner]
    assert len(learners) == 3
    assert not any(person.trades for person in learners)


def test_two_kits_come_no_sooner_than_the_day_their_boats_must_go_in() -> None:
    parts = {part.name: part.arrives for part in season().parts if not part.came}
    assert len(parts) == 2
    for name, arrives in parts.items():
        assert arrives is not None
        assert arrives > NOW
        waits = [
            promised - timedelta(minutes=one.watch_min)
            for one in season().boats
            if name in {work.part for work in one.work}
            and (promised := one.promise.ink or one.promise.pencil)
        ]
        assert any(day <= arrives.date() for day in waits), name


def test_one_kit_came_late_and_none_is_overdue_as_the_day_begins() -> None:
    assert not any(part.overdue(NOW) for part in season().parts)
    (kit,) = [part for part in season().parts if part.came]
    assert kit.arrives
    assert kit.came
    assert kit.arrives < kit.came < NOW


def test_water_stands_on_the_datum_and_epoch_of_the_station() -> None:
    # NOAA's page of datums for 8418150 (Portland): MLLW, epoch 1983-2001.
    water = season().water
    assert (water.datum, water.epoch, water.station) == ("MLLW", "1983-2001", "8418150")
    assert (water.sill.datum, water.sill.epoch) == ("MLLW", "1983-2001")


def test_teal_has_her_eleven() -> None:
    # Story A3: eleven things, this order of harm among those that sink her, 44 to 59 L/min.
    teal = boat("Teal")
    still = left_undone(teal.undone)
    assert len(still) == 11
    assert Counter(thing.harm for thing in still)[Harm.SINKS] == 4
    check = checks.float_check(teal, NOW)
    assert check.answer == Floats.NO
    assert "44 to 59 L/min" in check.sentence


@pytest.mark.parametrize(
    ("name", "draft_m"),
    [("Plover", 0.60), ("Dunlin", 1.45), ("Curlew", 1.75), ("Avocet", 1.90), ("Teal", 0.55)],
)
def test_the_boats_of_the_stories_draw_what_the_stories_say(name: str, draft_m: float) -> None:
    assert boat(name).draft_m == draft_m


def test_curlew_stands_in_front_of_dunlin() -> None:
    assert (boat("Curlew").place, boat("Curlew").berth) == ("Row C", 1)
    assert (boat("Dunlin").place, boat("Dunlin").berth) == ("Row C", 2)


def test_snipe_was_never_counted_and_ruffs_bellows_cant_say() -> None:
    snipe = checks.float_check(boat("Snipe"), NOW)
    assert snipe.answer == Floats.NOT_KNOWN
    assert "not counted" in snipe.sentence
    ruff = checks.float_check(boat("Ruff"), NOW)
    assert ruff.answer == Floats.NOT_KNOWN
    assert "lower bellows" in ruff.sentence
    assert "frost" in ruff.sentence


def test_openings_are_counted_on_most_and_not_on_some() -> None:
    counted = [any(look.at_what == OPENINGS for look in one.looks) for one in season().boats]
    assert 45 <= sum(counted) < 60


def test_frost_of_the_third_of_january_lapsed_what_was_proven_before() -> None:
    coot = checks.float_check(boat("Coot"), NOW)
    assert "frost while wet since (3 Jan)" in coot.standings["transducer"].because


def test_robins_cover_holds_the_rain() -> None:
    answer = checks.land_check(boat("Robin"), NOW).answer
    assert answer == RainOut.NO
    assert checks.land_check(boat("Mallard"), NOW).answer == RainOut.YES


def verdicts(made: Season) -> dict[tuple[str, str], Verdict]:
    return {
        (one.name, reading.quantity): checks.judged(made.limits, one, reading).verdict
        for one in made.boats
        for reading in one.readings
    }


def test_each_of_the_six_verdicts_is_there() -> None:
    assert set(verdicts(season()).values()) == set(Verdict)


def test_a_lower_unit_seal_leaks() -> None:
    found = verdicts(season())
    stopped = [key for key, word in found.items() if word == Verdict.STOP]
    assert ("Gannet", "gear_case_pressure") in stopped


def test_one_instrument_is_past_its_check() -> None:
    past = [
        one for one in season().instruments if one.checked_until and one.checked_until < NOW.date()
    ]
    assert [one.name for one in past] == ["compression gauge"]


def test_every_boats_steps_exist_or_are_said_not_to_be_covered() -> None:
    for one in season().boats:
        assert steps_for(one.has, Part.FALL)
        missing = not_covered(one.has)
        said = one.name == "Eider"  # of whom nothing is written yet
        assert bool(missing) == said, (one.name, missing)


def test_nothing_was_done_after_now_nor_proven_before_it_was_undone() -> None:
    for one in season().boats:
        looked = [look.at for look in one.looks] + [reading.at for reading in one.readings]
        assert max(looked, default=NOW) <= NOW, one.name
        for thing in one.undone:
            assert thing.at < NOW
            if thing.put_back:
                assert thing.at < thing.put_back.at < NOW, (one.name, thing.what)


def test_every_put_back_is_a_proof_that_closes() -> None:
    for one in season().boats:
        for thing in one.undone:
            assert thing.is_open == (thing.put_back is None), (one.name, thing.what)


def test_steps_are_done_in_their_order_on_working_days() -> None:
    for name, story in stories().items():
        done = winter_of(name, story)
        for deeds in (done.fall, done.spring):
            on_land = [deed for deed in deeds if deed.step.stage.place <= Stage.DOMESTIC.place]
            afloat = deeds[len(on_land) :]
            for some in (on_land, afloat):
                assert all(a.at <= b.at for a, b in pairwise(some)), name
            assert all(deed.at.weekday() < 5 for deed in deeds), name


def test_ready_boats_have_nothing_left_that_the_water_waits_for() -> None:
    ready = [one for one in season().boats if one.state == State.READY]
    assert len(ready) >= 3
    for one in ready:
        assert holds_back(one.undone, Before.WATER) == (), one.name
        assert holds_back(one.undone, Before.START) == (), one.name
        assert left_undone(one.undone), one.name  # her key, at least


def test_handed_over_boats_have_nothing_left_undone() -> None:
    for one in season().boats:
        if one.state == State.HANDED_OVER:
            assert left_undone(one.undone) == (), one.name


def test_whoever_went_in_had_water_and_an_open_lift() -> None:
    made, (lift,) = season(), season().lifts
    went_in = {name: s.in_slings for name, s in stories().items() if s.in_slings}
    assert len(went_in) == 7
    for name, at in went_in.items():
        assert any(w.start <= at <= w.end for w in windows(made, boat(name), at, at + 40 * MINUTE))
        assert lift.opens <= at.time() < lift.closes
        assert at.weekday() in lift.weekdays


def test_ink_crowds_around_today() -> None:
    days = [one.promise.ink for one in season().boats if one.promise.ink and not_in(one)]
    soon = [day for day in days if 0 <= (day - NOW.date()).days <= 3]
    assert len(soon) >= 8


def not_in(one: Boat) -> bool:
    return one.state not in (State.HANDED_OVER, State.IN_THE_WATER)


def test_who_is_not_planned_is_said() -> None:
    told = {one.boat: one.because for one in not_planned(season(), begins=NOW)}
    assert set(told) == {"Ouzel", "Quail"}
    assert "draft is not known" in told["Quail"]


def test_the_file_of_heron_slip_reads_back_as_it_was() -> None:
    assert read(write(season()), "heron-slip.toml") == season()


def test_nobody_stands_twice() -> None:
    berths = Counter((one.place, one.berth) for one in season().boats if one.berth)
    assert set(berths.values()) == {1}
    assert heron_slip.MANAGER in {person.name for person in season().people}
