"""Single changes, and pairs of them, that would save a promise: odds, cost, slack, whom it hurts."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import combinations, repeat
from typing import NamedTuple

import numpy as np

from yardwright.plan.chance import Uncertain
from yardwright.plan.changes import Change, Kind, changes
from yardwright.plan.days import Day, Minute
from yardwright.plan.hours import starts
from yardwright.plan.odds import Map, Odds, odds, quick_look
from yardwright.plan.problem import Boat, BoatId, Plan, Problem, days_late
from yardwright.plan.spoken import BETTER, EVEN, percent

SEASONS = 2000  # for each change that is shown
COARSE = 250  # the first of these, for each that is tried
SHOWN = 5  # so many at most
BEST = 5  # of so many single changes pairs are tried
THIN_MIN = 15  # less water to spare than this is said before anything else
ENOUGH = 90  # % at which a promise is sure enough, so that the cheaper saver is the better one
SURE = 3.0  # whoever loses so many standard errors of odds is named as hurt


Answer = Callable[[Problem, Plan], Plan | None]


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
        what = _words(self.changes)
        if self.slack_min < THIN_MIN:
            return f"With only {self.slack_min} min of water to spare: {what}"
        return what[:1].upper() + what[1:]

    @property
    def cost(self) -> str:
        """What it asks for."""
        return "; ".join(change.cost for change in self.changes)


class Looked(NamedTuple):
    """What was found, the best first, and in words what the time did not reach."""

    savers: tuple[Saver, ...]
    not_reached: tuple[str, ...]


def savers(
    problem: Problem,
    plan: Plan,
    key: BoatId,
    uncertain: Uncertain,
    answer: Answer,
    *,
    now: Minute = 0,
    stands: Odds | None = None,
    seasons: int = SEASONS,
    seed: int = 1,
    mapped: Map = map,
    told: Callable[[float, str], None] = lambda _share, _said: None,
    stop: Callable[[], bool] = lambda: False,
) -> Looked:
    """Look for what would save one boat's promise, the best first.

    Every change meets the same seasons as the plan that stands (common random numbers), so that
    small differences count. Singles are looked at coarsely, in a few of the seasons, then the best
    in pairs, then all that is to be shown in every season. Paired is what the yard itself can do, where it alone is not as sure as
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
    now : int
        Nothing is fetched before. [min]
    stands : Odds, optional
        Of all boats in the plan that stands, in the same seasons, where they are known already.
    seasons, seed
        As for ``odds``.
    mapped : callable
        A ``map``: the built-in one, that of a pool of processes, or of a cluster. A change with
        its plan and its seasons is tried in one piece; what is found is the same.
    told, stop
        As for ``planner.plan``; stopped, what was looked at twice so far is the answer, and at
        least the best of what was found.

    Returns
    -------
    Looked
        Only those that make the promise surer, the surest first. Another day is asked of her
        owner only where that is one to tell: at least as likely as not.

    Raises
    ------
    ValueError
        The boat has no promise.
    """
    boat = problem.boat[key]
    if boat.promised is None:
        raise ValueError(f"{boat.name} has no day promised; there is nothing to save.")
    if stands is None:
        stands = odds(problem, plan, uncertain, seasons=seasons, seed=seed, blocks=mapped)
    few = stands.alone(key, COARSE)
    look = _Look(problem, plan, boat, boat.promised, uncertain, answer, seed, few)
    singles = [(one,) for one in changes(problem, plan, key, now)]
    steps = len(singles) + BEST * (BEST - 1) // 2
    coarse, missed = _tried(look, singles, (0, steps), mapped, told, stop)
    unsure = [saver for saver in _ranked(coarse) if _to_pair(saver)]
    pairs = list(combinations([saver.changes[0] for saver in unsure[:BEST]], 2))
    together, also_missed = _tried(look, pairs, (len(singles), steps), mapped, told, stop)
    best = _worth_first(_gains([*coarse, *_worth_two(coarse, together)]))[:SHOWN]
    again: list[Saver] = []
    for saver in best:
        if again and stop():
            break
        told(0.8 + 0.2 * len(again) / SHOWN, f"Whom else it touches: {saver.words}.")
        again.append(look.again(saver, stands, mapped))
    not_reached = [*missed, *also_missed, *(saver.changes for saver in best[len(again) :])]
    return Looked(tuple(_ranked(_gains(again))), tuple(_words(some) for some in not_reached))


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
        and (saver.kind is not Kind.OWNER or saver.odds >= EVEN)
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
    mapped: Map,
    told: Callable[[float, str], None],
    stop: Callable[[], bool],
) -> tuple[list[Saver], Sequence[tuple[Change, ...]]]:
    """What was found, and what was not reached."""
    found: list[Saver] = []
    each: Iterator[Saver | None] = iter(mapped(_Look.coarsely, repeat(look), sets))
    for number, some in enumerate(sets):
        if stop():
            return found, sets[number:]
        told(0.8 * (place[0] + number) / place[1], f"Trying: {_words(some)}.")
        if (saver := next(each)) is not None:
            found.append(saver)
    return found, ()


def _words(some: Sequence[Change]) -> str:
    return " and ".join(change.words for change in some)


def _ranked(found: Sequence[Saver]) -> list[Saver]:
    """Surest first, as it is spoken; of two alike that hurts fewer, has more water, is less late."""
    return sorted(
        found,
        key=lambda s: (-percent(s.odds), len(s.hurts), -s.slack_min, s.mean_days_late),
    )


def _worth_two(singles: Sequence[Saver], pairs: Sequence[Saver]) -> Iterator[Saver]:
    """Pairs that do more, as it is spoken, than the better of their two."""
    alone = {saver.changes[0].words: percent(saver.odds) for saver in singles}
    for pair in pairs:
        if percent(pair.odds) > max(alone.get(one.words, 0) for one in pair.changes):
            yield pair


@dataclass(frozen=True, slots=True)
class _Look:
    """One promise, for which changes are tried, all in the same seasons.

    ``few`` are the first of these by the plan that stands, as she alone comes through them.
    """

    problem: Problem
    plan: Plan
    boat: Boat
    promised: Day
    uncertain: Uncertain
    answer: Answer
    seed: int
    few: Odds

    def coarsely(self, some: tuple[Change, ...]) -> Saver | None:
        """Changes with their own plan, as she alone comes through a few seasons."""
        problem = self._changed(some)
        plan = self.answer(problem, self.plan)
        if plan is None:
            return None
        strays = self._told_otherwise(problem)
        after = quick_look(problem, plan, strays, self.boat.id, COARSE, self.seed)
        return self._saver(some, problem, plan, self.few, after)

    def again(self, saver: Saver, before: Odds, mapped: Map) -> Saver:
        """A saver in all seasons, and what it does to the others."""
        problem = self._changed(saver.changes)
        after = odds(
            problem, saver.plan, self._told_otherwise(problem),
            seasons=before.day.shape[1], seed=self.seed, blocks=mapped,
        )  # fmt: skip
        return self._saver(saver.changes, problem, saver.plan, before, after)

    def _told_otherwise(self, problem: Problem) -> Uncertain:
        """A part that is fetched comes when it is; who is borrowed falls ill as others do."""
        fetched = {
            task.id
            for task in problem.tasks
            if task.not_before != self.problem.task[task.id].not_before
        }
        arrivals = {key: one for key, one in self.uncertain.arrivals.items() if key not in fetched}
        away = dict(self.uncertain.away)
        for person in problem.people:
            if person.id not in self.problem.person:
                trades = person.trades
                like = (away.get(p.id) for p in self.problem.people if p.trades & trades)
                if ill := next(filter(None, like), None):
                    away[person.id] = ill
        return replace(self.uncertain, arrivals=arrivals, away=away)

    def _changed(self, some: tuple[Change, ...]) -> Problem:
        problem = self.problem
        for change in some:
            problem = change.made(problem)
        return problem

    def _saver(
        self, some: tuple[Change, ...], problem: Problem, plan: Plan, before: Odds, after: Odds
    ) -> Saver:
        boat = problem.boat[self.boat.id]
        day = self.promised if boat.promised is None else boat.promised
        return Saver(
            changes=some,
            odds=after.by(boat.id, day),
            before=before.by(boat.id, self.promised),
            slack_min=slack_min(plan, boat),
            days_late=days_late(problem, plan, boat),
            mean_days_late=after.days_late(boat.id, day),
            hurts=tuple(self._hurt(problem, before, after)),
            plan=plan,
        )

    def _hurt(self, problem: Problem, before: Odds, after: Odds) -> Iterator[BoatId]:
        """Whose promise is kept in fewer of the very same seasons, beyond chance."""
        for key in before.boats:
            promised = problem.boat[key].promised
            if key == self.boat.id or promised is None:
                continue
            changed = after.kept(key, promised).astype(float) - before.kept(key, promised)
            error = float(changed.std()) / np.sqrt(changed.size)
            if changed.mean() < -SURE * error:
                yield key


def slack_min(plan: Plan, boat: Boat) -> int:
    """Minutes by which she could go in later and still have the water of her plan.

    A lift can be kept open longer, the water can't: its hours count as odds, not here.
    """
    launch = plan.launches[boat.id]
    for start, end in starts(boat.water, boat.launch_min):
        if start <= launch < end:
            return end - 1 - launch
    return 0
