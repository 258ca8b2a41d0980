"""The order of leaving as it plays: what a plan has done by the evening of each day."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from yardwright.season.yard_time import SpringPlan
from yardwright.season.zone import shown


@dataclass(frozen=True, slots=True)
class Evening:
    """A day on which boats leave their places: who goes in, and who is moved aside before that."""

    day: date
    leave: tuple[str, ...]
    aside: tuple[str, ...]


def evenings(plan: SpringPlan, since: datetime, zone: ZoneInfo) -> tuple[Evening, ...]:
    """The days that are still to come on which a plan moves a boat, in order.

    What the plan had before ``since`` has happened or not; facts say which, not the plan.
    """
    leave, aside = (
        [(shown(one.starts, zone).date(), one.boat) for one in moves if one.starts >= since]
        for moves in (plan.launches, plan.asides)
    )
    days = sorted({day for day, _ in (*leave, *aside)})
    return tuple(Evening(day, _on(leave, day), _on(aside, day)) for day in days)


def _on(moves: Iterable[tuple[date, str]], day: date) -> tuple[str, ...]:
    return tuple(boat for at, boat in moves if at == day)


def gone(evenings: Iterable[Evening]) -> Mapping[str, tuple[date, bool]]:
    """By the last of these evenings: each boat that left her berth, since when, and whether for good."""
    found: dict[str, tuple[date, bool]] = {}
    for one in evenings:
        found |= dict.fromkeys(one.aside, (one.day, False))
        found |= dict.fromkeys(one.leave, (one.day, True))
    return found
