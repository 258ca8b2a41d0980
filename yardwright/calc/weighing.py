"""Where her centre of gravity lies by two scales, and what she weighs in the slings."""

from math import isfinite

from yardwright import refdata
from yardwright.calc import fuel
from yardwright.calc.units import convert


def centre_m(first_kg: float, first_m: float, second_kg: float, second_m: float) -> float:
    """Centre of gravity of what stands on two scales.

    Parameters
    ----------
    first_kg, second_kg : float
        What each scale shows. [kg] 0 or more, not both 0.
    first_m, second_m : float
        Where each stands, from one mark. [m] Two places.

    Returns
    -------
    float
        Its place from the same mark. [m]

    Raises
    ------
    ValueError
        A weight below 0, nothing on the scales, or both at one place.

    Notes
    -----
    Moments about the mark: (W1 x1 + W2 x2) / (W1 + W2). On a trailer it is the centre of boat
    *and* trailer.

    References
    ----------
    Statics.
    """
    for kg in (first_kg, second_kg):
        if not (isfinite(kg) and kg >= 0):
            raise ValueError(f"a scale shows {kg} kg; give 0 or more.")
    if not (isfinite(first_m) and isfinite(second_m) and first_m != second_m):
        raise ValueError(f"the scales stand at {first_m} m and {second_m} m; give two places.")
    if first_kg + second_kg == 0:
        raise ValueError("both scales show 0 kg; give what stands on them.")
    return (first_kg * first_m + second_kg * second_m) / (first_kg + second_kg)


def lift_weight_kg(
    dry_kg: float,
    petrol_l: float = 0,
    diesel_l: float = 0,
    water_l: float = 0,
    gear_kg: float = 0,
) -> tuple[float, float]:
    """What she weighs in the slings, by her dry weight and what is aboard.

    Parameters
    ----------
    dry_kg : float
        The maker's dry weight, engine included. [kg] More than 0.
    petrol_l, diesel_l, water_l : float
        What is in her, rain under the cover counted as water. [L] 0 or more.
    gear_kg : float
        What else is aboard. [kg] 0 or more.

    Returns
    -------
    tuple of float
        At least and at most. [kg] For the slings take the most.

    Raises
    ------
    ValueError
        A number outside the ranges above.

    Notes
    -----
    Dry weight times what boats grow by, least and most; fuel by the lightest and the heaviest
    figure of the trade, water by its weight a litre.

    References
    ----------
    ``refdata/lifting.toml``: growth, weight of water. ``refdata/fuel.toml``: weight of fuel.
    """
    if not (isfinite(dry_kg) and dry_kg > 0):
        raise ValueError(f"dry weight is {dry_kg} kg; give more than 0.")
    aboard = {"petrol": petrol_l, "diesel": diesel_l, "water": water_l, "gear": gear_kg}
    for what, amount in aboard.items():
        if not (isfinite(amount) and amount >= 0):
            raise ValueError(f"{what} is {amount}; give 0 or more.")
    lifting = refdata.table("lifting")
    low, high = lifting["dry_weight_growth_low"], lifting["dry_weight_growth"]
    fuels = (fuel.weight_kg(petrol_l, diesel=False), fuel.weight_kg(diesel_l, diesel=True))
    load_kg = gear_kg + water_kg(water_l)
    return (
        dry_kg * low.value + load_kg + sum(each.low_kg for each in fuels),
        dry_kg * high.value + load_kg + sum(each.high_kg for each in fuels),
    )


def water_kg(litres: float) -> float:
    """Weight of fresh water, by its row in pounds a gallon."""
    pounds = refdata.table("lifting")["water_weight"].value
    return litres * convert(pounds, "lb", "kg") / convert(1, "gal", "L")
