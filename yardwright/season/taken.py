"""What boats take in a plan that went to the lift before it: the lift, and places for looks."""

from collections.abc import Iterable, Iterator

from yardwright.plan.days import Days, Interval, Minute
from yardwright.plan.hours import Stretches, either
from yardwright.procedures.going_in import State
from yardwright.season.lifts import Lifts, her_minutes
from yardwright.season.model import Boat, Lift, Looks, Season


def lift_taken(season: Season, alike: tuple[Lift, ...], days: Days, now: Minute) -> Stretches:
    """When boats in the slings take lifts of a kind: each one, until her launch is over.

    One that hangs longer has it all before her from now on; where nobody knows in which lift she
    hangs, one of each kind is taken.
    """
    return _one_each(_hanging(season, alike, days, now), len(alike), days.end)


def looks_taken(season: Season, looks: Looks, days: Days, now: Minute) -> Stretches:
    """When boats that are watched take places for looks; from now on where nobody knows."""
    return _one_each(_watched(season, looks, days, now), looks.at_once, days.end)


def _hanging(
    season: Season, alike: tuple[Lift, ...], days: Days, now: Minute
) -> Iterator[Interval]:
    lifts = Lifts(season.lifts)
    for boat in _all_in(season, State.IN_THE_SLINGS):
        by = lifts.by_name.get(boat.lifted.lift) if boat.lifted else lifts.that_carries(boat)
        if not isinstance(by, Lift) or by in alike:
            takes = her_minutes(alike[0], boat).launch
            since = days.minute(boat.lifted.at) if boat.lifted else now
            yield since, since + takes if since + takes > now else now + takes


def _watched(season: Season, looks: Looks, days: Days, now: Minute) -> Iterator[Interval]:
    for boat in _all_in(season, State.IN_THE_WATER):
        since = days.minute(boat.lifted.at) if boat.lifted else now
        yield since, since + looks.minutes


def _all_in(season: Season, state: State) -> Iterator[Boat]:
    return (boat for boat in season.boats if boat.state == state)


def _one_each(spans: Iterable[Interval], count: int, end: Minute) -> Stretches:
    """What is taken of so many, one each while there are enough, within the season."""
    each: list[list[Interval]] = [[] for _ in range(count)]
    for start, stop in sorted(spans):
        if max(0, start) < min(stop, end):
            sooner = min(each, key=lambda one: one[-1][1] if one else 0)
            sooner.append((max(0, start), min(stop, end)))
    return tuple(sorted(span for one in each for span in either(one)))
