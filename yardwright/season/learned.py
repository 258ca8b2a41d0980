"""What a yard's own history says of each kind of job: how its minutes stray, what is found on it."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from math import exp, log
from statistics import median

from yardwright.plan.chance import (
    NOTHING,
    Found,
    Spread,
    found_on_any,
    learned,
    learned_found,
    strays_together,
)
from yardwright.plan.problem import Problem, TaskId
from yardwright.procedures.step import Step
from yardwright.season.model import Boat, History, Season, Yard
from yardwright.season.put_backs import is_planned, put_back_jobs
from yardwright.season.spring import half_hours

FEWEST = 3  # jobs, before anybody is told what a kind takes: one job is somebody's
FAR = 7  # times its minutes, or that part of them: another job, or mistyped; nothing is learned


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of job as the odds count it."""

    spread: Spread
    found: Found

    @property
    def times(self) -> float:
        """How many times its planned minutes it takes, in the middle."""
        return exp(self.spread.log_mean)


def ratios(rows: Iterable[History]) -> list[float]:
    """Minutes taken over minutes planned, of each job from which something is learned."""
    each = (took / planned for one in rows for took, planned in one.took_min)
    return [ratio for ratio in each if 1 / FAR <= ratio <= FAR]


@dataclass(frozen=True)
class Lessons:
    """What each kind of job is like in a yard, drawn to the usual where its history is thin.

    A step is drawn to the usual; other work to the other work of its trade, and that to the usual.
    """

    history: tuple[History, ...]
    usual: Kind  # of a step
    usual_work: Kind

    @cached_property
    def _rows(self) -> Mapping[tuple[str, str], tuple[History, ...]]:
        rows: dict[tuple[str, str], tuple[History, ...]] = {}
        for one in self.history:
            key = _key(one.what, one.trade)
            rows[key] = (*rows.get(key, ()), one)
        return rows

    @cached_property
    def _steps(self) -> Mapping[str, Kind]:
        return {
            what: _learned(of, self.usual) for (what, trade), of in self._rows.items() if not trade
        }

    def step(self, code: str) -> Kind:
        """A step by its code."""
        return self._steps.get(code.casefold(), self.usual)

    def work(self, what: str, trade: str) -> Kind:
        """Other work, by its name and trade; without a trade it has no like."""
        if not trade:
            return self.usual_work
        mine = _key(what, trade)
        others = [
            one
            for key, rows in self._rows.items()
            if key != mine and key[1] == mine[1]
            for one in rows
        ]
        return _learned(self._rows.get(mine, ()), _learned(others, self.usual_work))

    def put_backs(self, steps: Iterable[Step]) -> Kind:
        """The steps that one person does on a boat, one after another."""
        each = [(step.minutes, self.step(step.code)) for step in steps]
        return Kind(
            strays_together([(minutes, kind.spread) for minutes, kind in each]),
            found_on_any([kind.found for _, kind in each]),
        )


@dataclass(frozen=True, slots=True)
class Told:
    """A kind of job for whoever plans: what it took, in the middle, and how the odds count it.

    ``taken_min`` of ``planned_min`` minutes; None: too few jobs of which somebody said how long.
    """

    what: str
    trade: str
    step: str  # its code; empty: other work
    jobs: int
    said: int  # of how many jobs somebody said how long
    not_counted: int  # of those, what was too far off to be that job
    planned_min: float | None
    taken_min: float | None
    found: int  # jobs on which more work was found
    kind: Kind | None  # None: no odds go by it

    @property
    def differs_min(self) -> float:
        """By how much the odds count it longer or shorter than it is planned."""
        if self.kind is None or self.planned_min is None:
            return 0.0
        return abs(self.kind.times - 1) * self.planned_min


def told(lessons: Lessons, steps: Iterable[Step]) -> list[Told]:
    """Each kind of job with a history, those first that the odds count most unlike their plan."""
    book = {step.code: step for step in steps}
    each = (_told(one, lessons, book) for one in lessons.history if one.took_min or one.found_min)
    return sorted(each, key=lambda one: (-one.differs_min, one.what, one.trade))


def _told(one: History, lessons: Lessons, book: Mapping[str, Step]) -> Told:
    step = None if one.trade else book[one.what]
    enough = len(one.took_min) >= FEWEST
    if step is None:
        kind: Kind | None = lessons.work(one.what, one.trade)
    else:
        kind = lessons.step(step.code) if is_planned(step) else None
    return Told(
        what=step.title if step else one.what,
        trade=step.trade if step else one.trade,
        step=step.code if step else "",
        jobs=one.jobs,
        said=len(one.took_min),
        not_counted=len(one.took_min) - len(ratios([one])),
        planned_min=median(planned for _, planned in one.took_min) if enough else None,
        taken_min=median(took for took, _ in one.took_min) if enough else None,
        found=len(one.found_min),
        kind=kind,
    )


def _key(what: str, trade: str) -> tuple[str, str]:
    return what.casefold(), trade.casefold()


def _learned(rows: Iterable[History], usual: Kind) -> Kind:
    rows = list(rows)
    found_min = [minutes for one in rows for minutes in one.found_min]
    return Kind(
        learned(ratios(rows), usual.spread),
        learned_found(sum(one.jobs for one in rows), found_min, usual.found),
    )


def kinds_of(season: Season, problem: Problem, lessons: Lessons) -> dict[TaskId, Kind]:
    """What each task of a problem is like; a second look is as usual, and nothing is found on it.

    Jobs are planned by the half hour, and stray around the minutes that were asked.
    """
    boats = {boat.name: boat for boat in season.boats}
    plain = Kind(lessons.usual.spread, NOTHING)
    yard = season.yard
    asks = {boat.id: _of_boat(boats[boat.name], yard, lessons) for boat in problem.going_in}
    return {task.id: asks[task.boat].get(task.text, plain) for task in problem.tasks}


def _of_boat(boat: Boat, yard: Yard, lessons: Lessons) -> dict[str, Kind]:
    """Her put-backs and her other work, by the job that each is planned as."""
    put_backs = {
        job: _as_asked(lessons.put_backs(steps), sum(step.minutes for step in steps))
        for job, steps in put_back_jobs(boat, yard).items()
    }
    return put_backs | {
        one.what: _as_asked(lessons.work(one.what, one.trade), one.minutes) for one in boat.work
    }


def _as_asked(kind: Kind, asked_min: int) -> Kind:
    """Around the minutes asked, where the planned ones are rounded up from them."""
    less = log(asked_min / half_hours(asked_min))
    return replace(kind, spread=replace(kind.spread, log_mean=kind.spread.log_mean + less))
