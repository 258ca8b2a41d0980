"""The season as the planner counts it: minutes that really pass since its first midnight."""

from bisect import bisect_right
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

Minute = int  # since the season's first midnight; a day has 1380, 1440 or 1500 of them
Day = int  # whole days since the season's first, which is 0
Interval = tuple[Minute, Minute]  # from and to; "to" is the first minute outside


@dataclass(frozen=True, slots=True)
class Days:
    """The days of one season in the yard's own zone.

    Minutes count time as it passes, so that two hours of work take two hours on the night the
    clock changes too; days and clock times are the yard's.

    Parameters
    ----------
    first : date
        First day of the season.
    count : int
        How many days it has, 1 to 400.
    zone : ZoneInfo
        The yard's own zone.

    Raises
    ------
    ValueError
        The count is outside its range.
    """

    first: date
    count: int
    zone: ZoneInfo
    midnights: tuple[Minute, ...] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        if not 1 <= self.count <= 400:
            raise ValueError(f"A season of {self.count} days; give 1 to 400.")
        midnights = (self._begins(day) for day in range(self.count + 1))
        object.__setattr__(self, "midnights", tuple(self.minute(at) for at in midnights))

    def _begins(self, day: Day) -> datetime:
        return datetime.combine(self.date_of(day), time(), self.zone)

    def midnight(self, day: Day) -> Minute:
        """The minute at which a day begins; before and after the season days have 24 hours."""
        inside = min(max(0, day), self.count)
        return self.midnights[inside] + 1440 * (day - inside)

    @property
    def end(self) -> Minute:
        """The midnight that ends the season."""
        return self.midnights[-1]

    def minute(self, at: datetime) -> Minute:
        """The minute of an aware time, rounded down; before the season it is below 0."""
        if at.tzinfo is None:
            raise ValueError(f"{at} has no zone; give a time in the yard's own zone.")
        passed = at.astimezone(UTC) - self._begins(0).astimezone(UTC)
        return passed // timedelta(minutes=1)

    def at(self, minute: Minute) -> datetime:
        """The yard's own time at a minute."""
        start = self._begins(0).astimezone(UTC)
        return (start + timedelta(minutes=minute)).astimezone(self.zone)

    def by_clock(self, day: Day, clock_min: int) -> Minute:
        """The minute at which the yard's clock shows so many minutes after a day's midnight."""
        return self.minute(self._begins(day) + timedelta(minutes=clock_min))

    def clock_min(self, minute: Minute, day: Day) -> int:
        """What the yard's clock shows then, as minutes after a day's midnight."""
        shown, midnight = (at.replace(tzinfo=None) for at in (self.at(minute), self._begins(day)))
        return (shown - midnight) // timedelta(minutes=1)

    def day(self, minute: Minute) -> Day:
        """The day a minute belongs to; before and after the season days have 24 hours."""
        if minute < 0:
            return minute // 1440
        beyond = max(0, (minute - self.end) // 1440)
        return bisect_right(self.midnights, minute) - 1 + beyond

    def day_of(self, day: date) -> Day:
        """The number of a calendar day; before the season it is below 0."""
        return (day - self.first).days

    def date_of(self, day: Day) -> date:
        """The calendar day of a number."""
        return self.first + timedelta(days=day)

    def said(self, day: Day) -> str:
        """A day as people say it: ``Tue 6 May``; with its year where that is not the season's."""
        return self._said(self.date_of(day))

    def clock(self, minute: Minute) -> str:
        """A minute as people say it: ``Tue 6 May 09:45``."""
        at = self.at(minute)
        return f"{self._said(at)} {at:%H:%M}"

    def _said(self, at: date) -> str:
        year = "" if at.year == self.first.year else f" {at.year}"
        return f"{at:%a} {at.day} {at:%b}{year}"
