"""The checks of one boat, from what a season knows of her."""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from datetime import date, datetime

from yardwright.procedures import float_check as floating
from yardwright.procedures import land_check as standing
from yardwright.procedures import many, put_backs
from yardwright.procedures import start_check as starting
from yardwright.procedures.put_backs import Undone
from yardwright.procedures.quantities import quantity
from yardwright.procedures.readings import Reading
from yardwright.procedures.step import Has
from yardwright.procedures.verdict import Judgement, Verdict, judge
from yardwright.procedures.water_order import EngineKind, Supply
from yardwright.procedures.ways_in import WaysIn, after_put_backs
from yardwright.season.model import Boat, Limit, Season


def boat_named(season: Season, name: str) -> Boat:
    """Find a boat by her name, her tag or her hull number.

    Raises
    ------
    ValueError
        There is none; lists those there are.
    """
    for boat in season.boats:
        if name and name in (boat.name, boat.tag, boat.hull_number):
            return boat
    there = ", ".join(boat.name for boat in season.boats) or "none"
    raise ValueError(f"No boat {name!r}. There are: {there}.")


def ways_in(boat: Boat) -> WaysIn:
    """Her ways in: open put-backs leave their fittings open, proofs of closed ones are looks.

    A fitting that stands open and is not on her list is known to be missing there: where it leads
    nobody has said, so she is not known to float, whatever was counted.
    """
    listed = {barrier.name for barrier in boat.ways_in}
    open_at = {thing.fitting for thing in boat.undone if thing.is_open and thing.fitting}
    hers = [t for t in boat.undone if not t.is_open or t.fitting in ("", *listed)]
    ways = WaysIn(
        boat.ways_in, boat.looks, boat.disturbed, unlisted=tuple(sorted(open_at - listed))
    )
    return after_put_backs(ways, hers)


def float_check(
    boat: Boat, at: datetime, *, going_in: datetime | None = None
) -> floating.FloatCheck:
    """Answer whether water can reach her bilge or cylinders by any way not proven shut."""
    return floating.float_check(ways_in(boat), at, going_in=going_in)


def land_check(boat: Boat, at: datetime) -> standing.LandCheck:
    """Answer whether rain and melt get out of her where she stands."""
    return standing.land_check(ways_in(boat), at)


def engine_kind(boat: Boat) -> EngineKind:
    """What drives her.

    Raises
    ------
    ValueError
        What she has names no engine, or more than one kind.
    """
    kinds = [kind for kind in EngineKind if Has(kind.value) in boat.has]
    if len(kinds) != 1:
        which = " and ".join(kinds) or "none"
        raise ValueError(
            f"{boat.name} has {which} of the kinds of engine; write one of "
            f"{', '.join(EngineKind)} under has."
        )
    return kinds[0]


def start_check(boat: Boat, supply: Supply, at: datetime) -> starting.StartCheck:
    """Answer whether her engine has all it needs to run here, on this water."""
    return starting.start_check(engine_kind(boat), supply, boat.undone, boat.looks, at)


def left_undone(season: Season, boat: Boat | None = None) -> tuple[tuple[Boat, Undone], ...]:
    """What is still open on one boat, or on all, nastiest first."""
    undone = [(one, thing) for one in ([boat] if boat else season.boats) for thing in one.undone]
    place = {thing: n for n, thing in enumerate(put_backs.left_undone(t for _, t in undone))}
    still = [(one, thing) for one, thing in undone if thing.is_open]
    return tuple(sorted(still, key=lambda pair: place[pair[1]]))


def limit_for(limits: Iterable[Limit], boat: Boat, code: str) -> Limit | None:
    """The limit on file for a quantity on a boat: her own, else her engine's, else everyone's."""

    def fitting() -> Iterator[Limit]:
        filed = [limit for limit in limits if limit.quantity == code]
        yield from (limit for limit in filed if limit.boat == boat.name)
        yield from (limit for limit in filed if boat.engine and limit.engine == boat.engine)
        yield from (limit for limit in filed if not limit.boat and not limit.engine)

    return next(fitting(), None)


def judged(limits: Iterable[Limit], boat: Boat, reading: Reading) -> Judgement:
    """The verdict on one of her readings, by the limit on file and her earlier readings."""
    before = [
        r for r in boat.readings if r.quantity == reading.quantity and r.where == reading.where
    ]
    limit, twin = limit_for(limits, boat, reading.quantity), twin_of(boat, reading)
    return judge(quantity(reading.quantity), reading, limit, twin, before)


def verdicts(limits: Iterable[Limit], boat: Boat) -> list[tuple[Reading, Verdict]]:
    """The word on each of her readings, as `judged` would say it; of one place oldest first."""
    limits, days = tuple(limits), _by_day(boat)
    series: dict[tuple[str, str], list[Reading]] = defaultdict(list)
    for reading in sorted(boat.readings, key=lambda r: r.at):
        series[reading.quantity, reading.where].append(reading)
    filed = {code: limit_for(limits, boat, code) for code, _ in series}
    return [
        pair
        for (code, where), readings in series.items()
        for pair in zip(
            readings,
            many.verdicts(
                quantity(code),
                filed[code],
                readings,
                [_twin(days, one) for one in readings] if where else (),
            ),
            strict=True,
        )
    ]


def newest(judged: Iterable[tuple[Reading, Verdict]]) -> list[tuple[Reading, Verdict]]:
    """Of each quantity at each place what was read last; the others stand behind it."""
    last = {(reading.quantity, reading.where): (reading, word) for reading, word in judged}
    return list(last.values())


def twin_of(boat: Boat, reading: Reading) -> Reading | None:
    """The same quantity read that day at her one other place: port beside starboard."""
    return _twin(_by_day(boat), reading) if reading.where else None


Days = dict[tuple[str, date, int], dict[str, Reading]]


def _by_day(boat: Boat) -> Days:
    """The last reading at each of her named places, by what was read, the day, and how many."""
    days: Days = defaultdict(dict)
    for reading in sorted((r for r in boat.readings if r.where), key=lambda r: r.at):
        days[_day(reading)][reading.where] = reading
    return days


def _day(reading: Reading) -> tuple[str, date, int]:
    return reading.quantity, reading.at.date(), len(reading.values)


def _twin(days: Days, reading: Reading) -> Reading | None:
    others = [r for where, r in days[_day(reading)].items() if where != reading.where]
    return others[0] if len(others) == 1 else None
