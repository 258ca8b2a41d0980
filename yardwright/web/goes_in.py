"""The boats that the plan has go in today, and what keeps each on land."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
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
    """A launch of today, and what keeps her on land: a shut lift first."""

    launch: Launch
    kept: Kept

    @property
    def when(self) -> str:
        return f"{self.launch.starts:%H:%M}–{self.launch.ends:%H:%M}"


def goes_in(
    plan: Published | None,
    on_land: Mapping[str, tuple[season.Boat, tuple[str, ...]]],
    states: Mapping[str, State],
    lifts: Sequence[season.Lift],
    people: Sequence[season.Person],
    now: datetime,
) -> Iterator[GoesIn]:
    """Each launch of today; of boats still to go in their holds are known, of all others the state."""
    for go in plan.plan.launches if plan else ():
        if go.starts.date() == now.date():
            hers = _hers(go, on_land, states, lifts, now)
            shut = none_can(
                by_plan(lifts, go.lift), people, go.fetched or go.starts, go.ends, clock.zone()
            )
            yield GoesIn(go, replace(hers, held=(*shut, *hers.held)))


def _hers(
    go: Launch,
    on_land: Mapping[str, tuple[season.Boat, tuple[str, ...]]],
    states: Mapping[str, State],
    lifts: Iterable[season.Lift],
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
