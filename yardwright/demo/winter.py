"""What was done on one boat at Heron Slip: her fall steps, her spring steps, and what they leave."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from random import Random
from zoneinfo import ZoneInfo

from yardwright.demo.kinds import stands_open
from yardwright.procedures.going_in import BILGE_DRY, BILGE_PUMP, from_inside
from yardwright.procedures.land_check import COVER
from yardwright.procedures.put_backs import PutBack, Undone
from yardwright.procedures.step import Has, PutBackKind, Season, Stage, Step, Trade
from yardwright.procedures.steps import book, steps_for
from yardwright.procedures.ways_in import (
    OPENINGS,
    SEA,
    Barrier,
    Look,
)
from yardwright.season.zone import moment

ZONE = ZoneInfo("America/New_York")
FROST = datetime(2031, 1, 3, 5, 30, tzinfo=ZONE)
LIFTED_OUT = datetime(2031, 5, 5, 7, 15, tzinfo=ZONE)  # one boat, that lay afloat all winter
COVERS_SEEN = datetime(2031, 4, 28, 8, 0, tzinfo=ZONE)
FLOATS_AFTER_MIN = 20  # from the slings
STARTS, WORKDAY = time(7, 10), timedelta(hours=7, minutes=30)
CREW: Mapping[Trade, tuple[str, ...]] = {
    Trade.MECHANIC: ("Ines", "Ole", "Vera"),
    Trade.YARD_HAND: ("Tomas", "Bea"),
    Trade.LIFT: ("Runa", "Sander"),
    Trade.RIGGER: ("Bea",),
}
LIES: Mapping[str, str] = {
    "key": "office, hook {n}",
    "lanyard": "office, hook {n}",
    "papers": "office, folder {n}",
    "valuables": "gear loft, box {n}",
    "safety_gear": "dry loft, bag {n}",
    "extinguisher": "extinguisher rack, place {n}",
    "electronics": "locked cupboard, shelf {n}",
    "batteries_ashore": "battery shed, shelf {n}, on charge",
    "stern_plug": "in the bag on the wheel",
    "livewell_hose": "on the seacock's handle",
    "speed_sensor": "office drawer, pouch {n}",
    "propeller_off": "propeller rack, place {n}, with nut, washers and pin",
    "shaft_propeller_off": "propeller rack, place {n}, with key, nuts and pin",
    "impeller_out": "her shelf, {n}: key and gasket; the old impeller is thrown away",
}


@dataclass(frozen=True, slots=True)
class Deed:
    """A step that was done, by whom and when; ``second`` saw it."""

    step: Step
    at: datetime
    by: str
    second: str


def fall(has: frozenset[Has], hauled: date, draw: Random, only: frozenset[str]) -> list[Deed]:
    """Her lay-up; with ``only``, nothing beside what opens one of these."""
    steps = steps_for(has, Season.FALL)
    done = [step for step in steps if not only or only.intersection(step.opens)]
    return _done(done, datetime.combine(hauled, STARTS), draw)


def spring(
    has: frozenset[Has], begins: date, draw: Random, until: Stage, still: frozenset[str]
) -> list[Deed]:
    """Her commissioning on land, up to a stage, but for what still waits (steps or put-backs)."""
    last = min(until.place, Stage.DOMESTIC.place)
    steps = [s for s in steps_for(has, Season.SPRING) if s.stage.place <= last]
    return _done(_not_waiting(steps, still), datetime.combine(begins, STARTS), draw)


def afloat(
    has: frozenset[Has], slings: datetime, draw: Random, until: Stage, still: frozenset[str]
) -> list[Deed]:
    """Her last steps, from the slings on."""
    on_land = Stage.DOMESTIC.place
    steps = [s for s in steps_for(has, Season.SPRING) if on_land < s.stage.place <= until.place]
    return _done(_not_waiting(steps, still), slings.astimezone(ZONE).replace(tzinfo=None), draw)


def _not_waiting(steps: Iterable[Step], still: frozenset[str]) -> list[Step]:
    return [step for step in steps if still.isdisjoint({step.code, *step.proves})]


def _done(steps: Sequence[Step], begins: datetime, draw: Random) -> list[Deed]:
    """One step after another, each done when its minutes are over."""
    deeds, worked = [], timedelta(0)
    for step in steps:
        worked += timedelta(minutes=step.minutes)
        by = draw.choice(CREW[step.trade])
        others = [n for n in (*CREW[Trade.MECHANIC], *CREW[Trade.YARD_HAND]) if n != by]
        deeds.append(Deed(step, _after(begins, worked), by, draw.choice(others)))
    return deeds


def _after(begins: datetime, worked: timedelta) -> datetime:
    """The yard's time after so much work, a day after the other, not at weekends."""
    days, rest = divmod(worked + (begins - datetime.combine(begins.date(), STARTS)), WORKDAY)
    day = _workday(begins.date())
    for _ in range(days):
        day = _workday(day + timedelta(days=1))
    return moment(datetime.combine(day, STARTS) + rest, ZONE)


def _workday(day: date) -> date:
    """The day itself, or the Monday after."""
    return day + timedelta(days=7 - day.weekday()) if day.weekday() > 4 else day


def undone(
    laid_up: Iterable[Deed],
    proven: Iterable[Deed],
    ways: Sequence[Barrier],
    number: int,
    only: frozenset[str],
) -> Iterator[Undone]:
    """What the fall steps opened, with the put-backs of spring. ``number`` is her hook and shelf."""
    kinds, fitted = book().kinds, {way.name for way in ways}
    back = {code: deed for deed in proven for code in deed.step.proves}
    for deed in laid_up:
        for code in deed.step.opens:
            if only and code not in only:
                continue
            one = kinds[code].undone(
                deed.at,
                deed.by,
                lies=_lies(kinds[code], number),
                fitting=stands_open(code, fitted),
            )
            yield replace(one, put_back=_put_back(back[code], one)) if code in back else one


def _put_back(deed: Deed, thing: Undone) -> PutBack:
    return PutBack(deed.at, deed.by, thing.proof, deed.second if thing.second else "")


def _lies(kind: PutBackKind, number: int) -> str:
    if kind.code in LIES:
        return LIES[kind.code].format(n=number)
    if kind.lies_hint.startswith("Nothing"):
        return ""
    hint = kind.lies_hint.split(";")[0]
    return hint if hint[:2].isupper() else hint[0].lower() + hint[1:]


def looks(
    laid_up: Sequence[Deed],
    proven: Sequence[Deed],
    ways: Sequence[Barrier],
    unseen: frozenset[str],
    *,
    counted: bool,
) -> Iterator[Look]:
    """Her openings counted, and what no put-back speaks of looked at, in fall and again in spring."""
    fitted = {way.name for way in ways}
    spoken_of = {stands_open(code, fitted) for d in laid_up for code in d.step.opens}
    plain = [way.name for way in ways if way.name not in spoken_of]
    in_spring = [name for name in plain if name not in unseen]
    for deeds, code, names in (
        (laid_up, "blocked_up", plain),
        (proven, "openings_counted", in_spring),
    ):
        for deed in deeds:
            if deed.step.code == code:
                if counted:
                    yield _look(OPENINGS, deed, f"walked round the bare hull: {len(ways)}")
                yield from (_look(name, deed, "tight, no crack, no weep") for name in names)


def _look(at_what: str, deed: Deed, words: str) -> Look:
    return Look(at_what, True, deed.at, deed.by, words)


def cover_look(by: str, *, sheds: bool) -> Look:
    """The winter round's last look at her wrap."""
    words = "tight, vents clear" if sheds else "water stands in it forward; a pole has slipped"
    return Look(COVER, sheds, COVERS_SEEN, by, words)


def proven_again(ways: Sequence[Barrier], at: datetime, by: str) -> Iterator[Look]:
    """The last look at all that can sink her, the day before she goes in, and her pump."""
    yield from (Look(way.name, True, at, by, "looked at again: holds") for way in ways)
    yield Look(BILGE_PUMP, True, at + timedelta(minutes=10), by, "threw water over the side")


def hung_and_watched(
    ways: Sequence[Barrier], slings: datetime, now: datetime, by: str
) -> Iterator[Look]:
    """Two dry looks and every opening from inside while she hangs, then the watch."""
    hung = [slings + timedelta(minutes=m) for m in (3, 18)]
    floats = slings + timedelta(minutes=FLOATS_AFTER_MIN)
    watch = [floats + timedelta(minutes=m) for m in (0, 10, 30, 120, 24 * 60)]
    for way in ways:
        if way.outside == SEA:
            yield Look(from_inside(way.name), True, hung[0] + timedelta(minutes=2), by, "dry")
    yield from (Look(BILGE_DRY, True, at, by, "dry") for at in (*hung, *watch) if at <= now)
