"""Which lift carries which boat, and from which ground."""

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta
from itertools import chain
from typing import NamedTuple
from zoneinfo import ZoneInfo

from yardwright.calc.counting import listed
from yardwright.season import slings
from yardwright.season.day_hours import Hours, open_on, run_on
from yardwright.season.model import Boat, Hold, Lift, Person, Place, Season


@dataclass(frozen=True, slots=True)
class Measure:
    """One measure of a boat that a lift sets a limit to, and how both are said."""

    name: str
    hers: Callable[[Boat], float | None]
    most: Callable[[Lift], float | None]
    says: str
    takes: str
    limit: str
    do: str

    def breach(self, lift: Lift, boat: Boat) -> tuple[float, float] | None:
        """Hers and the lift's limit, where hers is over it."""
        hers, most = self.hers(boat), self.most(lift)
        return None if hers is None or most is None or hers <= most else (hers, most)

    def not_known(self, lift: Lift, boat: Boat) -> bool:
        """Whether the lift's limit asks for a measure that nobody has taken."""
        return self.most(lift) is not None and self.hers(boat) is None


def heaviest(boat: Boat) -> float | None:
    """What she may weigh at most, in kilograms; None is not known."""
    return None if boat.weight_kg is None else boat.weight_kg * (1 + (boat.weight_within or 0.0))


WEIGHT = Measure(
    "weight",
    heaviest,
    lambda lift: lift.rating_kg,
    "she weighs up to {:,.0f} kg",
    "may carry",
    "{:,.0f} kg",
    "weigh her",
)
DECIDING = (
    WEIGHT,
    Measure(
        "beam",
        lambda boat: boat.beam_m,
        lambda lift: lift.beam_m,
        "her beam is {:g} m",
        "takes",
        "{:g} m",
        "measure her",
    ),
    Measure(
        "draft",
        lambda boat: boat.draft_m,
        lambda lift: lift.draft_m,
        "she draws {:g} m",
        "takes",
        "{:g} m",
        "measure her",
    ),
)
SLINGS = Measure(
    "sling load",
    slings.heavier_kg,
    slings.may_carry_kg,
    "one of her slings carries up to {:,.0f} kg of her",
    "may put on one",
    "{:,.0f} kg",
    "move her slings",
)


def breaches(lift: Lift, boat: Boat) -> Iterator[tuple[Measure, str]]:
    """What of her is more than a lift takes, each in words without a full stop."""
    for one in (*DECIDING, SLINGS):
        if over := one.breach(lift, boat):
            hers, most = one.says.format(over[0]), one.limit.format(over[1])
            yield one, f"{hers}, and the {lift.name} {one.takes} {most}"


def to_measure(lift: Lift, boat: Boat) -> tuple[str, ...]:
    """Those of her measures that the lift has a limit for and nobody knows: "her beam"."""
    return tuple(f"her {one.name}" for one in DECIDING if one.not_known(lift, boat))


class Minutes(NamedTuple):
    """How long a lift takes for a boat: before she meets the water, and from there on."""

    carry: int
    launch: int


def her_minutes(lift: Lift, boat: Boat) -> Minutes:
    """A lift's minutes for a boat: the longest of her kinds, else its usual ones.

    Of whom nobody wrote what she has, all of them count.
    """
    usual = Minutes(lift.carry_min, lift.launch_min)
    hers = [
        Minutes(kind.carry_min, kind.launch_min)
        for kind in lift.by_kind
        if kind.has in boat.has or not boat.has
    ]
    some = [*hers, usual] if not hers or not boat.has else hers
    return Minutes(max(one.carry for one in some), max(one.launch for one in some))


def no_limit(lift: Lift) -> str:
    """What a lift has no limit on file for, in a sentence; empty where it has both."""
    limits = {"wide": lift.beam_m, "deep": lift.draft_m}
    unknown = [what for what, most in limits.items() if most is None]
    if not unknown:
        return ""
    return (
        f"No limit on file: how {listed(unknown)} a boat the {lift.name} takes. Measure it, and write it "
        "down."
    )


OR = " or "


def kind_named(alike: Iterable[Lift]) -> str:
    """How a plan names lifts that are alike: any of them may carry her."""
    return OR.join(lift.name for lift in alike)


def by_plan(lifts: Iterable[Lift], named: str) -> tuple[Lift, ...]:
    """The lifts of the yard that a plan names: one, or those that were alike when it was made.

    None where it names none, or one that is no longer on file.
    """
    lifts = tuple(lifts)
    if one := next((lift for lift in lifts if lift.name == named), None):
        return (one,)
    return tuple(lift for lift in lifts if f"{OR}{lift.name}{OR}" in f"{OR}{named}{OR}")


@dataclass(frozen=True, slots=True)
class Lifts:
    """The lifts of a yard. Those that differ in nothing but their name and their wind limit are of one kind.

    Raises
    ------
    ValueError
        There is none.
    """

    lifts: tuple[Lift, ...]
    alike: tuple[tuple[Lift, ...], ...] = field(init=False)
    by_name: Mapping[str, Lift] = field(init=False)

    def __post_init__(self) -> None:
        if not self.lifts:
            raise ValueError("There is no lift, so nothing can be launched; enter one.")
        alike: dict[Lift, list[Lift]] = {}
        for lift in self.lifts:
            alike.setdefault(replace(lift, name="", wind_limit=None), []).append(lift)
        object.__setattr__(self, "alike", tuple(tuple(some) for some in alike.values()))
        object.__setattr__(self, "by_name", {lift.name: lift for lift in self.lifts})

    def kind_of(self, lift: Lift) -> str:
        """The first of its kind's name."""
        return next(some[0].name for some in self.alike if lift in some)

    def that_carries(self, boat: Boat) -> Lift | str:
        """The lift named for her where it may, or the smallest that may; or why none is known.

        A lift that all she is known by leaves to her is hers also where something is not known:
        it is asked for at the lift, before she is lifted (``asks``). Where what is not known of
        her weight, beam or draft decides between lifts, none is hers.
        """
        if named := self.by_name.get(boat.lift):
            over = next(breaches(named, boat), None)
            return named if over is None else _named_may_not(named, *over)
        able = [some[0] for some in self.alike if not any(breaches(some[0], boat))]
        if not able:
            return self._none_may(boat)
        sure = [lift for lift in able if not to_measure(lift, boat)]
        if sure or len(able) == 1:
            return min(sure or able, key=lambda lift: lift.rating_kg)
        unknown = list(dict.fromkeys(words for lift in able for words in to_measure(lift, boat)))
        does = "weigh" if unknown == ["her weight"] else "measure"
        are = "is" if len(unknown) == 1 else "are"
        return f"{listed(unknown)} {are} not known, nor which lift may carry her; {does} her, or name it"

    def that_may_carry(self, boat: Boat) -> tuple[Lift, ...]:
        """The lift named for her, else those that may carry her; none where that is not known."""
        named = self.by_name.get(boat.lift)
        among = (named,) if named else self.lifts
        able = tuple(lift for lift in among if not any(breaches(lift, boat)))
        sure = tuple(lift for lift in able if not to_measure(lift, boat))
        return sure or (able if len({self.kind_of(lift) for lift in able}) == 1 else ())

    def _none_may(self, boat: Boat) -> str:
        """What each lift refuses her for; in one sentence where it is the same for all."""
        over = [(lift, *next(breaches(lift, boat))) for lift in self.lifts]
        if len({one.name for _, one, _ in over}) > 1:
            return f"no lift here takes her: {'; '.join(says for _, _, says in over)}"
        one = over[0][1]
        hers, most = one.hers(boat), max(one.most(lift) or 0.0 for lift, _, _ in over)
        assert hers is not None  # noqa: S101  # what is not known is no breach
        return (
            f"{one.says.format(hers)}, and no lift here {one.takes} more than "
            f"{one.limit.format(most)}"
        )

    def asks(self, boat: Boat) -> str:
        """What is to be measured before her lift fetches her, and in its slings; empty where all is known."""
        lift = self.that_carries(boat)
        if isinstance(lift, str):
            return ""
        hang = ("what each sling carries of her",) if slings.not_known(boat) else ()
        unknown = (*to_measure(lift, boat), *hang)
        angle = (
            f"Not known: her slings' angle. Measure it before the {lift.name} lifts her."
            if slings.asks_angle(lift)
            else ""
        )
        if not unknown:
            return angle
        does = "Weigh" if unknown == ("her weight",) else "Measure"
        hers = (
            f"Not known of {boat.name}: {listed([*unknown])}. {does} her before the {lift.name} "
            "fetches her."
        )
        return " ".join(filter(None, (hers, angle)))


def _named_may_not(lift: Lift, one: Measure, says: str) -> str:
    named = says.replace(f"the {lift.name}", f"the {lift.name} named for her")
    return f"{named}; name another, or {one.do}"


def firm_from(lift: Lift, boat: Boat, places: Iterable[Place], first: date) -> date | str:
    """The first day of the season on which the ground where she stands bears a lift.

    Parameters
    ----------
    lift : Lift
        Which is to fetch her.
    boat : Boat
        As she stands.
    places : iterable of Place
        All of the yard's.
    first : date
        The season's first day: a day before it was written for another season.

    Returns
    -------
    date or str
        Why nobody knows, without a full stop: then the lift does not go there.
    """
    if not lift.firm_ground:
        return first
    place = next((one for one in places if one.name == boat.place), None)
    needs = f"the {lift.name} goes on firm ground alone, and"
    if place is None:
        return f"{needs} nobody wrote where she stands; write it"
    if place.soft is None:
        return f"{needs} nobody has said whether {place.name} goes soft; look, and write it"
    if not place.soft:
        return first
    if place.firm_from is None or place.firm_from < first:
        return (
            f"{needs} nobody has said from which day of this season {place.name} bears it; look, "
            "and write the day"
        )
    return place.firm_from


def on_this_ground(
    lift: Lift, boat: Boat, places: Iterable[Place], first: date, day: date
) -> tuple[str, ...]:
    """What refuses to fetch her from where she stands on a day; empty where nothing does."""
    firm = firm_from(lift, boat, places, first)
    if isinstance(firm, str):
        return (f"Not known: {firm}.",)
    if day < firm:
        return (
            f"{boat.place} bears the {lift.name} from {firm:%a} {firm.day} {firm:%b} on; before, "
            "the ground may give way under it.",
        )
    return ()


def held_now(lift: Lift, at: datetime, zone: ZoneInfo) -> tuple[str, ...]:
    """What refuses a lift that carries nothing at a moment: wind, a repair; empty where nothing does."""
    return _held(lift, at, at + timedelta.resolution, zone)


def held_soon(lift: Lift, at: datetime, until: datetime, zone: ZoneInfo) -> tuple[str, ...]:
    """The same of what has not begun yet and begins before another moment."""
    to_come = tuple(hold for hold in lift.holds if hold.starts > at)
    return _held(replace(lift, holds=to_come), at, until, zone)


def nobody_in(lift: Lift, people: Iterable[Person], day: date) -> bool:
    """Whether nobody who may run a lift is in at its hours on a day on which it is open otherwise."""
    return bool(open_on(lift, day)) and not run_on(lift, people, day)


def shut_while(
    lift: Lift, people: Iterable[Person], start: datetime, end: datetime, zone: ZoneInfo
) -> tuple[str, ...]:
    """Why a lift can't be had for all of a time; empty where it can.

    Its hours, those of the people who may run it, or what holds it.
    """
    since, until = start.astimezone(zone), end.astimezone(zone)
    said = []
    hours = open_on(lift, since.date())
    if not hours:
        said.append(f"The {lift.name} is shut on a {since:%A}.")
    elif not _inside(hours, since, until):
        open_at = listed([f"{begins:%H:%M} to {ends:%H:%M}" for begins, ends in hours])
        said.append(f"The {lift.name} is open {open_at} only.")
    elif not _inside(run_on(lift, people, since.date()), since, until):
        said.append(f"Nobody who may run the {lift.name} is in for all of that time.")
    return (*said, *_held(lift, start, end, zone))


def none_can(
    lifts: Iterable[Lift],
    people: Collection[Person],
    start: datetime,
    end: datetime,
    zone: ZoneInfo,
) -> tuple[str, ...]:
    """Why none of some lifts can be had for all of a time; empty where one can, or there is none."""
    why = [shut_while(lift, people, start, end, zone) for lift in lifts]
    return tuple(chain(*why)) if all(why) else ()


def _inside(hours: Hours, since: datetime, until: datetime) -> bool:
    """Whether a time lies within hours of the day on which it begins."""
    day, end = since.date(), (until.date(), until.time())
    return any(begins <= since.time() and end <= (day, ends) for begins, ends in hours)


def _held(lift: Lift, start: datetime, end: datetime, zone: ZoneInfo) -> tuple[str, ...]:
    """What holds a lift in some of a time, the first first; each says from when, if that is later."""
    said = []
    for hold in sorted(lift.holds, key=lambda one: one.starts):
        if hold.starts < end and start < hold.ends:
            since = None if hold.starts > start else start
            said.append(carries_nothing(lift, hold, zone, since))
    return tuple(said)


def carries_nothing(lift: Lift, hold: Hold, zone: ZoneInfo, now: datetime | None = None) -> str:
    """One time in which a lift is held, from and to; only until when, where it began before now."""
    begins, ends = hold.starts.astimezone(zone), hold.ends.astimezone(zone)
    beside = now.astimezone(zone) if now else begins
    since = "until " if now else f"{_day(begins)} {begins:%H:%M} to "
    until = "" if ends.date() == beside.date() else f"{_day(ends)} "
    why = f": {hold.why}" if hold.why else ""
    return f"The {lift.name} carries nothing {since}{until}{ends:%H:%M}{why}."


def opens_within(lift: Lift, start: datetime, end: datetime, zone: ZoneInfo) -> bool:
    """Whether a lift is open by its days and hours in some of a time."""
    since, until = start.astimezone(zone), end.astimezone(zone)
    days = (since.date() + timedelta(n) for n in range((until.date() - since.date()).days + 1))
    return any(
        (since.date(), since.time()) < (day, ends) and (day, begins) < (until.date(), until.time())
        for day in days
        for begins, ends in open_on(lift, day)
    )


def _day(at: datetime) -> str:
    return f"{at:%a} {at.day} {at:%b}"


def the_lift(season: Season, name: str = "") -> Lift:
    """The one lift that is asked about, such as for hauling out.

    Raises
    ------
    ValueError
        There is none, or several and none was named.
    """
    named = [lift for lift in season.lifts if name in ("", lift.name)]
    if len(named) == 1:
        return named[0]
    there = ", ".join(lift.name for lift in season.lifts) or "none"
    raise ValueError(f"This is asked of one lift at a time; name it. There are: {there}.")
