"""Her spring steps as the plan's jobs; what fills her with water waits for the last frost."""

from collections.abc import Iterable
from datetime import date, timedelta

from yardwright.procedures.going_in import State
from yardwright.procedures.step import Season as StepSeason
from yardwright.procedures.step import Stage, Step, Trade
from yardwright.procedures.steps import book, steps_for
from yardwright.season.model import Boat, Season, Yard
from yardwright.season.zone import said_day

PUT_BACK, REFILL = "put back, ", "fill with water, "  # then the trade


def steps_to_do(boat: Boat) -> list[Step]:
    """Her spring steps that are still to be done before the lift, the first first.

    Without a word on what she has there are none: then her work alone is planned.
    """
    hers = steps_for(boat.has, StepSeason.SPRING) if boat.has else ()
    return [step for step in hers if is_planned(step) and step.code not in boat.done]


def is_planned(step: Step) -> bool:
    """A spring plan has minutes for it: a spring step before the lift, and not the lift's own."""
    is_before = step.stage.place < Stage.LAUNCH.place
    return step.season == StepSeason.SPRING and step.trade != Trade.LIFT and is_before


def put_back_jobs(boat: Boat, yard: Yard) -> dict[str, list[Step]]:
    """Her spring steps that are still to be done before the lift, by the job that they are planned as.

    A job a trade. Where the season has frost to come, what fills her with water is a job of its
    own, with all that comes after it. Where nobody has said when the last frost is, nothing waits
    for it: ``frost_not_known`` says so.
    """
    jobs: dict[str, list[Step]] = {}
    steps = steps_to_do(boat)
    waits = _with_water(steps) if frost_to_come(yard) else frozenset()
    for step in steps:
        kind = REFILL if step.code in waits else PUT_BACK
        jobs.setdefault(f"{kind}{step.trade}", []).append(step)
    return jobs


def frost_to_come(yard: Yard) -> date | None:
    """The day of this season from which no frost is expected; None: its first, or not known."""
    last = yard.last_frost
    return last if last is not None and last > yard.first_day else None


def _with_water(steps: Iterable[Step]) -> frozenset[str]:
    """The steps that fill her with water, and those that come after one of them."""
    waits: set[str] = set()
    for step in steps:  # in the order that matters
        if step.refills or not waits.isdisjoint(step.after):
            waits.add(step.code)
    return frozenset(waits)


def frost_not_known(season: Season, planned: Iterable[str]) -> str:
    """That boats are filled with water though nobody has said when the last frost is; or nothing."""
    if season.yard.last_frost is not None:
        return ""
    names = set(planned)
    filled = [
        boat.name
        for boat in season.boats
        if boat.name in names and any(step.refills for step in steps_to_do(boat))
    ]
    if not filled:
        return ""
    boats = filled[0] if len(filled) == 1 else f"{len(filled)} boats"
    return (
        f"Nobody has said when the last frost is. This plan fills {boats} with water, and a frost "
        "can still come: write the day in the yard's settings, and what fills them waits for it."
    )


def filled_too_soon(boat: Boat, yard: Yard, today: date) -> str:
    """That a frost can still come to a boat that was filled with water; empty where none can.

    Where nobody has said when the last frost is, one can come until the season ends.
    """
    over = yard.last_frost or yard.last_day + timedelta(days=1)
    if boat.state == State.HANDED_OVER or today >= over:
        return ""
    filled = [step.title for step in book().steps if step.refills and step.code in boat.done]
    if not filled:
        return ""
    does = f"drain her again, or keep her warm. Filled: {'; '.join(filled)}."
    if yard.last_frost is None:
        return f"Nobody has said when the last frost is, so one can still come: {does}"
    until = said_day(yard.last_frost, yard.last_day)
    return f"A frost can still come until {until}: {does}"
