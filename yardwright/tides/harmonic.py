"""Water from a place's harmonic constants, as the official tables reckon it.

Within a calendar year (UTC) the level is a smooth sum of cosines; f and u step at New Year, so a
small step of the level (millimetres to a few centimetres) belongs to the tables as well.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cached_property
from math import ceil, floor, radians

import numpy as np
from numpy.typing import NDArray

from yardwright.tides.astronomy import NAMES, argument, node_factors
from yardwright.tides.water import (
    Extreme,
    Floats,
    Interval,
    Turn,
    asked_hours,
    asked_times,
    hours,
    intervals,
    moment,
)

# Twenty years either side of the constants' vintage, 2026: harbours silt up and are dredged, and
# a revision has moved a turn by 9 min within ten years (Brandywine Shoal, tables of 2016).
SPAN = Interval(datetime(2006, 1, 1, tzinfo=UTC), datetime(2047, 1, 1, tzinfo=UTC))
STEP_H = 0.25  # finest waves have a period of 3.1 h: between two steps one turning point at most

# Tables leave out a high and low water so near each other. Inferred from the official tables
# (Friday Harbor 2025: 1,306 turning points become the 1,232 printed), not read in a document.
FLAT_H = 2.0
FLAT_M = 0.03048  # 0.1 ft


@dataclass(frozen=True, slots=True)
class Turns:
    """Turning points in order: when [h since 1970 UTC], how high [m], and which are high water."""

    at_h: Floats
    level_m: Floats
    high: NDArray[np.bool_]

    def __getitem__(self, which: NDArray[np.bool_] | NDArray[np.intp]) -> "Turns":
        return Turns(self.at_h[which], self.level_m[which], self.high[which])

    def extremes(self) -> tuple[Extreme, ...]:
        """The same as high and low waters."""
        return tuple(
            Extreme(moment(at), float(level), Turn.HW if high else Turn.LW)
            for at, level, high in zip(self.at_h, self.level_m, self.high, strict=True)
        )

    def printed(self) -> "Turns":
        """Without near-flat pairs, the flattest taken out first."""
        turns = self
        while turns.at_h.size > 1:
            close = np.diff(turns.at_h) < FLAT_H
            rise = np.where(close, np.abs(np.diff(turns.level_m)), np.inf)
            flattest = int(rise.argmin())
            if rise[flattest] >= FLAT_M:
                break
            turns = turns[np.delete(np.arange(turns.at_h.size), (flattest, flattest + 1))]
        return turns


def roots(
    wave: Callable[[Floats], tuple[Floats, Floats]], low: Floats, high: Floats, ends: Floats
) -> Floats:
    """The zero of a wave in each bracket: Newton from the chord, halving where that leaves it.

    Parameters
    ----------
    wave : callable
        Gives value and slope at times of shape (roots,).
    low, high : numpy.ndarray
        Brackets, shape (roots,), with values of opposite sign at the two ends.
    ends : numpy.ndarray
        The values there, shape (2, roots).

    Returns
    -------
    numpy.ndarray
        Times within 1e-7 h (0.4 ms), shape (roots,).
    """
    low, high = low.copy(), high.copy()
    rising = ends[1] >= 0
    at: Floats = low + (high - low) * ends[0] / (ends[0] - ends[1])
    for _ in range(60):
        value, slope = wave(at)
        beyond = (value >= 0) == rising
        high, low = np.where(beyond, at, high), np.where(beyond, low, at)
        with np.errstate(divide="ignore", invalid="ignore"):
            step = at - value / slope
        following = np.where((step >= low) & (step <= high), step, (low + high) / 2)
        moved = np.abs(following - at)
        at = following
        if (moved < 1e-7).all():
            break
    return at


@dataclass(frozen=True)  # no slots: its nodes are reckoned once, when first asked for
class Year:
    """The smooth sum for one calendar year: level = mean + Re(sum of wave * exp(i speed t))."""

    start_h: float
    end_h: float
    mean_m: float
    wave_m: NDArray[np.complex128]
    speed_rad_h: Floats

    def level_slope_bend(self, at_h: Floats) -> tuple[Floats, Floats, Floats]:
        """Level [m], its slope [m/h] and the slope of that [m/h2] at any times, shape (times,)."""
        size, phase, speed = np.abs(self.wave_m), np.angle(self.wave_m), self.speed_rad_h
        turned = np.outer(at_h - self.start_h, speed) + phase
        up, along = np.cos(turned), np.sin(turned)
        return self.mean_m + up @ size, -(along @ (size * speed)), -(up @ (size * speed**2))

    def grid(self, from_h: float, step_h: float, count: int) -> Floats:
        """Level at even steps. [m] Shape (count,)."""
        return self.mean_m + self._even(self.wave_m, from_h, step_h, count)

    def _even(
        self, wave: NDArray[np.complex128], from_h: float, step_h: float, count: int
    ) -> Floats:
        """Sum a wave at even steps, by blocks: exp(i w (T+s)) = exp(iwT) exp(iws)."""
        across = max(1, int(count**0.5))
        blocks_h = from_h - self.start_h + step_h * across * np.arange(ceil(count / across))
        within_h = step_h * np.arange(across)
        block = np.exp(1j * np.outer(blocks_h, self.speed_rad_h)) * wave
        within = np.exp(1j * np.outer(self.speed_rad_h, within_h))
        even: Floats = np.hstack((block.real, -block.imag)) @ np.vstack((within.real, within.imag))
        return even.ravel()[:count]

    @cached_property
    def nodes(self) -> tuple[Floats, Floats, Turns]:
        """The year's quarter hours with every turning point among them, their levels, the turns."""
        count = ceil((self.end_h - self.start_h) / STEP_H) + 1
        at: Floats = self.start_h + np.arange(count) * np.float64(STEP_H)
        level = self.grid(self.start_h, STEP_H, count)
        slope = self._even(1j * self.speed_rad_h * self.wave_m, self.start_h, STEP_H, count)
        before = np.flatnonzero((slope[:-1] > 0) != (slope[1:] > 0))
        ends = np.array([slope[before], slope[before + 1]])
        turn_at = roots(lambda t: self.level_slope_bend(t)[1:], at[before], at[before + 1], ends)
        turns = Turns(turn_at, self.level_slope_bend(turn_at)[0], slope[before] > 0)
        place = before + 1
        return np.insert(at, place, turn_at), np.insert(level, place, turns.level_m), turns

    def windows(self, from_h: float, to_h: float, level_m: float) -> Floats:
        """Start and end [h] of each time at or above the level, shape (windows, 2)."""
        node_at, node_level, _ = self.nodes
        first, behind = np.searchsorted(node_at, (from_h, to_h))
        cut = np.array([from_h, to_h])
        at = np.insert(cut, 1, node_at[first:behind])
        over = np.insert(self.level_slope_bend(cut)[0], 1, node_level[first:behind]) - level_m
        before = np.flatnonzero((over[:-1] >= 0) != (over[1:] >= 0))
        ends = np.array([over[before], over[before + 1]])
        edges = roots(lambda t: self._over(t, level_m), at[before], at[before + 1], ends)
        opening = [from_h] if over[0] >= 0 else []
        closing = [to_h] if over[-1] >= 0 else []
        return np.concatenate((opening, edges, closing)).reshape(-1, 2)

    def _over(self, at_h: Floats, level_m: float) -> tuple[Floats, Floats]:
        level, slope, _ = self.level_slope_bend(at_h)
        return level - level_m, slope


class Harmonic:
    """Water from harmonic constants; `datum` and the rest as in `Water`.

    Parameters
    ----------
    constants : Mapping of str to (float, float)
        Amplitude [m] and Greenwich phase [degrees] of each constituent.
    mean_m : float
        Mean sea level above `datum`. [m]
    datum, epoch, datums_m, source
        As `Water` has them.

    Raises
    ------
    ValueError
        A constituent that this sum does not know.

    Notes
    -----
    The level is astronomy alone. Weather and the rise of the sea since the epoch are not in it.
    """

    def __init__(
        self,
        constants: Mapping[str, tuple[float, float]],
        mean_m: float,
        *,
        datum: str,
        epoch: str | None,
        datums_m: Mapping[str, float],
        source: str,
    ) -> None:
        unknown = sorted(set(constants) - NAMES)
        if unknown:
            raise ValueError(
                f"{len(unknown)} of the constituents are not known here ({', '.join(unknown[:4])}); "
                "type the place's printed high and low waters instead."
            )
        self.datum, self.epoch, self.datums_m, self.source = datum, epoch, datums_m, source
        self.span, self.less_sure = SPAN, ""
        self._constants, self._mean_m = dict(constants), float(mean_m)
        self._years: dict[int, Year] = {}

    def level_m(self, times: Sequence[datetime]) -> Floats:
        """Height of the water at each time, in any order. [m] Shape (times,)."""
        at = asked_times(self.span, times)
        level = np.empty_like(at)
        if at.size:
            for year, _, _ in self._parts(at.min(), np.nextafter(at.max(), np.inf)):
                here = (at >= year.start_h) & (at < year.end_h)
                level[here] = year.level_slope_bend(at[here])[0]
        return level

    def series_m(self, start: datetime, end: datetime, step_min: float) -> Floats:
        """Heights at start, start + step, … up to end. [m] Much faster than one by one."""
        if not step_min > 0:
            raise ValueError(f"the step is {step_min} min; give more than 0.")
        from_h, to_h = asked_hours(self.span, start, end)
        step_h = step_min / 60
        at = from_h + step_h * np.arange(int((to_h - from_h) / step_h + 1e-9) + 1)
        level = np.empty_like(at)
        for year, _, _ in self._parts(from_h, np.nextafter(at[-1], np.inf)):
            first, behind = np.searchsorted(at, (year.start_h, year.end_h))
            level[first:behind] = year.grid(at[first], step_h, int(behind - first))
        return level

    def extremes(self, start: datetime, end: datetime) -> tuple[Extreme, ...]:
        """High and low waters with start <= at < end, as official tables print them."""
        return self.printed(*asked_hours(self.span, start, end)).extremes()

    def windows(self, start: datetime, end: datetime, level_m: float) -> tuple[Interval, ...]:
        """When the water stands at `level_m` or higher, however short. Exact to a millisecond."""
        parts = self._parts(*asked_hours(self.span, start, end))
        edges = [year.windows(from_h, to_h, level_m) for year, from_h, to_h in parts]
        return intervals(np.concatenate(edges))

    def printed(self, from_h: float, to_h: float) -> Turns:
        """The table's high and low waters with from_h <= at < to_h; for any year, unguarded."""
        margin_h = 12.0  # so that a near-flat pair across the edge is seen as a pair
        turns = self._turns(from_h - margin_h, to_h + margin_h).printed()
        return turns[(turns.at_h >= from_h) & (turns.at_h < to_h)]

    def _turns(self, from_h: float, to_h: float) -> Turns:
        """Every turning point; where slopes differ across New Year, New Year is one."""
        found: list[Turns] = []
        slope_before: float | None = None
        for year, part_from_h, part_to_h in self._parts(from_h, to_h):
            ends = np.array([part_from_h, part_to_h])
            level, slope, _ = year.level_slope_bend(ends)
            if slope_before is not None and (slope_before > 0) != (slope[0] > 0):
                found.append(Turns(ends[:1], level[:1], np.array([slope_before > 0])))
            turns = year.nodes[2]
            found.append(turns[(turns.at_h >= part_from_h) & (turns.at_h < part_to_h)])
            slope_before = float(slope[1])
        return Turns(
            np.concatenate([turns.at_h for turns in found]),
            np.concatenate([turns.level_m for turns in found]),
            np.concatenate([turns.high for turns in found]),
        )

    def _parts(self, from_h: float, to_h: float) -> Iterator[tuple[Year, float, float]]:
        """The years that [from_h, to_h) touches, each with its own part of it."""
        at = from_h
        while at < to_h:
            year = self._year(moment(floor(at)).year)  # years begin on the hour
            yield year, at, min(year.end_h, to_h)
            at = year.end_h

    def _year(self, year: int) -> Year:
        if year not in self._years:
            start_h, end_h = (hours(datetime(y, 1, 1, tzinfo=UTC)) for y in (year, year + 1))
            factors = node_factors((start_h + end_h) / 2)
            size, phase_deg = np.array(list(self._constants.values()), dtype=float).T
            rows = [argument(name, start_h, factors) for name in self._constants]
            at_start_deg, speed_deg_h, factor = np.array(rows).T
            turned = np.exp(1j * np.radians(at_start_deg - phase_deg))
            self._years[year] = Year(
                start_h, end_h, self._mean_m, size * factor * turned, radians(1) * speed_deg_h
            )
        return self._years[year]
