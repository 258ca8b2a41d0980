"""A boat on stands: how many, what lies under her keel, and the wind that would tip her."""

from math import ceil, isfinite

from yardwright import refdata
from yardwright.calc.units import convert

LONGEST_M = 30.0


def stands_a_side(length_m: float, held_m: float, by: str = "stands_apart") -> int:
    """Least number of stands on each side.

    Parameters
    ----------
    length_m : float
        Length over all. [m] More than 0, at most 30.
    held_m : float
        From the foremost stand to the aftmost. [m] More than 0, at most the length.
    by : str
        The row that says how far apart they may be.

    Returns
    -------
    int
        For one side; overhangs need more.

    Raises
    ------
    ValueError
        A number outside the ranges above, or a row that answers something else.

    Notes
    -----
    Spaces no wider than the row's, a stand at each end of each; never fewer than the row for her
    length. Stands only balance: her weight is on her keel. The maker's plan goes first.

    References
    ----------
    ``refdata/lifting.toml``: spacing, the long boat, least stands.
    """
    _check_length(length_m)
    if not (isfinite(held_m) and 0 < held_m <= length_m):
        raise ValueError(
            f"the stands reach over {held_m:g} m; give more than 0, up to her {length_m:g} m."
        )
    lifting = refdata.table("lifting")
    apart = lifting[refdata.rival("lifting", "stands_apart", by)].value
    spaces = ceil(_feet(held_m) / apart)
    long = _feet(length_m) > lifting["long_boat"].value
    least = lifting["least_stands_long" if long else "least_stands_short"].value
    return max(int(least), spaces + 1)


def keel_block_m(length_m: float) -> tuple[float, float]:
    """The solid block under her keel: its side (it is square) and its length.

    Parameters
    ----------
    length_m : float
        Length over all. [m] More than 0, at most 30.

    Returns
    -------
    tuple of float
        Side and length. [m] Between two printed lengths the larger block.

    Raises
    ------
    ValueError
        A length outside the range above.

    References
    ----------
    ``refdata/lifting.toml``: keel blocks.
    """
    _check_length(length_m)
    feet = _feet(length_m)
    size = "small" if feet <= 30 else "middle" if feet <= 40 else "large"
    lifting = refdata.table("lifting")
    side, long = lifting[f"keel_block_{size}"].value, lifting["keel_block_length"].value
    return convert(side, "in", "m"), convert(long, "in", "m")


def wind_pressure_pa(speed_m_s: float, kz: float = 1, kd: float = 1) -> float:
    """Pressure of a gust.

    Parameters
    ----------
    speed_m_s : float
        Gust over 3 seconds, 10 m above the ground. [m/s] 0 to 100.
    kz, kd : float
        For height and ground, and for direction. More than 0, at most 2; 1 takes nothing off.

    Returns
    -------
    float
        Velocity pressure. [Pa]

    Raises
    ------
    ValueError
        A number outside the ranges above.

    Notes
    -----
    q = 0.00256 Kz Kd V², q in pounds a square foot and V in miles an hour; on level ground.

    References
    ----------
    ``refdata/lifting.toml``: the factor, and printed Kz and Kd.
    """
    if not 0 <= speed_m_s <= 100:
        raise ValueError(f"wind is {speed_m_s} m/s; give a gust of 0 to 100.")
    for name, factor in (("Kz", kz), ("Kd", kd)):
        if not 0 < factor <= 2:
            raise ValueError(f"{name} is {factor}; give more than 0, at most 2.")
    factor = refdata.table("lifting")["wind_pressure_factor"].value
    psf = factor * kz * kd * convert(speed_m_s, "m/s", "mph") ** 2
    return psf * convert(1, "lb", "kg") * _gravity() / convert(1, "ft²", "m²")


def overturning_ratio(
    weight_kg: float, half_stance_m: float, force_n: float, height_m: float
) -> float:
    """How many times her weight holds her against the wind's moment.

    Parameters
    ----------
    weight_kg : float
        Her least weight, empty. [kg] More than 0.
    half_stance_m : float
        From her middle to the stands' feet on one side. [m] More than 0.
    force_n : float
        The wind's push from the side. [N] More than 0.
    height_m : float
        Of that push above the ground. [m] More than 0.

    Returns
    -------
    float
        Moment of her weight over the wind's.

    Raises
    ------
    ValueError
        A number that is not more than 0.

    Notes
    -----
    W b / (F h), rigid and on hard ground: stands that sink, slip or walk fall short of it.

    References
    ----------
    Statics.
    """
    given = {
        "weight": weight_kg,
        "half the stance": half_stance_m,
        "the wind's push": force_n,
        "its height": height_m,
    }
    for what, number in given.items():
        if not (isfinite(number) and number > 0):
            raise ValueError(f"{what} is {number}; give more than 0.")
    return weight_kg * _gravity() * half_stance_m / (force_n * height_m)


def _check_length(length_m: float) -> None:
    if not 0 < length_m <= LONGEST_M:
        raise ValueError(
            f"length is {length_m:g} m; give more than 0, at most {LONGEST_M:g}. "
            "For a longer boat ask the maker for a blocking plan."
        )


def _feet(metres: float) -> float:
    return round(convert(metres, "m", "ft"), 9)  # 26 ft typed is 26 ft, not a hair more


def _gravity() -> float:
    return refdata.table("flooding")["standard_gravity"].value
