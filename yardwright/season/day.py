"""A plan as people live it: each job cut to the hours that its person works, day by day."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from yardwright.season.day_hours import hours_of, on_day, with_overtime
from yardwright.season.model import Person
from yardwright.season.yard_time import Job, SpringPlan
from yardwright.season.zone import midnight, shown

Spell = tuple[datetime, datetime]
A_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class Stint:
    """What falls on one day of a job: from and to, parted by breaks; ``days`` are all of its days."""

    job: Job
    spells: tuple[Spell, ...]
    days: tuple[date, ...]

    @property
    def part(self) -> int:
        """Which of its days this is; 1 is its first."""
        return self.days.index(self.day) + 1

    @property
    def parts(self) -> int:
        """Over how many days it goes."""
        return len(self.days)

    @property
    def starts(self) -> datetime:
        """When it begins on this day."""
        return self.spells[0][0]

    @property
    def ends(self) -> datetime:
        """When it ends on this day."""
        return self.spells[-1][1]

    @property
    def day(self) -> date:
        """The day it falls on."""
        return self.starts.date()

    @property
    def hours(self) -> str:
        """As it is read out in the morning: 07:00–12:00, 12:30–14:10."""
        return ", ".join(f"{start:%H:%M}–{end:%H:%M}" for start, end in self.spells)


def stints(job: Job, person: Person | None, zone: ZoneInfo) -> tuple[Stint, ...]:
    """Cut a job to the hours that its person works.

    Parameters
    ----------
    job : Job
        Of a plan; work may pause over breaks and nights.
    person : Person or None
        Who does it; None where their hours are not known.
    zone : ZoneInfo
        The yard's own.

    Returns
    -------
    tuple of Stint
        One for each day with some of it. Where none of its time is in their hours, which may have
        changed since the plan was made, the plan's own time stands.
    """
    start, end = shown(job.starts, zone), shown(job.ends, zone)
    calendar = [start.date() + A_DAY * n for n in range((end.date() - start.date()).days + 1)]
    cut = [_cut(_open(person, day, zone, overtime=job.overtime), start, end) for day in calendar]
    if not any(cut):
        cut = [
            _cut([(midnight(day, zone), midnight(day + A_DAY, zone))], start, end)
            for day in calendar
        ]
    found = [spells for spells in cut if spells]
    days = tuple(spells[0][0].date() for spells in found)
    return tuple(Stint(job, tuple(spells), days) for spells in found)


def _open(person: Person | None, day: date, zone: ZoneInfo, *, overtime: bool) -> list[Spell]:
    """The hours of a day that somebody works; hours that meet are one."""
    if person is None:
        return []
    hours = with_overtime(person, day) if overtime else hours_of(person, day)
    return [(_at(day, start, zone), _at(day, end, zone)) for start, end in hours]


def not_as_usual(person: Person, day: date) -> str:
    """What of somebody's day differs from their other days, in sentences; empty where nothing does."""
    if day in person.off:
        return f"{person.name} is off on this day."
    away, stays = on_day(person.away, day), on_day(person.longer, day)
    said = [("is away", *span) for span in away] + [("stays", *span) for span in stays]
    return " ".join(f"{person.name} {does} {a:%H:%M} to {b:%H:%M}." for does, a, b in said)


def _cut(hours: Iterable[Spell], start: datetime, end: datetime) -> list[Spell]:
    spells = ((max(start, a), min(end, b)) for a, b in hours)
    return [(a, b) for a, b in spells if a < b]


def _at(day: date, clock: time, zone: ZoneInfo) -> datetime:
    return shown(datetime.combine(day, clock, zone), zone)


def on(plan: SpringPlan, day: date, people: Mapping[str, Person], zone: ZoneInfo) -> list[Stint]:
    """All work that falls on a day, in the order of its beginnings."""
    near = (
        job
        for job in plan.jobs
        if shown(job.starts, zone).date() <= day <= shown(job.ends, zone).date()
    )
    each = (stint for job in near for stint in stints(job, people.get(job.person), zone))
    return sorted(
        (one for one in each if one.day == day), key=lambda one: (one.starts, one.job.boat)
    )


def does_or_watches(stints: Iterable[Stint], name: str) -> Iterator[Stint]:
    """Those that somebody does, or watches a learner do."""
    return (one for one in stints if name in (one.job.person, one.job.watcher))
