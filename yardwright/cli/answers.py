"""What every command ends with: an answer as text or JSON, and the kinds of words it can read."""

import argparse
import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import fields, is_dataclass
from datetime import date, datetime
from typing import Protocol

from yardwright.season.zone import YEARS

YES, NO, BAD_INPUT = 0, 1, 2

Command = Callable[[argparse.Namespace], int]


class Add(Protocol):
    """Adds a command under its function's name and docstring, or under those given."""

    def __call__(
        self, command: Command, name: str = "", tells: str = ""
    ) -> argparse.ArgumentParser:
        """Return the command's parser."""


def tell(args: argparse.Namespace, found: object, lines: Sequence[str]) -> None:
    """Print the answer: what was found as JSON, or its lines."""
    answer = (
        json.dumps(found, default=_plain, ensure_ascii=False) if args.json else "\n".join(lines)
    )
    print(answer, flush=True)


def _plain(value: object) -> object:
    """What JSON has no word for."""
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, frozenset):
        return sorted(value)
    if isinstance(value, Mapping):
        return dict(value)
    return table(value)


def table(value: object) -> dict[str, object]:
    """A dataclass as a table, what is in it left as it is."""
    if not is_dataclass(value):
        raise TypeError(f"{value!r} has no place in JSON.")
    return {one.name: getattr(value, one.name) for one in fields(value)}


def number(typed: str) -> float:
    """A number as it is typed; a comma is asked about."""
    try:
        return float(typed)
    except ValueError:
        mend = typed.replace(",", ".", 1)
        raise argparse.ArgumentTypeError(
            f"{typed!r} is no number; write {mend}" if "," in typed else f"{typed!r} is no number"
        ) from None


def wall_time(typed: str) -> datetime:
    """A local time as it is typed."""
    try:
        return datetime.fromisoformat(typed)
    except ValueError:
        raise argparse.ArgumentTypeError(
            f"{typed!r} is no time; write it like '2031-05-06 07:30'"
        ) from None


def calendar_day(typed: str) -> date:
    """A day as it is typed."""
    try:
        day = date.fromisoformat(typed)
    except ValueError:
        raise argparse.ArgumentTypeError(f"{typed!r} is no day; write it like 2031-05-06") from None
    if day.year not in YEARS:
        raise argparse.ArgumentTypeError(f"{typed!r}: give a year from {YEARS[0]} to {YEARS[-1]}")
    return day


def seconds(typed: str) -> float:
    """How long to look, from a second to an hour."""
    limit_s = number(typed)
    if not 1 <= limit_s <= 3600:
        raise argparse.ArgumentTypeError(f"{limit_s:g} s; give 1 to 3600")
    return limit_s


def whole(typed: str) -> int:
    """A whole number, 0 or more."""
    if not typed.isdecimal():
        raise argparse.ArgumentTypeError(f"{typed!r} is no whole number; give 0 or more")
    return int(typed)
