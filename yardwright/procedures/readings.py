"""A reading, what measured it, and the limit on file that it is held against."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from math import isfinite, sqrt

from yardwright.calc.metrology import combined_u, resolution_u
from yardwright.calc.units import convert, convert_difference
from yardwright.procedures.quantities import Answers


@dataclass(frozen=True, slots=True)
class Limit:
    """What is on file for a quantity on this boat, all in ``unit``; None is *not on file*.

    ``thin`` is the margin under which it is called thin; ``u`` the limit's own standard
    uncertainty; ``twin``, ``others``, ``spread`` and ``years`` the differences beyond which to look
    again (from the twin, the middle of the others, the highest, the middle of the last years);
    ``needs`` the least that the source asks of a condition, by its code.
    """

    unit: str
    source: str
    page: str
    lower: float | None = None
    upper: float | None = None
    lowest_over_highest: float | None = None
    thin: float | None = None
    u: float = 0.0
    twin: float | None = None
    others: float | None = None
    years: float | None = None
    spread: float | None = None
    needs: Mapping[str, float] = field(default_factory=dict, hash=False)

    def __post_init__(self) -> None:
        if not self.source.strip():
            raise ValueError("limit has no source; say which book or paper it is from.")
        if self.lower is not None and self.upper is not None and self.lower >= self.upper:
            raise ValueError(
                f"limit is {self.lower:g} to {self.upper:g}; give the lower one first."
            )
        if self.lowest_over_highest is not None and not 0 < self.lowest_over_highest <= 1:
            raise ValueError(f"lowest over highest is {self.lowest_over_highest}; give 0 to 1.")
        for value in (self.thin, self.u, self.twin, self.others, self.years, self.spread):
            if value is not None and not (isfinite(value) and value >= 0):
                raise ValueError(f"{value} beside a limit; give margin, bound or uncertainty ≥ 0.")

    @property
    def has_value(self) -> bool:
        """There is a value to hold, below or above."""
        return self.lower is not None or self.upper is not None

    def margin(self, value: float) -> float:
        """Return how far a value is within the nearest limit; negative outside."""
        if self.upper is None:
            if self.lower is None:
                raise ValueError("There is no value to hold; ask has_value first.")
            return value - self.lower
        above = self.upper - value
        return above if self.lower is None else min(value - self.lower, above)

    def in_unit(self, unit: str) -> "Limit":
        """Return the same limit in another unit of its kind."""
        return self if unit == self.unit else self._converted(unit)

    def _converted(self, unit: str) -> "Limit":
        def told(change: Callable[[float, str, str], float], value: float | None) -> float | None:
            return None if value is None else change(value, self.unit, unit)

        return replace(
            self,
            unit=unit,
            lower=told(convert, self.lower),
            upper=told(convert, self.upper),
            thin=told(convert_difference, self.thin),
            u=convert_difference(self.u, self.unit, unit),
            twin=told(convert_difference, self.twin),
            others=told(convert_difference, self.others),
            years=told(convert_difference, self.years),
            spread=told(convert_difference, self.spread),
        )


@dataclass(frozen=True, slots=True)
class Instrument:
    """What measured. ``checked_until`` None is *not known*.

    ``u`` is the standard uncertainty from its certificate; without one, ``within`` (up or down,
    in ``unit``) and ``within_share`` (up or down, of the reading) are the maker's word.
    """

    name: str
    unit: str
    checked_until: date | None
    u: float | None = None
    within: float | None = None
    within_share: float = 0.0
    resolution: float = 0.0

    def __post_init__(self) -> None:
        for value in (self.u, self.within):
            if value is not None and not (isfinite(value) and value > 0):
                raise ValueError(f"{self.name}: {value} {self.unit}; no instrument is exact.")

    def u_at(self, value: float) -> float | None:
        """Return its standard uncertainty at a value, both in its unit; None is *not known*."""
        if self.u is not None and not self.resolution:
            return self.u
        display = resolution_u(self.resolution) if self.resolution else 0.0
        if self.u is not None:
            return combined_u(self.u, display)
        if self.within is None and not self.within_share:
            return None
        most = (self.within or 0.0) + self.within_share * abs(value)
        return combined_u(most / sqrt(3), display)


@dataclass(frozen=True, slots=True)
class Reading:
    """What was read: one value, or one a cylinder or point, in the order of their numbers."""

    quantity: str
    values: tuple[float, ...]
    unit: str
    at: datetime
    by: str
    instrument: Instrument | None
    conditions: Answers = field(default_factory=dict)
    where: str = ""  # which of twins: port, starboard

    def __post_init__(self) -> None:
        if not self.values or not all(map(isfinite, self.values)):
            raise ValueError(f"{self.quantity} is {self.values}; give a number for each place.")
        if self.at.tzinfo is None:
            raise ValueError(f"{self.at} has no zone; give a time with its zone.")

    def values_in(self, unit: str) -> tuple[float, ...]:
        """Return the values in another unit of their kind."""
        if unit == self.unit:
            return self.values
        return tuple(convert(value, self.unit, unit) for value in self.values)
