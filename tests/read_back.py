"""A calendar read by the icalendar library, as plain values: nothing of ours decides what it says."""

from dataclasses import dataclass
from datetime import date, datetime

from icalendar import Calendar, Event


@dataclass(frozen=True, slots=True)
class Entry:
    uid: str
    starts: date | datetime
    ends: date | datetime
    title: str
    notes: str
    where: str
    said_at: datetime
    changed_at: datetime | None
    edition: int


def read_back(text: str) -> list[Entry]:
    calendar = Calendar.from_ical(text)
    assert isinstance(calendar, Calendar)
    assert not calendar.errors
    assert calendar.get("VERSION") == "2.0"
    return [_entry(one) for one in calendar.events]


def _entry(one: Event) -> Entry:
    assert not one.errors
    assert isinstance(one.DTSTAMP, datetime)
    return Entry(
        uid=str(one.get("UID")),
        starts=one.start,
        ends=one.end,
        title=str(one.get("SUMMARY", "")),
        notes=str(one.get("DESCRIPTION", "")),
        where=str(one.get("LOCATION", "")),
        said_at=one.DTSTAMP,
        changed_at=one.LAST_MODIFIED,
        edition=int(str(one.get("SEQUENCE"))),
    )
