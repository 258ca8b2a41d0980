"""The Lift Card: this boat, these slings, this place, these minutes of water, who signs."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from math import isfinite

from yardwright.papers.drawing import by_offset, metres, on_paper
from yardwright.papers.marks import mark
from yardwright.papers.paper import Paper, printed, square_code

LOOKS = ("0 min", "10 min", "30 min", "2 h", "24 h")
MOST_ROWS = 7
MINUTE = timedelta(minutes=1)
GOES = ("Floats", "Floats on one valve")


@dataclass(frozen=True, slots=True)
class Weight:
    """A weight and the range it may have [kg]."""

    likely_kg: float
    low_kg: float
    high_kg: float

    def __post_init__(self) -> None:
        numbers = (self.low_kg, self.likely_kg, self.high_kg)
        if (
            not all(map(isfinite, numbers))
            or not 0 <= self.low_kg <= self.likely_kg <= self.high_kg
        ):
            raise ValueError(
                f"a weight of {self.low_kg} to {self.high_kg} kg, likely {self.likely_kg} kg, is none;"
                " give low, likely and high, rising from 0."
            )

    @property
    def range(self) -> str:
        """Low to high, outwards to whole kilograms."""
        return f"{int(self.low_kg):,}–{-int(-self.high_kg // 1):,} kg"


@dataclass(frozen=True, slots=True)
class Sling:
    """One sling: where it goes, from the transom [m], what it carries, what it is rated [kg]."""

    name: str
    from_transom_m: float
    carries: Weight
    rated_kg: float


@dataclass(frozen=True, slots=True)
class Water:
    """The minutes in which she floats at the sill, and the lift planned in them.

    Less sure they are where only high and low waters are known.
    """

    floats_from: datetime
    floats_until: datetime
    lift_at: datetime
    lift_min: int
    less_sure: bool = False

    def __post_init__(self) -> None:
        for name in ("floats_from", "floats_until", "lift_at"):
            object.__setattr__(self, name, by_offset(getattr(self, name)))

    @property
    def to_spare_min(self) -> int:
        """Minutes of water left after the lift, rounded down; negative when there are none."""
        return (self.floats_until - self.lift_at) // MINUTE - self.lift_min


@dataclass(frozen=True, slots=True)
class Undone:
    """Something still undone, and before what it must be proven back."""

    what: str
    before: str
    lies: str


@dataclass(frozen=True, slots=True)
class Refusal:
    """Why she does not go, and what to do about it."""

    reason: str
    do: str = ""


@dataclass(frozen=True, slots=True)
class LiftCard:
    """Everything on one lift card; None is *not known* and is printed so.

    A card without refusals says that she goes. It refuses to exist while anything on it speaks
    against that.

    Parameters
    ----------
    yard, boat, hull_number : str
        Names; hull number "" when there is none on file.
    day : date
        Day of the lift.
    stands, lift, lift_well : str
        From where, by which lift, into which water.
    length_m, beam_m, draft_m : float or None
        Her measures. [m]
    weight : Weight or None
        What she weighs as she hangs.
    lift_rated_kg : float or None
        The lift's own rating. [kg]
    lift_beam_m, lift_draft_m : float or None
        Of the widest and the deepest boat that it takes; None is *no limit on file*. [m]
    slings : tuple of Sling
        From the bow aft.
    float_word, float_why : str
        The float check's answer and its reason in words.
    before_water : tuple of Undone
        Still undone and needed before the water: none, or she does not go.
    later : tuple of Undone
        Still undone, needed only later.
    water : Water or None
        Her water that day.
    hang_min : int
        Minutes she hangs in the slings, afloat, before they come off.
    lift_by, second_look_by : str
        Who runs the lift and who looks a second time; "" is left to write.
    wind_limit : str
        What the lift's maker says of wind, with its page, in a sentence; or that none is on file.
    wind_told : str
        The wind that was told, in words; "" is not known.
    wind_asked : bool
        Whether the slings are refused until it is told.
    comes_out : bool
        Whether she is lifted out of the water: then nothing on it asks how she would float.
    address : str
        The boat's page.
    refusals : tuple of Refusal
        Why she does not go.
    """

    yard: str
    boat: str
    hull_number: str
    day: date
    stands: str
    lift: str
    lift_well: str
    length_m: float | None
    beam_m: float | None
    draft_m: float | None
    weight: Weight | None
    lift_rated_kg: float | None
    slings: tuple[Sling, ...]
    float_word: str
    float_why: str
    before_water: tuple[Undone, ...]
    later: tuple[Undone, ...]
    water: Water | None
    hang_min: int
    lift_by: str
    second_look_by: str
    wind_limit: str
    address: str
    refusals: tuple[Refusal, ...] = ()
    lift_beam_m: float | None = None
    lift_draft_m: float | None = None
    wind_told: str = ""
    wind_asked: bool = False
    comes_out: bool = False

    def __post_init__(self) -> None:
        if not self.refusals and (against := speaks_against(self)):
            raise ValueError(f"{self.boat} can't go: {' '.join(against)} Give the refusals.")


def speaks_against(card: LiftCard) -> list[str]:
    """What on the card itself forbids the lift, in sentences."""
    by_the_lift = [*_loads_against(card), *_size_against(card)]
    if card.comes_out:
        return by_the_lift
    return [
        *(f"{undone.what} is still undone." for undone in card.before_water),
        *([] if card.float_word in GOES else [f"The float check says: {card.float_word}."]),
        *by_the_lift,
        *_water_against(card.water),
    ]


def _loads_against(card: LiftCard) -> list[str]:
    """The range decides, not the likely weight."""
    if card.weight is None or card.lift_rated_kg is None or not card.slings:
        return ["Her weight, her slings and the lift's rating are not all known."]
    loads = [("The lift", card.weight, card.lift_rated_kg)]
    loads += [(sling.name, sling.carries, sling.rated_kg) for sling in card.slings]
    return [
        f"{name} may have to carry {_kg(load.high_kg)} and is rated {_kg(rated_kg)}."
        for name, load, rated_kg in loads
        if not load.high_kg <= rated_kg
    ]


def _size_against(card: LiftCard) -> list[str]:
    """What the lift has a limit for is known of her, and within it."""
    sizes = (("beam", card.beam_m, card.lift_beam_m), ("draft", card.draft_m, card.lift_draft_m))
    limited = [(name, hers, most) for name, hers, most in sizes if most is not None]
    return [
        f"Her {name} is {'not known' if hers is None else metres(hers)}; the lift takes {metres(most)}."
        for name, hers, most in limited
        if hers is None or not hers <= most
    ]


def _water_against(water: Water | None) -> list[str]:
    if water is None:
        return ["Her water is not known."]
    if water.lift_at < water.floats_from or water.to_spare_min < 0:
        return [
            f"The lift at {water.lift_at:%H:%M} takes {water.lift_min} min: not all in her water."
        ]
    return []


def lift_card(card: LiftCard, paper: Paper) -> bytes:
    """Print the lift card on one page, as PDF.

    Raises
    ------
    MissingLetterError
        A name has a letter that none of the faces has.
    """
    return printed("lift_card.typ", _content(card), card.day, paper)


def _content(card: LiftCard) -> dict[str, object]:
    day = f"{card.day:%A} {card.day.day} {card.day:%B %Y}"
    drawn = mark(card.float_word)
    return {
        "title": f"Lift Card: {card.boat}",
        "yard": card.yard,
        "footer": f"{card.yard}, {day}",
        "boat": card.boat,
        "hull_number": card.hull_number,
        "under": f"Lift Card{', coming out' if card.comes_out else ''} · {day} · {card.yard}",
        "measures": _measures(card),
        "goes": not card.refusals,
        "comes_out": card.comes_out,
        "say": _say(card),
        "refusals": [{"reason": r.reason, "do": r.do} for r in card.refusals],
        **_water(card.water),
        **_slings(card),
        "float_word": card.float_word,
        "float_why": card.float_why,
        "float_mark": {"svg": on_paper(drawn.svg), "word": drawn.sentence},
        **_undone(card),
        "hang_note": f"bilge pumped dry before; {card.hang_min} min afloat in them before they come off",
        "looks": LOOKS,
        "signs": [
            {"role": "Runs the lift", "name": card.lift_by},
            *([] if card.comes_out else [{"role": "Second look", "name": card.second_look_by}]),
        ],
        "cautions": _cautions(card),
        "code": square_code(card.address),
        "address": card.address,
    }


def _kg(value_kg: float) -> str:
    return f"{value_kg:,.0f} kg"


def _measures(card: LiftCard) -> str:
    sizes = (("long", card.length_m), ("wide", card.beam_m), ("draws", card.draft_m))
    parts = [f"{word} {'not known' if m is None else metres(m)}" for word, m in sizes]
    weight = card.weight
    weighs = f"{_kg(weight.likely_kg)} ({weight.range})" if weight else "not known"
    return " · ".join([*parts, f"weighs {weighs}"])


def _say(card: LiftCard) -> str:
    if card.comes_out:
        return f"Out of {card.lift_well} by {card.lift}, onto land."
    if card.water is None:
        return ""
    return (
        f"From {card.stands} by {card.lift} to {card.lift_well} at {card.water.lift_at:%H:%M},"
        f" with {_span(card.water.to_spare_min)} of water to spare."
    )


def _water(water: Water | None) -> dict[str, object]:
    if water is None:
        return {"water": [], "water_note": ""}
    spare = water.to_spare_min
    values = {
        "she floats from": _clock(water.floats_from, water.lift_at),
        "until": _clock(water.floats_until, water.lift_at),
        "lift at": f"{water.lift_at:%H:%M}",
        "takes": f"{water.lift_min} min",
        "to spare": _span(spare) if spare >= 0 else "none",
    }
    tight = f"only {spare} min to spare: be early or leave it" if 0 <= spare < 15 else "at our sill"
    sure = (
        "; less sure: only high and low water are known, read the gauge" if water.less_sure else ""
    )
    rows = [{"name": name, "value": value} for name, value in values.items()]
    return {"water": rows, "water_note": tight + sure}


def _slings(card: LiftCard) -> dict[str, object]:
    rated = "not known" if card.lift_rated_kg is None else _kg(card.lift_rated_kg)
    rows = [
        {
            "name": sling.name,
            "at": metres(sling.from_transom_m),
            "carries": _kg(sling.carries.likely_kg),
            "range": sling.carries.range,
            "rated": _kg(sling.rated_kg),
        }
        for sling in card.slings
    ]
    takes = [
        f"{word} {'no limit on file' if most is None else metres(most)}"
        for word, most in (("widest boat", card.lift_beam_m), ("deepest", card.lift_draft_m))
    ]
    return {"slings": rows, "lift_note": ", ".join([card.lift, f"rated {rated}", *takes])}


def _undone(card: LiftCard) -> dict[str, object]:
    rows = (*card.before_water, *card.later)
    note = "nothing needed before the water"
    if card.before_water:
        note = f"{len(card.before_water)} needed before the water"
    more = len(rows) - MOST_ROWS
    return {
        "undone": [{"what": u.what, "before": u.before, "lies": u.lies} for u in rows[:MOST_ROWS]],
        "undone_note": note if rows else "nothing",
        "undone_more": f"And {more} more on her Left Undone sheet." if more > 0 else "",
    }


def _cautions(card: LiftCard) -> list[dict[str, str]]:
    limit = card.wind_limit or "No wind limit on file: the lift's manual gives it."
    look = "measure the gusts" if card.wind_asked else "look"
    told = card.wind_told or f"not known, {look} before the slings"
    cautions = [
        {
            "no": "Nobody",
            "rest": "under the boat or between her and the lift, from first lift to last.",
        },
        {"no": "Do not", "rest": f"lift on when the wind is too much. Wind: {told}. {limit}"},
        {
            "no": "Do not",
            "rest": "go by this card against the marks on the boat or the plate on the lift:"
            " the maker's sling marks and the lift's plate come before it.",
        },
        {
            "no": "Do not",
            "rest": "take the slings off while any water comes in: lift her out again.",
        },
    ]
    return cautions[:-1] if card.comes_out else cautions


def _span(minutes: int) -> str:
    hours, rest = divmod(minutes, 60)
    return f"{hours} h {rest} min" if hours else f"{rest} min"


def _clock(at: datetime, lift_at: datetime) -> str:
    """The time, with its day where it is another than the lift's."""
    return f"{at:%H:%M}" if at.date() == lift_at.date() else f"{at:%a %H:%M}"
