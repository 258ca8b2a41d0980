"""Cover and paint: dew point, when to paint, how much paint, how much film."""

from yardwright import refdata
from yardwright.calc import cover, dew, paint
from yardwright.calc.units import convert
from yardwright.sums.field import Number, sources
from yardwright.sums.picture import swept
from yardwright.sums.sum import Answer, Subject, Sum, Told
from yardwright.sums.words import both, temperature

PAINT_CAUTION = (
    "Bottom paint is poison and its dust more so: mask, gloves, wet sanding, sheets below. Solvent "
    "burns: no flame, no heater, air through the shed. The paint's own sheet goes first."
)
WRAP_CAUTION = (
    "A heat gun sets film, padding and fuel vapour alight: nobody aboard, extinguisher at hand, "
    "then a fire watch of 30 to 60 minutes. Nobody wraps in more than 15 mph of wind."
)

AIR = Number(key="air_c", label="Air", example="20 °C", unit="°C")
HUMIDITY = Number(key="humidity", label="Relative humidity", example="60 %", unit="%")
SURFACE = Number(
    key="surface_c",
    label="The hull itself",
    example="16 °C",
    unit="°C",
    hint="a probe on the shaded side, the coldest place",
)
COLDEST = Number(
    key="coldest_c",
    label="The paint's coldest",
    example="5 °C",
    unit="°C",
    hint="from its own sheet",
    may_be_empty=True,
)
WARMEST = Number(
    key="warmest_c", label="The paint's warmest", example="35 °C", unit="°C", may_be_empty=True
)
LENGTH = Number(key="length_m", label="Her length over all", example="7.3 m", unit="m")
BEAM = Number(key="beam_m", label="Her beam", example="2.6 m", unit="m")
WATERLINE = Number(
    key="waterline_m", label="Her waterline", example="6.6 m", unit="m", may_be_empty=True
)
DRAFT = Number(
    key="draft_m",
    label="Her hull's draft",
    example="0.45 m",
    unit="m",
    hint="without drive and rudder",
    may_be_empty=True,
)
COATS = Number(key="coats", label="Coats", example="2", unit="")
SOLIDS = Number(
    key="solids", label="Solids by volume", example="55 %", unit="%", hint="from the paint's sheet"
)
DRY = Number(
    key="dry_um",
    label="One coat, dry",
    example="50 µm",
    unit="µm",
    hint="from the paint's sheet",
)
LOST = Number(key="lost", label="Paint lost", example="20 %", unit="", otherwise="20 %")
AREA_BY = sources("Area of the bottom", "paint", "bottom_by_length")
DROP = Number(key="drop_m", label="It hangs down each side", example="0.9 m", unit="m")
THICK = Number(key="thick_um", label="The film", example="7 mil", unit="µm", otherwise="7 mil")


def _dew_point(air_c: float, humidity: float) -> Answer:
    at_c = dew.dew_point_c(air_c, humidity)
    least_c = at_c + refdata.table("paint")["surface_above_dew_point"].value
    frost = "Under 0 °C hoar frost forms a little sooner than this says."
    return Answer(
        says=f"Dew at {temperature(at_c)}; paint wants the hull at {temperature(least_c)} or warmer.",
        numbers=(
            Told("dew_point_c", "Dew point", at_c, "°C"),
            Told("dew_point_f", "Dew point", convert(at_c, "°C", "°F"), "°F"),
            Told("least_c", "Hull for painting, at least", least_c, "°C"),
        ),
        besides=((frost,) if at_c < 0 else ()),
    )


def _paint_window(
    air_c: float,
    humidity: float,
    surface_c: float,
    coldest_c: float | None,
    warmest_c: float | None,
) -> Answer:
    found = dew.paint_check(air_c, humidity, surface_c, coldest_c, warmest_c)
    may = found.may_paint
    heads = {False: "No paint now.", None: "Not known yet.", True: "Paint may go on."}
    above_f = found.above_c * 1.8
    return Answer(
        says=f"{heads[may]} The hull is {found.above_c:.1f} °C ({above_f:.1f} °F) above the dew point "
        f"of {temperature(found.dew_point_c)}.",
        numbers=(
            Told("above_c", "Hull above the dew point", found.above_c, "°C"),
            Told("dew_point_c", "Dew point", found.dew_point_c, "°C"),
        ),
        besides=(
            *found.refusals,
            *(f"Not known: {what}" for what in found.not_known),
            "It must stay so until the paint is dry: measure again towards evening.",
        ),
        may=may,
        not_known=may is None,
    )


def _paint(
    length_m: float,
    beam_m: float,
    waterline_m: float | None,
    draft_m: float | None,
    by: str,
    coats: float,
    solids: float,
    dry_um: float,
    lost: float,
) -> Answer:
    if not (1 <= coats <= 10 and coats == int(coats)):
        raise ValueError(f"{coats:g} coats; give a whole number, 1 to 10.")
    area_m2 = paint.bottom_m2(length_m, beam_m, waterline_m, draft_m, by)
    spread = paint.spread_m2_l(solids, dry_um, lost)
    litres, wet_um = area_m2 * coats / spread, paint.wet_um(solids, dry_um)
    return Answer(
        says=f"{both(litres, 'L', 'gal')} for {coats:.0f} coats on {both(area_m2, 'm²', 'ft²')}; "
        f"each goes on {both(wet_um, 'µm', 'mil')} wet.",
        numbers=(
            Told("litres", "Paint", litres, "L"),
            Told("area_m2", "Bottom", area_m2, "m²"),
            Told("area_ft2", "Bottom", convert(area_m2, "m²", "ft²"), "ft²"),
            Told("spread_m2_l", "A litre covers", spread, "m²/L"),
            Told("wet_um", "A coat, wet", wet_um, "µm"),
        ),
        besides=(
            "The area is a rule of thumb, within about a tenth: buy whole cans, rounding up.",
            "Hours between coats and days to the water are the paint's own sheet's.",
        ),
    )


def _cover(length_m: float, beam_m: float, drop_m: float, thick_um: float) -> Answer:
    area_m2 = cover.film_m2(length_m, beam_m, drop_m)
    kg, share = cover.film_kg(area_m2, thick_um), area_m2 / cover.roll_m2()
    vents = cover.vents(length_m)
    return Answer(
        says=f"{both(area_m2, 'm²', 'ft²')} of film, {both(kg, 'kg', 'lb')}: "
        f"{share * 100:.0f} % of a roll, and {vents} vents or more.",
        numbers=(
            Told("area_m2", "Film", area_m2, "m²"),
            Told("area_ft2", "Film", convert(area_m2, "m²", "ft²"), "ft²"),
            Told("kg", "It weighs", kg, "kg"),
            Told("rolls", "Of a roll", share),
            Told("vents", "Vents, at least", vents),
        ),
        besides=(
            "The same weight comes off in spring and goes to the recycler: clean, dry, without "
            "doors, vents and straps.",
            "No film over an exhaust, no fuel vent sealed in.",
        ),
    )


SUMS = (
    Sum(
        name="dew-point",
        subject=Subject.COVER,
        title="Dew point",
        question="At which temperature does dew fall on the hull?",
        fields=(AIR, HUMIDITY),
        work=_dew_point,
        picture=swept(_dew_point, HUMIDITY, 20.0, 100.0, "dew_point_c"),
        formula="g = ln(humidity) + 17.62 t ÷ (243.12 + t); dew point = 243.12 g ÷ (17.62 − g)",
        holds="Air of −45 to 60 °C, over water. Another common pair of constants differs by less "
        "than 0.02 °C; a cheap hygrometer by a degree or two.",
        rests_on=("paint/magnus_factor", "paint/magnus_c", "paint/surface_above_dew_point"),
    ),
    Sum(
        name="paint-window",
        subject=Subject.COVER,
        title="Paint now?",
        question="May paint go on now?",
        fields=(AIR, HUMIDITY, SURFACE, COLDEST, WARMEST),
        work=_paint_window,
        picture=swept(_paint_window, SURFACE, 5.0, 30.0, "above_c"),
        formula="hull − dew point ≥ 3 °C, humidity < 85 %, air and hull within the paint's window",
        holds="The 3 °C rule is written for steel and taken for fibreglass too. The paint's own "
        "sheet goes first where it asks for more.",
        rests_on=(
            "paint/surface_above_dew_point",
            "paint/dampest_air",
            "paint/fibreglass_too",
            "paint/magnus_c",
        ),
        caution=PAINT_CAUTION,
    ),
    Sum(
        name="paint",
        subject=Subject.COVER,
        title="Bottom paint",
        question="How much paint does her bottom take?",
        fields=(LENGTH, BEAM, WATERLINE, DRAFT, AREA_BY, COATS, SOLIDS, DRY, LOST),
        work=_paint,
        picture=swept(_paint, DRY, 25.0, 150.0, "litres"),
        formula="litres = bottom × coats ÷ (10 × solids % ÷ dry µm × what is not lost)",
        holds="Power boats; bottom = length × beam × 0.85, or by the waterline. Paint not thinned.",
        rests_on=("paint/bottom_by_length", "paint/bottom_off", "paint/paint_lost"),
        caution=PAINT_CAUTION,
    ),
    Sum(
        name="cover",
        subject=Subject.COVER,
        title="Shrink film",
        question="How much film does her cover take, and what does it weigh?",
        fields=(LENGTH, BEAM, DROP, THICK),
        work=_cover,
        picture=swept(_cover, LENGTH, 4.0, 15.0, "kg"),
        formula="film = (length + 3 ft) × (beam + 2 × drop); kg = m² × µm × 0.92 ÷ 1000",
        holds="A flat piece over a low boat, before it is cut and shrunk. A house, a tower or a "
        "pulpit takes more: measure over it with a line.",
        rests_on=(
            "cover/film_density",
            "cover/film_over_length",
            "cover/roll_width",
            "cover/roll_length",
            "cover/vents_short_boat",
            "cover/vents_more_every",
        ),
        caution=WRAP_CAUTION,
    ),
)
