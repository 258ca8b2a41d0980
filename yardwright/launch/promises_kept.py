"""What owners were told with odds, and what became of it. Nothing here writes."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime

from yardwright.fleet.models import Boat
from yardwright.launch.queries import MOVES
from yardwright.procedures.going_in import State
from yardwright.work import queries as work
from yardwright.work.models import Fact, Kind
from yardwright.yard import clock


@dataclass(frozen=True, slots=True)
class PromiseTold:
    """What an owner was told, and what became of it; None: her day is still to come."""

    boat: Boat
    by: str
    told_at: datetime
    day: date
    odds: float
    kept: bool | None
    mark: str  # what was odd about it: odds were old


def promises_told() -> list[PromiseTold]:
    """Every day told with its odds, the newest first."""
    told = work.standing().filter(kind=Kind.TOLD).select_related("boat", "by")
    over: defaultdict[int | None, list[datetime]] = defaultdict(list)
    handed = work.standing().filter(kind__in=MOVES, what=State.HANDED_OVER)
    for boat, at in handed.values_list("boat_id", "done_at"):
        over[boat].append(at)
    return [_told(fact, over[fact.boat_id]) for fact in told.order_by("-done_at", "-received_at")]


def _told(fact: Fact, handed_over: Iterable[datetime]) -> PromiseTold:
    assert fact.boat is not None  # noqa: S101  # an owner is told of a boat
    zone, day = clock.zone(), date.fromisoformat(fact.body["day"])
    after = [at.astimezone(zone).date() for at in handed_over if at >= fact.done_at]
    kept = min(after) <= day if after else (False if clock.today() > day else None)
    told_at = fact.done_at.astimezone(zone)
    return PromiseTold(fact.boat, fact.by.name, told_at, day, fact.body["odds"], kept, fact.mark)
