"""The sixty boats of Heron Slip: what each is, her promised day, and how far her spring has come."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date, datetime, time, timedelta
from functools import cache
from random import Random

from yardwright.demo.kinds import Kind
from yardwright.demo.winter import ZONE
from yardwright.procedures.going_in import WATCH_MIN, State
from yardwright.procedures.step import Stage
from yardwright.season.model import Promise, Work

SEED = 2031
WATCHED = timedelta(minutes=WATCH_MIN)  # afloat, before she is handed over
WATCHED = timedelta(minutes=WATCH_MIN)  # afloat, before she is handed over
PUMP_KIT, SEAL_KIT = "raw-water pump kit", "lower-unit seal kit"
FILTER_KIT = "fuel filter kit"


def may(day: int) -> date:
    return date(2031, 5, day)


def april(day: int) -> date:
    return date(2031, 4, day)


@dataclass(frozen=True, slots=True)
class Story:
    """One boat that is more than laid up: her days, how far her spring has come, what waits.

    ``until`` is the last stage done, None where spring has not begun; ``still`` names steps and
    put-backs that wait all the same; ``only`` what was undone on her, if it was not everything.
    """

    kind: Kind
    state: State
    promise: Promise = field(default_factory=Promise)
    began: date | None = None
    until: Stage | None = None
    still: frozenset[str] = frozenset()
    only: frozenset[str] = frozenset()
    in_slings: datetime | None = None
    counted: bool = True
    work: tuple[Work, ...] | None = None
    unseen: frozenset[str] = frozenset()  # ways in not looked at this spring
    draft_m: float | None = None  # None: as her kind draws
    length_m: float | None = None


def _handed_over(kind: Kind, ink: date, slings: datetime) -> Story:
    began = slings.date() - timedelta(days=6)
    promise = Promise(ink - timedelta(days=7), ink, ink)
    return Story(kind, State.HANDED_OVER, promise, began, Stage.TRAY, in_slings=slings, work=())


def _ready(kind: Kind, goes_in: date) -> Story:
    ink = goes_in + WATCHED
    promise = Promise(goes_in - timedelta(days=4), ink, ink)
    return Story(kind, State.READY, promise, april(30), Stage.DOMESTIC, work=())


def _fitting_out(kind: Kind, promise: Promise, until: Stage) -> Story:
    return Story(kind, State.FITTING_OUT, promise, april(30), until)


def _ink(goes_in: date) -> Promise:
    """Told for the day after she should go in: she is watched for a day."""
    ink = goes_in + WATCHED
    return Promise(wished=goes_in - timedelta(days=3), pencil=ink, ink=ink)


def _slings(day: date, hour: int, minute: int) -> datetime:
    return datetime.combine(day, time(hour, minute), ZONE)


ELEVEN = frozenset(
    {
        "stern_plug",
        "fuel_pump_lead",
        "batteries_ashore",
        "gear_case_open",
        "propeller_off",
        "livewell_hose",
        "speed_sensor",
        "bilge_pump_lead",
        "separator_out",
        "lanyard",
        "cowl_vents",
    }
)
SEALS = (
    Work("gear case seals", "mechanic", 150, part=SEAL_KIT),
    Work("hose run", "mechanic", 40, after=("gear case seals",)),
    Work("hull", "yard hand", 60),
)
ENGINE_AND_HULL = (
    Work("engine", "mechanic", 120, part=FILTER_KIT),
    Work("hull", "yard hand", 180),
)
CURLEWS = (
    Work("engine", "mechanic", 120, part=PUMP_KIT),
    Work("hull", "yard hand", 120),
)

STORIES: Mapping[str, Story] = {
    # in already
    "Kestrel": _handed_over(Kind.OPEN, april(16), _slings(april(15), 8, 0)),
    "Osprey": _handed_over(Kind.OPEN, april(23), _slings(april(22), 10, 0)),
    "Tern": _handed_over(Kind.DAY_SAILER, april(23), _slings(april(22), 13, 0)),
    "Egret": _handed_over(Kind.SLOOP, april(25), _slings(april(24), 12, 30)),
    "Swift": _handed_over(Kind.SKIFF, april(26), _slings(april(25), 11, 0)),
    "Linnet": _handed_over(Kind.OPEN, may(1), _slings(april(30), 8, 0)),
    "Plover": Story(
        Kind.OPEN,
        State.IN_THE_WATER,
        _ink(may(5)),
        april(28),
        Stage.LAUNCH,
        still=frozenset({"looks_afloat"}),
        in_slings=_slings(may(5), 9, 40),
        work=(),
        draft_m=0.60,
        length_m=6.8,
    ),
    # this week
    "Dunlin": replace(_ready(Kind.SLOOP, may(6)), draft_m=1.45, length_m=9.1),
    "Godwit": _ready(Kind.OPEN, may(6)),
    "Merlin": _ready(Kind.OPEN, may(7)),
    "Sanderling": _ready(Kind.CRUISER, may(8)),
    "Curlew": replace(
        _fitting_out(Kind.SLOOP, _ink(may(6)), Stage.BATTERIES),
        still=frozenset({"impeller_out"}),
        work=CURLEWS,
        draft_m=1.75,
        length_m=10.4,
    ),
    "Avocet": replace(
        _fitting_out(Kind.SLOOP, _ink(may(7)), Stage.FUEL),
        still=frozenset({"raw_water_hose"}),
        work=ENGINE_AND_HULL,
        draft_m=1.90,
        length_m=10.9,
    ),
    "Gannet": replace(
        _fitting_out(Kind.OPEN, _ink(may(8)), Stage.BATTERIES),
        still=frozenset({"gear_case_open"}),
        work=SEALS,
    ),
    "Ruff": replace(
        _fitting_out(Kind.STERNDRIVE, _ink(may(9)), Stage.BATTERIES),
        unseen=frozenset({"lower bellows"}),
    ),
    "Snipe": replace(
        _fitting_out(Kind.OPEN, _ink(may(9)), Stage.FUEL),
        still=frozenset({"openings_counted"}),
        counted=False,
    ),
    "Teal": Story(
        Kind.OPEN,
        State.FITTING_OUT,
        Promise(wished=may(3), pencil=may(6)),
        only=ELEVEN,
        work=SEALS,
        draft_m=0.55,
        length_m=6.4,
    ),
    "Lapwing": _fitting_out(Kind.OPEN, _ink(may(8)), Stage.RUN),
    "Redshank": _fitting_out(Kind.OPEN, _ink(may(9)), Stage.BATTERIES),
    "Whimbrel": _fitting_out(Kind.SLOOP, _ink(may(12)), Stage.COOLING),
    "Knot": _fitting_out(Kind.SKIFF, _ink(may(8)), Stage.FUEL),
    # next week
    "Fulmar": _fitting_out(Kind.OPEN, Promise(may(8), may(12)), Stage.AIR),
    "Puffin": _fitting_out(Kind.STERNDRIVE, Promise(may(9), may(13)), Stage.HULL),
    "Wigeon": _fitting_out(Kind.OPEN, _ink(may(13)), Stage.RUN),
    "Oystercatcher": _fitting_out(Kind.CRUISER, _ink(may(14)), Stage.HULL),
    "Hobby": Story(Kind.STERNDRIVE, State.OWNERS_TURN, Promise(may(10), may(14))),
    "Bittern": Story(Kind.SLOOP, State.OWNERS_TURN, Promise(may(12), may(16))),
    "Pintail": Story(Kind.DAY_SAILER, State.OWNERS_TURN, Promise(may(10))),
    "Eider": Story(
        Kind.CRUISER,
        State.BLOCKED_UP,
        Promise(pencil=may(15)),
        only=frozenset({"shaft_propeller_off"}),
    ),
    "Ouzel": Story(Kind.STERNDRIVE, State.NOT_GOING_IN, work=()),
}
LAID_UP: Mapping[Kind, str] = {
    Kind.OPEN: "Coot Harrier Mallard Oriole Pipit Robin Skua Thrush Willet",
    Kind.SKIFF: "Jackdaw Nuthatch Rail Wren",
    Kind.DAY_SAILER: "Petrel Stint Turnstone",
    Kind.SLOOP: "Goldeneye Kittiwake Nightjar Phalarope Scaup Shearwater Warbler",
    Kind.CRUISER: "Garganey Moorhen Shoveler",
    Kind.STERNDRIVE: "Ibis Martin Quail Raven",
}
BARE = frozenset({"Pipit", "Nightjar", "Martin"})  # never walked round and counted
ON_TRAILERS = frozenset(
    {"Teal", "Lapwing", "Knot", *LAID_UP[Kind.SKIFF].split(), *LAID_UP[Kind.OPEN].split()[:6]}
)
RAIN_INSIDE = frozenset({"Robin"})
NEVER_MEASURED, NEVER_WEIGHED = frozenset({"Quail"}), frozenset({"Scaup"})


@cache
def stories() -> Mapping[str, Story]:
    """Every boat's story, by name; a laid-up boat's is short."""
    laid_up = {
        name: _laid_up(name, kind) for kind, names in LAID_UP.items() for name in names.split()
    }
    return {**STORIES, **laid_up}


def _laid_up(name: str, kind: Kind) -> Story:
    """She goes in about the middle of May; a third of the owners were told it in ink."""
    draw = pack(name, "promise")
    day = may(round(draw.triangular(14, 30, 20)))
    day -= timedelta(days=max(0, day.weekday() - 4))
    wished = day - timedelta(days=draw.randrange(3))
    told = draw.choice(("ink", "pencil", "wished"))
    ours = day + WATCHED
    promise = Promise(wished, ours if told != "wished" else None, ours if told == "ink" else None)
    return Story(kind, State.LAID_UP, promise, counted=name not in BARE)


def pack(name: str, what: str) -> Random:
    """Each boat draws from a pack of her own: one more boat changes nothing for the others."""
    return Random(f"{SEED} {name} {what}")  # noqa: S311  # no secret
