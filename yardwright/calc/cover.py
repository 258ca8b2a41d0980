"""Shrink film for a boat: how much, how heavy, how many vents."""

from math import ceil, isfinite

from yardwright import refdata
from yardwright.calc.units import convert


def film_m2(length_m: float, beam_m: float, drop_m: float) -> float:
    """Film for one boat.

    Parameters
    ----------
    length_m, beam_m : float
        Over all, with pulpit and engine. [m] More than 0, at most 60 and 15.
    drop_m : float
        How far it hangs down each side, over the rail. [m] 0 to 10.

    Returns
    -------
    float
        A flat piece: (length + what the ends take) x (beam + both drops). [m²]

    Raises
    ------
    ValueError
        A number outside the ranges above.

    References
    ----------
    ``refdata/cover.toml``: film beyond her length.
    """
    for what, number, most in (("length", length_m, 60), ("beam", beam_m, 15)):
        if not 0 < number <= most:
            raise ValueError(f"{what} is {number} m; give more than 0, at most {most}.")
    if not 0 <= drop_m <= 10:
        raise ValueError(f"the drop is {drop_m} m; give 0 to 10.")
    ends_m = convert(refdata.table("cover")["film_over_length"].value, "ft", "m")
    return (length_m + ends_m) * (beam_m + 2 * drop_m)


def film_kg(area_m2: float, thick_um: float) -> float:
    """Weight of a piece of film.

    Parameters
    ----------
    area_m2 : float
        [m²] More than 0.
    thick_um : float
        [µm] 10 to 500; 7 mil are 178.

    Returns
    -------
    float
        Without its core. [kg]

    Raises
    ------
    ValueError
        A number outside the ranges above.

    References
    ----------
    ``refdata/cover.toml``: density of the film.
    """
    if not (isfinite(area_m2) and area_m2 > 0):
        raise ValueError(f"the film is {area_m2} m²; give more than 0.")
    if not 10 <= thick_um <= 500:
        raise ValueError(f"the film is {thick_um} µm thick; give 10 to 500.")
    grams_cm3 = refdata.table("cover")["film_density"].value
    return area_m2 * thick_um * grams_cm3 / 1000  # m² x µm are cm³, and g are kg / 1000


def roll_m2() -> float:
    """Film on a common roll.

    Returns
    -------
    float
        Width times length, ``refdata/cover.toml``. [m²]
    """
    cover = refdata.table("cover")
    return convert(cover["roll_width"].value * cover["roll_length"].value, "ft²", "m²")


def vents(length_m: float) -> int:
    """Least vents in her cover.

    Parameters
    ----------
    length_m : float
        Over all. [m] More than 0, at most 60.

    Returns
    -------
    int
        Two, and one more for each 10 ft begun beyond 25 ft.

    Raises
    ------
    ValueError
        A length outside the range above.

    References
    ----------
    ``refdata/cover.toml``: vents.
    """
    if not 0 < length_m <= 60:
        raise ValueError(f"length is {length_m} m; give more than 0, at most 60.")
    cover = {name: datum.value for name, datum in refdata.table("cover").items()}
    beyond_ft = round(convert(length_m, "m", "ft"), 9) - cover["vents_short_up_to"]
    return int(cover["vents_short_boat"]) + max(0, ceil(beyond_ft / cover["vents_more_every"]))
