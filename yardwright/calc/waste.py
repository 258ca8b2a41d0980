"""What a month's waste makes of a yard, and whether its oil needs a spill plan."""

from collections.abc import Iterable
from enum import StrEnum
from math import isfinite

from yardwright import refdata
from yardwright.calc.units import convert


class Generator(StrEnum):
    """The three classes of 40 CFR 262, by the calendar month."""

    SMALLEST = "very small quantity generator"
    SMALL = "small quantity generator"
    LARGE = "large quantity generator"


def generator(hazardous_kg: float, acute_kg: float) -> Generator:
    """The yard's class for one calendar month.

    Parameters
    ----------
    hazardous_kg : float
        All hazardous waste of the month. [kg] 0 or more.
    acute_kg : float
        The acutely hazardous alone. [kg] 0 or more.

    Returns
    -------
    Generator
        At the printed 100 kg still the smallest; at 1000 kg already large.

    Raises
    ------
    ValueError
        A weight below 0.

    References
    ----------
    ``refdata/waste.toml``: EPA's categories. The state may be stricter.
    """
    for what, kg in (("hazardous waste", hazardous_kg), ("acute waste", acute_kg)):
        if not (isfinite(kg) and kg >= 0):
            raise ValueError(f"{what} is {kg} kg; give 0 or more.")
    waste = refdata.table("waste")
    if hazardous_kg >= waste["large_from"].value or acute_kg > waste["acute_up_to"].value:
        return Generator.LARGE
    return Generator.SMALL if hazardous_kg > waste["smallest_up_to"].value else Generator.SMALLEST


def may_hold_kg(kind: Generator) -> float | None:
    """What a yard of this class may hold on its ground.

    Parameters
    ----------
    kind : Generator
        Its class this month.

    Returns
    -------
    float or None
        [kg] None for the large one: days count there, not weight.

    References
    ----------
    ``refdata/waste.toml``: EPA's categories.
    """
    waste = refdata.table("waste")
    match kind:
        case Generator.SMALLEST:
            return waste["smallest_holds"].value
        case Generator.SMALL:
            return waste["small_holds"].value
        case Generator.LARGE:
            return None


def counted_oil_l(containers_l: Iterable[float]) -> float:
    """Room of the oil containers that count for a spill plan.

    Parameters
    ----------
    containers_l : iterable of float
        Each one's whole room, full or empty. [L] More than 0.

    Returns
    -------
    float
        Those of 55 gallons and more, summed. [L]

    Raises
    ------
    ValueError
        A room that is not more than 0.

    References
    ----------
    ``refdata/waste.toml``: 40 CFR 112.1(d).
    """
    rooms = list(containers_l)
    for room_l in rooms:
        if not (isfinite(room_l) and room_l > 0):
            raise ValueError(f"a container holds {room_l} L; give more than 0.")
    least_l = convert(refdata.table("waste")["oil_container_from"].value, "gal", "L")
    return sum(room_l for room_l in rooms if round(room_l - least_l, 6) >= 0)


def needs_spill_plan(oil_l: float) -> bool:
    """Whether that much room for oil above ground needs a spill plan.

    Parameters
    ----------
    oil_l : float
        As `counted_oil_l` gives it. [L] 0 or more.

    Returns
    -------
    bool
        More than 1,320 gallons; that much itself does not.

    Raises
    ------
    ValueError
        A room below 0.

    References
    ----------
    ``refdata/waste.toml``: 40 CFR 112.1(d).
    """
    if not (isfinite(oil_l) and oil_l >= 0):
        raise ValueError(f"the oil's room is {oil_l} L; give 0 or more.")
    most_l = convert(refdata.table("waste")["oil_storage_up_to"].value, "gal", "L")
    return round(oil_l - most_l, 6) > 0
