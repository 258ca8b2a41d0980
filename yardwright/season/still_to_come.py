"""What a season file says was so already and lies in the future: nobody can know that."""

from collections.abc import Iterator
from dataclasses import is_dataclass
from datetime import UTC, datetime

from yardwright.season.fault import Fault
from yardwright.season.lines import Path
from yardwright.season.model import Season
from yardwright.season.shape import keys_of
from yardwright.tides.water import Extreme

WHEN = ("at", "came")  # the keys under which something was done, or found so


def still_to_come(season: Season, now: datetime) -> Iterator[Fault]:
    """Say what was done after now: a part that came, a look, a reading, a boat in the slings.

    High and low waters are told beforehand, and are none of it.

    Parameters
    ----------
    season : Season
        From a file.
    now : datetime
        Aware.
    """
    for path, at in _told(season, ()):
        if at.astimezone(UTC) > now.astimezone(UTC):
            yield Fault(path, f"{at:%Y-%m-%d %H:%M} is still to come; leave it out until it is so.")


def _told(value: object, path: Path) -> Iterator[tuple[Path, datetime]]:
    if isinstance(value, tuple):
        for place, one in enumerate(value):
            yield from _told(one, (*path, place))
    elif is_dataclass(value) and not isinstance(value, type | Extreme):
        for key in keys_of(type(value)):
            told, there = getattr(value, key.field), (*path, key.name)
            if key.name in WHEN and isinstance(told, datetime):
                yield there, told
            else:
                yield from _told(told, there)
