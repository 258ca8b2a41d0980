"""Where to stand each boat in fall, so that in spring few must be moved for one behind them.

What counts is the *expected blocked pairs*: over each two boats of a row, the chance that the one
behind wants out before the one in front.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import hypot, isfinite
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Indices = NDArray[np.intp]

YEARS_WORTH = 3.0  # what a guess counts beside years that were seen
GUESSED_SPREAD_DAYS = 12.0  # of a wish that nothing else is known about
LEAST_GAIN = 1e-8
NEVER = 1e4  # a price above any number of blocked pairs; small enough that a sum of it is exact


@dataclass(frozen=True, slots=True)
class Day:
    """The day she will want to go in, as far as it is known: normal, in days of any one count."""

    mean: float
    spread_days: float

    def __post_init__(self) -> None:
        if not isfinite(self.mean) or not 0 < self.spread_days <= 365:
            raise ValueError(
                f"a launch day of {self.mean:g} ± {self.spread_days:g} days; give a day, and a "
                "spread of more than 0, at most 365 days."
            )


@dataclass(frozen=True, slots=True)
class Boat:
    """A boat to be stood. None is *not known*; ``height_m`` is above the ground, mast and all."""

    name: str
    day: Day
    length_m: float | None = None
    weight_kg: float | None = None
    height_m: float | None = None
    lifts: frozenset[str] | None = None  # that can carry her


@dataclass(frozen=True, slots=True)
class Row:
    """A row of places, from the aisle inwards, and what stands there at most. None: not known."""

    name: str
    places: int
    length_m: float | None = None
    bears_kg: float | None = None
    headroom_m: float | None = None
    lifts: frozenset[str] | None = None  # that reach it

    def __post_init__(self) -> None:
        if self.places < 1:
            raise ValueError(f"{self.name} has {self.places} places; give 1 or more.")


@dataclass(frozen=True, slots=True, order=True)
class Place:
    """A place of a row; ``berth`` 1 stands at the aisle."""

    row: str
    berth: int


Standing = Mapping[str, Place]


@dataclass(frozen=True, slots=True)
class Choice:
    """A place for the boat that comes now.

    ``pairs`` are the expected blocked pairs that she adds among those who stand in the row;
    ``in_all`` those that the whole yard ends with if the rest is stood as well as can be.
    """

    place: Place
    pairs: float
    in_all: float


def expected_day(
    wished: float | None, late_days: Sequence[float], season: tuple[float, float]
) -> Day:
    """The day a boat will want to go in, from her owner's wish and from past years.

    Parameters
    ----------
    wished : float or None
        The day wished for, counted as ``season`` is. None: nothing is known but the season.
    late_days : sequence of float
        In past years, days from the wish to the day that counted (less than 0: earlier). [d]
    season : (float, float)
        First and last day of the season.

    Returns
    -------
    Day
        Normal. With no wish: the middle of the season, with the spread of one that has all its
        days alike.

    Raises
    ------
    ValueError
        The season ends before it begins.

    Notes
    -----
    Mean and spread of the lateness are those seen, shrunk to a guess (0 late, 12 days of spread)
    that counts as much as three years. Both are common practice for short series; the yard's own
    numbers take over as they come.
    """
    first, last = season
    if not first < last:
        raise ValueError(f"the season runs from day {first:g} to {last:g}; end it later.")
    if wished is None:
        return Day((first + last) / 2, (last - first) / np.sqrt(12.0))
    seen = len(late_days)
    late = sum(late_days) / (seen + YEARS_WORTH)
    squares = sum((days - late) ** 2 for days in late_days) + YEARS_WORTH * GUESSED_SPREAD_DAYS**2
    return Day(wished + late, float(np.sqrt(squares / (seen + YEARS_WORTH))))


def wants_out_first(one: Day, other: Day) -> float:
    """Chance that one boat wants to go in before another, each by herself: 0 to 1."""
    return NormalDist(one.mean, hypot(one.spread_days, other.spread_days)).cdf(other.mean)


def blocked_pairs(row: Sequence[Day]) -> float:
    """Expected blocked pairs of a row: chances, summed, that one behind wants out before one in front.

    Parameters
    ----------
    row : sequence of Day
        From the aisle inwards.
    """
    return sum(
        wants_out_first(behind, front) for place, behind in enumerate(row) for front in row[:place]
    )


def against(boat: Boat, row: Row) -> tuple[str, ...]:
    """Why a boat can't stand in a row, in sentences. What is not known of her is no yes."""
    said = (
        _too_much("long", "m", boat.length_m, row.length_m, "takes boats up to"),
        _too_much("in weight", "kg", boat.weight_kg, row.bears_kg, "bears up to"),
        _too_much("high as she stands", "m", boat.height_m, row.headroom_m, "has headroom of"),
        _out_of_reach(boat, row),
    )
    return tuple(f"{boat.name} {why}" for why in said if why)


def _too_much(what: str, unit: str, hers: float | None, most: float | None, does: str) -> str:
    if most is None or (hers is not None and hers <= most):
        return ""
    if hers is None:
        return f"was never measured ({what}), and the row {does} {most:g} {unit}."
    return f"is {hers:g} {unit} {what}; the row {does} {most:g} {unit}."


def too_much_by(boat: Boat, row: Row) -> float:
    """By how large a share of what a row takes a boat is too long, heavy or high, the worst of them.

    0 where she fits, or was never measured.
    """
    pairs = (
        (boat.length_m, row.length_m),
        (boat.weight_kg, row.bears_kg),
        (boat.height_m, row.headroom_m),
    )
    return max(hers / most - 1 if hers and most and hers > most else 0.0 for hers, most in pairs)


def _out_of_reach(boat: Boat, row: Row) -> str:
    if row.lifts is None or boat.lifts is None or boat.lifts & row.lifts:
        return ""
    return "is carried by no lift that reaches the row."


def not_known(row: Row) -> tuple[str, ...]:
    """What nobody wrote down of a row, so that nothing is said against standing there."""
    told = (
        ("the longest boat", row.length_m),
        ("what the ground bears", row.bears_kg),
        ("the headroom", row.headroom_m),
        ("which lifts reach it", row.lifts),
    )
    return tuple(what for what, value in told if value is None)


class _Yard:
    """Boats and places as arrays. Place -1 and boat -1 are nobody and nowhere."""

    def __init__(self, boats: Sequence[Boat], rows: Sequence[Row]) -> None:
        _once("boat", [boat.name for boat in boats])
        _once("row", [row.name for row in rows])
        self.boats, self.rows = boats, rows
        self.places = [Place(row.name, n) for row in rows for n in range(1, row.places + 1)]
        self.row = np.repeat(np.arange(len(rows)), [row.places for row in rows])
        self.deep = np.array(
            [
                (p.berth - 0.5) / rows[r].places
                for p, r in zip(self.places, self.row.tolist(), strict=True)
            ]
        )
        self.first = _chances([boat.day for boat in boats])
        may = np.array([[not against(boat, row) for row in rows] for boat in boats], dtype=bool)
        may = may.reshape(len(boats), len(rows))
        self.may = np.vstack([may[:, self.row], np.ones((1, len(self.places)), dtype=bool)])
        same = self.row[:, None] == self.row[None, :]
        self.same = same
        self.behind = (same & np.triu(np.ones_like(same), 1)).astype(np.float64)

    def prices(self, at: Indices) -> Floats:
        """What each boat (and nobody, last) costs at each place, all others as they stand."""
        each = (self._prices_in(self.row == row, at) for row in range(len(self.rows)))
        return np.hstack([*each])

    def total(self, at: Indices) -> float:
        """Expected blocked pairs of the whole yard."""
        return float((self.behind * self.first[np.ix_(at, at)].T).sum())

    def improved(self, at: Indices, held: NDArray[np.bool_]) -> Indices:
        """Swap two boats, or a boat and an empty place, while that gains; the best swap first."""
        at, free = at.copy(), np.flatnonzero(~held)
        if not len(free):
            return at
        prices = self.prices(at)
        while True:
            gains = self.gains(at, prices, free, free)
            one, other = free[list(np.unravel_index(int(gains.argmin()), gains.shape))]
            if gains.min() > -LEAST_GAIN:
                return at
            at[[one, other]] = at[[other, one]]
            touched = (self.row == self.row[one]) | (self.row == self.row[other])
            prices[:, touched] = self._prices_in(touched, at)

    def gains(self, at: Indices, prices: Floats, ones: Indices, others: Indices) -> Floats:
        """What the yard's pairs change by if the boats of two places swap: less than 0 is a gain."""
        mine, theirs = at[ones], at[others]
        swapped = prices[np.ix_(mine, others)] + prices[np.ix_(theirs, ones)].T
        now = prices[mine, ones][:, None] + prices[theirs, others][None, :]
        between = self.first[np.ix_(mine, theirs)] + self.first[np.ix_(theirs, mine)].T
        gains: Floats = swapped - now + between * self.same[np.ix_(ones, others)]
        return gains

    def _prices_in(self, touched: NDArray[np.bool_], at: Indices) -> Floats:
        behind, here = self.behind[np.ix_(touched, touched)], at[touched]
        pairs: Floats = (behind @ self.first[here]).T + self.first[:, here] @ behind
        return pairs + NEVER * ~self.may[:, touched]

    def dealt(self, already: Standing) -> Indices:
        """Those that stand where they stand; of the others the later ones deeper."""
        from scipy.optimize import linear_sum_assignment  # it takes long to load: only for who asks

        at = np.full(len(self.places), len(self.boats), dtype=np.intp)
        number = {boat.name: n for n, boat in enumerate(self.boats)}
        for name, place in already.items():
            at[self._index(place)] = number[name]
        if len(set(already.values())) < len(already):
            raise ValueError("Two boats stand on one place; say where each stands.")
        free = np.flatnonzero(~self.held(already))
        waits = np.array([n for name, n in number.items() if name not in already], dtype=np.intp)
        if len(waits) and len(free):
            late = np.argsort(np.argsort([self.boats[n].day.mean for n in waits])) + 0.5
            far = (late[:, None] / len(waits) - self.deep[free][None, :]) ** 2
            price = far + NEVER * ~self.may[np.ix_(waits, free)]
            for who, spot in zip(*linear_sum_assignment(price), strict=True):
                if price[who, spot] < NEVER:
                    at[free[spot]] = waits[who]
        return at

    def held(self, already: Standing) -> NDArray[np.bool_]:
        """The places of those who stand and are not moved."""
        held = np.zeros(len(self.places), dtype=np.bool_)
        held[[self._index(place) for place in already.values()]] = True
        return held

    def _index(self, place: Place) -> int:
        if place not in self.places:
            raise ValueError(f"{place.row} has no berth {place.berth}; say where she stands.")
        return self.places.index(place)

    def standing(self, at: Indices) -> Standing:
        """Who stands where."""
        taken = np.flatnonzero(at < len(self.boats))
        return {self.boats[at[spot]].name: self.places[spot] for spot in taken}

    def moved(self, at: Indices, boat: int, spot: int) -> Indices:
        """She goes to a place; whoever was meant for it takes hers."""
        at = at.copy()
        hers = np.flatnonzero(at == boat)
        if len(hers):
            at[hers[0]] = at[spot]
        at[spot] = boat
        return at

    def choices(self, at: Indices, held: NDArray[np.bool_], boat: int) -> tuple[Choice, ...]:
        """In each row the innermost place she can be brought to, the best first."""
        spots = np.array([*self._reached(held, boat)], dtype=np.intp)
        stand = np.where(held, at, len(self.boats))
        pairs = self.prices(stand)[boat, spots]
        prices, total, hers = self.prices(at), self.total(at), np.flatnonzero(at == boat)
        if len(hers):
            after = total + self.gains(at, prices, hers, spots)[0]
        else:
            after = total + prices[boat, spots] - prices[at[spots], spots]
        found = [
            Choice(self.places[spot], float(adds), float(ends))
            for spot, adds, ends in zip(spots, pairs, after, strict=True)
        ]
        return tuple(sorted(found, key=lambda one: (one.in_all, one.pairs, one.place)))

    def _reached(self, held: NDArray[np.bool_], boat: int) -> Iterator[int]:
        for row in range(len(self.rows)):
            spots = np.flatnonzero(self.row == row)
            taken = held[spots]
            open_ = spots[: int(taken.argmax()) if taken.any() else len(spots)]
            fits = open_[self.may[boat, open_]]
            if len(fits):
                yield int(fits[-1])


def _chances(days: Sequence[Day]) -> Floats:
    """Row i, column j: the chance that i wants out before j. Nobody, last, wants nothing."""
    from scipy.special import ndtr  # it takes long to load: only for who asks

    mean = np.array([day.mean for day in days])
    spread = np.array([day.spread_days for day in days])
    chances = np.zeros((len(days) + 1, len(days) + 1))
    late = mean[None, :] - mean[:, None]
    chances[:-1, :-1] = ndtr(late / np.hypot.outer(spread, spread))
    np.fill_diagonal(chances, 0.0)
    return chances


def _once(what: str, names: Sequence[str]) -> None:
    if twice := sorted({name for name in names if names.count(name) > 1}):
        raise ValueError(f"More than one {what}: {', '.join(twice)}; keep one.")


def stand(boats: Sequence[Boat], rows: Sequence[Row], already: Standing) -> Standing:
    """Stand a whole fleet so that few blocked pairs are to be expected.

    Parameters
    ----------
    boats : sequence of Boat
        All of them, those that stand already too.
    rows : sequence of Row
        The places.
    already : mapping of str to Place
        Who stands and is not moved.

    Returns
    -------
    mapping of str to Place
        Those that stand, and a place for each other boat that one was found for. One that is
        left out finds none that takes her: ``against`` says why.

    Raises
    ------
    ValueError
        A name twice, or somebody stands where no place is, or two on one.

    Notes
    -----
    First the late ones to the back (an assignment, so that as many as can be find a place), then
    the best swap of two again and again. It is a local best: no proof that none is better.
    """
    if not rows:
        return {}
    yard = _Yard(boats, rows)
    at = yard.dealt(already)
    at = yard.improved(at, yard.held(already))
    return yard.standing(at)


def in_all(boats: Sequence[Boat], rows: Sequence[Row], standing: Standing) -> Mapping[str, float]:
    """Expected blocked pairs of each row as they stand, by the row's name."""
    day = {boat.name: boat.day for boat in boats}
    order = sorted(standing, key=lambda name: standing[name].berth)
    return {
        row.name: blocked_pairs([day[name] for name in order if standing[name].row == row.name])
        for row in rows
    }


def where(
    boat: Boat, boats: Sequence[Boat], rows: Sequence[Row], already: Standing
) -> tuple[Choice, ...]:
    """Where the boat that comes now should stand, the best place first.

    Parameters
    ----------
    boat : Boat
        She comes now. Also among ``boats``, or not.
    boats : sequence of Boat
        Those that stand and those still to come.
    rows : sequence of Row
        The places.
    already : mapping of str to Place
        Who stands and is not moved.

    Returns
    -------
    tuple of Choice
        In each row the innermost place that she can be brought to and fits. None: no row takes
        her; ask ``against``.
    """
    if not rows:
        return ()
    others = [one for one in boats if one.name != boat.name]
    yard = _Yard([*others, boat], rows)
    at = yard.improved(yard.dealt(already), yard.held(already))
    return yard.choices(at, yard.held(already), len(others))


def one_by_one(
    comes: Sequence[Boat], boats: Sequence[Boat], rows: Sequence[Row], already: Standing
) -> Iterator[tuple[str, Place | None]]:
    """Stand boats as they come, each where she should go knowing who stands and who is to come."""
    yard = _Yard(boats, rows)
    number = {boat.name: place for place, boat in enumerate(boats)}
    held = yard.held(already)
    at = yard.improved(yard.dealt(already), held)
    for boat in comes:
        found = yard.choices(at, held, number[boat.name])
        if not found:
            yield boat.name, None
            continue
        at = yard.moved(at, number[boat.name], yard.places.index(found[0].place))
        held[yard.places.index(found[0].place)] = True
        at = yard.improved(at, held)
        yield boat.name, found[0].place
