"""A plan day by day, as its page and its paper show it. Nothing here writes."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Set
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from yardwright.calc.counting import count
from yardwright.launch import queries
from yardwright.launch.queries import Sure
from yardwright.plan.savers import ENOUGH
from yardwright.plan.spoken import percent
from yardwright.season.published import Published, Told, days_of_launches
from yardwright.season.yard_time import Aside, Job, Launch
from yardwright.season.zone import said_day
from yardwright.yard import clock

AHEAD = timedelta(days=7)
HOW_SURE = "How sure the days in Ink are"


@dataclass(frozen=True, slots=True)
class Row:
    """One launch of a plan in its line, and what unfolds from it."""

    go: Launch
    told: Told
    tag: str
    ink: date | None
    stage: str  # of the day she is held against
    late: int
    water: str
    jobs: list[str]
    aside: Aside | None
    allowed: str  # which later day nothing of her own rules out
    held: str  # what holds her now, of those that go in soon
    doubt: str  # how sure her Ink is, where that is not enough

    @property
    def promise(self) -> str:
        """The day she is held against."""
        day = self.ink or self.go.promised
        return f"{self.stage} {said_day(day)}" if day else "nothing promised"

    @property
    def in_time(self) -> str:
        """Her day beside what was promised, in a word or two."""
        if self.late:
            return f"{count(self.late, 'day')} late"
        return "in time" if self.ink or self.go.promised else "no promise"

    @property
    def looked_at_first(self) -> bool:
        return bool(self.late or self.held or self.doubt)


@dataclass(frozen=True, slots=True)
class Day:
    """The launches of a day; ``open`` where it is shown at once."""

    day: date
    rows: list[Row]
    open: bool

    @property
    def says(self) -> str:
        said = [count(len(self.rows), "goes in", "go in")]
        if late := sum(row.late > 0 for row in self.rows):
            said.append(f"{late} late")
        if held := sum(bool(row.held) for row in self.rows):
            said.append(f"{held} held")
        return ", ".join(said)


@dataclass(frozen=True, slots=True)
class Days:
    """A plan's days from today on, and those before."""

    ahead: list[Day]
    past: list[Day]
    odds: str  # of the open days: that no odds of an Ink are known, or that all are old

    @property
    def first(self) -> list[Row]:
        """Of the days that are open, the boats to look at first."""
        return [row for one in self.ahead if one.open for row in one.rows if row.looked_at_first]

    @property
    def first_later(self) -> list[Row]:
        """The same of the days after."""
        return [
            row for one in self.ahead if not one.open for row in one.rows if row.looked_at_first
        ]

    @property
    def boats_past(self) -> int:
        return sum(len(one.rows) for one in self.past)


NO_DAYS = Days([], [], "")


def open_until(plan: Published) -> date:
    """The day after those that are open: a week from today's launches on, or from the next there are."""
    today = clock.today()
    coming = (go.starts.date() for go in plan.plan.launches if go.starts.date() >= today)
    return min(coming, default=today) + AHEAD


def days_of(
    plan: Published | None,
    sure: Mapping[str, Sure] | None = None,
    held: Mapping[str, str] | None = None,
) -> Days:
    """Each day of a plan with its launches, against what their owners were told by now.

    ``sure`` is how sure her days are by this plan, where that is known; ``held`` what holds those
    that go in soon.
    """
    if plan is None:
        return NO_DAYS
    tag, ink, wish = queries.tags(), queries.inks(), queries.days_in("wished")
    asides, jobs = {one.boat: one for one in plan.plan.asides}, _by_boat(plan.plan.jobs)
    sure, held = sure or {}, held or {}
    today, until = clock.today(), open_until(plan)

    def is_open(day: date) -> bool:
        return today <= day < until

    soon = {go.boat for go in plan.plan.launches if go.boat in ink and is_open(go.starts.date())}
    known = {boat: one for boat, one in sure.items() if one.promised is not None}
    odds, not_known = _odds(soon, known)

    def row(go: Launch) -> Row:
        told, promised = plan.told[go.boat], ink.get(go.boat) or go.promised
        pencil = "Wished" if go.promised == wish.get(go.boat) else "Pencil"
        return Row(
            go=go,
            told=told,
            tag=tag.get(go.boat, ""),
            ink=ink.get(go.boat),
            stage="Ink" if go.boat in ink else pencil,
            late=max(0, (told.handed_over - promised).days) if promised else 0,
            water=queries.her_water(told, go.starts.date()),
            jobs=[_words(job, go.starts.date()) for job in jobs[go.boat]],
            aside=asides.get(go.boat),
            allowed=queries.allowed(told, sure.get(go.boat)),
            held=held.get(go.boat, ""),
            doubt="odds not known"
            if go.boat in not_known
            else _doubt(known.get(go.boat), ink.get(go.boat)),
        )

    by_day = days_of_launches(plan.plan)
    days = [Day(day, [*map(row, goes)], is_open(day)) for day, goes in by_day.items()]
    ahead, past = [d for d in days if d.day >= today], [d for d in days if d.day < today]
    return Days(ahead, past, odds)


def _by_boat(jobs: Iterable[Job]) -> defaultdict[str, list[Job]]:
    found = defaultdict[str, list[Job]](list)
    for job in jobs:
        found[job.boat].append(job)
    return found


def _odds(soon: Set[str], known: Mapping[str, Sure]) -> tuple[str, Set[str]]:
    """Of boats told in Ink: what nobody knows of the odds of all, and whose alone nobody knows."""
    without = soon - known.keys()
    if without == soon:
        return f"{HOW_SURE}: not worked out." if soon else "", set()
    old = next(iter(known.values())).old
    return f"{HOW_SURE}: what was worked out is old. {old}" if old else "", without


def _doubt(sure: Sure | None, ink: date | None) -> str:
    """That her day in Ink is less sure than enough, or was; that odds are old is said once of all."""
    if sure is None or ink is None or sure.promised is None or percent(sure.promised) >= ENOUGH:
        return ""
    return sure.by(ink) or "not sure when last worked out"


def _words(job: Job, launch: date) -> str:
    """Who does what, and when; who watches them learn, and whether somebody stays longer for it."""
    watched = f", {job.watcher} watches" if job.watcher else ""
    overtime = ", overtime" if job.overtime else ""
    return f"{job.person}: {job.what}, {_when(job, launch)}{watched}{overtime}"


def _when(job: Job, launch: date) -> str:
    """From and to; a day that is not her launch's is said with its month."""

    def said(at: datetime) -> str:
        on = f"{at:%a}" if at.date() == launch else said_day(at.date())
        return f"{on} {at:%H:%M}"

    one_day = job.starts.date() == job.ends.date()
    return f"{said(job.starts)}–{f'{job.ends:%H:%M}' if one_day else said(job.ends)}"
