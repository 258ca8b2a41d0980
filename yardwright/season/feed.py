"""A calendar feed as RFC 5545 has it: what calendars on phones subscribe to."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from uuid import NAMESPACE_URL, uuid5

from yardwright import PRODUCT

LINE_OCTETS = 75  # RFC 5545, section 3.1
ASKED_AGAIN = "PT1H"  # how often a calendar should look, RFC 7986, section 5.7


@dataclass(frozen=True, slots=True)
class Event:
    """One entry. ``of`` says what it is about, and never when: moved, it is the same entry.

    Without ``ends`` it stands on the whole day that it starts.
    """

    of: tuple[str, ...]
    starts: datetime
    ends: datetime | None
    title: str
    notes: str = ""
    where: str = ""
    address: str = ""


def feed(name: str, events: Iterable[Event], said_at: datetime, edition: int) -> str:
    """Write a calendar.

    Parameters
    ----------
    name : str
        What the calendar is called.
    events : iterable of Event
        At least one: the standard knows no empty calendar.
    said_at : datetime
        When what they say was published; aware.
    edition : int
        Grows with each time that something else was published.

    Returns
    -------
    str
        Times in UTC, lines of at most 75 octets that end in CR LF.
    """
    lines = (
        "BEGIN:VCALENDAR",
        "VERSION:2.0",
        f"PRODID:-//{PRODUCT}//Plan//EN",
        f"NAME:{_text(name)}",
        f"X-WR-CALNAME:{_text(name)}",
        f"REFRESH-INTERVAL;VALUE=DURATION:{ASKED_AGAIN}",
        f"X-PUBLISHED-TTL:{ASKED_AGAIN}",
        *(line for event in events for line in _event(event, said_at, edition)),
        "END:VCALENDAR",
    )
    return "".join(f"{_folded(line)}\r\n" for line in lines)


def _event(event: Event, said_at: datetime, edition: int) -> Iterator[str]:
    yield "BEGIN:VEVENT"
    yield f"UID:{uuid5(NAMESPACE_URL, chr(10).join(event.of))}"
    yield f"DTSTAMP:{_utc(said_at)}"
    yield f"LAST-MODIFIED:{_utc(said_at)}"
    yield f"SEQUENCE:{edition}"
    if event.ends is None:
        yield f"DTSTART;VALUE=DATE:{event.starts:%Y%m%d}"
        yield f"DTEND;VALUE=DATE:{event.starts + timedelta(days=1):%Y%m%d}"
        yield "TRANSP:TRANSPARENT"
    else:
        yield f"DTSTART:{_utc(event.starts)}"
        yield f"DTEND:{_utc(event.ends)}"
    for kind, words in (
        ("SUMMARY", event.title),
        ("DESCRIPTION", event.notes),
        ("LOCATION", event.where),
    ):
        if words:
            yield f"{kind}:{_text(words)}"
    if event.address:
        yield f"URL:{event.address}"
    yield "END:VEVENT"


def _utc(at: datetime) -> str:
    return f"{at.astimezone(UTC):%Y%m%dT%H%M%SZ}"


def _text(words: str) -> str:
    """Words as a value: what would end it is escaped, what no line may hold is left out."""
    lines = "\n".join(words.splitlines())
    plain = "".join(sign for sign in lines if sign == "\n" or sign.isprintable())
    for sign in "\\;,":
        plain = plain.replace(sign, f"\\{sign}")
    return plain.replace("\n", "\\n")


def _folded(line: str) -> str:
    """A long line goes on below after a space, and is never parted within a letter."""
    parts, room = [""], LINE_OCTETS
    for sign in line:
        octets = len(sign.encode())
        if octets > room:
            parts.append("")
            room = LINE_OCTETS - 1
        parts[-1] += sign
        room -= octets
    return "\r\n ".join(parts)
