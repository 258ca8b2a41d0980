"""Papers: hull and state numbers read place by place, and dates on safety gear."""

import re
from collections.abc import Mapping
from datetime import date
from typing import cast

from yardwright.calc import expiry
from yardwright.calc.hull_number import Fault, HullNumber, read_hull_number, read_state_number
from yardwright.papers.drawing import Drawing
from yardwright.sums.field import Day, Field, Value, sources
from yardwright.sums.sketch import Group, boxes, until
from yardwright.sums.sum import Answer, Subject, Sum, Told
from yardwright.sums.words import day_words, last_day

NO_LAWYER = "No legal advice: read the text of the year that binds her."

HULL = Field(
    key="number",
    label="Hull number",
    example="ABC12345A626",
    hint="as it stands on the transom, starboard",
)
STATE = Field(
    key="number", label="State number", example="NH 1234 BD", hint="as it stands on the bow"
)
MADE = Field(
    key="made", label="Made", example="2014", hint="the year, or the whole date if it is stamped"
)
FLARE_MADE = Field(key="made", label="Made in", example="2023-06", hint="year and month")
MARKED = Field(
    key="marked",
    label="Marked to expire in",
    example="2026-12",
    hint="year and month",
    may_be_empty=True,
)
ON = Day(key="on", label="It must count until", example="2026-10-31", hint="the end of the season")
ENDS_BY = sources("When it ends", "papers", "extinguisher_life")


def _hull_number(number: str) -> Answer:
    found = read_hull_number(number)
    when = "" if found.month is None or found.year is None else f"{found.year}-{found.month:02d}"
    if found.faults:
        says = f"{found.letters} is no hull number as it stands."
    elif found.asks:
        says = f"{found.letters}: this can't be decided from the number alone."
    else:
        model = f", model year {found.model_year}" if found.model_year else ""
        says = f"Reads well: maker {found.maker}, serial {found.serial}, begun {when}{model}."
    parts = (("month", "Month", found.month), ("year", "Year", found.year))
    model_year = ("model_year", "Model year", found.model_year)
    return Answer(
        says=says,
        numbers=(
            *(Told(key, label, at) for key, label, at in (*parts, model_year) if at is not None),
            Told("faults", "Faults", len(found.faults)),
        ),
        besides=(
            *(fault.told for fault in found.faults),
            *found.asks,
            *found.notes,
            *([f"Country in front: {found.country}."] if found.country else []),
            *([f"It has {found.layout}."] if found.layout else []),
            "The hidden second number must say the same.",
        ),
        may=False if found.faults else None if found.asks else True,
    )


def _state_number(number: str) -> Answer:
    found = read_state_number(number)
    return Answer(
        says=f"{found.shown} is no state number as it stands."
        if found.faults
        else f"Reads well: {found.shown}.",
        numbers=(Told("faults", "Faults", len(found.faults)),),
        besides=(
            *(fault.told for fault in found.faults),
            "Block letters of 3 in (76 mm) or more on both bows, the groups apart by a letter.",
        ),
        may=not found.faults,
    )


def _extinguisher(made: str, on: date, by: str) -> Answer:
    year, day = _year_and_day(made)
    _check_not_to_come(made, day or date(year, 1, 1), on)
    ends = expiry.extinguisher_ends(year, day, by)
    good = on <= ends
    return Answer(
        says=f"Good until {day_words(ends)}."
        if good
        else f"Out since {day_words(ends)}: replace it.",
        numbers=last_day(ends, on),
        besides=(
            "Only for a throw-away one. One that is recharged is serviced each year.",
            "Also looked at: pin and seal, gauge in the green, no dents or rust, weight.",
        ),
        may=good,
    )


def _flares(made: str, marked: str | None, on: date) -> Answer:
    latest = expiry.flare_ends_at_latest(*_year_and_month(made))
    _check_not_to_come(made, date(*_year_and_month(made), 1), on)
    mark = None if marked is None else expiry.end_of_month(*_year_and_month(marked))
    ends = latest if mark is None else min(latest, mark)
    besides = ["Dry, its case whole, where a hand finds it."]
    if mark is not None and mark > latest:
        besides.insert(
            0, f"The mark is later than the law allows ({day_words(latest)}): read it again."
        )
    good: bool | None = on <= ends
    says = f"It counts until {day_words(ends)}."
    if not good:
        says = f"It no longer counts after {day_words(ends)}: replace it. Not in the bin."
    elif mark is None:
        good = None
        says = f"Ask: no mark was read. By its age it can't count after {day_words(ends)}."
    return Answer(says=says, numbers=last_day(ends, on), besides=tuple(besides), may=good)


def _year_and_day(said: str) -> tuple[int, date | None]:
    """``2014``, ``14`` or ``2014-06-20``."""
    if re.fullmatch(r"\d{2}|\d{4}", said):
        return (int(said) if len(said) == 4 else 2000 + int(said)), None
    try:
        day = date.fromisoformat(said)
    except ValueError:
        raise ValueError(f"{said!r} is no year; write it as 2014, or as 2014-06-20.") from None
    return day.year, day


def _check_not_to_come(said: str, made: date, on: date) -> None:
    """A mark of 95 is 1995, and read as 2095 it would count for a century."""
    if made > on:
        raise ValueError(
            f"made {said} would be {made.year}, after {day_words(on)}; give all four figures of its year."
        )


def _year_and_month(said: str) -> tuple[int, int]:
    match = re.fullmatch(r"(\d{4})-(\d{1,2})", said)
    if match is None:
        raise ValueError(f"{said!r} is no month; write it as 2023-06.")
    return int(match[1]), int(match[2])


def _hull_sketch(values: Mapping[str, Value]) -> Drawing:
    found = read_hull_number(str(values["number"]))
    letters = found.letters
    ends = ("month", "year", "model year") if found.layout is not None else ("", "", "")
    groups = [
        Group(letters[:3], "maker"),
        Group(letters[3:8], "serial"),
        *_end_groups(found, ends),
    ]
    return boxes("picture", groups, _places(found.faults), _hull_number(str(values["number"])).says)


def _end_groups(found: HullNumber, words: tuple[str, str, str]) -> list[Group]:
    """Places 9 to 12 of each form."""
    end = found.letters[8:]
    match re.sub(r"\d", "0", end):
        case "0000":
            return [Group(end[:2], words[0]), Group(end[2:], words[1])]
        case form if form.startswith("M0") and found.layout is not None:
            return [Group(end[0], ""), Group(end[1:3], words[2]), Group(end[3:], words[0])]
        case _:
            parts = zip((end[:1], end[1:2], end[2:]), words, strict=True)
            return [Group(letters, said) for letters, said in parts if letters]


def _state_sketch(values: Mapping[str, Value]) -> Drawing:
    said = str(values["number"])
    found = read_state_number(said)
    parts = ((found.state, "state"), (found.figures, "figures"), (found.letters, "letters"))
    groups = [Group(letters, words) for letters, words in parts if letters]
    return boxes("picture", groups, _places(found.faults), _state_number(said).says)


def _places(faults: tuple[Fault, ...]) -> list[int]:
    return [fault.place for fault in faults]


def _extinguisher_sketch(values: Mapping[str, Value]) -> Drawing:
    made, on, by = str(values["made"]), cast(date, values["on"]), str(values["by"])
    year, day = _year_and_day(made)
    ends = expiry.extinguisher_ends(year, day, by)
    return until(
        (day or date(year, 1, 1), f"made {made}"), ends, on, _extinguisher(made, on, by).says
    )


def _flares_sketch(values: Mapping[str, Value]) -> Drawing:
    made, on = str(values["made"]), cast(date, values["on"])
    answer = _flares(made, cast("str | None", values["marked"]), on)
    ends = date(*(int(answer[part]) for part in ("year", "month", "day")))
    return until((date(*_year_and_month(made), 1), f"made {made}"), ends, on, answer.says)


SUMS = (
    Sum(
        name="hull-number",
        subject=Subject.PAPERS,
        title="Hull number",
        question="What does a hull number say, and is it written right?",
        fields=(HULL,),
        work=_hull_number,
        picture=_hull_sketch,
        formula="1–3 maker, 4–8 serial (never I, O, Q), 9 month A to L, 10 last figure of the "
        "year, 11–12 model year",
        holds="33 CFR 181.25 as of September 2024, and the two forms before August 1984. It knows "
        f"no list of makers and no number's boat, and not today's date. {NO_LAWYER}",
        rests_on=(
            "papers/hull_number_form",
            "papers/hull_number_new_form",
            "papers/hull_number_since",
            "papers/hull_number_straight_year",
            "papers/hull_number_model_year",
            "papers/hull_number_years_before",
            "papers/hull_number_years_after",
            "papers/model_year_begins",
            "papers/hull_number_country",
            "papers/two_hull_numbers",
        ),
    ),
    Sum(
        name="state-number",
        subject=Subject.PAPERS,
        title="State number",
        question="Is a state's number on the bow written right?",
        fields=(STATE,),
        work=_state_number,
        picture=_state_sketch,
        formula="2 letters, then up to 4 figures and 2 letters, or up to 3 and 3; never I, O, Q "
        "at the end",
        holds="33 CFR 174.23 as of April 2026. It knows no list of states, and not whether the "
        f"number is hers; a tender's added figure is left out. {NO_LAWYER}",
        rests_on=("papers/state_number_form", "papers/state_number_shown"),
    ),
    Sum(
        name="extinguisher",
        subject=Subject.PAPERS,
        title="Extinguisher",
        question="Until when does a throw-away extinguisher count?",
        fields=(MADE, ON, ENDS_BY),
        work=_extinguisher,
        picture=_extinguisher_sketch,
        formula="made + 12 years; with a year alone, 31 December of the twelfth year",
        holds="Throw-away dry-chemical ones on pleasure boats, message of January 2022. Undated "
        f"old kinds have rules of their own. {NO_LAWYER}",
        rests_on=("papers/extinguisher_life", "papers/extinguisher_old_kind"),
        caution="An extinguisher that no longer counts goes ashore before the engine is run.",
    ),
    Sum(
        name="flares",
        subject=Subject.PAPERS,
        title="Flares",
        question="Until when does a flare count?",
        fields=(FLARE_MADE, MARKED, ON),
        work=_flares,
        picture=_flares_sketch,
        formula="the mark, and never later than 42 months after it was made",
        holds="33 CFR 175.125 as of April 2026, 46 CFR 160.021, 160.036 and 160.037 as of 2015. "
        f"{NO_LAWYER}",
        rests_on=("papers/flare_life", "papers/flare_in_force", "papers/flares_thrown_away"),
        caution="Old flares burn like new ones: dry, in a steel can, never fired off to be rid of.",
    ),
)
