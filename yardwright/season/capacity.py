"""A boat to come, taken from the boats that are here: one of them, or what most of them are like."""

from collections import Counter, defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from statistics import median, median_high

from yardwright.calc.counting import hours
from yardwright.plan.capacity import Capacity, Like
from yardwright.plan.days import Days
from yardwright.plan.problem import LAST_FROST, BoatId, Problem, Task, TaskId
from yardwright.plan.problem import Boat as PlanBoat
from yardwright.procedures.going_in import State
from yardwright.season.model import OWNER, Boat, Promise, Season
from yardwright.season.spring import not_planned, problem_of

USUAL = BoatId("most here")  # said as "boats like most here"


@dataclass(frozen=True, slots=True)
class ToCome:
    """A boat to come, and what she asks for in words."""

    like: Like
    words: str


def one_like(season: Season, boat: Boat, *, begins: datetime | None = None) -> ToCome:
    """A boat like one that is here, with all the work that is on file for her still to be done.

    Her parts are taken to be here, and what waits for an owner is left out.

    Raises
    ------
    ValueError
        She can't be planned; why.
    """
    alone = replace(season, boats=(_fresh(boat),))
    for one in not_planned(alone, begins=begins):
        raise ValueError(f"No boat like {boat.name} can be planned: {one.because}.")
    problem = problem_of(alone, begins=begins)
    return _to_come(problem, Like(_no_promise(problem.boats[0]), problem.tasks), boat.draft_m)


def usual(season: Season, *, begins: datetime | None = None) -> ToCome:
    """A boat like most: of each trade the middle boat's minutes, and the middle draft.

    Her draft is the middle one of the boats on the lift that carries most of them.

    Raises
    ------
    ValueError
        No boat goes in; no trade works on half of them.
    """
    fleet = [_fresh(boat) for boat in season.boats if boat.state != State.NOT_GOING_IN]
    problem = problem_of(replace(season, boats=tuple(fleet)), begins=begins)
    if not problem.going_in:
        raise ValueError("No boat here goes in, so none is like most.")
    draft_m = {boat.name: boat.draft_m for boat in fleet if boat.draft_m is not None}
    ((lift, _),) = Counter(boat.lift for boat in problem.going_in).most_common(1)
    theirs = [boat for boat in problem.going_in if boat.lift == lift]
    middle = median_high([draft_m[boat.name] for boat in theirs])
    boat = next(boat for boat in theirs if draft_m[boat.name] == middle)
    boat = replace(_no_promise(boat), id=USUAL, name=USUAL)
    tasks = tuple(_middle_work(problem))
    if not tasks:
        raise ValueError(
            "No trade works on half of the boats here, so none is like most; name one instead."
        )
    return _to_come(problem, Like(boat, tasks), middle)


def _fresh(boat: Boat) -> Boat:
    """As she came in fall: nothing done, nothing promised, in nobody's way."""
    theirs = {work.what for work in boat.work if work.trade == OWNER or work.needs_yes}
    work = tuple(
        replace(one, part="", after=tuple(name for name in one.after if name not in theirs))
        for one in boat.work
        if one.what not in theirs
    )
    return replace(
        boat,
        state=State.LAID_UP,
        lifted=None,
        work=work,
        done=frozenset(),
        promise=Promise(),
        place="",
        berth=None,
        insured_from=None,
        paid_from=None,
    )


def _no_promise(boat: PlanBoat) -> PlanBoat:
    return replace(boat, ink=None, pencil=None, published=None)


def _middle_work(problem: Problem) -> list[Task]:
    """One job a trade of the middle boat's minutes: ashore, afloat, each again after the frost."""
    asked: Mapping[tuple[str, str, int], Counter[BoatId]] = defaultdict(Counter)
    for task in problem.tasks:
        waits = task.not_before if task.waits_for == LAST_FROST else 0
        when = f"{' afloat' if task.afloat else ''}{' after the last frost' if waits else ''}"
        asked[task.trade, when, waits][task.boat] += task.minutes
    boats = [boat.id for boat in problem.going_in]
    middle = {key: round(median(minutes[boat] for boat in boats)) for key, minutes in asked.items()}
    return [
        Task(
            TaskId(f"{USUAL}: {trade}{when}"),
            USUAL,
            trade,
            minutes,
            f"{trade}'s work{when}",
            not_before=waits,
            waits_for=LAST_FROST if waits else "part",
            afloat=when.startswith(" afloat"),
        )
        for (trade, when, waits), minutes in sorted(middle.items())
        if minutes
    ]


def _to_come(problem: Problem, like: Like, draft_m: float | None) -> ToCome:
    minutes = Counter[str]()
    for task in like.tasks:
        minutes[task.trade] += task.minutes
    work = ", ".join(f"{trade} {hours(count)}" for trade, count in sorted(minutes.items()))
    lift, draft = problem.lift[like.boat.lift].name, f"{draft_m or 0:.2f} m of draft"
    return ToCome(like, f"{work or 'no work'}; {draft}, by {lift}")


def as_json(found: Capacity, days: Days, to_come: ToCome) -> dict[str, object]:
    """What was found, for a page or a program."""
    return {
        "sentence": found.sentence(days),
        "like": to_come.like.boat.name,
        "asks": to_come.words,
        "by": days.date_of(found.by).isoformat(),
        "at_least": found.at_least,
        "at_most": found.at_most if found.ends else None,
        "short": [
            {
                "what": one.what,
                "more": one.more,
                "at_least": one.at_least,
                "at_most": one.at_most if one.ends else None,
            }
            for one in found.short
        ],
    }
