"""The verdicts of many readings at once: a whole yard, ten years, in about a second.

`verdict.judge` is the authority. What is plain by a few comparisons is answered here in the same
words; whatever is near an edge, or may be out of a bound, is judged there.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from math import hypot, inf
from statistics import NormalDist

from yardwright.calc.metrology import robust_slope
from yardwright.calc.units import convert_difference, kind_of
from yardwright.procedures.case import STOP_AT, SURE, SURE_GRAVE, TREND_YEARS, limit_for, method_u
from yardwright.procedures.quantities import Quantity, Values
from yardwright.procedures.readings import Instrument, Limit, Reading
from yardwright.procedures.verdict import Verdict, judge, pace

Numbers = tuple[float, ...]

_Z = NormalDist().inv_cdf
_STOP_Z = _Z(STOP_AT)
_HAIR = 1e-8  # nearer to an edge than this is judged, not compared


def verdicts(
    quantity: Quantity,
    limit: Limit | None,
    readings: Sequence[Reading],
    twins: Sequence[Reading | None] = (),
) -> list[Verdict]:
    """Say the word that `judge` would say of each reading of one quantity at one place.

    Parameters
    ----------
    quantity : Quantity
        What was measured.
    limit : Limit or None
        What is on file for this boat.
    readings : sequence of Reading
        Oldest first; each is judged beside those before it.
    twins : sequence of Reading or None
        The twin of each reading; left out, none has one.

    Returns
    -------
    list of Verdict
        One for each reading.

    Raises
    ------
    ValueError
        As for `judge`.
    """
    past = _Past()
    unit = readings[0].unit if readings else quantity.unit
    fits = kind_of(unit) == kind_of(quantity.unit)  # else `judge` says so
    look = _Look(quantity, limit, unit) if fits else None
    words = []
    for place, reading in enumerate(readings):
        twin = twins[place] if twins else None
        past.comes_to(reading)
        word = look.plain(reading, twin, past) if look else None
        if word is None:
            before = [*past.years.values()] if past.alike else readings[:place]
            word = judge(quantity, reading, limit, twin, before).verdict
        words.append(word)
    return words


@dataclass(slots=True)
class _Past:
    """The latest reading of each earlier year; of all their values and yearly steps the ends."""

    years: dict[int, Reading] = field(default_factory=dict)
    latest: Reading | None = None
    last: Reading | None = None  # of the years before this one's
    low: float = inf
    high: float = -inf
    least_step: float = inf
    most_step: float = -inf
    alike: bool = True  # in unit and number of values
    _stepped: Reading | None = None
    _steps: tuple[float, float] = (inf, -inf)

    def comes_to(self, reading: Reading) -> None:
        """What was read before is an earlier year's as soon as a new year begins."""
        latest, self.latest = self.latest, reading
        if latest is None:
            return
        if latest.unit != reading.unit or len(latest.values) != len(reading.values):
            self.alike = False
        if latest.at.year != reading.at.year:
            self._ends_year(latest)

    def _ends_year(self, latest: Reading) -> None:
        if self.alike:
            self.low, self.high = min(self.low, *latest.values), max(self.high, *latest.values)
            self.least_step, self.most_step = self.steps_to(latest)
        self.years[latest.at.year] = self.last = latest

    def steps_to(self, reading: Reading) -> tuple[float, float]:
        """The least and the most that any value changed from one year to the next, up to here."""
        before = self.last
        if before is None or reading is self._stepped:
            return self._steps
        years = reading.at.year - before.at.year
        steps = [(b - a) / years for a, b in zip(before.values, reading.values, strict=True)]
        self._stepped = reading
        self._steps = min(self.least_step, *steps), max(self.most_step, *steps)
        return self._steps


class _Look:
    """What is compared of each reading of one quantity, by one limit, in one unit."""

    def __init__(self, quantity: Quantity, limit: Limit | None, unit: str) -> None:
        self.quantity, self.filed, self.unit = quantity, limit, unit
        sure = SURE_GRAVE if quantity.grave else SURE
        self.sure, self.one_sided_z, self.two_sided_z = sure, _Z(sure), _Z((1 + sure) / 2)
        self.yes = [c.code for c in quantity.conditions if not c.unit and not c.choices]
        self.told = [c for c in quantity.conditions if c.unit or c.choices]
        self.method_u = method_u(quantity, unit)
        self.bounds = {name: self._bound(name) for name in ("twin", "others", "spread", "years")}
        fixed = quantity.table is None and quantity.moves is None
        self.fixed = limit.in_unit(unit) if fixed and limit is not None else None

    def _bound(self, name: str) -> float | None:
        filed: float | None = getattr(self.filed, name, None)
        if self.filed is not None and filed is not None:
            return convert_difference(filed, self.filed.unit, self.unit) - _HAIR
        own = getattr(self.quantity, name)
        return None if own is None else convert_difference(own.value, own.unit, self.unit) - _HAIR

    def plain(self, reading: Reading, twin: Reading | None, past: _Past) -> Verdict | None:
        """The word where it is plain; None where it is not."""
        quantity, values, instrument = self.quantity, reading.values, reading.instrument
        several = len(values) > 1
        if not (past.alike and reading.unit == self.unit and reading.quantity == quantity.code):
            return None
        if (several and quantity.values is Values.ONE) or (
            instrument is not None and instrument.unit != self.unit
        ):
            return None
        limit, no_table = self._limit(reading)
        u = self._widest_u(values, instrument) if instrument else None
        if limit is not None and u is not None:
            alike = instrument is not None and not instrument.within_share
            word = self._by_limit(values, limit, u, alike=alike)
            if word is not Verdict.GOOD:
                return word
        if no_table or u is None or not self._counts(reading, limit):
            return Verdict.CANT_SAY
        if self._may_stray(values, twin, past):
            return None
        if limit is None or not limit.has_value:
            return Verdict.NO_LIMIT
        if quantity.even and several and not limit.lowest_over_highest:
            return Verdict.NO_LIMIT
        return self._thin_or_good(reading, limit, past)

    def _limit(self, reading: Reading) -> tuple[Limit | None, str]:
        if self.fixed is not None:
            return self.fixed, ""
        limit, no_table = limit_for(self.quantity, reading, self.filed)
        return limit and limit.in_unit(self.unit), no_table

    def _widest_u(self, values: Numbers, instrument: Instrument) -> float | None:
        """The uncertainty of the value that has the most of it, the limit's own not in it."""
        widest = instrument.u_at(values[0] if len(values) == 1 else max(values, key=abs))
        return hypot(widest, self.method_u) if widest and self.method_u else widest

    def _counts(self, reading: Reading, limit: Limit | None) -> bool:
        answers, needs = reading.conditions, limit.needs if limit else None
        until = None if reading.instrument is None else reading.instrument.checked_until
        if until is None or until < reading.at.date():
            return False
        for code in self.yes:
            if answers.get(code) is not True:
                return False
        return not any(one.lacks(answers, needs) for one in self.told)

    def _by_limit(self, values: Numbers, limit: Limit, u: float, *, alike: bool) -> Verdict | None:
        """Good says that no limit is near: bounds and trend may still be. None: not plain.

        ``alike``: all values are as uncertain, so that the worst of them decides alone.
        """
        even = limit.lowest_over_highest if len(values) > 1 else None
        uneven = even is not None and not self._surely_even(values, u, even)
        if not limit.has_value:
            return None if uneven else Verdict.GOOD
        within = _margin(limit, min(values), max(values)) / (hypot(u, limit.u) if limit.u else u)
        if limit.lower is not None and limit.upper is not None:
            return None if uneven or within < self.two_sided_z else Verdict.GOOD
        if not uneven and within > self.one_sided_z + _HAIR:
            return Verdict.GOOD
        if not alike or abs(within - _STOP_Z) < _HAIR or abs(within - self.one_sided_z) < _HAIR:
            return None
        return Verdict.STOP if within < _STOP_Z else None if uneven else Verdict.CANT_SAY

    def _surely_even(self, values: Numbers, u: float, even: float) -> bool:
        low, high, pairs = min(values), max(values), len(values) * (len(values) - 1)
        surely = _Z(1 - (1 - self.sure) / pairs) * u * hypot(1, even)
        return low >= 5 * u and low - even * high > surely

    def _may_stray(self, values: Numbers, twin: Reading | None, past: _Past) -> bool:
        twins, others, spread, years = self.bounds.values()
        low, high = min(values), max(values)
        if (others is not None and high - low > others) or (
            spread is not None and high - low > spread
        ):
            return True
        if twin is not None and twins is not None:
            theirs = twin.values
            if twin.unit != self.unit or len(theirs) != len(values):
                return True
            if max(high - min(theirs), max(theirs) - low) > twins:
                return True
        if years is None or not past.years:
            return False
        return high - past.low > years or past.high - low > years

    def _thin_or_good(self, reading: Reading, limit: Limit, past: _Past) -> Verdict | None:
        low, high = min(reading.values), max(reading.values)
        spare = _margin(limit, low, high) - (limit.thin or 0.0)
        if limit.thin is not None and spare < _HAIR:
            return Verdict.THIN if spare < -_HAIR else None
        if len(past.years) < TREND_YEARS - 1:
            return Verdict.GOOD
        least, most = past.steps_to(reading)
        if _margin(limit, low + least, high + most) >= _HAIR:
            return Verdict.GOOD
        years = [*past.years, reading.at.year]
        each = zip(*(one.values for one in (*past.years.values(), reading)), strict=True)
        crosses = (
            limit.margin(values[-1] + pace(limit, values[-1], robust_slope(years, values))) < 0
            for values in each
        )
        return Verdict.THIN if any(crosses) else Verdict.GOOD


def _margin(limit: Limit, low: float, high: float) -> float:
    """How far all that lies between is within the limit."""
    below = inf if limit.lower is None else low - limit.lower
    return below if limit.upper is None else min(below, limit.upper - high)
