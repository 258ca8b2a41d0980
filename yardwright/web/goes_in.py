"""The boats that the plan has go in today, and what keeps each on land."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from yardwright.procedures.going_in import State
from yardwright.season import model as season
from yardwright.season.going_in import NOT_GOING_IN, NOTHING_FOUND, Kept, kept
from yardwright.season.lifts import Lifts, by_plan, none_can
from yardwright.season.published import Published
from yardwright.season.yard_time import Launch
from yardwright.web.at_boat import NOT_ON_FILE
from yardwright.yard import clock


@dataclass(frozen=True, slots=True)
class GoesIn:
    """A launch of today, or of a day before that did not come about; and what keeps her on land."""

    launch: Launch
    kept: Kept
    slipped: bool

    @property
    def when(self) -> str:
        if self.slipped:
            day = f"{self.launch.starts:%a} {self.launch.starts.day} {self.launch.starts:%b %H:%M}"
            return f"not in the water yet, planned {day}"
        return f"{self.launch.starts:%H:%M}–{self.launch.ends:%H:%M}"


def goes_in(
    plan: Published | None,
    on_land: Mapping[str, tuple[season.Boat, tuple[str, ...]]],
    states: Mapping[str, State],
    lifts: Sequence[season.Lift],
    people: Sequence[season.Person],
    now: datetime,
) -> Iterator[GoesIn]:
    """What slipped, then the launches of today: ``on_land`` are all that can still go in.

    A lift that is shut is said of today's alone: when she goes in else, nobody has planned.
    """
    for go in plan.plan.launches if plan else ():
        if go.starts.date() < now.date() and go.boat in on_land:
            yield GoesIn(go, _hers(go, on_land, states, lifts, now), slipped=True)
        elif go.starts.date() == now.date():
            hers, fetched = _hers(go, on_land, states, lifts, now), go.fetched or go.starts
            shut = none_can(by_plan(lifts, go.lift), people, fetched, go.ends, clock.zone())
            yield GoesIn(go, replace(hers, held=(*shut, *hers.held)), slipped=False)


def _hers(
    go: Launch,
    on_land: Mapping[str, tuple[season.Boat, tuple[str, ...]]],
    states: Mapping[str, State],
    lifts: Sequence[season.Lift],
    now: datetime,
) -> Kept:
    if go.boat in on_land:
        boat, holds = on_land[go.boat]
        hers = kept(boat, holds, max(now, go.starts))
        measure = Lifts(tuple(lifts)).asks(boat) if lifts else ""
        return replace(hers, asked=(*hers.asked, *filter(None, (measure,))))
    if go.boat not in states:
        return Kept((f"She {NOT_ON_FILE}.",))
    return NOT_GOING_IN if states[go.boat] == State.NOT_GOING_IN else NOTHING_FOUND
