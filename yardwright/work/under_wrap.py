"""A boat's under-wrap card: what was drawn this season, and who has read it. Nothing here writes."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import NamedTuple

from yardwright.fleet.models import Boat
from yardwright.procedures.under_wrap import LOOKED_UNDER, Mark, Sort, Spot, Zone
from yardwright.work.models import Fact, Kind
from yardwright.work.queries import season_began, story
from yardwright.yard.models import Person

NOT_DRAWN = "Nobody drew what lies under her wrap. Feel under the wrap before you cut."
NO_CUT = "Where a cut is safe was not drawn. Feel under the wrap before you cut."


class Marked(NamedTuple):
    """One thing on the card, and the entry that put it there."""

    mark: Mark
    fact: Fact


@dataclass(frozen=True, slots=True)
class Card:
    """What is known of one boat's wrap."""

    marked: tuple[Marked, ...]
    readings: tuple[Fact, ...]  # of the card as it stands: what came later was not read

    @property
    def is_drawn(self) -> bool:
        return bool(self.marked)

    @property
    def cuts(self) -> list[Marked]:
        return [one for one in self.marked if one.mark.sort == Sort.CUT]

    @property
    def others(self) -> list[Marked]:
        """What a blade must not meet, and what is counted out."""
        return [one for one in self.marked if one.mark.sort != Sort.CUT]

    @property
    def not_known(self) -> str:
        """What the card does not say; nothing where it says all."""
        if not self.is_drawn:
            return NOT_DRAWN
        return "" if self.cuts else NO_CUT

    def read_by(self, person: Person) -> Fact | None:
        return next((fact for fact in self.readings if fact.by_id == person.pk), None)


def card(boat: Boat, until: datetime | None = None) -> Card:
    """Her card as it stood at some moment; None: as it stands now."""
    return card_in(story([boat])[boat.pk], until)


def card_in(facts: Iterable[Fact], until: datetime | None = None) -> Card:
    """The same from her story: what was drawn since she last came out of the water.

    A mark that a phone without signal sent later was on no card that was read before it came.
    """
    known = [fact for fact in facts if until is None or fact.done_at <= until]
    began = season_began([fact for fact in known if fact.kind in (Kind.MOVED, Kind.LIFTED)])
    drawn = [f for f in known if f.kind == Kind.UNDER_WRAP and f.done_at >= began]
    since = max((fact.done_at for fact in drawn), default=began)
    came = max((fact.received_at for fact in drawn), default=began)
    readings = [
        fact
        for fact in known
        if _is_reading(fact) and fact.done_at >= since and fact.received_at >= came
    ]
    return Card(tuple(_marked(drawn)), tuple(readings))


def _is_reading(fact: Fact) -> bool:
    """Whoever looked under the film with the card in hand has read it."""
    return fact.kind == Kind.CARD_READ or (fact.kind == Kind.DONE and fact.what == LOOKED_UNDER)


def _marked(drawn: Sequence[Fact]) -> Iterable[Marked]:
    for number, fact in enumerate(drawn, 1):
        body = fact.body
        spot = Spot(*body["spot"]) if body["spot"] else None
        mark = Mark(number, fact.what, Sort(body["sort"]), Zone(body["zone"]), spot, body["goes"])
        yield Marked(mark, fact)
