"""How many of a thing, as it is read: one boat, two boats; how long; and which."""

from collections.abc import Sequence

WORDS = ("No", "One", "Two", "Three", "Four", "Five", "Six", "Seven", "Eight", "Nine")


def count(number: int, one: str, many: str = "") -> str:
    """So many of a thing in figures: ``3 boats``; ``many`` where it is not ``one`` with an s."""
    return f"{number} {_named(number, one, many)}"


def spelled(number: int, one: str, many: str = "") -> str:
    """The same to begin a sentence with, in words below ten: ``Three boats``."""
    said = WORDS[number] if number < len(WORDS) else str(number)
    return f"{said} {_named(number, one, many)}"


def listed(names: Sequence[str]) -> str:
    """Names as they are read: ``Teal, Wren and Curlew``."""
    return " and ".join(filter(None, (", ".join(names[:-1]), *names[-1:])))


def hours(minutes: int) -> str:
    """A time in hours and minutes: ``2 h 30 min``; nothing where there is none."""
    whole, rest = divmod(minutes, 60)
    return " ".join(filter(None, (f"{whole} h" * (whole > 0), f"{rest} min" * (rest > 0))))


def _named(number: int, one: str, many: str) -> str:
    return one if number == 1 else many or f"{one}s"
