"""The core: tides, checks, verdicts and the plan."""

import json
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from functools import partial
from random import Random

import numpy as np

from bench import readings
from bench.timing import Pair, pair
from yardwright.demo import heron_slip
from yardwright.plan import planner
from yardwright.plan.list_plan import by_promise, list_plan
from yardwright.plan.problem import score
from yardwright.procedures.order import refused
from yardwright.procedures.put_backs import left_undone
from yardwright.procedures.step import Has
from yardwright.procedures.step import Season as StepSeason
from yardwright.procedures.steps import steps_for
from yardwright.procedures.verdict import Judgement
from yardwright.season import checks
from yardwright.season.model import Season
from yardwright.season.read import read
from yardwright.season.spring import problem_of
from yardwright.season.water import season_span, water_of, windows_by_draft
from yardwright.season.write import write
from yardwright.tides.astronomy import argument, node_factors
from yardwright.tides.harmonic import Harmonic
from yardwright.tides.stations import Station, station
from yardwright.tides.water import Interval, hours

PORTLAND = "8418150"
YEAR = (datetime(2031, 1, 1, tzinfo=UTC), datetime(2032, 1, 1, tzinfo=UTC))


def cosines(constants: Mapping[str, tuple[float, float]], mean_m: float) -> np.ndarray:
    """The same year at 6 minutes by a plain loop over the constituents; f and u once, as ours."""
    start_h = hours(YEAR[0])
    factors = node_factors(hours(YEAR[0]) + 4380)
    hour = np.arange(0, 8760 + 1e-6, 0.1)
    level = np.full_like(hour, mean_m)
    for name, (amplitude_m, phase_deg) in constants.items():
        at_start_deg, speed_deg_h, factor = argument(name, start_h, factors)
        turned = np.radians(speed_deg_h * hour + at_start_deg - phase_deg)
        level += factor * amplitude_m * np.cos(turned)
    return level


def spring(typed: bool) -> Season:
    """The demo yard with 300 drafts, its water from constants or from a typed year."""
    demo = heron_slip.season()
    boat = next(boat for boat in demo.boats if boat.draft_m is not None)
    boats = tuple(replace(boat, name=f"{n}", draft_m=0.6 + 0.005 * n) for n in range(300))
    table = water_of(demo).extremes(*YEAR) if typed else ()
    water = replace(demo.water, station="", table=table, source="typed") if typed else demo.water
    return replace(demo, boats=boats, water=water)


def season_windows(of: Season) -> dict[float, tuple[Interval, ...]]:
    first = datetime(2031, 4, 1, tzinfo=UTC)
    drafts = [boat.draft_m for boat in of.boats if boat.draft_m is not None]
    return windows_by_draft(of, drafts, first, first + timedelta(weeks=10))


def tides() -> Iterator[Pair]:
    here = station(PORTLAND)
    water = here.water()
    assert isinstance(water, Harmonic)
    mean_m = here.datums_m["MSL"] - here.datums_m["MLLW"]
    floor = partial(cosines, here.constants, mean_m)
    to_new_year = slice(-1)  # the last level is the next year's
    assert np.allclose(water.series_m(*YEAR, 6)[to_new_year], floor()[to_new_year], atol=1e-6)
    every_6_min = "a loop of cosines over that year, every 6 min"
    minutes = [YEAR[0] + timedelta(minutes=n) for n in range(60 * 24 * 60)]
    yield pair(
        "tides: 60 days of windows at one level",
        lambda: water.windows(YEAR[0], YEAR[0] + timedelta(days=60), 2.5),
        "a look every minute",
        lambda: water.level_m(minutes),
        runs=5,
    )
    yield pair(
        "tides: high and low waters of a year",
        lambda: water.extremes(*YEAR),
        every_6_min,
        floor,
        runs=10,
    )
    yield pair(
        "tides: levels of a year, every 6 min, from cold",
        lambda: _fresh(here).series_m(*YEAR, 6),
        every_6_min,
        floor,
    )
    for typed, known in ((False, "constants"), (True, "typed year")):
        yield pair(
            f"tides: 10 weeks of windows, 300 drafts, {known}",
            partial(season_windows, spring(typed)),
            every_6_min,
            floor,
            runs=3,
        )


def _fresh(here: Station) -> Harmonic:
    water = here.water()
    assert isinstance(water, Harmonic)
    return water


def season() -> Iterator[Pair]:
    demo = heron_slip.season()
    text = write(demo)
    boats = [boat for boat in demo.boats if boat.ways_in]
    at = heron_slip.NOW
    yield pair(
        "checks: float check of every demo boat",
        lambda: [checks.float_check(boat, at) for boat in boats],
        "left undone of the same boats",
        lambda: [left_undone(boat.undone) for boat in boats],
    )
    yield pair(
        "season file: read sixty boats",
        lambda: read(text),
        "as JSON, without any check",
        lambda: json.loads(json.dumps(text)),
        runs=5,
    )
    yield pair(
        "season file: water at the sill for the season",
        lambda: water_of(demo).windows(*_span(demo), 2.5),
        "its text",
        lambda: write(demo),
        runs=5,
    )


def fleet_steps() -> Iterator[Pair]:
    """A fleet of 300 of every make: steps of its three seasons, each order looked at."""
    draw, things = Random(300), list(Has)  # noqa: S311  # no secret
    fleet = [frozenset(draw.sample(things, draw.randint(5, len(things)))) for _ in range(300)]
    yield pair(
        "steps: three seasons of 300 boats",
        lambda: [steps_for(has, part) for has in fleet for part in StepSeason],
        "their orders looked at for what is refused",
        lambda: [refused(steps_for(has, part)) for has in fleet for part in StepSeason],
        runs=5,
    )


def _span(demo: Season) -> tuple[datetime, datetime]:
    span = season_span(demo)
    return span.start, span.end


def verdicts() -> Iterator[Pair | str]:
    yard, filed = readings.boats(), readings.limits()
    words: Counter[str] = Counter()

    def at_once() -> None:
        words.clear()
        for boat in yard:
            words.update(word for _, word in checks.verdicts(filed, boat))

    def one_by_one() -> list[Judgement]:
        return [checks.judged(filed, boat, boat.readings[-1]) for boat in yard]

    yield pair(
        "verdicts: 90,000 readings of 300 boats",
        at_once,
        "one reading of each boat judged with its sentences",
        one_by_one,
        runs=5,
    )
    yield ", ".join(f"{word} {count:,}" for word, count in words.most_common())


def plan() -> Iterator[str]:
    """The plan is measured by its lateness against a list by earliest due date."""
    problem = problem_of(heron_slip.season(), begins=heron_slip.NOW)
    aside = [boat.id for boat in problem.boats if boat.aside_min is not None]
    listed = score(problem, list_plan(problem, by_promise(problem), aside))
    answer = planner.plan(problem, time_limit_s=25)
    if answer.score is None:
        yield "plan: none found"
        return
    yield (
        f"plan: {len(problem.going_in)} demo boats in 25 s: Ink {answer.score.ink_days}, Pencil "
        f"{answer.score.pencil_days} days late; by earliest due date {listed.ink_days} and "
        f"{listed.pencil_days}; no plan can beat {answer.bound.ink_days} and "
        f"{answer.bound.pencil_days}"
    )
