"""Air below: openings by nature's draught, and the blower of a petrol engine's room."""

from yardwright import refdata
from yardwright.calc import air as calc
from yardwright.calc.units import convert
from yardwright.sums.field import Number
from yardwright.sums.picture import swept
from yardwright.sums.sum import Answer, Subject, Sum, Told
from yardwright.sums.words import both

CAUTION = (
    "Petrol vapour lies low and one spark is enough. Blower, then sniff low in the bilge, before "
    "any switch; who smells petrol starts nothing and opens everything."
)
NO_LAWYER = "No legal advice: read the text of the year that binds her."

NET = Number(
    key="net_m3",
    label="Net room",
    example="40 ft³",
    unit="m³",
    hint="with rooms joined to it, without engine and tanks",
)
OPENING = Number(
    key="opening_cm2",
    label="The smaller of supply and exhaust",
    example="80 cm²",
    unit="cm²",
    may_be_empty=True,
)
RATED = Number(
    key="rated_l_min",
    label="The blower is rated",
    example="100 cfm",
    unit="L/min",
    hint="from its plate; several are summed",
    may_be_empty=True,
)
OUTPUT = Number(
    key="output_l_min",
    label="It moves, measured at the outlet",
    example="40 cfm",
    unit="L/min",
    may_be_empty=True,
)


def _area(cm2: float) -> str:
    return both(cm2, "cm²", "in²")


def _ventilation(net_m3: float, opening_cm2: float | None) -> Answer:
    found = calc.openings(net_m3)
    least = found.each_cm2 <= found.must_exceed_cm2
    than = "more than" if least else "at least"
    enough = None if opening_cm2 is None else found.enough(opening_cm2)
    verdict = {
        None: "",
        True: f" Hers, {_area(opening_cm2 or 0)}, will do.",
        False: f" Hers, {_area(opening_cm2 or 0)}, is too small.",
    }
    return Answer(
        says=f"Supply and exhaust need {than} {_area(found.each_cm2)} each.{verdict[enough]}",
        numbers=(
            Told("each_cm2", "Supply, and exhaust, each", found.each_cm2, "cm²"),
            Told("each_in2", "Supply, and exhaust, each", _in2(found.each_cm2), "in²"),
            Told("open_in2", "Open area that needs neither", _in2(found.open_cm2), "in²"),
        ),
        besides=(
            "The exhaust begins in the lower third, both above the bilge water that usually stands.",
            f"Open to the atmosphere is a room with {_area(found.open_cm2)} of openings: it needs none.",
        ),
        may=enough,
    )


def _blower(net_m3: float, rated_l_min: float | None, output_l_min: float | None) -> Answer:
    need = calc.blower(net_m3)
    pairs = ((rated_l_min, need.rated_l_min), (output_l_min, need.output_l_min))
    short = [
        n for n, (has, needs) in enumerate(pairs) if has is not None and not _reaches(has, needs)
    ]
    unknown = [n for n, (has, _) in enumerate(pairs) if has is None]
    minutes = refdata.table("air")["blower_minutes"].value
    names = ("its rating", "what it moves")
    may = False if short else None if unknown else True
    return Answer(
        says=f"Rated {_cfm(need.rated_l_min)} or more, moving {_cfm(need.output_l_min)} or more. "
        f"{minutes:g} minutes of blower and a sniff in the bilge before cranking.",
        numbers=(
            Told("rated_l_min", "Rated, at least", need.rated_l_min, "L/min"),
            Told("output_l_min", "Moving, at least", need.output_l_min, "L/min"),
            Told("rated_cfm", "Rated, at least", _to_cfm(need.rated_l_min), "cfm"),
            Told("output_cfm", "Moving, at least", _to_cfm(need.output_l_min), "cfm"),
            Told("minutes", "Minutes before cranking", minutes, "min"),
        ),
        besides=(
            *(f"Too little: {names[n]}." for n in short),
            *(f"Not known: {names[n]}." for n in unknown),
            "The intake is in the lower third, above the bilge water; its hose whole and on both ends.",
        ),
        may=may,
        not_known=may is None,
    )


def _reaches(has: float, needs: float) -> bool:
    return round(has - needs, 6) >= 0


def _to_cfm(l_min: float) -> float:
    return convert(l_min, "L/min", "cfm")


def _in2(cm2: float) -> float:
    return convert(cm2, "cm²", "in²")


def _cfm(l_min: float) -> str:
    return both(l_min, "L/min", "cfm")


SUMS = (
    Sum(
        name="ventilation",
        subject=Subject.AIR,
        title="Openings for air",
        question="How large must supply and exhaust of a petrol room be?",
        fields=(NET, OPENING),
        work=_ventilation,
        picture=swept(_ventilation, NET, 0.2, 4.0, "each_cm2"),
        formula="area of each = 5 × ln(V ÷ 5), in² and ft³, and more than 3.0 in²",
        holds="33 CFR 183.630 as printed 1980, read 2026: rooms with a petrol engine or a petrol "
        f"tank that is vented to them, on boats of any kind of engine. {NO_LAWYER}",
        rests_on=(
            "air/natural_factor",
            "air/natural_room",
            "air/natural_least",
            "air/open_to_air",
            "air/natural_exhaust_low",
            "air/ventilation_binds",
        ),
        caution=CAUTION,
    ),
    Sum(
        name="blower",
        subject=Subject.AIR,
        title="Blower",
        question="What must the blower of a petrol engine's room move?",
        fields=(NET, RATED, OUTPUT),
        work=_blower,
        picture=swept(_blower, NET, 0.2, 5.0, "rated_l_min", "output_l_min"),
        formula="cfm, V in ft³: under 34, 50 and 20; to 100, 1.5 V and 0.6 V; "
        "over, V ÷ 2 + 100 and 0.2 V + 40",
        holds="33 CFR 183.610, table, a copy checked June 2026: rooms with a petrol engine that "
        f"has a cranking motor. Duct and bends may leave half of a rating. {NO_LAWYER}",
        rests_on=(
            "air/blower_rated_small",
            "air/blower_output_small",
            "air/blower_rated_middle",
            "air/blower_output_middle",
            "air/blower_rated_large",
            "air/blower_output_large",
            "air/blower_minutes",
            "air/blower_intake",
        ),
        caution=CAUTION,
    ),
)
