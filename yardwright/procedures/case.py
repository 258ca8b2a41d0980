"""One reading with all that the rules look at: its limit, uncertainty, chances and comparisons."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import pairwise
from math import erfc, hypot, sqrt
from statistics import median

from yardwright.calc.batteries import load_test_limit_v, load_test_slope_v_per_c
from yardwright.calc.dew import dew_point_c
from yardwright.calc.metrology import (
    Slope,
    chance_ratio_at_least,
    chance_within,
    combined_u,
    deciding_u,
    deciding_u_for_ratio,
    robust_slope,
)
from yardwright.calc.units import convert, convert_difference, kind_of, say
from yardwright.procedures.quantities import Quantity, Table, Values
from yardwright.procedures.readings import Limit, Reading
from yardwright.refdata import Datum, curves, table

STOP_AT = 0.05
SURE = 0.95
SURE_GRAVE = 0.99  # for what can sink, burn or hurt
TREND_YEARS = 3  # two points are no trend

EVEN = "even"


@dataclass(frozen=True, slots=True)
class Case:
    """One reading and what it is held against, everything in the reading's unit.

    ``u`` is the uncertainty of each value with the limit's own; None is *not known*. ``years``
    holds the latest values of each earlier year, oldest first.
    """

    quantity: Quantity
    reading: Reading
    limit: Limit | None
    u: tuple[float, ...] | None
    twin: tuple[float, ...] | None
    years: Mapping[int, tuple[float, ...]]
    lacks: tuple[str, ...]
    chances: tuple[float, ...]  # of each value; none without limit or uncertainty
    even_chance: float | None

    @property
    def values(self) -> tuple[float, ...]:
        """The values, in the order of their places."""
        return self.reading.values

    @property
    def sure(self) -> float:
        """The chance that is asked for."""
        return SURE_GRAVE if self.quantity.grave else SURE

    @property
    def least_chance(self) -> float | None:
        """The least of all chances; None where there is none."""
        even = () if self.even_chance is None else (self.even_chance,)
        return min((*self.chances, *even), default=None)

    @property
    def about_value(self) -> str:
        """What the value itself is called where evenness is judged beside it."""
        return kind_of(self.quantity.unit) if self.quantity.even else ""

    @property
    def has_even(self) -> bool:
        """Lowest over highest is judged too."""
        return self.quantity.even and len(self.values) > 1

    @property
    def least_share(self) -> float:
        """The least of lowest over highest; 0 where none is on file."""
        return (self.limit and self.limit.lowest_over_highest) or 0.0

    def bound(self, name: str) -> float | None:
        """Return a bound in the reading's unit: the one on file, else the quantity's own."""
        filed: float | None = getattr(self.limit, name, None)
        own: Datum | None = getattr(self.quantity, name)
        if filed is not None or own is None:
            return filed
        return convert_difference(own.value, own.unit, self.reading.unit)

    def twins(self, place: int) -> float | None:
        """Return the twin's value, unless it is the twin that strays from its own others."""
        if self.twin is None or _strays(self.values, place) < _strays(self.twin, place):
            return None
        return self.twin[place]

    def others(self, place: int) -> float | None:
        """Return the middle of the other places."""
        rest = _rest(self.values, place)
        return median(rest) if rest else None

    def highest(self, place: int) -> float | None:
        """Return the highest of all, for the lowest of them; None for the others."""
        values = self.values
        return max(values) if len(values) > 1 and place == values.index(min(values)) else None

    def last_years(self, place: int) -> float | None:
        """Return the middle of the earlier years."""
        return median(values[place] for values in self.years.values()) if self.years else None

    def change_a_year(self, place: int) -> Slope | None:
        """Return how it changes from year to year; None of fewer than three years."""
        if len(self.years) < TREND_YEARS - 1:
            return None
        return robust_slope(*zip(*self._points(place), strict=True))

    def may_cross(self, place: int) -> bool:
        """Tell cheaply whether any line through two of its years is through the limit in a year.

        The slope of any two years lies between the least and the most from one year to the next.
        """
        limit, value = self.limit, self.values[place]
        if limit is None or len(self.years) < TREND_YEARS - 1:
            return False
        steps = [(b[1] - a[1]) / (b[0] - a[0]) for a, b in pairwise(self._points(place))]
        return min(limit.margin(value + min(steps)), limit.margin(value + max(steps))) < 0

    def _points(self, place: int) -> Iterator[tuple[int, float]]:
        for year, values in self.years.items():
            yield year, values[place]
        yield self.reading.at.year, self.values[place]

    def limit_is_near(self, place: int) -> float:
        """Return how far a value is from the nearest limit, within or without."""
        return abs(self._limit().margin(self.values[place]))

    def nearness(self, place: int) -> tuple[float, float]:
        """Return chance and margin of a value: the least of all stands nearest to a limit."""
        return self.chances[place], self._limit().margin(self.values[place])

    def _limit(self) -> Limit:
        if self.limit is None:
            raise ValueError("Without a limit there is nothing to decide.")
        return self.limit

    def deciding_u(self, place: int) -> float:
        """Return the uncertainty that would decide a value, the limit's own included."""
        value, limit = self.values[place], self._limit()
        chance = self.sure if limit.margin(value) >= 0 else 1 - STOP_AT
        return deciding_u(value, limit.lower, limit.upper, chance)

    def even_deciding_u(self) -> float:
        """Return the uncertainty of each value that would decide lowest over highest."""
        holds = min(self.values) >= self.least_share * max(self.values)
        chance = self.sure if holds else 1 - STOP_AT
        return deciding_u_for_ratio(self.values, self.least_share, chance)


def case_of(
    quantity: Quantity,
    reading: Reading,
    filed: Limit | None,
    twin: Reading | None,
    last_years: Sequence[Reading],
) -> Case:
    """Put together what one reading is held against; for all of it see `verdict.judge`."""
    _check_fits(quantity, reading, twin, last_years)
    limit, no_table = limit_for(quantity, reading, filed)
    limit = limit and limit.in_unit(reading.unit)
    reading_u = _reading_u(quantity, reading)
    limit_u = limit.u if limit else 0.0
    u = tuple(hypot(one, limit_u) for one in reading_u) if limit_u and reading_u else reading_u
    even_chance, too_coarse = _even_chance(reading, limit, reading_u)
    lacks = [*_lacks(quantity, reading, limit, reading_u)]
    lacks.extend(filter(None, (no_table, too_coarse)))
    return Case(
        quantity,
        reading,
        limit,
        u,
        twin.values_in(reading.unit) if twin else None,
        _by_year(reading, last_years),
        tuple(lacks),
        _chances(reading, limit, u),
        even_chance,
    )


def method_u(quantity: Quantity, unit: str) -> float:
    """Return what the way of measuring adds to the uncertainty, in a unit."""
    own = quantity.method_u
    return 0.0 if own is None else convert_difference(own.value, own.unit, unit)


def _check_fits(
    quantity: Quantity, reading: Reading, twin: Reading | None, last_years: Sequence[Reading]
) -> None:
    code, unit, count = quantity.code, quantity.unit, len(reading.values)
    for other in (reading, *((twin,) if twin else ()), *last_years):
        if other.quantity != code or (other.unit != unit and kind_of(other.unit) != kind_of(unit)):
            told = f"{other.quantity} in {other.unit}"
            raise ValueError(f"{told} beside {code} in {unit}; give one kind.")
    if quantity.values == Values.ONE and count != 1:
        raise ValueError(f"{quantity.name} has {count} values; give one.")
    if twin is not None and len(twin.values) != count:
        raise ValueError(f"{count} values, but {len(twin.values)} on the twin; give as many.")


def limit_for(
    quantity: Quantity, reading: Reading, filed: Limit | None
) -> tuple[Limit | None, str]:
    """Return the limit on file at the temperature told, else the table's; and why it gives none."""
    if quantity.table == Table.DEW_POINT:
        return _dew_point_limit(quantity, reading, filed)
    if filed is not None and filed.has_value:
        return _moved(quantity, reading, filed), ""
    if quantity.table == Table.LOAD_TEST:
        return _load_test_limit(quantity, reading, filed)
    return filed, ""


def _moved(quantity: Quantity, reading: Reading, filed: Limit) -> Limit:
    """The limit at the temperature that was told; how far off that can be makes it less sure."""
    moves = quantity.moves
    if moves is None or moves.condition not in reading.conditions:
        return filed  # the condition itself says so
    temp, within = quantity.condition(moves.condition), quantity.condition(moves.thermometer)
    above = convert(temp.number(reading.conditions), temp.unit, moves.unit) - moves.at
    off = convert_difference(within.number(reading.conditions), within.unit, moves.unit)
    slope = moves.shift / moves.each
    return _moved_by(filed.in_unit(quantity.unit), slope * above, abs(slope) * off / sqrt(3))


@lru_cache(maxsize=1024)  # thermometers show whole degrees: a yard asks for few
def _moved_by(limit: Limit, shift: float, u: float) -> Limit:
    return replace(
        limit,
        lower=None if limit.lower is None else limit.lower + shift,
        upper=None if limit.upper is None else limit.upper + shift,
        u=combined_u(limit.u, u),
    )


def _load_test_limit(
    quantity: Quantity, reading: Reading, filed: Limit | None
) -> tuple[Limit | None, str]:
    temp, within = quantity.condition("battery_temp_c"), quantity.condition("thermometer_within_c")
    if temp.answer(reading.conditions) is None:
        return filed, ""  # the condition itself says so
    temp_c, within_c = temp.number(reading.conditions), within.number(reading.conditions)
    try:
        return _load_test_limit_at(filed, temp_c, within_c), ""
    except ValueError as outside_table:
        return filed, str(outside_table)


@lru_cache(maxsize=1024)
def _load_test_limit_at(filed: Limit | None, temp_c: float, within_c: float) -> Limit:
    """The table's limit; how far off the thermometer can be makes the limit itself unsure."""
    lower_v, slope_v = load_test_limit_v(temp_c), load_test_slope_v_per_c(temp_c)
    row = curves("batteries")["load_test_minimum"]
    base = Limit("V", row.source, row.page) if filed is None else filed.in_unit("V")
    u_v = combined_u(base.u, slope_v * within_c / sqrt(3))
    return replace(base, source=row.source, page=row.page, lower=lower_v, u=u_v)


def _dew_point_limit(
    quantity: Quantity, reading: Reading, filed: Limit | None
) -> tuple[Limit | None, str]:
    """The dew point and a margin, or the paint's own sheet where that asks for more."""
    asks = [quantity.condition(code) for code in DEW_POINT_BY]
    if any(one.answer(reading.conditions) is None for one in asks):
        return filed, ""  # the condition itself says so
    return _dew_point_limit_at(filed, *(one.number(reading.conditions) for one in asks))


@lru_cache(maxsize=1024)
def _dew_point_limit_at(
    filed: Limit | None, air_c: float, within_c: float, humidity: float, within: float
) -> tuple[Limit | None, str]:
    paint = table("paint")
    row, dampest = paint["surface_above_dew_point"], paint["dampest_air"].value
    if humidity >= dampest:
        return filed, f"Humidity is {say(humidity, '%')}; it must be under {say(dampest, '%')}."
    base = Limit("°C", row.source, row.page) if filed is None else filed.in_unit("°C")
    try:
        lower_c = dew_point_c(air_c, humidity) + row.value
        by_air = dew_point_c(air_c + within_c, humidity) + row.value - lower_c
        by_humidity = dew_point_c(air_c, humidity + within) + row.value - lower_c
    except ValueError as outside:
        return filed, str(outside)
    if base.lower is not None and base.lower >= lower_c:
        return base, ""
    if base.upper is not None and base.upper <= lower_c:
        most = say(base.upper, "°C")
        return base, f"Too damp: {say(lower_c, '°C')} is the least, {most} the most."
    u = combined_u(base.u, by_air / sqrt(3), by_humidity / sqrt(3))
    return replace(base, source=row.source, page=row.page, lower=lower_c, u=u), ""


DEW_POINT_BY = ("air_temp_c", "air_within_c", "humidity", "humidity_within")


def _reading_u(quantity: Quantity, reading: Reading) -> tuple[float, ...] | None:
    instrument = reading.instrument
    if instrument is None:
        return None
    besides, unit = method_u(quantity, reading.unit), instrument.unit
    known = []
    for value in reading.values_in(unit):
        u = instrument.u_at(value)
        if u is None:
            return None
        known.append(hypot(convert_difference(u, unit, reading.unit), besides))
    return tuple(known)


def _lacks(
    quantity: Quantity, reading: Reading, limit: Limit | None, u: tuple[float, ...] | None
) -> Iterator[str]:
    yield from quantity.lacking(reading.conditions, limit.needs if limit else None)
    instrument = reading.instrument
    if instrument is None:
        yield f"Not told: which {quantity.tool} was it read with?"
        return
    if instrument.checked_until is None:
        yield f"Not told: until when does the check of {instrument.name} hold?"
    elif instrument.checked_until < reading.at.date():
        yield f"{instrument.name} is past its check, which held until {instrument.checked_until}."
    if u is None:
        yield f"Not told: how far off can {instrument.name} be?"


def _chances(
    reading: Reading, limit: Limit | None, u: tuple[float, ...] | None
) -> tuple[float, ...]:
    if limit is None or not limit.has_value or u is None:
        return ()
    pairs = zip(reading.values, u, strict=True)
    return tuple([chance_within(value, u_one, limit.lower, limit.upper) for value, u_one in pairs])


def _even_chance(
    reading: Reading, limit: Limit | None, u: tuple[float, ...] | None
) -> tuple[float | None, str]:
    """Return the chance of "lowest over highest", or why this gauge can't tell it."""
    values = reading.values
    if limit is None or limit.lowest_over_highest is None or u is None or len(values) < 2:
        return None, ""
    ratio, most_u = limit.lowest_over_highest, max(u)
    if min(values) >= 5 * most_u:
        return chance_ratio_at_least(values, most_u, ratio), ""
    # A dead cylinder: the pair of lowest and highest alone says how small the chance is at most.
    spare = min(values) - ratio * max(values)
    at_most = 0.5 * erfc(-spare / (most_u * hypot(1, ratio) * sqrt(2)))
    if at_most <= STOP_AT:
        return at_most, ""
    return None, f"{say(min(values), reading.unit)} is too little for this gauge to compare."


def _by_year(reading: Reading, last_years: Sequence[Reading]) -> dict[int, tuple[float, ...]]:
    year, count = reading.at.year, len(reading.values)
    latest: dict[int, Reading] = {}
    for earlier in last_years:
        its_year = earlier.at.year
        if its_year >= year or len(earlier.values) != count:
            continue
        held = latest.get(its_year)
        if held is None or held.at <= earlier.at:
            latest[its_year] = earlier
    return {each: latest[each].values_in(reading.unit) for each in sorted(latest)}


def _rest(values: Sequence[float], place: int) -> list[float]:
    return [value for at, value in enumerate(values) if at != place]


def _strays(values: Sequence[float], place: int) -> float:
    rest = _rest(values, place)
    return abs(values[place] - median(rest)) if rest else 0.0
