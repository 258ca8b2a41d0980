"""What is ordered: whether it is here, who says so, and what is asked about. Nothing here writes."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime, time, timedelta
from uuid import UUID, uuid4

from django.db.models import Q

from yardwright.fleet.models import Boat, Part, Work
from yardwright.season import model as season
from yardwright.season.zone import said_day
from yardwright.work.models import Fact, Kind
from yardwright.work.queries import standing
from yardwright.yard import clock


@dataclass(frozen=True, slots=True)
class Ordered:
    """A part, and the fact by which it is here: somebody said that it came, or used it."""

    part: Part
    here: Fact | None
    uuid: UUID = field(default_factory=uuid4)  # of the entry, if somebody says now that it came

    @property
    def value(self) -> season.Part:
        came = self.here.done_at if self.here else None
        return season.Part(self.part.name, self.part.arrives, came)

    @property
    def due(self) -> datetime | None:
        """By the clock on the yard's wall."""
        return self.part.arrives.astimezone(clock.zone()) if self.part.arrives else None

    @property
    def overdue(self) -> bool:
        return self.value.overdue(clock.now())

    @property
    def asked(self) -> bool:
        """Did it come? It is due today or before, and nobody said so."""
        return not self.here and self.due is not None and self.due.date() <= clock.today()

    @property
    def said(self) -> bool:
        """Somebody said that it came; else it is known by the work that is done with it."""
        return self.here is not None and self.here.kind == Kind.ARRIVED

    @property
    def boats(self) -> list[str]:
        """Whose work waits for it."""
        return list(dict.fromkeys(work.boat.name for work in self.part.work_set.all()))

    @property
    def words(self) -> str:
        """Where it stands, to be said after its name."""
        if self.here and self.said:
            return f"came {_clock(self.here.done_at.astimezone(clock.zone()))}"
        if self.here:
            return f"here: {self.here.what} on {self.here.boat} is done"
        if self.due is None:
            return "and nobody knows when it comes"
        nobody = ", and nobody said that it came" if self.overdue else ""
        return f"due {_clock(self.due)}{nobody}"


def _clock(at: datetime) -> str:
    """With its year where that is not the season's."""
    return f"{said_day(at, clock.the_yard().last_day)} {at:%H:%M}"


def ordered(parts: Iterable[Part]) -> list[Ordered]:
    rows = list(parts)
    here = _here(rows) if rows else {}
    return [Ordered(part, here.get(part.pk)) for part in rows]


def ordered_one(part: Part) -> Ordered:
    (one,) = ordered([part])
    return one


def with_parts(boat: Boat) -> list[tuple[Work, Ordered | None]]:
    """A boat's work beyond her steps, each piece with the part that it waits for."""
    pieces = list(boat.work.select_related("part"))
    parts = {one.part.pk: one for one in ordered(piece.part for piece in pieces if piece.part)}
    return [(piece, parts.get(piece.part_id or 0)) for piece in pieces]


def awaited(boats: Iterable[Boat]) -> dict[int, list[Ordered]]:
    """By boat, what her work waits for and is not here."""
    waits = {row.pk: {piece.part_id for piece in row.work.all() if piece.part_id} for row in boats}
    wanted = {part for parts in waits.values() for part in parts}
    to_come = [one for one in ordered(Part.objects.filter(pk__in=wanted)) if not one.here]
    return {boat: [one for one in to_come if one.part.pk in parts] for boat, parts in waits.items()}


def waited_for() -> list[Ordered]:
    """What is not here and work waits for, with whose; the first due first."""
    wanted = Part.objects.filter(work__isnull=False).distinct().prefetch_related("work_set__boat")
    to_come = [one for one in ordered(wanted.order_by("arrives", "pk")) if not one.here]
    return sorted(to_come, key=lambda one: one.due is None)


def asked_about() -> list[Ordered]:
    """What is due today or before and nobody said came, with who waits for it; the oldest first."""
    over = datetime.combine(clock.today() + timedelta(days=1), time(), clock.zone())
    due = Part.objects.filter(arrives__lt=over).order_by("arrives", "pk")
    return [one for one in ordered(due.prefetch_related("work_set__boat")) if one.asked]


def _here(parts: Iterable[Part]) -> dict[int, Fact]:
    """By part, the fact that it is here: what was said goes before what was done with it."""
    waiting = Work.objects.filter(part__in=parts).values_list("boat_id", "what", "part_id")
    waits = {(boat, what): part for boat, what, part in waiting}
    boats, works = {boat for boat, _ in waits}, {what for _, what in waits}
    used = Q(kind=Kind.DONE, body__of_kind="work", boat__in=boats, what__in=works)
    facts = standing().filter(Q(kind=Kind.ARRIVED) | used).select_related("boat", "by")
    said: dict[int, Fact] = {}
    done: dict[int, Fact] = {}
    for fact in facts.order_by("-done_at", "-received_at"):  # the first that shows it is kept
        if fact.kind == Kind.ARRIVED:
            said[fact.body["part"]] = fact
        elif (part := waits.get((fact.boat_id or 0, fact.what))) is not None:
            done[part] = fact
    return done | said
