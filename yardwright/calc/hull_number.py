"""Hull numbers and state numbers, read place by place; nothing is turned into what it looks like."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

from yardwright import refdata

PLACES = 12
MONTHS = "ABCDEFGHIJKL"  # January first; in the old form with an M, August first
NOT_IN_SERIAL = "IOQ"
_LOOKS_LIKE = {"I": "1", "O": "0", "Q": "0", "S": "5", "B": "8", "Z": "2", "1": "I", "0": "D"}
_FIRST_OF_CENTURY, _LAST_OF_CENTURY = 84, 71  # 84 is 1984, 71 is 2071; between them nobody knows


class Layout(StrEnum):
    """The three forms of a hull number."""

    PRESENT = "the present form"
    MODEL_YEAR = "the old form with an M, until July 1984"
    STRAIGHT_YEAR = "the old form that ends in four figures, until July 1984"


@dataclass(frozen=True, slots=True)
class Fault:
    """What breaks the rule, and at which place; place 0 is the whole number."""

    place: int
    words: str

    @property
    def told(self) -> str:
        """With its place in front."""
        return f"Place {self.place}: {self.words}" if self.place else self.words


@dataclass(frozen=True, slots=True)
class HullNumber:
    """A hull number as it was read.

    ``faults`` break the rule; ``asks`` can't be decided from the number alone; ``notes`` are worth
    knowing. ``month`` and ``year`` are of manufacture or certification.
    """

    letters: str
    country: str = ""
    layout: Layout | None = None
    month: int | None = None
    year: int | None = None
    model_year: int | None = None
    faults: tuple[Fault, ...] = ()
    asks: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()

    @property
    def maker(self) -> str:
        """The maker's code."""
        return self.letters[:3]

    @property
    def serial(self) -> str:
        """The maker's own number."""
        return self.letters[3:8]


def read_hull_number(written: str) -> HullNumber:
    """Read a hull number, whichever of the three forms it has.

    Parameters
    ----------
    written : str
        As it stands on the hull; blanks and hyphens are set aside, small letters are made large.

    Returns
    -------
    HullNumber
        A fault is told with its place and what it looks like; it is never mended.

    Raises
    ------
    ValueError
        Nothing was given.

    Notes
    -----
    The year has only its last figure. It is taken within two years before and one after the model
    year; where none ends so, we ask.

    References
    ----------
    ``refdata/papers.toml``: 33 CFR 181.25 and the two forms before August 1984.
    """
    country, letters, notes = _parts(written)
    if len(letters) != PLACES:
        told = f"{len(letters)} characters; a hull number has {PLACES}. Read it again at the hull."
        return HullNumber(letters, country, faults=(Fault(0, told),), notes=notes)
    layout = _layout(letters)
    faults = (*_strange(letters), *_serial_faults(letters[3:8], 4), *_end_faults(letters, layout))
    asks = tuple(
        f"Place {place}: {letter} is a figure; makers' codes are letters as a rule."
        for place, letter in enumerate(letters[:3], 1)
        if letter.isdigit()
    )
    if faults or layout is None:
        return HullNumber(letters, country, layout, faults=faults, asks=asks, notes=notes)
    month, year, model_year, unsure = _dates(letters, layout)
    asks += unsure
    notes += tuple(_outside_model_year(month, year, model_year))
    return HullNumber(letters, country, layout, month, year, model_year, (), asks, notes)


def _parts(written: str) -> tuple[str, str, tuple[str, ...]]:
    """Country, the twelve, and what was set aside."""
    said = written.strip().upper()
    if not said:
        raise ValueError("no number was given; type it as it stands on the hull.")
    country, rest = "", said
    if match := re.fullmatch(r"([A-Z]{2})\s*-\s*(.+)", said):
        country, rest = match.groups()
    letters = re.sub(r"[\s/-]", "", rest)
    if not country and len(letters) == PLACES + 2 and letters[:2].isalpha():
        country, letters = letters[:2], letters[2:]
    note = "Blanks, hyphens or slashes were set aside: the law has none between the twelve."
    return country, letters, (note,) if re.search(r"[\s/-]", rest) else ()


def _layout(letters: str) -> Layout | None:
    end = letters[8:]
    forms = {
        r"[A-L]\d{3}": Layout.PRESENT,
        r"M\d\d[A-L]": Layout.MODEL_YEAR,
        r"\d{4}": Layout.STRAIGHT_YEAR,
    }
    return next((form for pattern, form in forms.items() if re.fullmatch(pattern, end)), None)


def _strange(letters: str) -> Iterator[Fault]:
    for place, letter in enumerate(letters, 1):
        if not re.fullmatch(r"[A-Z0-9]", letter):
            yield Fault(place, f"{letter} is neither a letter nor a figure.")


def _serial_faults(letters: str, first: int) -> Iterator[Fault]:
    """Letters that are mistaken for figures; `first` is the place of the first."""
    for place, letter in enumerate(letters, first):
        if letter in NOT_IN_SERIAL:
            yield Fault(place, f"{letter} is never used here; it looks like {_LOOKS_LIKE[letter]}.")


def _end_faults(letters: str, layout: Layout | None) -> Iterator[Fault]:
    if layout == Layout.STRAIGHT_YEAR and not 1 <= int(letters[8:10]) <= 12:
        hint = " A 1 at place 9 may be the letter I, September." if letters[8] == "1" else ""
        yield Fault(9, f"{letters[8:10]} in places 9 and 10 is no month.{hint}")
    if layout is not None:
        return
    if letters[8] not in MONTHS:
        told = f"{letters[8]} is no month; A is January, L is December{_like(letters[8])}."
        yield Fault(9, told)
    for place, letter in enumerate(letters[9:], 10):
        if not re.fullmatch("[0-9]", letter):
            yield Fault(place, f"{letter} stands where a figure belongs{_like(letter)}.")


def _like(letter: str) -> str:
    return f"; it looks like {_LOOKS_LIKE[letter]}" if letter in _LOOKS_LIKE else ""


def _dates(
    letters: str, layout: Layout
) -> tuple[int | None, int | None, int | None, tuple[str, ...]]:
    """Month, year, model year, and what can't be decided."""
    match layout:
        case Layout.PRESENT:
            return _present(letters)
        case Layout.MODEL_YEAR:
            model_year = 1900 + int(letters[9:11])
            place = MONTHS.index(letters[11])
            month, year = (place + 7) % 12 + 1, model_year - (place < 5)
            return month, year, model_year, tuple(_not_in_time(month, year, layout))
        case Layout.STRAIGHT_YEAR:
            month, year = int(letters[8:10]), 1900 + int(letters[10:])
            return month, year, None, tuple(_not_in_time(month, year, layout))


def _present(letters: str) -> tuple[int, int | None, int | None, tuple[str, ...]]:
    month, two = MONTHS.index(letters[8]) + 1, int(letters[10:])
    if _LAST_OF_CENTURY < two < _FIRST_OF_CENTURY:
        told = f"Model year {two:02d}: the present form began with 84. Look again at places 11, 12."
        return month, None, None, (told,)
    model_year = (1900 if two >= _FIRST_OF_CENTURY else 2000) + two
    papers = refdata.table("papers")
    before = int(papers["hull_number_years_before"].value)
    after = int(papers["hull_number_years_after"].value)
    near = range(model_year - before, model_year + after + 1)
    year = next((each for each in near if each % 10 == int(letters[9])), None)
    if year is None:
        told = (
            f"A year that ends in {letters[9]} is not within {before} before and {after} after "
            f"model year {model_year}. Ask the maker or the Coast Guard's list."
        )
        return month, None, model_year, (told,)
    return month, year, model_year, tuple(_not_in_time(month, year, Layout.PRESENT))


def _not_in_time(month: int, year: int, layout: Layout) -> Iterator[str]:
    """A form that was not in use in that month."""
    papers = refdata.table("papers")
    since, new = papers["hull_number_since"].value, papers["hull_number_new_form"].value
    at = year * 100 + month
    in_use = at >= new if layout == Layout.PRESENT else since <= at < new
    if not in_use:
        yield f"{month:02d}/{year} is not in the time of {layout}. Look again at places 9 to 12."


def _outside_model_year(
    month: int | None, year: int | None, model_year: int | None
) -> Iterator[str]:
    if month is None or year is None or model_year is None:
        return
    if not (model_year - 1, 6) <= (year, month) <= (model_year, 7):
        yield (
            f"Begun outside the months the law now calls model year {model_year}: "
            f"June {model_year - 1} to July {model_year}."
        )


@dataclass(frozen=True, slots=True)
class StateNumber:
    """A state's number as it was read; ``faults`` break the rule."""

    state: str
    figures: str
    letters: str
    faults: tuple[Fault, ...]

    @property
    def shown(self) -> str:
        """As it stands on the bow, a blank between its groups."""
        return " ".join(part for part in (self.state, self.figures, self.letters) if part)


def read_state_number(written: str) -> StateNumber:
    """Read the number a state gave a boat.

    Parameters
    ----------
    written : str
        As it stands on the bow, with or without blanks and hyphens.

    Returns
    -------
    StateNumber
        A fault is told with what it looks like; it is never mended.

    Raises
    ------
    ValueError
        Nothing was given.

    References
    ----------
    ``refdata/papers.toml``: 33 CFR 174.23.
    """
    said = re.sub(r"[\s-]", "", written.upper())
    if not said:
        raise ValueError("no number was given; type it as it stands on the bow.")
    match = re.fullmatch(r"([A-Z]{2})(\d+)([A-Z]+)", said)
    if match is None:
        told = "Two letters of the state, figures, then letters: that is not how this one goes."
        return StateNumber(said, "", "", (Fault(0, told),))
    state, figures, letters = match.groups()
    return StateNumber(state, figures, letters, tuple(_state_faults(figures, letters)))


def _state_faults(figures: str, letters: str) -> Iterator[Fault]:
    four_and_two = len(figures) <= 4 and len(letters) <= 2
    three_and_three = len(figures) <= 3 and len(letters) <= 3
    if not (four_and_two or three_and_three):
        told = f"{len(figures)} figures and {len(letters)} letters"
        yield Fault(0, f"{told}; up to four and two, or up to three and three.")
    yield from _serial_faults(letters, 3 + len(figures))
