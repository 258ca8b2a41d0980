"""Single changes, and pairs of them, that would save a promise: odds, cost, slack, whom it hurts."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import combinations
from typing import NamedTuple

import numpy as np

from yardwright.plan.alone import launch_begins
from yardwright.plan.chance import Uncertain
from yardwright.plan.changes import Change, Kind, changes
from yardwright.plan.days import Day
from yardwright.plan.odds import BLOCK, Blocks, Odds, odds
from yardwright.plan.problem import (
    Boat,
    BoatId,
    Plan,
    Problem,
    days_late,
)
from yardwright.plan.spoken import BETTER, percent

SEASONS = 2000  # for each change that is shown
SHOWN = 5  # so many at most
BEST = 4  # of so many single changes pairs are tried
THIN_MIN = 15  # less water to spare than this is said before anything else
ENOUGH = 90  # % at which a promise is sure enough, so that the cheaper saver is the better one
SURE = 3.0  # whoever loses so many standard errors of odds is named as hurt


@dataclass(frozen=True, slots=True)
class Saver:
    """What a change, or two together, would do for a promise.

    ``odds`` that it is kept, ``before`` without the change. ``slack_min`` is how much later she
    could still go in on that water; ``days_late`` as planned, and in the mean of the seasons;
    ``hurts`` whose promise it makes less sure.
    """

    changes: tuple[Change, ...]
    odds: float
    before: float
    slack_min: int
    days_late: int
    mean_days_late: float
    hurts: tuple[BoatId, ...]
    plan: Plan

    @property
    def kind(self) -> Kind:
        """The dearer of two."""
        return max(change.kind for change in self.changes)

    @property
    def words(self) -> str:
        """What to do, and first of all how little water it leaves to spare."""
        what = " and ".join(change.words for change in self.changes)
        if self.slack_min < THIN_MIN:
            return f"With only {self.slack_min} min of water to spare: {what}"
        return what[:1].upper() + what[1:]

    @property
    def cost(self) -> str:
        """What it asks for."""
        return "; ".join(change.cost for change in self.changes)


class Asked(NamedTuple):
    """A promise in danger, and the plan it stands in."""

    problem: Problem
    plan: Plan
    boat: Boat
    promised: Day


def savers(
    problem: Problem,
    plan: Plan,
    key: BoatId,
    uncertain: Uncertain,
    answer: Callable[[Problem, Plan], Plan | None],
    *,
    seasons: int = SEASONS,
    seed: int = 1,
    blocks: Blocks = map,
    told: Callable[[float, str], None] = lambda _share, _said: None,
    stop: Callable[[], bool] = lambda: False,
) -> tuple[Saver, ...]:
    """Look for what would save one boat's promise, the best first.

    Every change meets the same seasons as the plan that stands (common random numbers), so that
    small differences count. Singles are looked at coarsely, then the best in pairs, then all that
    is to be shown again. Paired is what the yard itself can do, where it alone is not as sure as
    is ever said. What planning her work anew does too is no saver: only that is shown.

    Parameters
    ----------
    problem : Problem
        What was asked.
    plan : Plan
        The plan that stands.
    key : BoatId
        The boat whose promise is in danger; she has one.
    uncertain : Uncertain
        What may come otherwise.
    answer : callable
        Makes a checked plan of a changed problem, near the plan that stands; None where there is
        none.
    seasons, seed, blocks
        As for ``odds``; the coarse look takes a thousand.
    told, stop
        As for ``planner.plan``; stopped, what was looked at twice so far is the answer, and at
        least the best of what was found.

    Returns
    -------
    tuple of Saver
        Only those that make the promise surer, by odds, then by fewest changes.

    Raises
    ------
    ValueError
        The boat has no promise.
    """
    boat = problem.boat[key]
    if boat.promised is None:
        raise ValueError(f"{boat.name} has no day promised; there is nothing to save.")
    asked = Asked(problem, plan, boat, boat.promised)
    look = _Look(asked, uncertain, answer, seasons, seed, blocks)
    singles = tuple(changes(problem, plan, key))
    steps = len(singles) + BEST * (BEST - 1) // 2
    coarse = _tried(look, [(one,) for one in singles], (0, steps), told, stop)
    unsure = [saver for saver in _ranked(coarse) if _to_pair(saver)]
    pairs = list(combinations([saver.changes[0] for saver in unsure[:BEST]], 2))
    together = _tried(look, pairs, (len(singles), steps), told, stop)
    gains = _gains([*coarse, *_worth_two(coarse, together)])
    again: list[Saver] = []
    for saver in _worth_first(gains)[:SHOWN]:
        if again and stop():
            break
        told(0.9, f"Whom else it touches: {saver.words}.")
        again.append(look.again(saver))
    return tuple(_ranked(_gains(again)))


def _worth_first(found: Sequence[Saver]) -> list[Saver]:
    """As ranked, but the one that seems worth doing before all: the time may be gone after it."""
    best = worth_doing(found)
    return sorted(_ranked(found), key=lambda saver: saver is not best)


def _to_pair(saver: Saver) -> bool:
    return Kind.ANEW < saver.kind < Kind.ELSEWHERE and saver.odds <= BETTER


def _gains(found: Sequence[Saver]) -> list[Saver]:
    """What is surer, as it is spoken, than the plan that stands and than her work planned anew."""
    anew = max((percent(saver.odds) for saver in found if saver.kind is Kind.ANEW), default=0)
    return [
        saver
        for saver in found
        if percent(saver.odds) > percent(saver.before)
        and (saver.kind is Kind.ANEW or percent(saver.odds) > anew)
    ]


def worth_doing(found: Sequence[Saver]) -> Saver | None:
    """The one saver worth doing; None where there is none but asking her owner.

    One that hurts nobody, with water to spare, that makes it sure enough, or else as sure as can
    be; of those the cheapest kind, by fewest changes. Asking her owner for another day saves no
    promise.
    """
    ours = [saver for saver in found if saver.kind is not Kind.OWNER]

    def worse(saver: Saver) -> tuple[bool, bool, int, int, int]:
        unsure = max(0, ENOUGH - percent(saver.odds))
        thin = saver.slack_min < THIN_MIN
        return bool(saver.hurts), thin, unsure, saver.kind, len(saver.changes)

    return min(ours, key=worse, default=None)


def _tried(
    look: "_Look",
    sets: Sequence[tuple[Change, ...]],
    place: tuple[int, int],
    told: Callable[[float, str], None],
    stop: Callable[[], bool],
) -> list[Saver]:
    found: list[Saver] = []
    for number, some in enumerate(sets, place[0]):
        if stop():
            break
        told(0.8 * number / place[1], f"Trying: {' and '.join(one.words for one in some)}.")
        saver = look.coarsely(some)
        if saver is not None:
            found.append(saver)
    return found


def _ranked(found: Sequence[Saver]) -> list[Saver]:
    """Surest first; of two alike the less late, with fewer changes, fewer hurt, more water."""
    return sorted(
        found,
        key=lambda s: (-s.odds, s.mean_days_late, len(s.changes), len(s.hurts), -s.slack_min),
    )


def _worth_two(singles: Sequence[Saver], pairs: Sequence[Saver]) -> Iterator[Saver]:
    """Pairs that do more, as it is spoken, than the better of their two."""
    alone = {saver.changes[0].words: percent(saver.odds) for saver in singles}
    for pair in pairs:
        if percent(pair.odds) > max(alone.get(one.words, 0) for one in pair.changes):
            yield pair


class _Look:
    """Tries changes for one promise, all against the same seasons."""

    def __init__(
        self,
        asked: Asked,
        uncertain: Uncertain,
        answer: Callable[[Problem, Plan], Plan | None],
        seasons: int,
        seed: int,
        blocks: Blocks,
    ) -> None:
        self.seasons = seasons
        self.asked, self.uncertain, self.answer = asked, uncertain, answer
        self.seed, self.blocks = seed, blocks
        self.stands: dict[BoatId | None, Odds] = {}

    def before(self, only: BoatId | None) -> Odds:
        if only not in self.stands:
            self.stands[only] = self._odds(self.asked.problem, self.asked.plan, only)
        return self.stands[only]

    def _odds(self, problem: Problem, plan: Plan, only: BoatId | None) -> Odds:
        """Of her alone coarsely; of all boats, which takes longer, in as many as were asked for."""
        return odds(
            problem, plan, self._told_otherwise(problem), seed=self.seed, blocks=self.blocks,
            seasons=BLOCK if only else self.seasons, only=only,
        )  # fmt: skip

    def _told_otherwise(self, problem: Problem) -> Uncertain:
        """A part that is fetched comes when it is fetched."""
        fetched = {
            task.id
            for task in problem.tasks
            if task.not_before != self.asked.problem.task[task.id].not_before
        }
        arrivals = {key: one for key, one in self.uncertain.arrivals.items() if key not in fetched}
        return replace(self.uncertain, arrivals=arrivals)

    def coarsely(self, some: tuple[Change, ...]) -> Saver | None:
        problem = self._changed(some)
        plan = self.answer(problem, self.asked.plan)
        return None if plan is None else self._saver(some, problem, plan, self.asked.boat.id)

    def again(self, saver: Saver) -> Saver:
        return self._saver(saver.changes, self._changed(saver.changes), saver.plan, None)

    def _changed(self, some: tuple[Change, ...]) -> Problem:
        problem = self.asked.problem
        for change in some:
            problem = change.made(problem)
        return problem

    def _saver(
        self, some: tuple[Change, ...], problem: Problem, plan: Plan, only: BoatId | None
    ) -> Saver:
        key, promised = self.asked.boat.id, problem.boat[self.asked.boat.id].promised
        day = self.asked.promised if promised is None else promised
        before, after = self.before(only), self._odds(problem, plan, only)
        return Saver(
            changes=some,
            odds=after.by(key, day),
            before=before.by(key, self.asked.promised),
            slack_min=slack_min(problem, plan, problem.boat[key]),
            days_late=days_late(problem, plan, problem.boat[key]),
            mean_days_late=after.days_late(key, day),
            hurts=tuple(self._hurt(problem, before, after)),
            plan=plan,
        )

    def _hurt(self, problem: Problem, before: Odds, after: Odds) -> Iterator[BoatId]:
        """Whose promise is kept in fewer of the very same seasons, beyond chance."""
        for place, key in enumerate(before.boats):
            promised = problem.boat[key].promised
            if key == self.asked.boat.id or promised is None:
                continue
            was, now = before.day[place] <= promised, after.day[after.boats.index(key)] <= promised
            changed = now.astype(float) - was
            error = float(changed.std()) / np.sqrt(changed.size)
            if changed.mean() < -SURE * error:
                yield key


def slack_min(problem: Problem, plan: Plan, boat: Boat) -> int:
    """Minutes by which she could go in later and still have the water of her plan."""
    launch = plan.launches[boat.id]
    for start, end in launch_begins(problem, boat):
        if start <= launch < end:
            return end - 1 - launch
    return 0
