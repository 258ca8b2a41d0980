"""How many of a thing, as it is read: one boat, two boats."""

WORDS = ("No", "One", "Two", "Three", "Four", "Five", "Six", "Seven", "Eight", "Nine")


def count(number: int, one: str, many: str = "") -> str:
    """So many of a thing in figures: ``3 boats``; ``many`` where it is not ``one`` with an s."""
    return f"{number} {_named(number, one, many)}"


def spelled(number: int, one: str, many: str = "") -> str:
    """The same to begin a sentence with, in words below ten: ``Three boats``."""
    said = WORDS[number] if number < len(WORDS) else str(number)
    return f"{said} {_named(number, one, many)}"


def _named(number: int, one: str, many: str) -> str:
    return one if number == 1 else many or f"{one}s"
