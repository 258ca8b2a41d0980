"""What an infrared thermometer saw: the true temperature of a surface that is not black."""

from collections.abc import Callable, Mapping
from math import exp, pi

_ICE_POINT_K = 273.15
_SECOND_RADIATION_M_K = 0.014387768775039337  # CODATA 2018, second radiation constant, exact
_BAND_UM = (8.0, 14.0)  # what a handheld infrared thermometer sees
_COLDEST_C, _HOTTEST_C = -60.0, 1500.0
_TERMS = 40
_HALVINGS = 60


def black_body_share(wavelength_um: float, temperature_c: float) -> float:
    """Share of a black body's radiation that is shorter than this wavelength.

    Parameters
    ----------
    wavelength_um : float
        Wavelength. [µm] 1 to 100.
    temperature_c : float
        Of the black body. [°C] -60 to 1500.

    Returns
    -------
    float
        0 to 1.

    Raises
    ------
    ValueError
        A number outside the ranges above.

    Notes
    -----
    Planck's law integrated term by term: 15/π⁴ Σ e^(-nz) (z³/n + 3z²/n² + 6z/n³ + 6/n⁴), z =
    c₂/(λT).

    References
    ----------
    Blackbody radiation functions of any heat-transfer textbook.
    """
    if not 1 <= wavelength_um <= 100:
        raise ValueError(f"wavelength is {wavelength_um} µm; give 1 to 100.")
    _check_c("black body", temperature_c)
    return _share(wavelength_um, temperature_c + _ICE_POINT_K)


def reads_c(true_c: float, emissivity: float, set_to: float, around_c: float, by: str) -> float:
    """What an infrared thermometer reads from a surface.

    Parameters
    ----------
    true_c : float
        The surface's temperature. [°C] -60 to 1500.
    emissivity : float
        The surface's own. More than 0, at most 1.
    set_to : float
        The instrument's setting. More than 0, at most 1.
    around_c : float
        What is mirrored in the surface. [°C] -60 to 100.
    by : str
        ``pyrometer_whole`` (all radiation, T⁴) or ``pyrometer_band`` (8 to 14 µm, Planck).

    Returns
    -------
    float
        The reading. [°C]

    Raises
    ------
    ValueError
        A number outside the ranges above, or a reading that no instrument shows.

    References
    ----------
    The measurement formula of thermal cameras: received = ε W(object) + (1 - ε) W(surroundings).
    """
    return _other_side(true_c, emissivity, set_to, around_c, by)


def true_c(reading_c: float, emissivity: float, set_to: float, around_c: float, by: str) -> float:
    """True temperature of a surface, from what an infrared thermometer read.

    Parameters
    ----------
    reading_c : float
        What it showed. [°C] -60 to 1500.
    emissivity, set_to, around_c, by
        As for `reads_c`.

    Returns
    -------
    float
        The surface's temperature. [°C] No better than the emissivity is known: on bare metal it
        is a guess.

    Raises
    ------
    ValueError
        A number outside the ranges above, or a reading that this surface can't give.
    """
    return _other_side(reading_c, set_to, emissivity, around_c, by)


def _other_side(known_c: float, seen_as: float, asked_as: float, around_c: float, by: str) -> float:
    """Surface and instrument are mirror images: each thinks the other's emissivity is its own."""
    for share in (seen_as, asked_as):
        if not 0 < share <= 1:
            raise ValueError(f"emissivity is {share:g}; give more than 0, at most 1, such as 0.95.")
    _check_c("temperature", known_c)
    if not _COLDEST_C <= around_c <= 100:
        raise ValueError(f"surroundings are at {around_c:g} °C; give -60 to 100 °C.")
    if by not in _RADIATION:
        raise ValueError(f"no formula {by!r}; there are {', '.join(_RADIATION)}.")
    radiation = _RADIATION[by]
    around = radiation(around_c + _ICE_POINT_K)
    received = seen_as * radiation(known_c + _ICE_POINT_K) + (1 - seen_as) * around
    own = (received - (1 - asked_as) * around) / asked_as
    low, high = _COLDEST_C + _ICE_POINT_K, _HOTTEST_C + _ICE_POINT_K
    if not radiation(low) <= own <= radiation(high):
        raise ValueError(
            f"{known_c:g} °C can't be, with emissivities {seen_as:g} and {asked_as:g} and "
            f"{around_c:g} °C around; tape or paint the spot and measure that."
        )
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        low, high = (middle, high) if radiation(middle) < own else (low, middle)
    return low - _ICE_POINT_K


def _share(wavelength_um: float, kelvin: float) -> float:
    z = _SECOND_RADIATION_M_K / (wavelength_um * 1e-6 * kelvin)
    terms = (
        exp(-n * z) * (z**3 / n + 3 * z**2 / n**2 + 6 * z / n**3 + 6 / n**4)
        for n in range(1, _TERMS + 1)
    )
    return 15 / pi**4 * sum(terms)


def _whole(kelvin: float) -> float:
    return float(kelvin**4)


def _band(kelvin: float) -> float:
    short, long = _BAND_UM
    return (_share(long, kelvin) - _share(short, kelvin)) * _whole(kelvin)


_RADIATION: Mapping[str, Callable[[float], float]] = {
    "pyrometer_whole": _whole,
    "pyrometer_band": _band,
}


def _check_c(what: str, celsius: float) -> None:
    if not _COLDEST_C <= celsius <= _HOTTEST_C:
        raise ValueError(f"{what} is {celsius:g} °C; give {_COLDEST_C:g} to {_HOTTEST_C:g} °C.")
