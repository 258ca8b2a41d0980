"""A boat that somebody goes to, with what of her story they must know."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property

from django.db.models import Q

from yardwright.fleet import queries as fleet
from yardwright.fleet.models import Boat
from yardwright.procedures.put_backs import Undone
from yardwright.procedures.step import Step
from yardwright.procedures.steps import book
from yardwright.season import model as season
from yardwright.season.going_in import Kept, kept
from yardwright.season.spring import ON_LAND
from yardwright.work import put_backs, verdicts
from yardwright.work import queries as work
from yardwright.work.models import Fact
from yardwright.yard import clock

NOT_ON_FILE = "is no longer on file"


@dataclass(frozen=True, slots=True)
class ToDo:
    """A step that is left, and what goes back on her with it."""

    step: Step
    goes_back: tuple[Undone, ...]

    @property
    def lies(self) -> str:
        """Where that lies."""
        return "; ".join(thing.lies or "nobody wrote where" for thing in self.goes_back)


def stands(boat: season.Boat) -> str:
    """Where somebody finds her."""
    if boat.state not in ON_LAND:
        return str(boat.state)
    if not boat.place:
        return "nobody wrote where she stands"
    return f"{boat.place}, berth {boat.berth}" if boat.berth else boat.place


@dataclass(frozen=True)
class AtBoat:
    """A boat that somebody goes to: where she stands, and what of her story they must know."""

    row: Boat
    value: season.Boat
    facts: list[Fact]

    @property
    def stands(self) -> str:
        return stands(self.value)

    @cached_property
    def left_undone(self) -> list[Undone]:
        return [one.thing for one in put_backs.left_in(self.row, self.facts)]

    @cached_property
    def holds(self) -> tuple[str, ...]:
        return verdicts.holds(self.facts)

    def kept(self, goes_in: datetime) -> Kept:
        """What keeps her on land as she stands, were she to go in then or, that over, now."""
        return kept(self.value, self.holds, max(goes_in, clock.now()))

    def to_do(self, step: Step) -> ToDo:
        kinds = book().kinds
        theirs = {kinds[code].what.casefold() for code in step.proves}
        back = (thing for thing in self.left_undone if thing.what.casefold() in theirs)
        return ToDo(step, tuple(back))


def at_boats(names: Iterable[str], also: Iterable[int] = ()) -> dict[str, AtBoat]:
    """Boats by name, and those of some ids; what is no longer on file is left out."""
    rows = list(fleet.boats().filter(Q(name__in=names) | Q(pk__in=also)))
    facts = work.story(rows)
    return {row.name: AtBoat(row, work.value(row, facts[row.pk]), facts[row.pk]) for row in rows}
