"""Dew point, and whether paint may go on."""

from collections.abc import Iterator
from dataclasses import dataclass
from math import isfinite, log

from yardwright import refdata

COLDEST_C, WARMEST_C = -45.0, 60.0


def dew_point_c(air_c: float, humidity_percent: float) -> float:
    """Temperature at which air of this humidity lets water fall on a surface.

    Parameters
    ----------
    air_c : float
        Air. [°C] -45 to 60.
    humidity_percent : float
        Relative humidity. [%] 1 to 100.

    Returns
    -------
    float
        Dew point over water; below 0 °C hoar frost forms a little sooner. [°C]

    Raises
    ------
    ValueError
        A number outside the ranges above.

    Notes
    -----
    Magnus: with g = ln(humidity/100) + 17.62 t / (243.12 + t) it is 243.12 g / (17.62 - g).

    References
    ----------
    ``refdata/paint.toml``: constants of WMO No. 8, annex 4.B.
    """
    _check_air(air_c)
    if not 1 <= humidity_percent <= 100:
        raise ValueError(f"humidity is {humidity_percent} %; give 1 to 100.")
    factor, zero_c = _magnus()
    g = log(humidity_percent / 100) + factor * air_c / (zero_c + air_c)
    return zero_c * g / (factor - g)


@dataclass(frozen=True, slots=True)
class PaintCheck:
    """Dew point, how far the surface is above it, and what speaks against painting."""

    dew_point_c: float
    above_c: float
    refusals: tuple[str, ...]
    not_known: tuple[str, ...]

    @property
    def may_paint(self) -> bool | None:
        """False where anything speaks against it; None where nothing does, but not all is known."""
        return False if self.refusals else None if self.not_known else True


def paint_check(
    air_c: float,
    humidity_percent: float,
    surface_c: float,
    coldest_c: float | None,
    warmest_c: float | None,
) -> PaintCheck:
    """Whether the air, the surface and the paint's own window let paint go on.

    Parameters
    ----------
    air_c, surface_c : float
        Air and the hull itself. [°C] -45 to 60.
    humidity_percent : float
        Relative humidity. [%] 1 to 100.
    coldest_c, warmest_c : float or None
        The window on the paint's own sheet. [°C] None is *not known*, and holds the brush.

    Returns
    -------
    PaintCheck
        A computed *no* is in ``refusals``; it is an answer, not an error.

    Raises
    ------
    ValueError
        A number outside the ranges above, or a window that ends before it begins.

    Notes
    -----
    Surface at least 3 °C above the dew point, humidity under 85 %, and air and surface within the
    paint's own window.

    References
    ----------
    ``refdata/paint.toml``: ISO 8502-4 and ISO 12944-7 as coating guides quote them.
    """
    if not COLDEST_C <= surface_c <= WARMEST_C:
        raise ValueError(f"the surface is {surface_c} °C; give {COLDEST_C:g} to {WARMEST_C:g}.")
    for end_c in (coldest_c, warmest_c):
        if end_c is not None and not isfinite(end_c):
            raise ValueError(f"the paint's window ends at {end_c} °C; give it from its sheet.")
    if coldest_c is not None and warmest_c is not None and coldest_c >= warmest_c:
        raise ValueError(f"the paint's window is {coldest_c:g} to {warmest_c:g} °C; swap them.")
    dew_c = dew_point_c(air_c, humidity_percent)
    refusals = (
        *_too_damp(surface_c - dew_c, humidity_percent),
        *_outside("The air", air_c, coldest_c, warmest_c),
        *_outside("The surface", surface_c, coldest_c, warmest_c),
    )
    ends = (("coldest", coldest_c), ("warmest", warmest_c))
    not_known = [f"the paint's {end} °C: read its sheet." for end, at in ends if at is None]
    return PaintCheck(dew_c, surface_c - dew_c, refusals, tuple(not_known))


def _too_damp(above_c: float, humidity_percent: float) -> Iterator[str]:
    paint = refdata.table("paint")
    least, dampest = paint["surface_above_dew_point"].value, paint["dampest_air"].value
    if round(above_c, 9) < least:
        yield (
            f"The surface is {above_c:.1f} °C above the dew point; "
            f"{least:g} °C ({least * 1.8:.1f} °F) is the least."
        )
    if humidity_percent >= dampest:
        yield f"Humidity is {humidity_percent:g} %; it must be under {dampest:g} %."


def _outside(what: str, at_c: float, low_c: float | None, high_c: float | None) -> Iterator[str]:
    if low_c is not None and at_c < low_c:
        yield f"{what} is {at_c:g} °C, colder than the paint's {low_c:g} °C."
    if high_c is not None and at_c > high_c:
        yield f"{what} is {at_c:g} °C, warmer than the paint's {high_c:g} °C."


def _magnus() -> tuple[float, float]:
    paint = refdata.table("paint")
    return paint["magnus_factor"].value, paint["magnus_c"].value


def _check_air(air_c: float) -> None:
    if not COLDEST_C <= air_c <= WARMEST_C:
        raise ValueError(f"air is {air_c} °C; give {COLDEST_C:g} to {WARMEST_C:g}.")
