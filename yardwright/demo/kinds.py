"""The kinds of boat at Heron Slip: what each has, how water could get in, how big she is."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from enum import StrEnum
from random import Random

from yardwright.procedures.step import Has
from yardwright.procedures.ways_in import BILGE, CYLINDERS, SEA, Barrier, BarrierKind
from yardwright.season.model import Boat

DRAIN_PLUG = "stern drain plug"
SPLASH_WELL = "splash-well plug"
LIVEWELL_SEACOCK, LIVEWELL_HOSE = "livewell seacock", "livewell hose"
BLANK = "speed sensor blank"
TRANSDUCER = "transducer"
SEACOCK, RAW_WATER_HOSE, STRAINER = "engine seacock", "raw-water hose", "strainer lid"
PUMP_COVER, COOLER_HOSES, EXCHANGER = "raw-water pump cover", "cooler hoses", "exchanger plugs"
SIPHON, HIGH_LOOP, LIFT_LOOP = "siphon break", "exhaust high loop", "exhaust lift"
MUFFLER, GLAND = "muffler drain", "shaft gland"
SINK_SEACOCK, SINK_TRAP = "sink seacock", "sink trap hose"
HEAD_SEACOCKS, HEAD_HOSES, HEAD_LOOP = "head seacocks", "head hoses", "head vented loop"
COOL_AIR_SEACOCK, COOL_AIR_HOSE = "air conditioning seacock", "air conditioning hose"
UPPER_BELLOWS, LOWER_BELLOWS, SHIFT_BELLOWS = "upper bellows", "lower bellows", "shift bellows"
DRIVE_MOUNTING, DRIVE_HOSE = "drive mounting", "transom water hose"
BLOCK_DRAINS, MANIFOLD_DRAINS = "sterndrive block drains", "sterndrive manifold drains"
ENGINE_HOSES, ENGINE_PUMP = "sterndrive engine hoses", "sterndrive pump cover"

STANDS_OPEN: Mapping[str, str] = {  # put-back kind -> the way in that stands open meanwhile
    "stern_plug": DRAIN_PLUG,
    "well_plugs": SPLASH_WELL,
    "livewell_hose": LIVEWELL_HOSE,
    "sensor_tube": BLANK,
    "engine_seacock": SEACOCK,
    "raw_water_hose": RAW_WATER_HOSE,
    "strainer_open": STRAINER,
    "impeller_out": PUMP_COVER,
    "cooler_hoses": COOLER_HOSES,
    "pencil_anodes": EXCHANGER,
    "siphon_break": SIPHON,
    "muffler_drain": MUFFLER,
    "gland_slack": GLAND,
    "sink_seacock": SINK_SEACOCK,
    "sink_hose": SINK_TRAP,
    "head_seacocks": HEAD_SEACOCKS,
    "head_hoses": HEAD_HOSES,
    "head_loop": HEAD_LOOP,
    "air_conditioning_hose": COOL_AIR_HOSE,
    "drive_bellows": UPPER_BELLOWS,
    "drive_off": DRIVE_MOUNTING,
    "drive_water_hose": DRIVE_HOSE,
    "block_drains": BLOCK_DRAINS,
    "manifold_drains": MANIFOLD_DRAINS,
}
ON_A_STERNDRIVE: Mapping[str, str] = {  # the same put-back, on an engine without a seacock
    "impeller_out": ENGINE_PUMP,
    "cooler_hoses": ENGINE_HOSES,
}


def stands_open(code: str, fitted: Collection[str]) -> str:
    """Which of a boat's ways in a kind of put-back leaves open; empty for none."""
    names = (STANDS_OPEN.get(code, ""), ON_A_STERNDRIVE.get(code, ""))
    return next((name for name in names if name in fitted), "")


def _way(
    name: str, kind: BarrierKind, outside: str, inside: str, bore_mm: float, depth_m: float
) -> Barrier:
    return Barrier(name, kind, outside, inside, bore_mm / 1000, depth_m)


PLUG, VALVE, JOINT, SEAL, LOOP = (
    BarrierKind.PLUG,
    BarrierKind.VALVE,
    BarrierKind.JOINT,
    BarrierKind.SEAL,
    BarrierKind.LOOP,
)
LINE, EXHAUST = "raw-water line", "exhaust hose"

STERN = (_way(DRAIN_PLUG, PLUG, SEA, BILGE, 25.4, 0.30),)
LIVEWELL = (
    _way(LIVEWELL_SEACOCK, VALVE, SEA, LIVEWELL_HOSE, 19, 0.30),
    _way(LIVEWELL_HOSE, JOINT, LIVEWELL_HOSE, BILGE, 19, 0.30),
)
WELL = (_way(SPLASH_WELL, PLUG, SEA, BILGE, 25.4, 0.10),)
SPEED = (_way(BLANK, BarrierKind.BLANK, SEA, BILGE, 42, 0.35),)
SOUNDER = (_way(TRANSDUCER, SEAL, SEA, BILGE, 51, 0.40),)
RAW_WATER = (
    _way(SEACOCK, VALVE, SEA, LINE, 25, 0.45),
    _way(RAW_WATER_HOSE, JOINT, LINE, BILGE, 25, 0.40),
    _way(STRAINER, JOINT, LINE, BILGE, 25, 0.20),
    _way(PUMP_COVER, JOINT, LINE, BILGE, 25, 0.15),
    _way(COOLER_HOSES, JOINT, LINE, BILGE, 25, 0.15),
    _way(EXCHANGER, PLUG, LINE, BILGE, 12, 0.10),
    _way(SIPHON, LOOP, LINE, CYLINDERS, 19, 0.05),
)
WET_EXHAUST = (
    _way(HIGH_LOOP, LOOP, SEA, EXHAUST, 63, 0.05),
    _way(LIFT_LOOP, LOOP, EXHAUST, CYLINDERS, 63, 0.0),
    _way(MUFFLER, PLUG, EXHAUST, BILGE, 16, 0.0),
)
SHAFT_SEAL = (_way(GLAND, SEAL, SEA, BILGE, 8, 0.45),)  # the ring between shaft and tube
SINK = (
    _way(SINK_SEACOCK, VALVE, SEA, "sink drain", 38, 0.20),
    _way(SINK_TRAP, JOINT, "sink drain", BILGE, 38, 0.05),
)
HEAD = (
    _way(HEAD_SEACOCKS, VALVE, SEA, "head line", 38, 0.30),
    _way(HEAD_HOSES, JOINT, "head line", BILGE, 38, 0.25),
    _way(HEAD_LOOP, LOOP, "head line", BILGE, 25, 0.10),
)
COOL_AIR = (
    _way(COOL_AIR_SEACOCK, VALVE, SEA, "air conditioning line", 19, 0.40),
    _way(COOL_AIR_HOSE, JOINT, "air conditioning line", BILGE, 19, 0.30),
)
STERNDRIVE = (
    _way(UPPER_BELLOWS, SEAL, SEA, BILGE, 76, 0.15),
    _way(LOWER_BELLOWS, SEAL, SEA, BILGE, 76, 0.35),
    _way(SHIFT_BELLOWS, SEAL, SEA, BILGE, 12, 0.30),
    _way(DRIVE_MOUNTING, JOINT, SEA, BILGE, 76, 0.20),
    _way(DRIVE_HOSE, JOINT, SEA, BILGE, 32, 0.25),
    _way(BLOCK_DRAINS, PLUG, SEA, BILGE, 10, 0.05),
    _way(MANIFOLD_DRAINS, PLUG, SEA, BILGE, 10, 0.0),
    _way(ENGINE_HOSES, JOINT, SEA, BILGE, 32, 0.05),
    _way(ENGINE_PUMP, JOINT, SEA, BILGE, 32, 0.05),
)

EVERY = {Has.BATTERY, Has.FLOODED, Has.BILGE_PUMP, Has.ANODES, Has.COVER}
SMALL = {Has.OUTBOARD, Has.LANYARD, Has.STERN_DRAIN, Has.TRAILER}
DIESEL = {
    Has.INBOARD_DIESEL,
    Has.RAW_WATER_PUMP,
    Has.SEA_STRAINER,
    Has.CLOSED_COOLING,
    Has.SIPHON_BREAK,
    Has.SHAFT,
    Has.SPEED_SENSOR,
    Has.ELECTRONICS,
    Has.SHORE_POWER,
    Has.FRESH_WATER,
    Has.HEAD,
}


class Kind(StrEnum):
    """What a person at the yard would call her."""

    OPEN = "open boat"
    SKIFF = "skiff"
    DAY_SAILER = "day sailer"
    SLOOP = "sloop"
    CRUISER = "motor cruiser"
    STERNDRIVE = "sterndrive boat"


@dataclass(frozen=True, slots=True)
class Template:
    """A kind of boat: weights go with the square of her length, the rest is a share of it."""

    engine: str
    has: frozenset[Has]
    ways_in: tuple[Barrier, ...]
    length_m: tuple[float, float]
    draft_m: tuple[float, float]
    kg_by_m2: float
    beam_share: float
    centre_share: float
    work: Mapping[str, tuple[str, tuple[int, int]]]  # what: trade, minutes from and to


ENGINE = {"engine": ("mechanic", (30, 60))}  # beyond her put-back steps
BIG_ENGINE = {"engine": ("mechanic", (60, 120))}
HULL = {"hull": ("yard hand", (45, 120))}
BIG_HULL = {"hull": ("yard hand", (90, 180))}
RIG = {"standing rigging renewed": ("rigger", (90, 150))}  # stepping it is among her steps

TEMPLATES: Mapping[Kind, Template] = {
    Kind.OPEN: Template(
        "four-stroke 115",
        frozenset(EVERY | SMALL | {Has.FOUR_STROKE, Has.LIVEWELL, Has.SPEED_SENSOR})
        | {Has.SPLASH_WELL, Has.WATER_SEPARATOR, Has.ELECTRONICS},
        (*STERN, *WELL, *LIVEWELL, *SPEED, *SOUNDER),
        (5.4, 7.4),
        (0.45, 0.65),
        35,
        0.38,
        0.38,
        ENGINE | HULL,
    ),
    Kind.SKIFF: Template(
        "two-stroke 40",
        frozenset(SMALL | {Has.TWO_STROKE, Has.BATTERY, Has.SEALED, Has.COVER}),
        STERN,
        (4.2, 5.0),
        (0.30, 0.40),
        24,
        0.40,
        0.40,
        ENGINE | HULL,
    ),
    Kind.DAY_SAILER: Template(
        "four-stroke 6",
        frozenset(EVERY | {Has.OUTBOARD, Has.FOUR_STROKE, Has.LANYARD, Has.SPEED_SENSOR, Has.MAST}),
        (*SPEED, *SOUNDER),
        (6.0, 7.2),
        (0.95, 1.30),
        36,
        0.36,
        0.45,
        ENGINE | HULL | RIG,
    ),
    Kind.SLOOP: Template(
        "diesel 30",
        frozenset(EVERY | DIESEL | {Has.MAST}),
        (*RAW_WATER, *WET_EXHAUST, *SHAFT_SEAL, *SINK, *HEAD, *SPEED, *SOUNDER),
        (8.6, 11.4),
        (1.40, 2.00),
        58,
        0.32,
        0.46,
        BIG_ENGINE | BIG_HULL | RIG,
    ),
    Kind.CRUISER: Template(
        "diesel 150",
        frozenset(EVERY | DIESEL | {Has.WATER_HEATER, Has.SHOWER_SUMP, Has.AIR_CONDITIONING})
        | {Has.TRIM_TABS, Has.SWIM_LADDER},
        (*RAW_WATER, *WET_EXHAUST, *SHAFT_SEAL, *SINK, *HEAD, *COOL_AIR, *SPEED, *SOUNDER),
        (9.2, 11.6),
        (0.95, 1.20),
        66,
        0.34,
        0.42,
        BIG_ENGINE | BIG_HULL,
    ),
    Kind.STERNDRIVE: Template(
        "sterndrive 220",
        frozenset(EVERY | {Has.STERNDRIVE, Has.STERN_DRAIN, Has.TRIM_TABS, Has.SWIM_LADDER})
        | {Has.ELECTRONICS, Has.RAW_WATER_PUMP, Has.WATER_SEPARATOR, Has.LANYARD},
        (*STERN, *STERNDRIVE, *SOUNDER),
        (6.6, 8.4),
        (0.70, 0.90),
        48,
        0.35,
        0.36,
        BIG_ENGINE | HULL,
    ),
}
ON_TRAILERS = frozenset({Kind.SKIFF})


def sized(boat: Boat, kind: Kind, draw: Random) -> Boat:
    """Her measures, plausible for her kind, where none are given."""
    template = TEMPLATES[kind]
    length_m = boat.length_m or round(draw.uniform(*template.length_m), 1)
    return replace(
        boat,
        length_m=length_m,
        draft_m=boat.draft_m or round(draw.uniform(*template.draft_m), 2),
        beam_m=round(length_m * template.beam_share, 2),
        weight_kg=round(template.kg_by_m2 * length_m**2 * draw.uniform(0.92, 1.08), -1),
        weight_within=0.10,
        centre_m=round(length_m * template.centre_share, 1),
        centre_within_m=0.3,
        slings_m=(round(length_m * 0.18, 1), round(length_m * 0.78, 1)),
    )
