"""How high the water must stand for a boat to float over the sill of the lift well or ramp."""

from dataclasses import dataclass
from datetime import date
from math import isfinite

from yardwright.refdata import table
from yardwright.tides.water import Water

WEATHER_MARGIN_M = table("water")["weather_margin_1_in_20"].value


@dataclass(frozen=True, slots=True)
class Sill:
    """A sill and how its height is known.

    Parameters
    ----------
    height_m : float
        Above the datum, negative below it. [m] -30 to 30.
    datum : str
        What it was measured from: "MLLW", "chart datum".
    epoch : str
        The years (or the table's edition) that datum is reckoned from: "1983-2001".
    measured_on : datetime.date
        The day it was measured.
    measured_by : str
        Who measured it.

    Raises
    ------
    ValueError
        A height out of range, or without its datum, epoch or measurer.
    """

    height_m: float
    datum: str
    epoch: str
    measured_on: date
    measured_by: str

    def __post_init__(self) -> None:
        if not (isfinite(self.height_m) and abs(self.height_m) <= 30):
            raise ValueError(f"the sill is at {self.height_m} m; give metres, -30 to 30.")
        for name, meaning in (
            ("datum", "what its height was measured from, such as MLLW"),
            ("epoch", "the years its datum is reckoned from, such as 1983-2001"),
            ("measured_by", "who measured it"),
        ):
            if not getattr(self, name).strip():
                raise ValueError(f"the sill's {name} is missing; write {meaning}.")


def sill_above_datum_m(sill: Sill, water: Water) -> float:
    """The sill's height in metres above the datum of the water at hand.

    Raises
    ------
    ValueError
        The epochs differ or one is not known, or the place does not hold both datums.
    """
    if water.epoch is None:
        raise ValueError(
            f"{water.source}: the epoch of its datums is not known, so a sill height cannot be "
            "set against it. Choose another station, or type a table of high and low waters."
        )
    if sill.epoch != water.epoch:
        raise ValueError(
            f"the sill was measured from {sill.datum} of {sill.epoch}, but the water is reckoned "
            f"from {water.datum} of {water.epoch}. Epochs are not mixed: measure the sill again "
            f"from {water.datum} of {water.epoch}, or use water of {sill.epoch}."
        )
    if sill.datum == water.datum:
        return sill.height_m
    if not {sill.datum, water.datum} <= water.datums_m.keys():
        held = ", ".join(sorted({*water.datums_m, water.datum}))
        raise ValueError(
            f"the sill was measured from {sill.datum}, which this place does not hold; it holds "
            f"{held}. Measure the sill from one of those."
        )
    return sill.height_m + water.datums_m[sill.datum] - water.datums_m[water.datum]


def needed_level_m(
    sill: Sill,
    water: Water,
    draft_m: float,
    sling_bight_m: float,
    margin_m: float = WEATHER_MARGIN_M,
) -> float:
    """The level at which a boat floats over the sill, slings under her.

    Parameters
    ----------
    sill : Sill
        With datum and epoch.
    water : Water
        Whose datum the answer is above.
    draft_m : float
        Of the boat as she is lifted. [m] More than 0, at most 10.
    sling_bight_m : float
        What the slings hang below her. [m] 0 to 1; 0 on a ramp.
    margin_m : float
        For weather holding the water below the table. [m] 0 to 3. Unless the yard has its own, as
        ``refdata/water.toml``, row ``weather_margin_1_in_20``, has it for April to June and
        September to November; in winter more is needed.

    Returns
    -------
    float
        Level above ``water.datum``. [m]

    Raises
    ------
    ValueError
        A number outside its range, or a sill that cannot be set against this water.
    """
    _within("draft", draft_m, 10, above_zero=True)
    _within("sling bight", sling_bight_m, 1)
    _within("margin", margin_m, 3)
    return sill_above_datum_m(sill, water) + draft_m + sling_bight_m + margin_m


def _within(name: str, value_m: float, most_m: float, *, above_zero: bool = False) -> None:
    too_small = value_m <= 0 if above_zero else value_m < 0
    if not isfinite(value_m) or too_small or value_m > most_m:
        least = "more than 0" if above_zero else "0 or more"
        raise ValueError(f"the {name} is {value_m} m; give metres, {least} and at most {most_m}.")
