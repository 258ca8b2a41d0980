"""Looks after boats new in the water, day by day: by the plan, or since the slings came off."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

from yardwright.procedures.going_in import (
    BILGE_DRY,
    Due,
    State,
    hang,
    look_times,
    looks_due,
)
from yardwright.procedures.water_order import EngineKind
from yardwright.procedures.ways_in import Look
from yardwright.season.model import Boat, Looks
from yardwright.season.yard_time import Launch
from yardwright.season.zone import shown

OVERDUE = (Due.DUE, Due.LATE)
DONE = (Due.DONE, Due.DONE_LATE)


@dataclass(frozen=True, slots=True)
class OneLook:
    """One look on the list of a day, and how it stands; None: by the plan, she is not in yet."""

    due_at: datetime
    standing: Due | None
    last: bool  # after it she can be handed over
    unmanned: bool  # outside the hours in which somebody is there for it
    overdue: bool = False  # from a day before

    @property
    def words(self) -> str:
        """As it stands on a list: 09:25 late."""
        said = f"{self.due_at:%a %H:%M}" if self.overdue else f"{self.due_at:%H:%M}"
        if self.standing not in (None, Due.NOT_YET):
            said += f" {self.standing}"
        if self.unmanned and self.standing not in (*DONE, Due.MISSED):
            said += " (outside the hours of the looks: say who comes)"
        return said


def planned_on(
    day: date, go: Launch, kind: EngineKind | None, hours: Looks | None, zone: ZoneInfo
) -> tuple[OneLook, ...]:
    """The looks of a day after a planned launch, counted from when she has hung.

    Parameters
    ----------
    day : date
        Which day's.
    go : Launch
        Of the plan.
    kind : EngineKind or None
        What drives her; one that nobody knows hangs the longer time.
    hours : Looks or None
        When somebody is there for it; None: nobody has said.
    zone : ZoneInfo
        The yard's own.
    """
    times = look_times(go.starts.astimezone(UTC) + hang(kind))
    looks = (_look(at, None, at == times[-1], hours, zone) for at in times)
    return tuple(one for one in looks if one.due_at.date() == day)


def due_on(
    day: date,
    in_water_at: datetime,
    made: Iterable[Look],
    now: datetime,
    hours: Looks | None,
    zone: ZoneInfo,
) -> tuple[OneLook, ...]:
    """The looks of a day since the slings came off; today also those that are overdue."""
    watch = looks_due(in_water_at.astimezone(UTC), made, now)
    looks = (_look(w.due_at, w.standing, w is watch[-1], hours, zone) for w in watch)
    today = shown(now, zone).date() == day
    return tuple(
        replace(one, overdue=one.due_at.date() < day)
        for one in looks
        if one.due_at.date() == day or (today and one.standing in OVERDUE)
    )


def _look(
    at: datetime, standing: Due | None, last: bool, hours: Looks | None, zone: ZoneInfo
) -> OneLook:
    at = shown(at, zone)
    return OneLook(at, standing, last, hours is not None and not _there(at, hours))


def _there(at: datetime, hours: Looks) -> bool:
    """Whether somebody is there for a look that begins then."""
    opens = any(start <= at.time() <= end for start, end in hours.hours)
    return opens and at.weekday() in hours.weekdays


def stays_until(go: Launch, hours: Looks | None) -> datetime | None:
    """Until when the plan has somebody look after her; None where it does not count that."""
    if hours is None:
        return None
    return (go.ends.astimezone(UTC) + timedelta(minutes=hours.minutes)).astimezone(go.ends.tzinfo)


@dataclass(frozen=True, slots=True)
class Watch:
    """When the watch over a boat in the water ends at the earliest; None: nobody can say. And how it is."""

    until: datetime | None
    words: str  # what follows "In the water, "

    def handed_over(self, planned: date | None) -> date | None:
        """The day on which she is her owner's at the earliest, the plan's where that is later."""
        if self.until is None:
            return None
        return max(self.until.date(), planned or date.min)


def watch_of(boat: Boat, now: datetime, zone: ZoneInfo) -> Watch | None:
    """How far the watch over a boat is; None: she is not watched in the water.

    Parameters
    ----------
    boat : Boat
        With her looks.
    now : datetime
        Aware. A look that was missed, and none made since: the watch begins again now, at the
        earliest.
    zone : ZoneInfo
        The yard's own.
    """
    if boat.state != State.IN_THE_WATER:
        return None
    if boat.lifted is None:
        return Watch(None, "and nobody wrote since when")
    since = boat.lifted.at.astimezone(UTC)
    made = [look for look in boat.looks if look.at_what == BILGE_DRY and since <= look.at <= now]
    if not all(look.holds for look in made):
        return Watch(None, "and water came in: lift her back first")
    watch = looks_due(since, made, now)
    if any(one.standing == Due.MISSED for one in watch):
        until = shown(look_times(now)[-1], zone)
        return Watch(
            until, f"and a look was missed: watched until {until:%a %H:%M} at the earliest"
        )
    last = watch[-1]
    until = shown(last.due_at, zone)
    if last.standing == Due.NOT_YET:
        return Watch(until, f"watched until {until:%a %H:%M}")
    over = last.standing in DONE
    words = (
        "and her watch is over" if over else f"her last look, {until:%a %H:%M}, is {last.standing}"
    )
    return Watch(shown(now, zone), words)
