"""Water coming in: how fast, how long that leaves, and what a pump takes out."""

from yardwright.calc import flooding as calc
from yardwright.calc import pumping
from yardwright.calc.units import convert
from yardwright.sums.field import Number, sources
from yardwright.sums.picture import swept
from yardwright.sums.sum import Answer, Subject, Sum, Told
from yardwright.sums.words import both

CAUTION = (
    "Water coming in is stopped at the hole first: shut, plug, or back in the slings. No pump and "
    "no sum saves a boat; people and lines before gear. Shore power off where water rises."
)

BORE = Number(key="bore_m", label="Inner diameter of the opening", example="38 mm", unit="m")
HEAD = Number(
    key="head_m",
    label="Its depth under the water outside",
    example="0.4 m",
    unit="m",
    hint="at the worst trim",
)
ROOM = Number(
    key="room_l",
    label="What she can take up to the point of no return",
    example="1700 L",
    unit="L",
)
OUT = Number(
    key="out_l_min",
    label="What the pump is proven to take out",
    example="40 L/min",
    unit="L/min",
    hint="by a bucket, at its own hose and battery",
    may_be_empty=True,
)
PRINTED = Number(
    key="printed_l_min", label="Printed on the pump", example="2000 gal/h", unit="L/min"
)
LIFT = Number(key="lift_m", label="Lift from bilge water to the outlet", example="0.9 m", unit="m")
SHUTOFF = Number(
    key="shutoff_m",
    label="Lift at which it moves nothing",
    example="3.7 m",
    unit="m",
    hint="from its sheet",
    may_be_empty=True,
)
BUCKET = Number(key="bucket_l", label="A bucket of", example="5 gal", unit="L")
SECONDS = Number(key="bucket_s", label="It was full in", example="16 s", unit="s")
INFLOW = Number(
    key="inflow_l_min",
    label="Water coming in, at its high end",
    example="85 L/min",
    unit="L/min",
    may_be_empty=True,
)
RULE = sources("What an installed pump moves", "flooding", "pump_corrugated_hose")


def _flow(l_min: float) -> str:
    return both(l_min, "L/min", "gal/min")


def _gal(l_min: float) -> float:
    return convert(l_min, "L/min", "gal/min")


def _inflow(bore_m: float, head_m: float) -> Answer:
    low, high = calc.inflow_l_min(bore_m, head_m)
    return Answer(
        says=f"Between {_flow(low)} and {_flow(high)}; count on {_flow(high)}.",
        numbers=(
            Told("high_l_min", "Comes in, at most", high, "L/min"),
            Told("low_l_min", "Comes in, at least", low, "L/min"),
            Told("high_gal_min", "Comes in, at most", _gal(high), "gal/min"),
            Told("low_gal_min", "Comes in, at least", _gal(low), "gal/min"),
        ),
        besides=(
            "Twice as deep is 1.4 times the water, twice the bore four times.",
            "As she settles the opening lies deeper, and more comes in.",
        ),
    )


def _minutes(room_l: float, bore_m: float, head_m: float, out_l_min: float | None) -> Answer:
    if out_l_min is not None and out_l_min < 0:
        raise ValueError(f"the pump takes out {out_l_min:g} L/min; give 0 or more.")
    low, high = calc.inflow_l_min(bore_m, head_m)
    pumped = out_l_min or 0.0
    short, long = (
        calc.minutes_to_fill(room_l, each - pumped) if each > pumped else None
        for each in (high, low)
    )
    ends = (("minutes", "Minutes until full", short), ("minutes_long", "At best", long))
    at_best = f"; at best {long:.1f} min" if long is not None else ""
    if short is None:
        says = "The pump keeps up, for as long as its battery lasts: stop the water all the same."
    else:
        says = f"{short:.1f} min until she is full at {_flow(high)} coming in{at_best}."
    pump = "No pump was counted: only what a bucket proved counts."
    if out_l_min is not None:
        pump = f"The pump counts with {_flow(pumped)}: proven by a bucket, on its own battery?"
    return Answer(
        says=says,
        numbers=tuple(Told(key, label, at, "min") for key, label, at in ends if at is not None),
        besides=(pump, "She is in danger long before she is full: free water rolls her over."),
    )


def _pump(
    printed_l_min: float,
    lift_m: float,
    shutoff_m: float | None,
    by: str,
    inflow_l_min: float | None,
) -> Answer:
    real = pumping.installed_l_min(printed_l_min, lift_m, shutoff_m, by)
    how = "about" if by != pumping.CURVE else "at most, without hose, bends and low volts,"
    return Answer(
        says=f"Of {_flow(printed_l_min)} printed it moves {how} {_flow(real)}."
        f"{_against(real, inflow_l_min)}",
        numbers=_real(real),
        besides=(
            "A rule proves no pump: run it into a bucket and take the seconds.",
            "A float switch that was not lifted by hand this season is not known to start it.",
        ),
        may=False if inflow_l_min is not None and real <= inflow_l_min else None,
    )


def _bucket_test(bucket_l: float, bucket_s: float, inflow_l_min: float | None) -> Answer:
    real = pumping.bucket_l_min(bucket_l, bucket_s)
    return Answer(
        says=f"It moves {_flow(real)}.{_against(real, inflow_l_min)}",
        numbers=_real(real),
        besides=("It holds for that battery, that hose and that lift alone, and for that day.",),
        may=None if inflow_l_min is None else real > inflow_l_min,
    )


def _against(real: float, inflow_l_min: float | None) -> str:
    if inflow_l_min is None:
        return ""
    if inflow_l_min < 0:
        raise ValueError(f"{inflow_l_min:g} L/min come in; give 0 or more.")
    if real > inflow_l_min:
        return f" That is more than the {_flow(inflow_l_min)} coming in."
    return f" Not enough for the {_flow(inflow_l_min)} coming in: she fills."


def _real(l_min: float) -> tuple[Told, ...]:
    return (
        Told("real_l_min", "It really moves", l_min, "L/min"),
        Told("real_gal_min", "It really moves", _gal(l_min), "gal/min"),
        Told("real_gal_h", "It really moves", 60 * _gal(l_min), "gal/h"),
    )


SUMS = (
    Sum(
        name="inflow",
        subject=Subject.WATER,
        title="Inflow",
        question="How fast does water come in through an opening?",
        fields=(BORE, HEAD),
        work=_inflow,
        picture=swept(_inflow, HEAD, 0.0, 1.5, "high_l_min", "low_l_min"),
        formula="inflow = 0.6 to 0.8 × area × √(2 × 9.81 × depth)",
        holds="A round opening up to 500 mm and 10 m deep, into an empty bilge. 0.6 is a bare "
        "hole, 0.8 a fitting or a stub of hose; a long hose or a half-shut valve slows it.",
        rests_on=(
            "flooding/coefficient_bare_hole",
            "flooding/coefficient_short_tube",
            "flooding/standard_gravity",
        ),
        caution=CAUTION,
    ),
    Sum(
        name="minutes",
        subject=Subject.WATER,
        title="Minutes until full",
        question="How many minutes does an opening leave?",
        fields=(ROOM, BORE, HEAD, OUT),
        work=_minutes,
        picture=swept(_minutes, HEAD, 0.2, 1.5, "minutes", "minutes_long"),
        formula="minutes = litres she can take ÷ (litres a minute coming in − going out)",
        holds="Counts with the high end of the inflow. The depth stays as it was: as she settles "
        "it grows, as water rises inside it shrinks. A pump counts only as proven at its own lift.",
        rests_on=("flooding/coefficient_bare_hole", "flooding/coefficient_short_tube"),
        caution=CAUTION,
    ),
    Sum(
        name="pump",
        subject=Subject.WATER,
        title="What a bilge pump really moves",
        question="What does a bilge pump really move, and is it enough?",
        fields=(PRINTED, LIFT, SHUTOFF, RULE, INFLOW),
        work=_pump,
        picture=swept(_pump, LIFT, 0.0, 0.9, "real_l_min"),
        formula="share of what is printed; or printed × √(1 − lift ÷ shut-off lift)",
        holds="Shares for up to 3 ft of lift and a hose that is clear. The curve leaves out hose, "
        "bends and low volts. A bucket beats them all: see the bucket test.",
        rests_on=(
            "flooding/pump_corrugated_hose",
            "flooding/pump_share_lift",
            "flooding/pump_low_volts",
            "flooding/pump_bend",
            "flooding/pump_check_valve",
        ),
        caution=CAUTION,
    ),
    Sum(
        name="bucket-test",
        subject=Subject.WATER,
        title="Bucket test",
        question="What does a pump move, by a bucket and a stop-watch?",
        fields=(BUCKET, SECONDS, INFLOW),
        work=_bucket_test,
        picture=swept(_bucket_test, SECONDS, 5.0, 60.0, "real_l_min"),
        formula="litres a minute = litres ÷ seconds × 60",
        holds="Measured where the hose ends, on the boat's own battery without charger, at the "
        "lift she has afloat.",
        caution=CAUTION,
    ),
)
