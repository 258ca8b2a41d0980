"""What may be so in a season, but is odd: asked about, and planned as it stands."""

from collections.abc import Iterator
from math import inf
from zoneinfo import ZoneInfo

from yardwright.calc.units import convert, say
from yardwright.procedures.quantities import quantities
from yardwright.season.boat_faults import in_feet
from yardwright.season.fault import Fault
from yardwright.season.model import Season
from yardwright.season.water import water_of

LB_KG = 0.45359237  # exact, by definition
DEEP_SHARE = 0.3  # of her length: no hull we lift draws more


def questions(season: Season) -> tuple[Fault, ...]:
    """Ask about everything that is odd.

    Parameters
    ----------
    season : Season
        Without faults.

    Returns
    -------
    tuple of Fault
        A sentence each; none of them refuses.
    """
    rules = (_days_without_water, _feet_or_pounds, _promised_before_the_part, _another_unit)
    return tuple(fault for rule in rules for fault in rule(season))


def _feet_or_pounds(season: Season) -> Iterator[Fault]:
    most_kg = max((lift.rating_kg for lift in season.lifts), default=inf)
    for place, boat in enumerate(season.boats):
        if boat.draft_m and boat.length_m and boat.draft_m > DEEP_SHARE * boat.length_m:
            says = f"{boat.draft_m:g} m is deep for {boat.length_m:g} m of length."
            yield Fault(("boats", place, "draft_m"), f"{says} {in_feet(boat.draft_m)}")
        if boat.weight_kg and boat.weight_kg > most_kg:
            says = (
                f"{boat.weight_kg:,.0f} kg is more than any lift here carries, {most_kg:,.0f} kg."
            )
            in_kg = f"If it is in pounds, write {boat.weight_kg * LB_KG:.0f}."
            yield Fault(("boats", place, "weight_kg"), f"{says} {in_kg}")


def _promised_before_the_part(season: Season) -> Iterator[Fault]:
    zone = ZoneInfo(season.yard.zone)
    comes = {
        part.name: part.arrives.astimezone(zone).date()
        for part in season.parts
        if part.arrives and not part.came
    }
    for place, boat in enumerate(season.boats):
        due = boat.promise.ink or boat.promise.pencil
        for part in {work.part: None for work in boat.work if work.part in comes}:
            if due and comes[part] > due:
                says = f"{due:%d %b} is promised, but the {part} comes {comes[part]:%d %b}."
                yield Fault(("boats", place, "promise"), says)


def _days_without_water(season: Season) -> Iterator[Fault]:
    known, zone = water_of(season).span, ZoneInfo(season.yard.zone)
    first, last = (at.astimezone(zone).date() for at in (known.start, known.end))
    if first > season.yard.first_day or last < season.yard.last_day:
        says = f"is known from {first:%d %b} to {last:%d %b}; on other days of the season nothing is launched."
        yield Fault(("water", "table"), says)


def _another_unit(season: Season) -> Iterator[Fault]:
    """A reading that would be a fine one in another unit."""
    for number, boat in enumerate(season.boats):
        for place, reading in enumerate(boat.readings):
            usual = quantities()[reading.quantity].plausible_when(reading.conditions)
            low, high = (convert(end, usual.unit, reading.unit) for end in (usual.low, usual.high))
            if not all(low <= value <= high for value in reading.values):
                span = f"{say(low, reading.unit)} to {say(high, reading.unit)}"
                yield Fault(
                    ("boats", number, "readings", place, "values"),
                    f"{reading.quantity} is usually {span}; is {reading.unit} the right unit?",
                )
