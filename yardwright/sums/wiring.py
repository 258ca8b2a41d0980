"""Wiring: the size of wire, what is lost in it, what it may carry, its fuse."""

from collections.abc import Mapping

from yardwright.calc import wiring as calc
from yardwright.calc.wiring import Run
from yardwright.papers.chart import Line, chart
from yardwright.papers.drawing import BLUE, INK, SOFT, Drawing, svg, text, text_width
from yardwright.sums.field import Choice, Number, Value, sources
from yardwright.sums.picture import swept
from yardwright.sums.sum import Answer, Subject, Sum, Told

CAUTION = (
    "Before work on any wire: shore power off and unplugged, battery negative off first, on last. "
    "Shore power (120 or 240 V) kills and is a licensed electrician's work. The boat's own "
    "standard and the maker's manual go first."
)

SIZES = ("18", "16", "14", "12", "10", "8", "6", "4", "3", "2", "1", "1/0", "2/0", "3/0", "4/0")
YES, NO = "yes", "no"
YES_OR_NO = {YES: "yes", NO: "no"}

AMPS = Number(key="current_a", label="Amps", example="10 A", unit="A")
LENGTH = Number(
    key="length_m",
    label="Length there and back",
    example="21 ft",
    unit="m",
    hint="source to the thing and back",
)
VOLTS = Number(key="volts_v", label="Volts", example="12 V", unit="V")
LOSS = Choice(
    key="loss",
    label="It may lose",
    example="3",
    options={
        "3": "3 %: feeders, blowers, pumps, electronics, running lights",
        "10": "10 %: the rest",
    },
)
SIZE = Choice(
    key="size", label="Wire, AWG", example="12", options={size: f"{size} AWG" for size in SIZES}
)
INSULATION = Choice(
    key="insulation",
    label="Insulation, °C",
    example="105",
    hint="printed on the wire",
    options={c: f"{c} °C" for c in ("60", "75", "80", "90", "105", "125", "200")},
)
ENGINE = Choice(key="engine", label="Runs in an engine space", example=NO, options=YES_OR_NO)
BUNDLED = Number(
    key="bundled", label="Wires with current in the bundle", example="2", otherwise="2", unit=""
)
FROM = Number(key="from_m", label="Fuse from the source, along the wire", example="6 in", unit="m")
SHEATHED = Choice(
    key="sheathed", label="In a sheath all the way to the fuse", example=NO, options=YES_OR_NO
)
AREAS = sources("Copper in a wire", "wiring", "copper_area")


def _run(volts_v: float, insulation: str, engine: str, bundled: float) -> Run:
    if bundled != int(bundled):
        raise ValueError(f"{bundled:g} wires in the bundle; give a whole number.")
    return Run(volts_v, float(insulation), engine == YES, int(bundled))


def _wire(
    current_a: float,
    length_m: float,
    volts_v: float,
    loss: str,
    insulation: str,
    engine: str,
    bundled: float,
    by: str,
) -> Answer:
    run = _run(volts_v, insulation, engine, bundled)
    may_lose_v = volts_v * float(loss) / 100
    needed_mm2 = calc.area_needed_mm2(current_a, length_m, may_lose_v)
    size = calc.smallest_size(run, current_a, length_m, may_lose_v, by)
    lost_v = calc.lost_v(size, current_a, length_m, by)
    allowed_a = calc.allowed_a(size, run)
    fuse_a = calc.largest_fuse_a(allowed_a, volts_v)
    copper_mm2 = calc.copper_mm2(size, by)
    return Answer(
        says=f"{size} AWG ({copper_mm2:.1f} mm² of copper), fuse at most {fuse_a:.1f} A: it loses "
        f"{lost_v:.2f} V ({100 * lost_v / volts_v:.1f} %) and may carry {allowed_a:.1f} A.",
        numbers=(
            Told("copper_mm2", "Copper of the wire", copper_mm2, "mm²"),
            Told("needed_mm2", "Copper the loss asks for", needed_mm2, "mm²"),
            Told("lost_v", "Lost", lost_v, "V"),
            Told("allowed_a", "It may carry", allowed_a, "A"),
            Told("fuse_a", "Largest fuse", fuse_a, "A"),
        ),
        besides=(
            f"That fuse only keeps the wire from burning. Take the next size sold over {current_a:g} "
            "A, never over this, nor over what the manual of the thing it feeds allows.",
            "An 18 AWG wire is allowed only in a sheath, so it is not offered.",
        ),
    )


def _drop(
    size: str, current_a: float, length_m: float, volts_v: float, loss: str, by: str
) -> Answer:
    calc.check_volts(volts_v)
    lost_v = calc.lost_v(size, current_a, length_m, by)
    percent = 100 * lost_v / volts_v
    if percent >= 100:
        raise ValueError(
            f"{size} AWG can't carry {current_a:g} A so far at {volts_v:g} V; take a larger wire."
        )
    within = round(percent, 6) <= float(loss)
    return Answer(
        says=f"{lost_v:.2f} V is lost, {percent:.1f} %: {'within' if within else 'more than'} "
        f"{loss} %, with {volts_v - lost_v:.2f} V left.",
        numbers=(
            Told("lost_v", "Lost", lost_v, "V"),
            Told("percent", "Of the source", percent, "%"),
            Told("left_v", "Left at the thing", volts_v - lost_v, "V"),
        ),
        besides=("Terminals, switch and fuse lose more: measured under load it is proven.",),
        may=within,
    )


def _ampacity(size: str, insulation: str, engine: str, volts_v: float, bundled: float) -> Answer:
    allowed_a = calc.allowed_a(size, _run(volts_v, insulation, engine, bundled))
    where = "in an engine space" if engine == YES else "outside engine spaces"
    return Answer(
        says=f"{size} AWG, {insulation} °C, may carry {allowed_a:.1f} A {where}.",
        numbers=(Told("allowed_a", "It may carry", allowed_a, "A"),),
        besides=(
            "What is lost over its length is another matter: see wire-drop.",
            "Not for the wires of the cranking motor.",
        ),
    )


def _carried(values: Mapping[str, Value]) -> Drawing:
    """What each size may carry, laid the same way, over its copper."""
    here = _ampacity(**values)  # type: ignore[arg-type]  # the fields are its arguments
    each = [_ampacity(**{**values, "size": size})["allowed_a"] for size in SIZES]  # type: ignore[arg-type]
    areas = [calc.copper_mm2(size, "copper_area_awg") for size in SIZES]
    at = SIZES.index(str(values["size"]))
    titles = ("Copper, mm²", "It may carry, A")
    points = [(areas[at], each[at])]
    return chart("picture", [Line(tuple(areas), tuple(each))], titles, points, here.says)


def _fuse(
    size: str,
    insulation: str,
    engine: str,
    volts_v: float,
    bundled: float,
    from_m: float,
    sheathed: str,
) -> Answer:
    allowed_a = calc.allowed_a(size, _run(volts_v, insulation, engine, bundled))
    fuse_a = calc.largest_fuse_a(allowed_a, volts_v)
    may = calc.fuse_may_sit(from_m, sheathed == YES)
    within_m = calc.fuse_within_m(sheathed == YES)
    within = f"{within_m * 1000:.0f} mm ({within_m / calc.M_PER_IN:.0f} in.)"
    return Answer(
        says=f"Fuse at most {fuse_a:.1f} A, {'within' if may else 'no farther than'} {within} of the "
        f"source{'' if may else ': this one is too far along the wire'}.",
        numbers=(
            Told("fuse_a", "Largest fuse", fuse_a, "A"),
            Told("allowed_a", "The wire may carry", allowed_a, "A"),
            Told("within_m", "From the source, at most", within_m, "m"),
        ),
        besides=(
            "At the source itself where that can be. A smaller fuse that carries the load is better; "
            "between two sizes that are sold take the smaller.",
            *(
                ["From 50 V on the next standard size may be taken, up to one and a half times."]
                * (fuse_a == allowed_a)
            ),
        ),
        may=may,
    )


def _fuse_drawn(values: Mapping[str, Value]) -> Drawing:
    """The wire from its source, to scale: how far the fuse may be, and where it is."""
    answer = _fuse(**values)  # type: ignore[arg-type]  # the fields are its arguments
    from_m = values["from_m"]
    if not isinstance(from_m, float | int):
        raise TypeError(f"fuse at {from_m!r}; values come from the sum's fields.")
    near_m, far_m = calc.fuse_within_m(sheathed=False), calc.fuse_within_m(sheathed=True)
    left, wide = 30.0, 440.0
    scale = (wide - 2 * left) / (1.15 * max(far_m, from_m))

    def centred(x: float, y: float, words: str) -> str:
        half = text_width(words, 15) / 2
        return text(min(max(x - half, 2), wide - 2 * half - 2), y, words)

    body = [f'<path d="M{left:g} 90H{wide - left:g}" stroke="{INK}" stroke-width="3"/>']
    body.append(f'<path d="M{left:g} 66V114" stroke="{INK}" stroke-width="6"/>')
    body.append(centred(left, 134, "source"))
    for limit_m, words, y in ((near_m, "7 in. bare", 50), (far_m, "40 in. in a sheath", 26)):
        x = left + limit_m * scale
        body.append(f'<path d="M{x:.1f} {y + 6}V120" stroke="{SOFT}" stroke-dasharray="5 4"/>')
        body.append(centred(x, y, words))
    x = left + from_m * scale
    body.append(
        f'<circle cx="{x:.1f}" cy="90" r="8" fill="none" stroke="{BLUE}" stroke-width="3"/>'
    )
    body.append(centred(x, 156, "fuse"))
    return Drawing(svg("picture", wide, 170, answer.says, "img", "".join(body)), answer.says)


SUMS = (
    Sum(
        name="wire",
        subject=Subject.WIRING,
        title="Wire size",
        question="Which wire for these amps over this length, and which fuse?",
        fields=(AMPS, LENGTH, VOLTS, LOSS, INSULATION, ENGINE, BUNDLED, AREAS),
        work=_wire,
        picture=swept(_wire, LENGTH, 1.0, 30.0, "needed_mm2", "copper_mm2"),
        formula="circular mils = 10.75 × amps × feet there and back ÷ volts that may be lost; and "
        "allowed amps ≥ amps: the larger wire of the two",
        holds="Copper, American sizes, single wires from 16 AWG to 4/0; not the cranking motor's. "
        "30 °C outside, 50 °C in engine spaces; bundles count from 50 V on.",
        rests_on=(
            "wiring/copper_k",
            "wiring/copper_area",
            "wiring/drop_important",
            "wiring/drop_other",
            "wiring/allowed_amps",
            "wiring/engine_space_factor",
            "wiring/bundle_factor",
            "wiring/bundle_from_volts",
            "wiring/fuse_most",
            "wiring/least_single_awg",
        ),
        caution=CAUTION,
    ),
    Sum(
        name="wire-drop",
        subject=Subject.WIRING,
        title="Lost in a wire",
        question="How many volts are lost in a wire, and is that too much?",
        fields=(SIZE, AMPS, LENGTH, VOLTS, LOSS, AREAS),
        work=_drop,
        picture=swept(_drop, LENGTH, 1.0, 20.0, "lost_v"),
        formula="volts lost = 10.75 × amps × feet there and back ÷ circular mils",
        holds="Copper, American sizes; warm or corroded wire and its joints lose more.",
        rests_on=(
            "wiring/copper_k",
            "wiring/copper_area",
            "wiring/drop_important",
            "wiring/drop_other",
        ),
        caution=CAUTION,
    ),
    Sum(
        name="ampacity",
        subject=Subject.WIRING,
        title="Amps of a wire",
        question="How many amps may a wire carry where it runs?",
        fields=(SIZE, INSULATION, ENGINE, VOLTS, BUNDLED),
        work=_ampacity,
        picture=_carried,
        formula="allowed = table's amps × what is left in an engine space × what is left in a bundle",
        holds="Copper, 30 °C outside, 50 °C in engine spaces; bundles of three and more count from "
        "50 V on. Law on boats with a petrol inboard, good practice on others.",
        rests_on=(
            "wiring/allowed_amps",
            "wiring/engine_space_factor",
            "wiring/bundle_factor",
            "wiring/bundle_from_volts",
            "wiring/least_size_not_for",
        ),
        caution=CAUTION,
    ),
    Sum(
        name="fuse",
        subject=Subject.WIRING,
        title="Fuse",
        question="What is the largest fuse of a wire, and where must it sit?",
        fields=(SIZE, INSULATION, ENGINE, VOLTS, BUNDLED, FROM, SHEATHED),
        work=_fuse,
        picture=_fuse_drawn,
        formula="largest fuse = 1.5 × allowed amps below 50 V, 1 × from 50 V on; within 7 in. of the "
        "source, in a sheath 40 in.",
        holds="Copper wire of 33 CFR 183.425; law on boats with a petrol inboard, good practice on "
        "others. Not the cranking motor's wires.",
        rests_on=(
            "wiring/fuse_most",
            "wiring/fuse_at_50_v",
            "wiring/fuse_within",
            "wiring/fuse_within_sheathed",
            "wiring/allowed_amps",
            "wiring/engine_space_factor",
            "wiring/bundle_factor",
        ),
        caution=CAUTION,
    ),
)
