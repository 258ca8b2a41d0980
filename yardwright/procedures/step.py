"""One step and one kind of put-back: their shape, and the closed lists of words they use."""

import re
from dataclasses import dataclass, field, replace
from datetime import datetime
from enum import StrEnum
from hashlib import sha256

from yardwright.procedures.put_backs import Before, Harm, Proof, Undone
from yardwright.procedures.ways_in import BarrierKind
from yardwright.refdata import TRUST, Trust


class Has(StrEnum):
    """What a boat can have that decides her steps."""

    OUTBOARD = "outboard"  # petrol
    FOUR_STROKE = "four stroke"  # an outboard with its own oil sump
    TWO_STROKE = "two stroke"  # an outboard with an oil tank of its own
    TWO_ENGINES = "two engines"  # of a kind
    THREE_ENGINES = "three engines"  # of a kind
    STERNDRIVE = "sterndrive"  # with a petrol engine
    INBOARD_PETROL = "inboard petrol"  # raw water in, wet exhaust out
    INBOARD_DIESEL = "inboard diesel"  # raw water in, wet exhaust out
    RAW_WATER_PUMP = "raw-water pump"  # a rubber impeller on an inboard engine
    SEA_STRAINER = "sea strainer"
    CLOSED_COOLING = "closed cooling"  # a coolant loop with a heat exchanger
    SIPHON_BREAK = "siphon break"  # vented loop in the exhaust water, engine low in the boat
    SHAFT = "shaft"  # with a gland or a dripless seal
    SAIL_DRIVE = "sail drive"  # a leg through the bottom, sealed by a diaphragm
    GENERATOR = "generator"  # with raw-water cooling of its own
    STERN_DRAIN = "stern drain"  # a plug at the lowest point of the hull
    SPLASH_WELL = "splash well"  # before an outboard, with plugs in its drains
    LIVEWELL = "livewell"
    SPEED_SENSOR = "speed sensor"  # a paddle wheel that comes out of its tube
    ANODES = "anodes"
    TRIM_TABS = "trim tabs"
    MAST = "mast"  # that comes out for the winter, with its sails
    BATTERY = "battery"
    FLOODED = "flooded batteries"
    SEALED = "AGM or gel batteries"
    LITHIUM = "lithium batteries"  # lithium iron phosphate
    BILGE_PUMP = "bilge pump"
    WATER_SEPARATOR = "water separator"  # in the fuel line
    LANYARD = "lanyard"
    ELECTRONICS = "electronics"  # that come off for the winter
    SWIM_LADDER = "swim ladder"
    SHORE_POWER = "shore power"
    FRESH_WATER = "fresh water"  # tank, pump and taps
    WATER_HEATER = "water heater"
    HEAD = "head"
    HOLDING_TANK = "holding tank"
    SHOWER_SUMP = "shower sump"
    WASHDOWN = "washdown pump"  # draws sea water to a hose on deck
    COOKING_GAS = "cooking gas"
    AIR_CONDITIONING = "air conditioning"
    CANVAS = "canvas"  # tops and curtains that come off
    COVER = "cover"  # wrapped for the winter
    TENDER = "tender"
    TENDER_OUTBOARD = "tender outboard"  # small enough to be carried
    TRAILER = "trailer"


SEVERAL = {Has.TWO_ENGINES: 2, Has.THREE_ENGINES: 3}
AT_THE_ENGINE = frozenset(
    {
        Has.OUTBOARD,
        Has.FOUR_STROKE,
        Has.TWO_STROKE,
        Has.STERNDRIVE,
        Has.INBOARD_PETROL,
        Has.INBOARD_DIESEL,
        Has.RAW_WATER_PUMP,
        Has.SEA_STRAINER,
        Has.CLOSED_COOLING,
        Has.SIPHON_BREAK,
        Has.SHAFT,
        Has.SAIL_DRIVE,
        Has.WATER_SEPARATOR,
    }
)
LONGEST_MIN = 480


def engines_of(has: frozenset[Has]) -> int:
    """How many engines of a kind a boat with this has; 1 where nobody wrote of more."""
    return max((many for thing, many in SEVERAL.items() if thing in has), default=1)


class Season(StrEnum):
    """When a step is done."""

    FALL = "fall"
    WINTER = "winter"
    SPRING = "spring"


class Stage(StrEnum):
    """The order that matters, from keys taken in to keys given back."""

    TAKEN_IN = "taken in"
    OUT = "out of the water"
    LAST_RUN = "last run"
    DRAINED = "drained"
    TREATED = "antifreeze in"
    POWER_OFF = "fuel and power off"
    STOPPED_UP = "openings stopped"
    COVERED = "covered"
    ROUND = "winter round"
    PAPERS = "papers"
    UNCOVERED = "cover off"
    HULL = "hull closed"
    OILS = "oils in"
    COOLING = "cooling closed"
    FUEL = "fuel closed"
    AIR = "air and exhaust open"
    BATTERIES = "batteries on"
    SNIFF = "blower and sniff"
    RUN = "run on water"
    AGAIN = "looked at again"
    DOMESTIC = "domestic water"
    LAUNCH = "slings and water"
    TRAY = "return tray"

    @property
    def place(self) -> int:
        """0 for the first of the year."""
        return _PLACES[self]

    @property
    def season(self) -> Season:
        """The season that the stage belongs to."""
        if self == Stage.ROUND:
            return Season.WINTER
        return Season.FALL if self.place < Stage.ROUND.place else Season.SPRING


_PLACES = {stage: place for place, stage in enumerate(Stage)}


class Trade(StrEnum):
    """Whose work it is."""

    MECHANIC = "mechanic"
    YARD_HAND = "yard hand"
    LIFT = "lift"
    RIGGER = "rigger"


class Hazard(StrEnum):
    """What can hurt someone; the step's caution speaks of it by this word."""

    PETROL = "petrol"
    CARBON_MONOXIDE = "carbon monoxide"
    PROPELLER = "propeller"
    BATTERY = "battery"
    SHORE_POWER = "shore power"
    LIFTING = "lift"
    BLADE = "knife"
    ANTIFREEZE = "antifreeze"
    LADDER = "ladder"
    PRESSURE = "pressure"
    HOT = "hot"
    GAS = "gas"  # for the galley
    OVERHEAD = "overhead"  # live wires above a mast or a crane
    SPRAY = "spray"  # fuel under pressure, or anything sprayed into a diesel's intake


class System(StrEnum):
    """The part of the boat; ``GEAR`` is what the yard keeps for her: keys, papers, things."""

    GEAR = "keys and gear"
    HULL = "hull"
    ENGINE = "engine"
    DRIVE = "drive"
    COOLING = "cooling"
    FUEL = "fuel"
    AIR = "air and exhaust"
    ELECTRICAL = "electrical"
    FRESH_WATER = "fresh water"
    RIG = "rig"
    COVER = "cover"
    TRAILER = "trailer"


@dataclass(frozen=True, slots=True, kw_only=True)
class PutBackKind:
    """One thing that can be left undone.

    ``also_before`` is a second deed that waits for it, None for no other. ``barrier`` is the kind of fitting that stands open meanwhile, None where no water can come
    in by it; ``lies_hint`` says what to write down about where the part lies; ``covers`` names
    the rows of the trade's undo list that it answers to.
    """

    code: str
    what: str
    harm: Harm
    if_forgotten: str
    before: Before
    proof: Proof
    system: System
    lies_hint: str
    also_before: Before | None = None
    second: bool = False
    barrier: BarrierKind | None = None
    covers: tuple[str, ...] = ()

    def undone(self, at: datetime, by: str, lies: str = "", fitting: str = "") -> Undone:
        """One such thing undone on a boat.

        Parameters
        ----------
        at : datetime
            When; aware.
        by : str
            Who undid it.
        lies : str
            Where the part lies: a hook, a bag, a shelf.
        fitting : str
            The name among the boat's ways in of what stands open.

        Returns
        -------
        Undone
            Open until it is proven back.
        """
        return Undone(
            what=self.what,
            harm=self.harm,
            if_forgotten=self.if_forgotten,
            before=self.before,
            also_before=self.also_before,
            proof=self.proof,
            second=self.second,
            at=at,
            by=by,
            lies=lies,
            fitting=fitting,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One step, as a master would tell it to a learner.

    A boat gets it that has all of ``needs``, one of ``for_any`` if there are some, and none of
    ``unless``. ``opens`` and ``proves`` are codes of put-back kinds; ``reading`` the quantity it asks for;
    ``proof_words`` what the main button says; ``watch_learner`` whether someone who is learning
    it is watched. ``minutes`` are for one engine where the step is for what an engine has, unless
    it is done ``once`` for all of them. One that ``refills`` leaves water where frost finds it; it
    is no word of the step, and no part of its ``edition``. ``trust`` speaks of the step; with *read*, of the rule that ``source`` names.
    """

    code: str
    title: str
    stage: Stage
    trade: Trade
    minutes: int
    why: str
    how: tuple[str, ...]
    goes_wrong: str
    caution: str
    proof_words: str
    needs: frozenset[Has] = frozenset()
    for_any: frozenset[Has] = frozenset()
    unless: frozenset[Has] = frozenset()
    hazards: tuple[Hazard, ...] = ()
    opens: tuple[str, ...] = ()
    proves: tuple[str, ...] = ()
    after: tuple[str, ...] = ()
    reading: str = ""
    watch_learner: bool = False
    once: bool = False
    refills: bool = field(default=False, repr=False)
    source: str = ""
    trust: Trust = "common practice"

    def __post_init__(self) -> None:
        texts = (self.title, self.why, *self.how, self.goes_wrong, self.caution, self.proof_words)
        if not self.how or not all(text.strip() for text in texts):
            raise ValueError("a text is empty; say title, why, how, what can go wrong, caution.")
        most = LONGEST_MIN // max(SEVERAL.values()) if self.each_engine else LONGEST_MIN
        if not 1 <= self.minutes <= most:
            raise ValueError(f"minutes is {self.minutes}; give 1 to {most}.")
        if self.trust not in TRUST or (self.trust == "read" and not self.source):
            raise ValueError(
                f"trust is {self.trust!r}, source {self.source!r}; read needs a source."
            )
        said = self.caution.lower()
        if unsaid := [hazard for hazard in self.hazards if not re.search(rf"\b{hazard}", said)]:
            raise ValueError(f"the caution does not speak of {', '.join(unsaid)}.")

    def suits(self, has: frozenset[Has]) -> bool:
        """A boat that has this gets the step."""
        return (
            self.needs <= has
            and (not self.for_any or bool(self.for_any & has))
            and not self.unless & has
        )

    @property
    def named(self) -> frozenset[Has]:
        """What it is written for."""
        return self.needs | self.for_any

    @property
    def each_engine(self) -> bool:
        """Done at one engine after the other."""
        return not self.once and bool(self.named & AT_THE_ENGINE)

    def on(self, has: frozenset[Has]) -> "Step":
        """The step with the minutes that it takes on a boat with this."""
        engines = engines_of(has)
        if engines == 1 or not self.each_engine:
            return self
        return replace(self, minutes=self.minutes * engines, once=True)  # for all of them now

    @property
    def edition(self) -> str:
        """Ten characters that change with any word of the step: what was done stays as it was."""
        none = frozenset[Has]()
        plain = replace(self, minutes=1, once=False, needs=none, for_any=none, unless=none)
        sets = [sorted(one) for one in (self.needs, self.for_any, self.unless)]
        return sha256(repr((sets, plain)).encode()).hexdigest()[:10]

    @property
    def season(self) -> Season:
        """The season of its stage."""
        return self.stage.season
