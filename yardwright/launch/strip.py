"""Some days of water, and the boats that they are about. Nothing here writes."""

from collections.abc import Iterable, Mapping, Set
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

from django.db.models import Q, QuerySet

from yardwright.fleet import queries as fleet
from yardwright.fleet.models import Boat
from yardwright.launch import queries
from yardwright.papers.drawing import Drawing
from yardwright.papers.strip_scale import Span
from yardwright.papers.water_strip import BoatWater
from yardwright.procedures.going_in import State
from yardwright.season import model as season
from yardwright.season import strip as of_season
from yardwright.season.lifts import Lifts, by_plan, her_minutes, kind_named, none_can
from yardwright.season.published import Published, week_of
from yardwright.season.strip import Strip
from yardwright.season.yard_time import Launch
from yardwright.work import queries as work
from yardwright.work import verdicts
from yardwright.work.models import Kind
from yardwright.yard import clock
from yardwright.yard import queries as yard
from yardwright.yard.refused import Refused

WEEK = 7
DESK_PX = 1180
WAITS = (State.READY, State.IN_THE_SLINGS)


@dataclass(frozen=True, slots=True)
class Open:
    """When a lift is open, and how long it takes for one boat: before her water, and in it."""

    hours: tuple[Span, ...]
    carry: timedelta
    launch: timedelta

    def long_enough(self, water: Span) -> bool:
        """Whether it could carry and launch her in some of her water."""
        return any(
            min(water.end, one.end) - max(water.start, one.start + self.carry) >= self.launch
            for one in self.hours
        )


@dataclass(frozen=True, slots=True)
class Line:
    """One boat on the Water Strip's table."""

    boat: season.Boat
    water: BoatWater
    launch: Launch | None
    days: int
    lifts: tuple[Open, ...]  # hers; where that is not known those that are shown
    none: str  # of those, in words: "no lift", "Crane not"

    @property
    def floats(self) -> list[str]:
        """When she floats, with days where there are several."""
        return [words for words, _ in self.waters]

    @property
    def waters(self) -> list[tuple[str, str]]:
        """The same, and for each that none of her lifts is open long enough in it; else empty."""
        return [
            (queries.span(one.start, one.end, with_day=self.days > 1), self._not_open(one))
            for one in self.water.floats
        ]

    def _not_open(self, water: Span) -> str:
        if not self.lifts or any(one.long_enough(water) for one in self.lifts):
            return ""
        some = any(hours.within(water) for one in self.lifts for hours in one.hours)
        return f"{self.none} open{' long enough' if some else ''}"


@dataclass(frozen=True, slots=True)
class WaterOf:
    """Some days of water with the boats of that week."""

    strip: Strip
    drawing: Drawing
    lines: list[Line]
    other_lifts: bool  # there are lifts that none of the launches shown uses

    def drawn(self, ident: str, width: float) -> Drawing:
        return self.strip.drawn(ident, width)


def strip(first: date, days: int = 1, width: float = DESK_PX) -> WaterOf:
    """The water of some days, with the launches of the plan hung on it.

    Raises
    ------
    Refused
        The water is not known, or not for these days.
    """
    plan = queries.plan_of(work.last_published())
    return strip_of(plan, _floating(first, plan), first, days, width)


def strip_of(
    plan: Published | None,
    boats: list[season.Boat],
    first: date,
    days: int = 1,
    width: float = DESK_PX,
) -> WaterOf:
    """The same, for a page that has the plan and the boats at hand."""
    planned = {go.boat: go for go in plan.plan.launches} if plan else {}
    lifts = yard.lifts()
    people = yard.people() if any(lift.run_by for lift in lifts) else ()
    hung = [planned[one.name] for one in boats if one.name in planned]
    shut = _shut(hung, lifts, people)
    goes = {name: go for name, go in planned.items() if name not in shut}
    left_out = {one.boat: one.because for one in plan.not_planned} if plan else {}
    shown = {first + timedelta(days=day) for day in range(days)}
    used = {
        lift.name for go in hung if go.starts.date() in shown for lift in by_plan(lifts, go.lift)
    }
    ours = replace(queries.our_season(boats), lifts=lifts, people=people)
    theirs = tuple(one for one in lifts if one.name in used) or lifts
    try:
        found = of_season.strip(
            replace(ours, lifts=theirs),
            first,
            days,
            {name: (go.starts, go.ends) for name, go in goes.items()},
            {name: (planned[name].starts, planned[name].ends) for name in shut},
            {one.name: _note(one, goes.get(one.name), left_out, shown) for one in boats} | shut,
        )
    except ValueError as error:
        raise Refused(f"The water is not known. {error}", "") from error
    opens = of_season.open_hours(ours, first, days)
    lines = [
        Line(
            boat,
            water,
            goes.get(boat.name),
            days,
            *_by(boat, planned.get(boat.name), opens, theirs),
        )
        for boat, water in zip(boats, found.boats, strict=True)
    ]
    return WaterOf(found, found.drawn("strip", width), lines, len(theirs) < len(lifts))


def _by(
    boat: season.Boat,
    go: Launch | None,
    opens: Mapping[season.Lift, tuple[Span, ...]],
    shown: tuple[season.Lift, ...],
) -> tuple[tuple[Open, ...], str]:
    """The lifts of her launch, without one those that may carry her, if known; and none of them in words."""
    lifts = tuple(opens)
    hers = by_plan(lifts, go.lift) if go else ()
    if not hers and lifts:
        hers = Lifts(lifts).that_may_carry(boat)
    by = hers or shown
    none = f"{kind_named(hers)} not" if hers else "none of these lifts"
    return (
        tuple(_open(one, boat, go, opens[one]) for one in by),
        none if len(by) < len(lifts) else "no lift",
    )


def _open(lift: season.Lift, boat: season.Boat, go: Launch | None, hours: tuple[Span, ...]) -> Open:
    """With the minutes of her launch as planned; else with those that the lift takes for her."""
    if go:
        return Open(hours, go.starts - (go.fetched or go.starts), go.ends - go.starts)
    takes = her_minutes(lift, boat)
    return Open(hours, timedelta(minutes=takes.carry), timedelta(minutes=takes.launch))


def _shut(
    launches: Iterable[Launch],
    lifts: tuple[season.Lift, ...],
    people: tuple[season.Person, ...],
) -> dict[str, str]:
    """Of boats none of whose lifts can be had for their launch: that they do not go in, and why."""
    zone = clock.zone()
    found = {}
    for go in launches:
        hers, fetched = by_plan(lifts, go.lift), go.fetched or go.starts
        if why := none_can(hers, people, fetched, go.ends, zone):
            when = f"{go.starts:%a} {go.starts.day} {go.starts:%b %H:%M}"
            found[go.boat] = f"does not go in {when}: {' '.join(why)}".rstrip(".")
    return found


def _note(
    boat: season.Boat, go: Launch | None, left_out: Mapping[str, str], shown: set[date]
) -> str:
    """Why a boat has no launch on the strip."""
    if boat.name in left_out:
        return f"is not planned: {left_out[boat.name]}"
    if go is None:
        return "" if boat.draft_m is None else "is in no plan yet"
    if go.starts.date() in shown:
        return ""
    goes = "was to go" if go.starts.date() < min(shown) else "goes"
    return f"{goes} in {go.starts:%a} {go.starts.day} {go.starts:%b %H:%M}"


def pressing(
    today: date, soon: timedelta, plan: Published | None
) -> list[tuple[season.Boat, tuple[str, ...]]]:
    """The boats still to go in that were planned for tomorrow or before, or told in Ink for soon.

    With the holds of each. Those told in Ink also while they are watched in the water: until she is
    handed over, a day is not kept. Who was handed over by this plan, and came out again, is no
    longer of it.
    """
    states, promised, over = _states_and_promises()
    due = {pk for pk, days in promised.items() if days.get("ink", date.max) <= today + soon}
    tomorrow = today + timedelta(days=1)
    launches = plan.plan.launches if plan else ()
    near = {go.boat for go in launches if go.starts.date() <= tomorrow}
    done = {pk for pk, at in over.items() if plan and at > plan.asked_at}
    watched = {pk for pk in due if states.get(pk) == State.IN_THE_WATER}
    rows = _to_go_in(fleet.boats(), states, due, near, watched).exclude(pk__in=done - due)
    return verdicts.with_holds(rows, without=(Kind.DONE,))


def _floating(first: date, plan: Published | None) -> list[season.Boat]:
    """The boats of the week, and those that wait for the lift, with what their water asks for."""
    states, promised, _ = _states_and_promises()
    waits = {pk for pk, state in states.items() if state in WAITS}
    last = first + timedelta(days=WEEK)
    due = {pk for pk, days in promised.items() if _promised(days) < last}
    names = week_of(plan.plan, first, WEEK) if plan else set()
    return [
        fleet.measured(row, states.get(row.pk, work.NOWHERE.state))
        for row in _to_go_in(Boat.objects.all(), states, waits | due, names)
    ]


def _states_and_promises() -> tuple[
    dict[int, State], dict[int, dict[str, date]], dict[int, datetime]
]:
    """Each boat's state, the newest day of each kind promised since her last season, and its end."""
    told = work.standing().filter(kind__in=(*queries.MOVES, Kind.PROMISED))
    newest_last = told.order_by("done_at", "received_at")
    states: dict[int, State] = {}
    promised: dict[int, dict[str, date]] = {}
    over: dict[int, datetime] = {}
    asked = newest_last.values_list("boat", "kind", "what", "body__day", "done_at")
    for boat, kind, what, day, done_at in asked:
        if kind == Kind.PROMISED:
            if work.is_of_season(told_day := date.fromisoformat(day)):
                promised.setdefault(boat, {})[what] = told_day
        else:
            states[boat] = State(what)
            if what in work.SEASON_ENDS:
                over[boat] = done_at
                promised.pop(boat, None)  # kept or missed: of no day to come
    return states, promised, over


def _to_go_in(
    boats: QuerySet[Boat],
    states: Mapping[int, State],
    pks: set[int],
    names: set[str],
    beside: Set[int] = frozenset(),
) -> QuerySet[Boat]:
    """Of some boats, by id or by name, those that are still to go in, and some beside."""
    gone = {pk for pk, state in states.items() if state not in queries.GOES_IN} - beside
    return boats.filter(Q(pk__in=pks) | Q(name__in=names)).exclude(pk__in=gone).order_by("name")


def _promised(days: Mapping[str, date]) -> date:
    return days.get("ink") or days.get("pencil") or days.get("wished") or date.max
