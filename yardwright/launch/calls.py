"""Which owners are to be called now: what they were told, and what the plan that holds says. Nothing here writes."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import NamedTuple

from yardwright.fleet.models import Boat
from yardwright.launch import queries
from yardwright.launch.held import shortly
from yardwright.launch.watched import watches
from yardwright.procedures.going_in import State
from yardwright.season.new_in_water import Watch
from yardwright.season.published import Published
from yardwright.season.spring import ON_LAND
from yardwright.season.zone import said_day
from yardwright.work import queries as work
from yardwright.work import verdicts
from yardwright.work.models import Fact, Kind
from yardwright.yard import clock

SHOWN = 12  # owners at once; the others unfold
NOT_OURS_TO_TELL = (State.AFLOAT, State.HANDED_OVER)
CALLED = "a call to her owner"  # what the notes on such calls are about
KNOWS = f"{CALLED}, who knows that she does not go in"


class Heard(NamedTuple):
    """The day that an owner was told last, and whether in Ink; an earlier Ink that still stands."""

    day: date
    in_ink: bool
    ink: date | None = None

    @property
    def kept_by(self) -> date:
        """The day by which she is late."""
        return self.ink or self.day

    @property
    def words(self) -> str:
        if self.in_ink:
            return f"{said_day(self.day)} in Ink"
        still = f", Ink still {said_day(self.ink)}" if self.ink else ""
        return f"{said_day(self.day)} by phone{still}"


@dataclass(frozen=True, slots=True)
class Call:
    """An owner to call: what they heard, None: no day yet, and the day by the plan or why it has none.

    Of a boat in the water the day is that of her watch, and ``why`` says how that is.
    """

    boat: Boat
    heard: Heard | None
    day: date | None
    why: str
    sure: str  # that day, in words; empty: not known
    held: str = ""  # what holds her now
    watched: bool = False  # in the water: her watch says the day
    called: str = ""  # when her owner was last called, by whom, and what was said

    @property
    def in_ink(self) -> bool:
        """Whether a day in Ink stands: one that moves is told as Ink."""
        return self.heard is not None and (self.heard.in_ink or self.heard.ink is not None)


@dataclass(frozen=True, slots=True)
class Calls:
    """Those who were told a day that the plan does not keep, Ink first; and those told none yet.

    Whose boat is not going in is one of the first until somebody writes that they know it.
    """

    now: list[Call]
    untold: list[Call]
    old: str  # why what is said of how sure a day is no longer holds

    @property
    def first(self) -> list[Call]:
        """Those to call first."""
        return self.now[:SHOWN]

    @property
    def more(self) -> list[Call]:
        return self.now[SHOWN:]


def calls(plan: Published | None, sure: Mapping[str, queries.Sure]) -> Calls:
    """Whose owner is to be called, by the plan that holds; without one there is nothing to tell."""
    if plan is None:
        return Calls([], [], "")
    every = [*_every(plan, _heard(), sure)]
    late = [one for one in every if one.heard and (one.day is None or one.day > one.heard.kept_by)]
    untold = [one for one in every if one.heard is None]
    holds = verdicts.held(one.boat for one in (*late, *untold))
    olds = {one.old for one in sure.values()}  # of one boat told in Ink since, hers alone
    old = "" if "" in olds else next(iter(olds), "")

    def ordered(some: list[Call]) -> list[Call]:
        asked = (replace(one, held=shortly(holds.get(one.boat.name, ()))) for one in some)
        return sorted(asked, key=_ink_first)

    return Calls(ordered(late), ordered(untold), old)


def _every(
    plan: Published, heard: Mapping[int, Heard], sure: Mapping[str, queries.Sure]
) -> Iterator[Call]:
    """The boats of the plan, and those of which a day was told and that it has not in it."""
    states, watched, said = work.where_all(), watches(), _Said.of_all()
    for row in Boat.objects.select_related("owner"):
        state = states.get(row.pk, work.NOWHERE).state
        told, hers, watch = plan.told.get(row.name), heard.get(row.pk), watched.get(row.name)
        here, lost = state in ON_LAND or watch is not None, state == State.NOT_GOING_IN
        if state in NOT_OURS_TO_TELL or (lost and said.know_it(row.pk)):
            continue
        if (told is None or lost) and not (hers and here):
            continue
        day, why = _day(plan, row.name, watch, state)
        known = sure.get(row.name)
        yield Call(
            row,
            hers,
            day,
            why,
            known.by(day) if known and day else "",
            watched=watch is not None,
            called=said.words(row.pk),
        )


def _day(plan: Published, boat: str, watch: Watch | None, state: State) -> tuple[date | None, str]:
    """The day to tell of a boat, or why there is none; of one in the water both."""
    if state == State.NOT_GOING_IN:
        return None, "she is not going in this season"
    planned = plan.told[boat].handed_over if boat in plan.told else None
    if watch:
        return watch.handed_over(planned), f"she is in the water, {watch.words}"
    if planned is None:
        return None, plan.why_left_out(boat) or "she is not in the plan"
    if planned < clock.today():
        return None, f"{said_day(planned)} has passed; replan first"
    return planned, ""


@dataclass(frozen=True, slots=True)
class _Said:
    """What was written of calls to owners, by boat: the last, and since when they know that she stays."""

    last: Mapping[int, Fact]
    known_at: Mapping[int, datetime]
    went_at: Mapping[int, datetime]  # when she was last in another state than Not going in

    @classmethod
    def of_all(cls) -> "_Said":
        notes = work.standing().filter(kind=Kind.NOTE, what__in=(CALLED, KNOWS))
        facts = [*notes.select_related("by").order_by("done_at", "received_at")]
        known = {fact.boat_id or 0: fact.done_at for fact in facts if fact.what == KNOWS}
        moves = work.standing().filter(kind__in=queries.MOVES, boat__in=known)
        went = moves.exclude(what=State.NOT_GOING_IN).order_by("done_at")
        return cls(
            {fact.boat_id or 0: fact for fact in facts},
            known,
            {boat or 0: at for boat, at in went.values_list("boat", "done_at")} if known else {},
        )

    def know_it(self, boat: int) -> bool:
        """Whether her owner knows that she is not going in: it was written since she is not."""
        known, went = self.known_at.get(boat), self.went_at.get(boat)
        return known is not None and (went is None or went < known)

    def words(self, boat: int) -> str:
        fact = self.last.get(boat)
        if fact is None:
            return ""
        at = fact.done_at.astimezone(clock.zone())
        day = said_day(at.date(), clock.today())
        return f"{day} {at:%H:%M}, {fact.by}: {fact.body['words']}"


def _ink_first(one: Call) -> tuple[bool, date, str]:
    day = one.heard.kept_by if one.heard else one.day
    return not one.in_ink, day or date.max, one.boat.name


def heard_of(boat: Boat) -> Heard | None:
    """The day her owner was told last this season; None: no day yet."""
    return _heard(boat=boat).get(boat.pk)


def _heard(**whose: Boat) -> dict[int, Heard]:
    """The day each owner was told last this season, by boat: in Ink, or with its odds."""
    kinds = (Kind.PROMISED, Kind.TOLD)
    told = work.standing().filter(kind__in=kinds, what__in=("ink", "odds"), **whose)
    days = told.order_by("done_at", "received_at").values_list("boat", "kind", "body__day")
    heard, inks = dict[int, Heard](), dict[int, date]()
    for boat, kind, told_day in days:
        day = date.fromisoformat(told_day)
        if not work.is_of_season(day):
            continue
        if kind == Kind.PROMISED:
            inks[boat] = day
        ink = inks.get(boat)
        heard[boat] = Heard(day, day == ink, ink if ink and ink < day else None)
    return heard
