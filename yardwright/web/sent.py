"""What a phone sends, read once at the door: the envelope, its rows, and how far its clock is off."""

import json
from dataclasses import dataclass
from datetime import datetime, timedelta
from hashlib import blake2b
from uuid import UUID

from django.utils.http import url_has_allowed_host_and_scheme

MOST_ROWS = 500
MOST_BYTES = 1_000_000
CLOCK_SLACK = timedelta(minutes=2)
TIME = "a time with its offset, such as 2031-05-06T07:42:10-04:00"


@dataclass(frozen=True, slots=True)
class Envelope:
    """Everything sent at once; a row is read when its turn comes, so that a bad one stops none."""

    sent_at: datetime
    rows: list[object]


@dataclass(frozen=True, slots=True)
class Row:
    """One form as it was filled in on a phone, and where its page sends it."""

    uuid: UUID
    to: str
    fields: tuple[tuple[str, str], ...]
    made_at: datetime
    person: int


@dataclass(frozen=True, slots=True)
class PhoneClock:
    """A phone's clock against the server's, and the yard's against that: real, or set for a demo."""

    slow: timedelta  # less than nothing: it is fast
    yard_ahead: timedelta = timedelta(0)

    @property
    def is_off(self) -> bool:
        return abs(self.slow) > CLOCK_SLACK

    def at_the_yard(self, shown: datetime) -> datetime:
        """When that was, by the yard's clock."""
        return shown + self.yard_ahead + (self.slow if self.is_off else timedelta(0))

    @property
    def mark(self) -> str:
        if not self.is_off:
            return ""
        off = abs(self.slow)
        by = f"{off.days} days" if off.days > 1 else f"{off // timedelta(minutes=1)} min"
        way = "slow" if self.slow > timedelta(0) else "fast"
        return f"the phone's clock was {by} {way}; corrected"


def envelope(body: bytes) -> Envelope:
    """Raises ValueError where nothing in it can be read: the phone keeps all."""
    try:
        given = json.loads(body, parse_constant=str)
        given = json.loads(json.dumps(given, ensure_ascii=False).encode("utf-8", "replace"))
    except (ValueError, RecursionError):
        raise ValueError("This is no JSON; send sent_at and entries.") from None
    if not isinstance(given, dict) or not isinstance(rows := given.get("entries"), list):
        raise ValueError("There are no entries; send a list of them.")
    return Envelope(a_time(given.get("sent_at"), "sent_at"), rows)


def row(raw: object) -> Row:
    """Raises ValueError with what is wrong about it."""
    if not isinstance(raw, dict):
        raise ValueError("This is no entry: it names no page and no fields.")
    try:
        uuid = UUID(word(raw, "uuid"))
    except ValueError:
        raise ValueError("Its uuid is none.") from None
    if not isinstance(person := raw.get("person"), int):
        raise ValueError("It does not say whose it is.")
    to = word(raw, "to")
    if not to.startswith("/") or not url_has_allowed_host_and_scheme(to, None):
        raise ValueError("It does not say which page it was made on.")
    made_at = a_time(raw.get("made_at"), "made_at")
    return Row(uuid, to, _fields(raw.get("fields")), made_at, person)


def word(raw: object, name: str) -> str:
    """One word of a row, whatever else is wrong with it."""
    told = raw.get(name) if isinstance(raw, dict) else None
    return told if isinstance(told, str) else ""


def digest(raw: object) -> str:
    """What makes a row this row; how the phone tells it to its owner does not."""
    if isinstance(raw, dict):
        raw = {name: told for name, told in raw.items() if name not in ("words", "boat")}
    return blake2b(json.dumps(raw, sort_keys=True).encode(), digest_size=16).hexdigest()


def text(raw: object) -> str:
    """A row as it came, to keep."""
    return json.dumps(raw, ensure_ascii=False)


def _fields(given: object) -> tuple[tuple[str, str], ...]:
    wrong = ValueError("Its fields are not pairs of a name and what was typed.")
    if not isinstance(given, list):
        raise wrong
    pairs = []
    for pair in given:
        match pair:
            case [str(name), str(typed)]:
                pairs.append((name, typed))
            case _:
                raise wrong
    return tuple(pairs)


def a_time(told: object, name: str) -> datetime:
    """Raises ValueError where it is none, or has no offset."""
    try:
        at = datetime.fromisoformat(str(told))
    except ValueError:
        raise ValueError(f"{name} is {str(told)[:40]!r}; give {TIME}.") from None
    if at.tzinfo is None or not 2000 <= at.year < 2100:
        raise ValueError(f"{name} is {str(told)[:40]!r}; give {TIME}.")
    return at
