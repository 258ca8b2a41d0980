"""One yard, its boats and its water, as plain values: what a season file says and the app holds."""

from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from datetime import UTC, date, datetime, time
from enum import IntEnum, StrEnum

from yardwright.procedures import readings
from yardwright.procedures.going_in import WATCH_MIN, State
from yardwright.procedures.put_backs import Undone
from yardwright.procedures.readings import Reading
from yardwright.procedures.step import Has
from yardwright.procedures.ways_in import Barrier, Disturbed, Look
from yardwright.tides.sill import Sill
from yardwright.tides.water import Extreme

VERSION = 1


class Right(StrEnum):
    """What a person may do beyond looking."""

    PROVE = "prove"
    CLEAR = "clear"
    WATER = "put in the water"
    INK = "ink"
    MONEY = "see money"
    TEACH = "teach"


class Weekday(IntEnum):
    """A day of the week, counted as ``date.weekday`` does."""

    MON = 0
    TUE = 1
    WED = 2
    THU = 3
    FRI = 4
    SAT = 5
    SUN = 6


WORKING_WEEK = tuple(Weekday)[:5]
WEEKEND = tuple(Weekday)[5:]
OWNER = "owner"  # whose work it is, where the owner does it


@dataclass(frozen=True, slots=True)
class Yard:
    """The yard itself, the season it plans, and what it keeps under a keel."""

    name: str
    zone: str  # IANA name, such as America/New_York
    first_day: date
    last_day: date
    sling_bight_m: float
    margin_m: float
    latitude: float | None = None
    longitude: float | None = None
    photo_place: bool = False  # photos keep where they were taken
    hands: int = 1  # jobs that can go on at once on a boat
    last_frost: date | None = None  # the day from which none is expected; None is not known


@dataclass(frozen=True, slots=True)
class Looks:
    """Looks after boats new in the water: how long each, how many at once, and at which hours."""

    minutes: int
    at_once: int
    hours: tuple[tuple[time, time], ...]
    weekdays: tuple[Weekday, ...] = tuple(Weekday)


@dataclass(frozen=True, slots=True)
class Water:
    """Where the level comes from, a station's constants or a typed table, and our sill.

    ``source`` says who printed the table; a station says so itself.
    """

    datum: str
    epoch: str
    sill: Sill
    station: str = ""
    source: str = ""
    table: tuple[Extreme, ...] = ()


@dataclass(frozen=True, slots=True)
class Hold:
    """A time in which a lift carries nothing, and why: wind, a repair."""

    starts: datetime
    ends: datetime
    why: str = ""


@dataclass(frozen=True, slots=True)
class OnDay:
    """Some hours of one day alone, by the clock, and why."""

    day: date
    starts: time
    ends: time
    why: str = ""


@dataclass(frozen=True, slots=True)
class LiftMinutes:
    """A lift's minutes for a boat that has something: a mast, an inboard diesel."""

    has: Has
    launch_min: int
    carry_min: int = 0


@dataclass(frozen=True, slots=True)
class WindLimit:
    """The strongest wind in which a lift's maker lets it lift, and where the maker says so."""

    m_s: float
    source: str
    page: str


@dataclass(frozen=True, slots=True)
class Lift:
    """What puts boats in: what it takes, its ground, its hours, and its minutes.

    ``beam_m`` and ``draft_m`` are of the widest and the deepest boat that goes between its legs,
    into its cradle, under its hook. With ``firm_ground`` it goes only where the ground bears it.
    ``carry_min`` goes by before a boat meets the water: into the slings and to the well. All of
    ``launch_min`` needs water: the hang, slings off, and the way back out. Boats of which ``by_kind``
    says so take other minutes (`lifts.her_minutes`). Those in ``run_by`` may run it: it is open only
    while one of them is at work. With none named it has a crew of its own. It is open
    ``longer`` on single days.
    """

    name: str
    kind: str  # travel lift, crane, ...
    rating_kg: float
    sling_rating_kg: float
    opens: time
    closes: time
    launch_min: int
    aside_min: int | None = None  # None: a boat can't be moved aside here
    weekdays: tuple[Weekday, ...] = WORKING_WEEK
    carry_min: int = 0
    holds: tuple[Hold, ...] = ()
    beam_m: float | None = None
    draft_m: float | None = None
    firm_ground: bool = False
    by_kind: tuple[LiftMinutes, ...] = ()
    run_by: tuple[str, ...] = ()  # people
    wind_limit: WindLimit | None = None  # None: no limit on file
    longer: tuple[OnDay, ...] = ()


@dataclass(frozen=True, slots=True)
class Person:
    """Someone who works here; what they learn they do while somebody of that trade watches."""

    name: str
    trades: tuple[str, ...] = ()
    hours: tuple[tuple[time, time], ...] = ()  # of a working day
    weekdays: tuple[Weekday, ...] = WORKING_WEEK
    off: tuple[date, ...] = ()
    rights: frozenset[Right] = frozenset()
    learner: bool = False
    overtime: tuple[tuple[time, time], ...] = ()  # of a working day, outside its hours
    learns: tuple[str, ...] = ()  # trades
    may_watch: int = 1  # learners at once
    of_age_on: date | None = None  # until then a minor
    away: tuple[OnDay, ...] = ()  # for these hours, though they work that day
    longer: tuple[OnDay, ...] = ()  # they work these too

    def works_on(self, day: date) -> bool:
        """Whether they work on a day, at their hours (`day_hours.hours_of`)."""
        return day.weekday() in self.weekdays and day not in self.off


@dataclass(frozen=True, slots=True)
class Place:
    """A row, a shed bay, a trailer line: where boats stand."""

    name: str
    kind: str
    berths: int
    length_m: float | None = None  # of the longest boat that it takes
    bears_kg: float | None = None  # on the ground of one berth
    headroom_m: float | None = None  # under roof or wires
    soft: bool | None = None  # its ground goes soft in thaw or wet
    firm_from: date | None = None  # the day of this season from which soft ground bears a lift


@dataclass(frozen=True, slots=True)
class Part:
    """Something ordered: when it is due, None is *not known*; when it came, None is *not yet*."""

    name: str
    arrives: datetime | None = None
    came: datetime | None = None

    def overdue(self, now: datetime) -> bool:
        """Its day has passed and nobody said that it came: where it is, nobody knows."""
        if self.came or self.arrives is None:
            return False
        return self.arrives.astimezone(UTC) <= now.astimezone(UTC)


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit(readings.Limit):
    """A limit that the yard filed, for one boat, for one kind of engine, or for all."""

    quantity: str
    engine: str = ""
    boat: str = ""


@dataclass(frozen=True, slots=True)
class Chosen:
    """Where sources conflict, the one that the yard goes by; the book shows the others beside it."""

    what: str  # the row used unless the yard chooses, such as batteries/electrolyte_freezes
    row: str  # the one it chose, such as electrolyte_freezes_handbook
    reason: str
    by: str
    at: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnStep:
    """How the yard does a step, or a thing of its own that can be left undone.

    With no title and no thing it leaves the step out. The words are those of the book.
    """

    code: str
    title: str = ""
    stage: str = ""
    trade: str = ""
    minutes: int | None = None
    why: str = ""
    how: tuple[str, ...] = ()
    goes_wrong: str = ""
    caution: str = ""
    proof_words: str = ""
    needs: tuple[str, ...] = ()
    for_any: tuple[str, ...] = ()
    unless: tuple[str, ...] = ()
    hazards: tuple[str, ...] = ()
    opens: tuple[str, ...] = ()
    proves: tuple[str, ...] = ()
    after: tuple[str, ...] = ()
    reading: str = ""
    watch_learner: bool = False
    once: bool = False
    refills: bool = False
    source: str = ""
    trust: str = ""
    what: str = ""
    if_forgotten: str = ""
    harm: str = ""
    before: str = ""
    also_before: str = ""
    proof: str = ""
    second: bool = False
    system: str = ""
    lies_hint: str = ""
    barrier: str = ""
    reason: str
    by: str
    at: datetime

    @property
    def row(self) -> Mapping[str, object] | None:
        """As the book reads a step; None where it is left out."""
        left = ("code", "reason", "by", "at")
        told = {one.name: getattr(self, one.name) for one in fields(self) if one.name not in left}
        listed = {name: list(v) if isinstance(v, tuple) else v for name, v in told.items() if v}
        return listed if self.title or self.what else None


@dataclass(frozen=True, slots=True, kw_only=True)
class Instrument(readings.Instrument):
    """An instrument on the yard's shelf; ``quantity`` empty means anything in its unit."""

    quantity: str = ""


@dataclass(frozen=True, slots=True)
class Work:
    """A piece of work that a boat waits for.

    ``dry_hours`` go by after it before she meets the water, and not more than ``within_days``.
    ``second_look`` asks for somebody else of the trade to look at it when it is done, and
    ``needs_yes`` holds until her owner has agreed to its price.
    """

    what: str
    trade: str
    minutes: int
    after: tuple[str, ...] = ()
    part: str = ""
    afloat: bool = False
    dry_hours: float = 0.0
    within_days: int | None = None
    second_look: bool = False
    after_frost: bool = False
    needs_yes: bool = False


@dataclass(frozen=True, slots=True)
class History:
    """What a kind of job was like in this yard: a step by its code, other work by name and trade.

    ``took_min`` has the minutes it took and those planned, of each job of which somebody said;
    ``found_min`` those of the work that was found on the way, of each job on which some was.
    """

    what: str
    jobs: int
    trade: str = ""  # of other work
    took_min: tuple[tuple[int, int], ...] = ()
    found_min: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Promise:
    """The days: the owner's wish, ours that may move, and the one told to the owner."""

    wished: date | None = None
    pencil: date | None = None
    ink: date | None = None


@dataclass(frozen=True, slots=True)
class Owner:
    """Who owns a boat, and when they can come for work of their own on her."""

    name: str
    phone: str = ""
    email: str = ""
    hours: tuple[tuple[time, time], ...] = ()
    weekdays: tuple[Weekday, ...] = WEEKEND


@dataclass(frozen=True, slots=True)
class Lifted:
    """When a lift brought a boat to where she is, and which: into its slings, or into the water."""

    at: datetime
    lift: str


@dataclass(frozen=True, slots=True)
class Boat:
    """One boat: what she has, where she stands, what is known of her. None is *not known*."""

    name: str
    state: State
    hull_number: str = ""
    tag: str = ""  # three letters on her, also in the square code
    owner: Owner | None = None
    has: frozenset[Has] = frozenset()
    engine: str = ""  # the yard's own name for the kind, which its limits are filed under
    draft_m: float | None = None
    length_m: float | None = None
    beam_m: float | None = None
    height_m: float | None = None  # above the ground as she stands, mast and all
    weight_kg: float | None = None
    weight_within: float | None = None  # share, such as 0.10
    centre_m: float | None = None  # of gravity, from the transom
    centre_within_m: float | None = None
    slings_m: tuple[float, float] | None = None  # aft and forward, from the transom
    place: str = ""
    berth: int | None = None  # 1 stands at the aisle
    promise: Promise = field(default_factory=Promise)
    late_days: tuple[int, ...] = ()  # in past years, from the day wished for to the day she went in
    watch_min: int = WATCH_MIN  # afloat and watched, before she is her owner's
    ways_in: tuple[Barrier, ...] = ()
    work: tuple[Work, ...] = ()
    undone: tuple[Undone, ...] = ()
    looks: tuple[Look, ...] = ()
    disturbed: tuple[Disturbed, ...] = ()
    readings: tuple[Reading, ...] = ()
    done: frozenset[str] = frozenset()  # codes of the steps that are done
    lift: str = ""  # which carries her; else the smallest that may
    hands: int | None = None  # jobs at once on her; None: as many as the yard says
    insured_from: date | None = None  # not afloat before
    paid_from: date | None = None  # not handed over before
    lifted: Lifted | None = None  # of one in the slings, or watched


@dataclass(frozen=True, slots=True)
class Season:
    """One yard's season."""

    version: int
    yard: Yard
    water: Water
    lifts: tuple[Lift, ...] = ()
    people: tuple[Person, ...] = ()
    places: tuple[Place, ...] = ()
    parts: tuple[Part, ...] = ()
    limits: tuple[Limit, ...] = ()
    chosen: tuple[Chosen, ...] = ()
    steps: tuple[OwnStep, ...] = ()
    instruments: tuple[Instrument, ...] = ()
    history: tuple[History, ...] = ()
    boats: tuple[Boat, ...] = ()
    looks: Looks | None = None
