"""Standing: how many stands, what lies under her keel, and the wind that tips her."""

from yardwright import refdata
from yardwright.calc import standing as calc
from yardwright.calc.units import convert
from yardwright.sums.field import Number, sources
from yardwright.sums.picture import swept
from yardwright.sums.sum import Answer, Subject, Sum, Told
from yardwright.sums.words import both

CAUTION = (
    "A boat that falls off its stands kills. Nobody moves a stand alone or without another beside "
    "it; nobody is under her while one is moved. The maker's blocking plan goes before any sum."
)

POUND_N = 4.4482216152605  # the pound as a force, and on a square foot
PSF_PA = POUND_N / 0.3048**2
USUAL_DRAG = f"{refdata.table('lifting')['drag_of_a_boat'].value:g}"

LENGTH = Number(key="length_m", label="Her length over all", example="8.5 m", unit="m")
HELD = Number(
    key="held_m", label="From the foremost stand to the aftmost", example="6.7 m", unit="m"
)
APART = sources("How far apart stands may be", "lifting", "stands_apart")
LIGHT = Number(
    key="kg",
    label="Her least weight",
    example="2270 kg",
    unit="kg",
    hint="empty: a light boat tips sooner",
)
STANCE = Number(
    key="half_stance_m",
    label="From her middle to the stands' feet",
    example="1.07 m",
    unit="m",
    hint="of one side",
)
AREA = Number(
    key="area_m2",
    label="Side that the wind meets",
    example="15.6 m²",
    unit="m²",
    hint="hull, house and cover",
)
HEIGHT = Number(
    key="height_m", label="Middle of that side above the ground", example="2 m", unit="m"
)
WIND = Number(key="wind_m_s", label="Gust", example="60 mph", unit="m/s")
DRAG = Number(
    key="drag",
    label="Drag",
    example=USUAL_DRAG,
    unit="",
    otherwise=USUAL_DRAG,
    hint="for a blocked boat, side on",
)
KZ = Number(
    key="kz",
    label="Kz, for height and ground",
    example="1",
    unit="",
    otherwise="1",
    hint="0.85 on open ground, 1.03 at open water; 1 takes nothing off",
)
KD = Number(
    key="kd",
    label="Kd, for direction",
    example="1",
    unit="",
    otherwise="1",
    hint="0.85 as for a building's frame; 1 takes nothing off",
)


def _stands(length_m: float, held_m: float, by: str) -> Answer:
    count = calc.stands_a_side(length_m, held_m, by)
    side_m, long_m = calc.keel_block_m(length_m)
    inches, long_in = (f"{convert(m, 'm', 'in'):.0f}" for m in (side_m, long_m))
    lifting = refdata.table("lifting")
    points, high = lifting["least_blocking_points"].value, lifting["keel_blocks_high"].value
    apart_ft = lifting["keel_blocks_apart"].value
    large = side_m >= convert(lifting["keel_block_large"].value, "in", "m")
    spacing = f"Blocks not more than {both(convert(apart_ft, 'ft', 'm'), 'm', 'ft')} apart."
    return Answer(
        says=f"At least {count} stands on each side, and keel blocks of "
        f"{inches} × {inches} × {long_in} in ({side_m * 1000:.0f} × {side_m * 1000:.0f} × "
        f"{long_m * 1000:.0f} mm) in {points:.0f} places or more.",
        numbers=(
            Told("stands", "Stands on each side, at least", count),
            Told("block_mm", "Side of a keel block", side_m * 1000, "mm"),
            Told("block_in", "Side of a keel block", convert(side_m, "m", "in"), "in"),
        ),
        besides=(
            *([spacing] if large else []),
            "More where she overhangs: an engine, a bow, a heavy tank.",
            f"Blocks not more than {high:.0f} high. The blocks carry her, the stands only balance.",
            "Opposite stands chained, plywood under each base, pads at a bulkhead, the cover never "
            "tied to a stand.",
        ),
    )


def _stand_wind(
    kg: float,
    half_stance_m: float,
    area_m2: float,
    height_m: float,
    wind_m_s: float,
    drag: float,
    kz: float,
    kd: float,
) -> Answer:
    if not (0 < area_m2 <= 500 and 0 < drag <= 3):
        raise ValueError(
            f"side {area_m2:g} m², drag {drag:g}; give a side of up to 500 m² and a drag of up "
            "to 3, both more than 0."
        )
    pressure_pa = calc.wind_pressure_pa(wind_m_s, kz, kd)
    force_n = pressure_pa * drag * area_m2
    ratio = calc.overturning_ratio(kg, half_stance_m, force_n, height_m)
    least = refdata.table("lifting")["least_overturning_ratio"].value
    holds_m_s = wind_m_s * (ratio / least) ** 0.5
    tips = ratio < least
    verdict = f"{'Tie her down or move her: ' if tips else ''}{least:g} times is the least."
    return Answer(
        says=f"Her weight holds her {ratio:.2f} times against this gust. {verdict}",
        numbers=(
            Told("ratio", "Her moment over the wind's", ratio),
            Told("holds_m_s", f"Gust at which it is {least:g}", holds_m_s, "m/s"),
            Told("pressure_kpa", "Pressure of the wind", pressure_pa / 1000, "kPa"),
            Told("pressure_psf", "Pressure of the wind", pressure_pa / PSF_PA, "lb/ft²"),
            Told("force_kn", "The wind's push", force_n / 1000, "kN"),
            Told("force_lb", "The wind's push", force_n / POUND_N, "lb"),
        ),
        besides=(
            f"It falls to {least:g} in a gust of {both(holds_m_s, 'm/s', 'mph')}.",
            "Not known: the ground, the chains, the stands themselves. Rain softens ground, and a "
            "stand that walks holds nothing.",
        ),
        may=False if tips else None,
    )


SUMS = (
    Sum(
        name="stands",
        subject=Subject.LIFTING,
        title="Stands",
        question="How many stands does she need, and which keel blocks?",
        fields=(LENGTH, HELD, APART),
        work=_stands,
        picture=swept(_stands, HELD, 0.5, 8.0, "stands"),
        formula="stands a side = spaces no wider than the rule's + 1; three or more over 26 ft",
        holds="Motor boats that rest on their keel, up to 30 m. Nothing of her weight is on the "
        "stands. A maker's plan, a hull that wants none of it, or a cradle goes first.",
        rests_on=(
            "lifting/stands_apart",
            "lifting/long_boat",
            "lifting/least_stands_long",
            "lifting/least_stands_short",
            "lifting/keel_block_small",
            "lifting/keel_block_middle",
            "lifting/keel_block_large",
            "lifting/least_blocking_points",
            "lifting/keel_blocks_apart",
            "lifting/keel_blocks_high",
            "lifting/stands_balance_only",
        ),
        caution=CAUTION,
    ),
    Sum(
        name="stand-wind",
        subject=Subject.LIFTING,
        title="Wind on a boat on stands",
        question="Which gust would tip her off her stands?",
        fields=(LIGHT, STANCE, AREA, HEIGHT, WIND, DRAG, KZ, KD),
        work=_stand_wind,
        picture=swept(_stand_wind, WIND, 10.0, 50.0, "ratio"),
        formula="pressure = 0.00256 × Kz × Kd × mph² (lb/ft²); "
        "ratio = weight × half stance ÷ (pressure × drag × side × height)",
        holds="Statics of a stiff body on hard level ground, wind from the side. Stands that sink, "
        "slip or walk give way long before.",
        rests_on=(
            "lifting/wind_pressure_factor",
            "lifting/drag_of_a_boat",
            "lifting/least_overturning_ratio",
            "lifting/kz_open_ground",
            "lifting/kz_waterside",
            "lifting/kd_main_structure",
        ),
        caution=CAUTION,
    ),
)
