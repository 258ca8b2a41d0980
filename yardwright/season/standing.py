"""Where boats stand, and where one should: the season asked as the plan of standing asks it."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import date

from yardwright.plan import standing as plan
from yardwright.plan.standing import Choice, Day
from yardwright.procedures.going_in import State
from yardwright.season.model import Boat, Place, Yard
from yardwright.season.spring import ON_LAND

INK_SPREAD_DAYS, PENCIL_SPREAD_DAYS = 3.0, 6.0  # a guess, until the yard's own years say
NO_ROWS = frozenset({"trailer line", "rack hole", "lift well", "ramp"})  # no order there
TO_COME = frozenset({State.AFLOAT, State.COMING_OUT})


def day_of(yard: Yard, boat: Boat) -> Day:
    """The day she will want to go in: told, or else wished for, or else only the season.

    A day in Ink, or in Pencil, is nearer to what comes than the wish that it answers, and surer.
    """
    promise = boat.promise
    if promise.ink:
        return Day(promise.ink.toordinal(), INK_SPREAD_DAYS)
    if promise.pencil:
        return Day(promise.pencil.toordinal(), PENCIL_SPREAD_DAYS)
    wished = promise.wished.toordinal() if promise.wished else None
    season = (float(yard.first_day.toordinal()), float(yard.last_day.toordinal()))
    return plan.expected_day(wished, boat.late_days, season)


def day_words(yard: Yard, boat: Boat) -> str:
    """The day that she is reckoned with, and how sure it is."""
    if boat.state == State.NOT_GOING_IN:
        return "she does not go in"
    day, promise = day_of(yard, boat), boat.promise
    near = date.fromordinal(round(day.mean))
    words = f"about {near:%A} {near.day} {near:%B}, give or take {day.spread_days:.0f} days"
    if not (promise.ink or promise.pencil or promise.wished):
        return f"{words}: nobody wrote a wish, so it is the whole season"
    told = promise.ink or promise.pencil
    return (
        f"{words}, with {len(boat.late_days)} past years" if boat.late_days and not told else words
    )


def one(yard: Yard, boat: Boat) -> plan.Boat:
    """A boat as she is stood; one that does not go in leaves after all others."""
    day = day_of(yard, boat)
    if boat.state == State.NOT_GOING_IN:
        day = Day(yard.last_day.toordinal() + 365.0, 1.0)
    return plan.Boat(boat.name, day, boat.length_m, boat.weight_kg, boat.height_m)


def rows_of(places: Iterable[Place]) -> list[plan.Row]:
    """The places in which one boat stands behind another, berth 1 at the aisle."""
    return [
        plan.Row(p.name, p.berths, p.length_m, p.bears_kg, p.headroom_m)
        for p in places
        if p.kind not in NO_ROWS
    ]


def already(boats: Iterable[Boat], places: Iterable[Place]) -> dict[str, plan.Place]:
    """Who stands on a berth that is there."""
    berths = {row.name: row.places for row in rows_of(places)}
    return {
        boat.name: plan.Place(boat.place, boat.berth)
        for boat in boats
        if boat.state in ON_LAND and boat.berth and boat.berth <= berths.get(boat.place, 0)
    }


def expected(yard: Yard, boats: Sequence[Boat], places: Sequence[Place]) -> Mapping[str, float]:
    """Expected blocked pairs of each place as its boats stand, by its name."""
    stood = already(boats, places)
    fleet = [one(yard, boat) for boat in boats if boat.name in stood]
    return plan.in_all(fleet, rows_of(places), stood)


def where_to(
    yard: Yard, boats: Sequence[Boat], places: Sequence[Place], name: str
) -> tuple[Choice, ...]:
    """Where a boat should stand, knowing who stands and who is still to come.

    Raises
    ------
    ValueError
        No such boat.
    """
    named = [boat for boat in boats if boat.name == name]
    if not named:
        raise ValueError(f"There is no boat {name}; look at her name.")
    stood = already([boat for boat in boats if boat.name != name], places)
    fleet = [one(yard, b) for b in boats if b.name in stood or b.state in TO_COME]
    return plan.where(one(yard, named[0]), fleet, rows_of(places), stood)


def why_not(boat: Boat, yard: Yard, places: Iterable[Place]) -> list[str]:
    """What stands against each place that she does not fit."""
    hers = one(yard, boat)
    return [f"{row.name}: {why}" for row in rows_of(places) for why in plan.against(hers, row)]


def why_none(boat: Boat, boats: Iterable[Boat], yard: Yard, places: Sequence[Place]) -> str:
    """Which row comes nearest to taking a boat that none takes, and what stands against it there."""
    rows, hers = rows_of(places), one(yard, boat)
    if not rows:
        return "No row is on file; say first what rows and bays the yard has."
    against = {row.name: plan.against(hers, row) for row in rows}
    nearest = min(rows, key=lambda row: (len(against[row.name]), plan.too_much_by(hers, row)))
    if why := against[nearest.name]:
        return f"{nearest.name} comes nearest: {' '.join(why)}"
    stood = already((other for other in boats if other.name != boat.name), places)
    front = min((p.berth, name) for name, p in stood.items() if p.row == nearest.name)[1]
    return f"{nearest.name} would take her, but {front} stands at its aisle."
