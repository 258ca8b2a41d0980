"""Frost: freezing tonight, by which day the first one comes, ice on the water."""

from collections.abc import Mapping
from datetime import date, timedelta

from yardwright.calc import frost as calc
from yardwright.calc.frost import FrostDates, Season
from yardwright.calc.units import convert
from yardwright.papers.chart import Line, chart
from yardwright.papers.drawing import Drawing
from yardwright.sums.field import Choice, Day, Number, Value
from yardwright.sums.picture import swept
from yardwright.sums.sum import Answer, Subject, Sum, Told
from yardwright.sums.words import temperature

LITRES = Number(key="litres", label="Water standing", example="0.5 L", unit="L")
LOSS = Number(
    key="loss_w_k",
    label="It loses, in watts for each degree",
    example="0.4",
    unit="",
    hint="a bronze strainer about 0.4: 10 for each square metre in still air",
)
WATER = Number(key="water_c", label="Water now", example="8 °C", unit="°C")
AIR = Number(key="air_c", label="Air tonight", example="-6 °C", unit="°C")
HOURS = Number(
    key="hours", label="It stays so cold for", example="10 h", unit="h", may_be_empty=True
)


def _freeze(
    litres: float, loss_w_k: float, water_c: float, air_c: float, hours: float | None
) -> Answer:
    if air_c >= 0:
        raise ValueError(
            f"air of {air_c:g} °C freezes nothing by this sum, but a clear sky can; give the "
            "coldest air of the night, below 0 °C."
        )
    when = calc.freezing(litres, loss_w_k, water_c, air_c)
    may: bool | None = None
    frozen: tuple[Told, ...] = ()
    if hours is None:
        tell = "How long it stays so cold is not known."
    elif hours < 0:
        raise ValueError(f"time is {hours:g} h; give 0 or more.")
    else:
        below_h = max(hours - when.at_zero_h, 0.0)
        share = 100 * calc.frozen_share(litres, loss_w_k, below_h * -air_c)
        may = hours < when.at_zero_h
        frozen = (Told("frozen_percent", "Frozen by then", share, "%"),)
        tell = (
            f"In {hours:g} h it does not get there."
            if may
            else f"In {hours:g} h it does: {share:.0f} % of it is ice. Drain it or fill it tonight."
        )
    return Answer(
        says=f"0 °C in {_hours(when.at_zero_h)}, a tenth frozen in {_hours(when.tenth_frozen_h)}, "
        f"all in {_hours(when.all_frozen_h)}, in air of {temperature(air_c)}.",
        numbers=(
            Told("at_zero_h", "At 0 °C after", when.at_zero_h, "h"),
            Told("tenth_h", "A tenth frozen after", when.tenth_frozen_h, "h"),
            Told("all_h", "All frozen after", when.all_frozen_h, "h"),
            *frozen,
        ),
        besides=(
            tell,
            "Under a clear sky or in wind it goes faster; ice in a full housing cracks it.",
        ),
        may=may,
    )


SEASON = Choice(
    key="season",
    label="Frost of",
    example="fall",
    otherwise="fall",
    options={"fall": "Fall: the first", "spring": "Spring: the last"},
)
TEN = Day(key="ten", label="10 % date", example="2030-10-02", hint="one year in ten")
FIFTY = Day(key="fifty", label="50 % date", example="2030-10-16")
NINETY = Day(key="ninety", label="90 % date", example="2030-10-30")
DAY = Day(key="day", label="By the day", example="2030-10-11", may_be_empty=True)
CHANCE = Number(
    key="chance_percent", label="At a chance of", example="5 %", unit="%", may_be_empty=True
)


def _dates(
    season: str,
    ten: date,
    fifty: date,
    ninety: date,
    day: date | None,
    chance_percent: float | None,
) -> Answer:
    if day is None and chance_percent is None:
        raise ValueError("Nothing is asked; give a day, or a chance, or both.")
    dates = FrostDates(Season(season), ten, fifty, ninety)
    side = "before" if dates.season is Season.FALL else "after"
    told, sentences = [], []
    if day is not None:
        chance = 100 * calc.frost_chance(dates, day)
        told.append(Told("chance", f"Chance of frost {side} that day", chance, "%"))
        sentences.append(f"It freezes {side} {_day(day)} in {chance:.0f} years of 100.")
    if chance_percent is not None:
        that_day = calc.frost_day(dates, chance_percent / 100)
        away = calc.frost_days_from_middle(dates, chance_percent / 100)
        told.append(Told("days", "Days from the 50 % date", away))
        sentences.append(f"{chance_percent:g} % of years freeze {side} {_day(that_day)}.")
    sides = (abs((ten - fifty).days), abs((ninety - fifty).days))
    lopsided = abs(sides[0] - sides[1]) > 2
    return Answer(
        says=" ".join(sentences),
        numbers=tuple(told),
        besides=(
            *(["The table is lopsided: each side has its own spread."] * lopsided),
            "At the station's screen, for the threshold the table is for. A hollow, a clear sky "
            "and a boat's bottom are colder.",
        ),
    )


def _dates_drawn(values: Mapping[str, Value]) -> Drawing:
    ten, fifty, ninety, day = (values[key] for key in ("ten", "fifty", "ninety", "day"))
    assert isinstance(ten, date)  # noqa: S101  (Day fields give nothing else)
    assert isinstance(fifty, date)  # noqa: S101
    assert isinstance(ninety, date)  # noqa: S101
    dates = FrostDates(Season(str(values["season"])), ten, fifty, ninety)
    widest = 2 * max(abs((ten - fifty).days), abs((ninety - fifty).days))
    days = tuple(range(-widest, widest + 1))

    def percent(away: int) -> float:
        return 100 * calc.frost_chance(dates, fifty + timedelta(days=away))

    line = Line(tuple(float(away) for away in days), tuple(percent(away) for away in days))
    asked = day if isinstance(day, date) else fifty
    away = (asked - fifty).days
    side = "before" if dates.season is Season.FALL else "after"
    sentence = f"Chance of frost {side} a day; {_day(asked)}: {percent(away):.0f} %."
    titles = (f"Days from {_day(fifty)}", "Chance, %")
    return chart("picture", [line], titles, [(float(away), percent(away))], sentence)


TIME = Number(key="hours", label="Since the first skin of ice", example="12 h", unit="h")
FILM = Number(
    key="film",
    label="The air takes, in watts for each square metre and degree",
    example="20",
    otherwise="20",
    unit="",
    hint="10 still, 30 in wind",
)


def _ice(air_c: float, hours: float, film: float) -> Answer:
    ice_m = calc.ice_m(air_c, hours, film)
    most_m = calc.ice_m(air_c, hours, None)
    return Answer(
        says=f"{1000 * ice_m:.0f} mm ({convert(ice_m, 'm', 'in'):.1f} in) of ice, never more than "
        f"{1000 * most_m:.0f} mm ({convert(most_m, 'm', 'in'):.1f} in).",
        numbers=(
            Told("ice_mm", "Ice", 1000 * ice_m, "mm"),
            Told("most_mm", "Were its surface as cold as the air", 1000 * most_m, "mm"),
        ),
        besides=("Measured ice decides. Round piles, floats and outlets it is thinner.",),
    )


def _hours(hours: float) -> str:
    return f"{hours:.1f} h" if hours < 48 else f"{hours / 24:.1f} days"


def _day(day: date) -> str:
    return f"{day.day} {day:%b}"


SUMS = (
    Sum(
        name="freeze",
        subject=Subject.FROST,
        title="Freezing tonight",
        question="When does water that was left standing freeze tonight?",
        fields=(LITRES, LOSS, WATER, AIR, HOURS),
        work=_freeze,
        picture=swept(_freeze, AIR, -20.0, -2.0, "at_zero_h", "tenth_h"),
        formula="to 0 °C: m c ÷ (h A) × ln((water − air) ÷ (0 − air)); to ice: m × 334 kJ ÷ (h A × "
        "degrees below 0)",
        holds="Steady air, still water of one temperature; the metal's own heat is left out, which "
        "is cautious. Sky, wind and the heat of a shed are not in it.",
        rests_on=(
            "frost/cooling_law",
            "frost/degree_hours",
            "frost/water_heat",
            "frost/heat_of_fusion",
            "frost/strainer_loses",
            "frost/pipe_risk_h",
        ),
        caution="A heater or lamp left in a boat burns boats down, and one with a flame makes "
        "carbon monoxide: drain or fill instead. Ladder tied, decks are ice. The maker's manual "
        "goes first.",
    ),
    Sum(
        name="freeze-dates",
        subject=Subject.FROST,
        title="Frost dates",
        question="How likely is frost by a day, and which day has a chance of so much?",
        fields=(SEASON, TEN, FIFTY, NINETY, DAY, CHANCE),
        work=_dates,
        picture=_dates_drawn,
        formula="chance = normal((day − 50 % date) ÷ spread); spread of a side = its printed date's "
        "distance ÷ 1.28155",
        holds="Station tables of 10, 50 and 90 %. Each side of the middle has its own spread; "
        "between 1 and 99 %.",
        rests_on=(
            "frost/frost_table_means",
            "frost/lopsided_frost_dates",
            "frost/blow_lines_by",
            "frost/freeze_f",
            "frost/hard_freeze_f",
        ),
        caution="A table is no forecast: the week's forecast decides when lines are blown.",
    ),
    Sum(
        name="ice",
        subject=Subject.FROST,
        title="Ice on the water",
        question="How thick does ice grow round boats and docks?",
        fields=(AIR, TIME, FILM),
        work=_ice,
        picture=swept(_ice, TIME, 0.0, 240.0, "ice_mm", "most_mm"),
        formula="h = √((k ÷ H)² + 2 k × degrees × time ÷ (ρ L)) − k ÷ H",
        holds="Still fresh water already at 0 °C, no snow, no current. Salt water freezes later.",
        rests_on=(
            "frost/ice_growth",
            "frost/ice_conducts",
            "frost/ice_density",
            "frost/heat_of_fusion",
            "frost/air_over_ice_low",
            "frost/air_over_ice_high",
        ),
        caution="Nobody walks on ice by a sum. Ice lifts piles and pinches hulls.",
    ),
)
