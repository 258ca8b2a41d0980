"""What would save the promises in danger: each boat's savers, and the one worth doing."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from functools import partial
from time import monotonic
from typing import Any, cast

from yardwright.plan import checker
from yardwright.plan.near import near
from yardwright.plan.odds import Map, Odds, odds
from yardwright.plan.problem import Boat, BoatId, Problem
from yardwright.plan.replan import replan
from yardwright.plan.savers import ENOUGH, SEASONS, Saver, savers, worth_doing
from yardwright.plan.spoken import percent, spoken
from yardwright.season.asked import asked_now
from yardwright.season.holds import breaks
from yardwright.season.model import Season
from yardwright.season.published import TO_PUBLISH, Published
from yardwright.season.saver_words import hurts, slack
from yardwright.season.spring import not_planned
from yardwright.season.uncertain import (
    USUAL,
    Standing,
    Usual,
    from_now,
    promise,
    standing,
    uncertain,
)

MENDED_S = 10.0  # for the smallest change of a plan that no longer fits
Json = dict[str, object]


@dataclass(frozen=True, slots=True)
class Asked:
    """How to look: in how many seasons, where, how long, and whom to tell how far it is.

    Once ``stop`` is true, or the time is gone, what was found so far is the answer.
    """

    seasons: int = SEASONS
    seed: int = 1
    mapped: Map = map
    time_limit_s: float = 120.0
    told: Callable[[float, str], None] = lambda _share, _said: None
    stop: Callable[[], bool] = lambda: False


def fitting(season: Season, told: Published, now: datetime, usual: Usual = USUAL) -> Standing:
    """What is left of a plan; where that no longer holds, of the smallest change of it.

    New work, work not done in time: a saver can be weighed only against a plan that can be kept.
    Whether it holds, and what changes, is asked as ``breaks`` and ``again`` ask it; what is left of
    it must keep every rule too.

    Raises
    ------
    ValueError
        No such change was found.
    """
    if not breaks(season, told, now):
        stands = standing(season, told, now, usual)
        if not checker.broken(stands.plan, stands.problem):
            return stands
    begins = now + TO_PUBLISH
    asked, plan = asked_now(season, told, now, begins)
    since = asked.days.minute(begins) + 1
    found = replan(asked, plan, now=since, time_limit_s=MENDED_S).better
    if found is None:
        raise ValueError(
            "No plan was found to look for savers in: the published one no longer fits the yard as it "
            "stands, and no small change of it does. Plan the spring again and publish it."
        )
    return Standing(
        season,
        from_now(asked, found.plan, asked.days.minute(now)),
        found.plan,
        uncertain(season, asked, now, usual),
        now,
        {one.boat: one.because for one in not_planned(season, begins=told.begins, now=now)},
        mended=True,
    )


def promises_saved(stands: Standing, boat: str = "", asked: Asked | None = None) -> Json:
    """Look for savers of every Ink that is not sure enough, the soonest day first, or of one boat.

    Parameters
    ----------
    stands : Standing
        What is left of the plan that holds.
    boat : str
        Whose promise, Ink or Pencil; left out, every Ink in danger.
    asked : Asked, optional
        How to look. Boats that are not reached are named as not looked at.

    Returns
    -------
    dict
        As plain JSON: ``promises``, all that are in the plan, the least sure first; ``boats``, those
        looked at with their savers and which of them is worth doing; ``not_reached``; ``missed``,
        whose day has passed; ``unknown``, an Ink that nobody can name odds for, and why;
        ``worth``, the boat whose saver is the one to do.

    Raises
    ------
    ValueError
        She is not in the plan, has no promise, or her day has passed.
    """
    asked = asked or Asked()
    until_s = monotonic() + asked.time_limit_s

    def over() -> bool:
        return monotonic() > until_s or asked.stop()

    problem, today = stands.problem, stands.problem.days.day(stands.since)
    asked.told(0, f"Living through {asked.seasons:,} seasons.")
    found = odds(
        problem, stands.plan, stands.uncertain,
        seasons=asked.seasons, seed=asked.seed, blocks=asked.mapped,
    )  # fmt: skip
    missed = [one.name for one in problem.boats if one.ink is not None and one.ink < today]
    to_come = {one.name for one in problem.boats if one.ink is not None and one.ink >= today}
    look_at = [_one(stands, boat, today)] if boat else _in_danger(problem, found, today)
    boats: list[Json] = []
    for number, one in enumerate(look_at):
        if number and over():
            break
        boats.append(_saved(stands, found, one, asked, (number, len(look_at)), over))
    return {
        "asked_at": stands.now.isoformat(),
        "seasons": asked.seasons,
        "mended": stands.mended,
        "promises": _promises(problem, found),
        "boats": boats,
        "not_reached": [one.name for one in look_at[len(boats) :]],
        "missed": missed,
        "unknown": {name: why for name, why in stands.unknown.items() if name in to_come},
        "worth": next((one["boat"] for one in boats if one["worth"] is not None), None),
    }


def _in_danger(problem: Problem, found: Odds, today: int) -> list[Boat]:
    """Told in Ink, still to come, and not sure enough; the soonest day first."""
    told = [one for one in problem.going_in if one.ink is not None and one.ink >= today]
    unsure = [b for b in told if percent(found.by(b.id, b.ink or 0)) < ENOUGH]
    return sorted(unsure, key=lambda boat: (boat.ink or 0, boat.name))


def _one(stands: Standing, name: str, today: int) -> Boat:
    boat = stands.problem.boat.get(BoatId(name))
    if boat is None:
        raise ValueError(f"{name} does not stand on land, so nothing of hers is planned.")
    if boat.promised is None:
        raise ValueError(f"{name} has no day promised; there is nothing to save.")
    if boat.promised < today:
        day = stands.problem.days.said(boat.promised)
        raise ValueError(f"{name}'s day, {day}, has passed; call her owner.")
    if name in stands.unknown:
        raise ValueError(f"{name}: {stands.unknown[name]}.")
    return boat


def _promises(problem: Problem, found: Odds) -> list[Json]:
    promised = [boat for boat in problem.going_in if boat.promised is not None]
    told = [{"boat": boat.name, **promise(found, problem.days, boat)} for boat in promised]
    return sorted(told, key=lambda one: (one["odds"], one["promised"]))


def _saved(
    stands: Standing,
    before: Odds,
    boat: Boat,
    asked: Asked,
    place: tuple[int, int],
    over: Callable[[], bool],
) -> Json:
    problem = stands.problem
    found, not_reached = savers(
        problem, stands.plan, boat.id, stands.uncertain,
        partial(near, key=boat.id, now=stands.since),
        now=stands.since, stands=before, seasons=asked.seasons, seed=asked.seed, mapped=asked.mapped,
        told=lambda share, said: asked.told((place[0] + share) / place[1], f"{boat.name}. {said}"),
        stop=over,
    )  # fmt: skip
    best = worth_doing(found)
    day = problem.days.date_of(boat.promised or 0)
    return {
        "boat": boat.name,
        "promised": day.isoformat(),
        "in_ink": boat.ink is not None,
        "day": problem.days.said(boat.promised or 0),
        "savers": [_told(problem, one) for one in found],
        "worth": None if best is None else found.index(best),
        "stopped": bool(not_reached),
        "not_reached": list(not_reached),
    }


def _told(problem: Problem, one: Saver) -> Json:
    return {
        "words": one.words,
        "cost": one.cost,
        "kind": one.kind.name.lower(),
        "kinds": [change.kind.name.lower() for change in one.changes],
        "odds": one.odds,
        "before": one.before,
        "spoken": spoken(one.odds),
        "spoken_before": spoken(one.before),
        "slack_min": one.slack_min,
        "days_late": one.days_late,
        "mean_days_late": one.mean_days_late,
        "hurts": [problem.boat[key].name for key in one.hurts],
    }


def lines(found: Json) -> list[str]:
    """What was found, a sentence a line: each boat in danger, what is worth doing, and the rest."""
    said: list[str] = []
    for one in cast("list[dict[str, Any]]", found["boats"]):
        said += [_headline(found, one), *_listed(one)]
    unknown = cast("dict[str, str]", found["unknown"])
    said += [f"{name}: her Ink can't be judged, {why}." for name, why in unknown.items()]
    if not said:
        said = [f"Every Ink still to come is {ENOUGH} % sure or better."]
    for name in cast("list[str]", found["missed"]):
        said.append(f"{name}: her day has passed; call her owner.")
    for name in cast("list[str]", found["not_reached"]):
        said.append(f"{name}: not looked at, it ended before; ask for her alone.")
    return said


def _headline(found: Json, one: Mapping[str, Any]) -> str:
    hers = next(p for p in cast("list[Any]", found["promises"]) if p["boat"] == one["boat"])
    kind = "Ink" if one["in_ink"] else "Pencil"
    return f"{one['boat']}, {kind} {one['day']}: {spoken(hers['odds'])} by this plan."


def _listed(one: Mapping[str, Any]) -> Iterator[str]:
    """The one worth doing first."""
    if not one["savers"]:
        yield (
            "  Not known: it ended too soon."
            if one["stopped"]
            else ("  Nothing that the yard could do makes it surer.")
        )
    for place, saver in sorted(enumerate(one["savers"]), key=lambda s: s[0] != one["worth"]):
        worth = "Worth doing. " if place == one["worth"] else ""
        said = saver["spoken"][:1].upper() + saver["spoken"][1:]
        yield (
            f"  {worth}{saver['words']}. {said}. Asks for {saver['cost']}; {slack(saver)}; "
            f"{hurts(saver)}."
        )
    if one["not_reached"]:
        yield f"  Not reached: {'; '.join(one['not_reached'])}."
