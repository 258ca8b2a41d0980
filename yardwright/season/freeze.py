"""Freeze Tonight: which boats still hold water, and in what order to save them before the hour."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from enum import StrEnum
from functools import lru_cache

from yardwright import refdata
from yardwright.calc.frost import Freezing, freezing
from yardwright.procedures.going_in import State
from yardwright.procedures.readings import Reading
from yardwright.procedures.step import Has, Step, engines_of
from yardwright.procedures.steps import Book, book, shipped
from yardwright.procedures.verdict import Verdict
from yardwright.season import checks
from yardwright.season.model import Boat, Limit

DAY_BEGINS_H = 9  # what is marked earlier is of the night that ends, later of the one to come
LOOK_MIN = 5  # to open a hatch and see whether water stands there
STRAINER_L = 0.5
FREEZE_POINT, COOLANT_LOOP = "freeze_point", "coolant loop"  # what is read, and where
ALL_OF_HER = "all of her"
NOBODY_WROTE = "what she has, and so where water stands in her, is not written down"


class Water(StrEnum):
    """Whether frost finds water; *not known* is no yes and no no."""

    HOLDS = "holds water"
    NOT_KNOWN = "not known"
    SAVED = "saved"  # for this night
    DRAINED = "drained"


@dataclass(frozen=True, slots=True)
class Holder:
    """Where water stands in a boat that has all of ``needs`` and none of ``unless``.

    ``drained_by`` are the fall steps that take it out, ``open_after`` the put-backs that stand
    open from then on; ``filled_by`` the spring steps that let water in again; ``frozen`` is the row
    of what frost would cost. Where ``read_at`` names a place nothing is drained: its freezing point
    is read there, and the verdict says what frost finds.
    """

    what: str
    needs: frozenset[Has]
    drained_by: tuple[str, ...]
    open_after: tuple[str, ...]
    frozen: str
    unless: frozenset[Has] = frozenset()
    filled_by: tuple[str, ...] = ()
    read_at: str = ""

    @property
    def place(self) -> str:
        """As it is marked saved."""
        return ALL_OF_HER if self.what == NOBODY_WROTE else self.what

    @property
    def lost_h(self) -> float:
        """What frost would cost here. [h of the shop]."""
        return refdata.table("frost")[f"frozen_{self.frozen}"].value


def _holder(
    what: str,
    needs: str,
    drained_by: str,
    open_after: str,
    frozen: str,
    filled_by: str = "",
    *,
    unless: str = "",
) -> Holder:
    steps, kinds = tuple(drained_by.split()), tuple(open_after.split())
    return Holder(what, _has(needs), steps, kinds, frozen, _has(unless), tuple(filled_by.split()))


def _coolant(engine: str) -> Holder:
    needs = _has(f"{engine}, closed cooling")
    what = "coolant loop, its freezing point"
    return Holder(what, needs, ("coolant_read",), (), "engine", read_at=COOLANT_LOOP)


def _has(words: str) -> frozenset[Has]:
    return frozenset(Has(word) for word in words.split(", ") if word)


DIESEL = "inboard diesel"
DIESEL_RUN = "diesel_first_start engine_seacock_opened"
DRIVE_RUN = "sterndrive_water_seen sterndrive_first_start petrol_run_warm"
PETROL_RUN = "petrol_inboard_first_start petrol_run_warm engine_seacock_opened"


def _petrol(engine: str, run: str) -> tuple[Holder, ...]:
    """A petrol engine inside; its block only where raw water runs through it."""
    return (
        _holder("block", engine, "block_drained", "block_drains", "engine", run, unless="closed cooling"),
        _holder("manifolds and risers", engine, "manifolds_drained", "manifold_drains", "engine", run),
        _holder("engine's low hoses", engine, "petrol_hoses_off", "cooler_hoses", "coolers", run),
        _coolant(engine),
        _holder("heat exchanger", f"{engine}, closed cooling", "pencils_out", "pencil_anodes", "exchanger", run),
    )  # fmt: skip


HOLDERS = (
    _holder("raw-water side of her diesel", DIESEL, "raw_water_hose_off antifreeze_through", "raw_water_hose", "engine", DIESEL_RUN),
    _coolant(DIESEL),
    _holder("heat exchanger", f"{DIESEL}, closed cooling", "pencils_out", "pencil_anodes", "exchanger", DIESEL_RUN),
    _holder("coolers", DIESEL, "cooler_hoses_off", "cooler_hoses", "coolers", DIESEL_RUN),
    _holder("water-lift muffler", DIESEL, "muffler_drained", "muffler_drain", "muffler", DIESEL_RUN),
    _holder("sea strainer", "sea strainer", "strainer_emptied", "strainer_open", "strainer", "strainer_closed engine_seacock_opened"),
    _holder("outboard", "outboard", "outboard_upright", "", "engine", "muffs_water_seen outboard_stop_seen outboard_first_run"),
    *_petrol("sterndrive", DRIVE_RUN),
    _holder("drive and its water hose", "sterndrive", "drive_water_hose_off drive_down_tagged", "drive_water_hose", "engine", DRIVE_RUN),
    *_petrol("inboard petrol", PETROL_RUN),
    _holder("raw-water hose", "inboard petrol", "raw_water_hose_off", "raw_water_hose", "coolers", PETROL_RUN),
    _holder("water-lift muffler", "inboard petrol", "muffler_drained", "muffler_drain", "muffler", PETROL_RUN),
    _holder("generator's raw water", "generator", "generator_hose_off generator_antifreeze", "generator_hose", "exchanger", "generator_hose_on generator_runs"),
    _holder("water heater", "water heater", "heater_drained", "heater_bypassed", "heater", "heater_full"),
    _holder("fresh water tank and lines", "fresh water", "fresh_water_drained", "tank_and_lines", "fresh_water", "fresh_water_rinsed water_filter_in"),
    _holder("sink drain", "fresh water", "sink_seacock_drained", "sink_hose", "sink", "sink_seacock_closed fresh_water_rinsed"),
    _holder("head and holding tank", "head", "head_laid_up head_seacocks_drained", "head_hoses head_fluid", "head", "head_runs holding_tank_tried"),
    _holder("holding tank", "holding tank", "tank_pumped_out macerator_dosed", "holding_tank", "head", "holding_tank_tried", unless="head"),
    _holder("shower sump", "shower sump", "shower_sump_opened", "shower_sump", "sump", "shower_sump_runs"),
    _holder("air conditioning", "air conditioning", "air_conditioning_drained", "air_conditioning_hose air_conditioning_dry", "air_conditioning", "air_conditioning_runs"),
    _holder("livewell and its pump", "livewell", "livewell_hose_off", "livewell_hose", "livewell"),
    _holder("washdown pump", "washdown pump", "washdown_laid_up", "washdown_hose", "livewell"),
)  # fmt: skip
OWN_FILL = Holder("what a step of the yard's own filled", frozenset(Has), (), (), "fresh_water")
NOT_WRITTEN = Holder(NOBODY_WROTE, frozenset(), (), (), "engine")
PLACES = tuple(dict.fromkeys(one.place for one in (*HOLDERS, OWN_FILL, NOT_WRITTEN)))
BY_A_HOLDER = frozenset(code for holder in HOLDERS for code in holder.filled_by)


@dataclass(frozen=True, slots=True)
class Held:
    """One place in one boat: whether water stands there, why we say so, and what to do about it."""

    boat: Boat
    holder: Holder
    water: Water
    because: str
    steps: tuple[Step, ...]  # still to be done
    minutes: int

    @property
    def saved_words(self) -> str:
        """What a mark says of it while it waits on a phone."""
        return f"{self.boat.name}: {self.holder.place}, saved until noon after the night"

    @property
    def is_wet(self) -> bool:
        """Frost finds water there, or nobody knows that it does not."""
        return self.water in (Water.HOLDS, Water.NOT_KNOWN)


def saved_until(at: datetime) -> datetime:
    """A mark is for one night: made before 09:00 it ends at that day's noon, else at the next's.

    Parameters
    ----------
    at : datetime
        When a place was marked saved, in the yard's zone.

    Returns
    -------
    datetime
        When the mark ends at the latest.
    """
    noon = at.replace(hour=12, minute=0, second=0, microsecond=0)
    return noon if at.hour < DAY_BEGINS_H else noon + timedelta(days=1)


def still_saved(at: datetime, ran_at: datetime | None, now: datetime) -> bool:
    """A mark is for one night, and ends as soon as her engine runs: that fills her again.

    Parameters
    ----------
    at : datetime
        When a place was marked saved, in the yard's zone.
    ran_at : datetime or None
        When her engine ran last; None: not on file.
    now : datetime
        The time asked about.

    Returns
    -------
    bool
        Whether the mark still counts.
    """
    return now < saved_until(at) and (ran_at is None or ran_at < at)


def water_in(
    boat: Boat, saved: Mapping[str, str] | None = None, limits: Iterable[Limit] = ()
) -> tuple[Held, ...]:
    """Say for each place of a boat whether frost finds water there.

    Parameters
    ----------
    boat : Boat
        What she has, the steps done on her this season, what is left undone, and the freezing
        points read this season.
    saved : mapping of str to str, optional
        Places that are marked saved and still are (`still_saved`), with by whom and when.
    limits : iterable of Limit, optional
        All that the yard filed: the coldest night that a freezing point is judged by is one.

    Returns
    -------
    tuple of Held
        *Drained* only where each step that drains it is done, and nothing was put back nor filled
        since, by one person alone or by two; a coolant loop only where that of each engine was
        read, and the verdict is *Good* or *Thin*. A
        boat of which nobody wrote what she has: one place, *not known*. None for a boat that her
        owner has.
    """
    if boat.state == State.HANDED_OVER:
        return ()
    if not boat.has:
        held = [Held(boat, NOT_WRITTEN, Water.NOT_KNOWN, "nobody looked", (), 2 * LOOK_MIN)]
    else:
        held = [
            _held(boat, holder, limits)
            for holder in HOLDERS
            if holder.needs <= boat.has and not holder.unless & boat.has
        ] + [*_own_fill(boat)]
    return tuple(_saved(one, saved or {}) for one in held)


def _saved(held: Held, saved: Mapping[str, str]) -> Held:
    """What is drained needs no mark, and has none."""
    who = saved.get(held.holder.place)
    if who is None or held.water is Water.DRAINED:
        return held
    return replace(held, water=Water.SAVED, because=who)


@lru_cache(maxsize=2)
def _steps(book: Book) -> dict[str, Step]:
    """A step that the yard took out still tells what drains her: she is not taken for dry."""
    return {step.code: step for step in (*shipped().steps, *book.steps)}


def read_at(code: str) -> str:
    """Where a step's reading is taken, as the reading says it; empty where it need not be said."""
    return next((one.read_at for one in HOLDERS if code in one.drained_by), "")


def _read(boat: Boat, holder: Holder, limits: Iterable[Limit]) -> Held:
    """By the worst word on the newest reading at each such place: port and starboard have a loop each."""
    each = [
        (reading, word)
        for reading, word in checks.newest(checks.verdicts(limits, boat))
        if reading.quantity == FREEZE_POINT and holder.read_at in reading.where
    ]
    if not each:
        because = f"said to be read, but no reading at “{holder.read_at}” is on file; read it"
        return Held(boat, holder, Water.NOT_KNOWN, because, (), _step_min(boat, holder))
    reading, word = min(each, key=lambda one: one[1].rank)
    because, engines = f"{_said(reading)}: {word}", engines_of(boat.has)
    if word is not Verdict.STOP and len(each) < engines:
        because = f"{because}; read at {len(each)} of {engines} engines, read each"
        return Held(boat, holder, Water.NOT_KNOWN, because, (), _step_min(boat, holder))
    if word in (Verdict.GOOD, Verdict.THIN):
        return Held(boat, holder, Water.DRAINED, because, (), 0)
    water = Water.HOLDS if word is Verdict.STOP else Water.NOT_KNOWN
    return Held(boat, holder, water, because, (), _step_min(boat, holder))


def _step_min(boat: Boat, holder: Holder) -> int:
    steps = _steps(book())
    return sum(steps[code].on(boat.has).minutes for code in holder.drained_by)


def _said(reading: Reading) -> str:
    at = reading.at
    return f"freezes at {reading.values[0]:g} {reading.unit}, read {at:%a} {at.day} {at:%b}"


def _held(boat: Boat, holder: Holder, limits: Iterable[Limit]) -> Held:
    steps = _steps(book())
    still = tuple(steps[code].on(boat.has) for code in holder.drained_by if code not in boat.done)
    minutes = sum(step.minutes for step in still)
    if still:
        because = f"not done: {_titles(still)}"
        return Held(boat, holder, Water.HOLDS, because, still, minutes)
    if holder.read_at:
        return _read(boat, holder, limits)
    words = {book().kinds[code].what for code in holder.open_after}
    newest = {thing.what: thing for thing in boat.undone if thing.what in words}
    put_back = any(thing.put_back is not None for thing in newest.values())
    filled = [steps[code] for code in holder.filled_by if code in boat.done]
    if filled and newest and not put_back:
        because = f"it stands open, and water was let in ({_titles(filled)}); which came last?"
        return Held(boat, holder, Water.NOT_KNOWN, because, (), LOOK_MIN)
    if filled:
        return _filled(
            boat, holder, filled, [steps[code].on(boat.has) for code in holder.drained_by]
        )
    if put_back:
        because = "drained in fall, put back since; did water follow?"
        return Held(boat, holder, Water.NOT_KNOWN, because, (), LOOK_MIN)
    return Held(boat, holder, Water.DRAINED, "drained", (), 0)


def _titles(steps: Iterable[Step]) -> str:
    return "; ".join(step.title for step in steps)


def _filled(boat: Boat, holder: Holder, filled: list[Step], drains: list[Step]) -> Held:
    """Water went in since she was drained; through an outboard that stands down it ran out again."""
    what = _titles(filled)
    if not any(step.refills for step in filled):
        because = f"water ran through it since ({what}); did it run out again?"
        return Held(boat, holder, Water.NOT_KNOWN, because, (), LOOK_MIN)
    again, minutes = tuple(drains), sum(step.minutes for step in drains)
    return Held(boat, holder, Water.HOLDS, f"filled since: {what}", again, minutes or LOOK_MIN)


def _own_fill(boat: Boat) -> Iterator[Held]:
    """What the yard's own steps filled, if there is any."""
    own = [one for one in book().steps if one.refills and one.code not in BY_A_HOLDER]
    if filled := [step for step in own if step.code in boat.done]:
        yield _filled(boat, OWN_FILL, filled, [])


@dataclass(frozen=True, slots=True)
class Visit:
    """One climb aboard for all places of a boat where the harm is of one rank.

    ``party`` says who goes, counted from 1: two people, or one; from which minute to which, the
    walk over and the ladder included.
    """

    places: tuple[Held, ...]
    party: int
    start_min: int
    end_min: int

    @property
    def boat(self) -> Boat:
        """The boat they go to."""
        return self.places[0].boat


@dataclass(frozen=True, slots=True)
class Night:
    """What can be saved before the hour, in order, and what can't, by the same order."""

    visits: tuple[Visit, ...]
    too_late: tuple[Held, ...]


def reach_min() -> int:
    """The walk to a boat, her ladder set and tied, and down again. [min]."""
    return int(refdata.table("frost")["reach_a_boat"].value)


def save_order(held: Iterable[Held], parties: int, minutes: int) -> Night:
    """Order what holds water, or may, by what each minute saves.

    Parameters
    ----------
    held : iterable of Held
        What is drained or saved is left out.
    parties : int
        Pairs that go together, or single people. 1 to 50.
    minutes : int
        Until it freezes. [min] 0 or more.

    Returns
    -------
    Night
        Each party takes the next visit that saves most per minute, and of its places as many as
        end before the hour.

    Raises
    ------
    ValueError
        Parties or minutes outside their range.

    Notes
    -----
    Shop hours lost over minutes taken, the most first: for one party without an hour to meet
    this order of visits saves soonest (Smith's rule). With an hour it is good, not proven best.
    What is not known counts as held, and takes the minutes of a look. A pair works as fast as
    one: the other holds the ladder and the light.
    """
    if not 1 <= parties <= 50:
        raise ValueError(f"{parties} parties; give 1 to 50.")
    if minutes < 0:
        raise ValueError(f"{minutes} minutes; give 0 or more.")
    free, visits, late = [0] * parties, list[Visit](), list[Held]()
    for places in _by_visit(held):
        party = free.index(min(free))
        start = free[party]
        end, taken = start + reach_min(), list[Held]()
        for one in places:
            if end + one.minutes > minutes:
                late.append(one)
            else:
                end += one.minutes
                taken.append(one)
        if taken:
            free[party] = end
            visits.append(Visit(tuple(taken), party + 1, start, end))
    visits.sort(key=lambda visit: (visit.start_min, visit.party))
    return Night(tuple(visits), tuple(late))


def _by_visit(held: Iterable[Held]) -> list[list[Held]]:
    """The wet places of each boat that cost the same, the visit that saves most per minute first."""
    visits: dict[tuple[str, float], list[Held]] = {}
    for one in held:
        if one.is_wet:
            visits.setdefault((one.boat.name, one.holder.lost_h), []).append(one)

    def saved_per_min(places: list[Held]) -> float:
        hours = sum(one.holder.lost_h for one in places)
        return hours / (reach_min() + sum(one.minutes for one in places))

    for places in visits.values():
        places.sort(key=lambda one: one.minutes)
    return sorted(
        visits.values(),
        key=lambda one: (-saved_per_min(one), -one[0].holder.lost_h, one[0].boat.name),
    )


def strainer_freezes(water_c: float, air_c: float) -> Freezing:
    """When half a litre in a bronze strainer freezes: the smallest water aboard goes first."""
    loses = refdata.table("frost")["strainer_loses"].value
    return freezing(STRAINER_L, loses, water_c, air_c)
