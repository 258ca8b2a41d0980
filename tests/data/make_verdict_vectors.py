"""Make the readings and typed texts that the server and the phone must answer alike.

``python -m tests.data.make_verdict_vectors`` writes both files anew: do so when a rule, a quantity
or a unit changes, and look at what became another.
"""

import json
from collections.abc import Iterator, Mapping
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from random import Random
from typing import Any

from yardwright.calc.units import Plausible, convert, convert_difference, read, units_like
from yardwright.procedures.quantities import Answer, Condition, Quantity, Values, quantities
from yardwright.procedures.readings import Instrument, Limit, Reading
from yardwright.procedures.verdict import judge
from yardwright.season.on_the_phone import plain_instrument, plain_limit, plain_reading

HERE = Path(__file__).parent
READINGS, TYPED = HERE / "verdict_vectors.json", HERE / "typed_vectors.json"
MADE_BY = {"made_by": "python -m tests.data.make_verdict_vectors"}
EACH = 20  # readings of each quantity
AT = datetime(2031, 5, 2, 12, tzinfo=UTC)
Plain = dict[str, Any]

# How far within the limit, in standard uncertainties: on it, at the bounds, either side, far off.
FAR = (4.0, 6.0, 12.0)
NEAR = (-9.0, -2.4, -1.6449, -1.6448, -1.0, 0.0, 0.4, 1.6448, 1.6449, 2.3263, 2.3264, 3.0)
STEPS = (*NEAR, *FAR * 2)

# Answers at which a table ends, or a rule begins to speak.
EDGES: Mapping[str, Mapping[str, tuple[Answer, ...]]] = {
    "battery_under_load": {
        "battery_temp_c": (
            -30.0,
            -17.8,
            -17.7778,
            -12.222222222222222,
            4.0,
            21.1111,
            30.0,
            37.7778,
            38.0,
        ),
        "thermometer_within_c": (0.0, 10.0),
    },
    "surface_temperature": {
        "air_temp_c": (-46.0, -20.0, 59.9, 60.5),
        "humidity": (0.5, 5.0, 84.9, 85.0, 90.0),
        "humidity_within": (0.0, 30.0),
    },
    "specific_gravity": {"acid_temp_c": (-30.0, 26.6667, 50.0)},
    "battery_at_rest": {"kind": ("something else",)},
    "freeze_point": {"fluid": ("something else",), "fluid_temp_c": (9.9, 10.0, 30.0, 30.1)},
}


def said(vector: Mapping[str, Any]) -> Plain:
    """What the server says of it today."""
    of = quantities()[vector["quantity"]]
    told = vector["reading"]
    reading = _reading(of, told, _instrument(told["instrument"]), told["conditions"])
    limit = vector["limit"] and Limit(**vector["limit"])
    twin = vector["twin"] and _reading(of, vector["twin"])
    judged = judge(of, reading, limit, twin, [_reading(of, one) for one in vector["years"]])
    record: Plain = json.loads(json.dumps(judged.record()))
    return {name: record[name] for name in ("verdict", "p", "reasons")}


def understood(vector: Mapping[str, Any]) -> Plain:
    """What the server reads in a typed text, or what it asks."""
    asked = vector["plausible"]
    try:
        typed = read(
            vector["typed"],
            vector["unit"],
            beside=vector["beside"],
            plausible=asked and Plausible(**asked),
            sure=vector["sure"],
            difference=vector["difference"],
        )
    except ValueError as question:
        return {"question": str(question)}
    return {"value": typed.value, "echo": typed.echo}


def _instrument(plain: Plain | None) -> Instrument | None:
    if plain is None:
        return None
    until = plain["checked_until"]
    return Instrument(**plain | {"checked_until": until and date.fromisoformat(until)})


def _reading(
    of: Quantity,
    plain: Plain,
    instrument: Instrument | None = None,
    conditions: Mapping[str, Answer] | None = None,
) -> Reading:
    at = datetime.fromisoformat(plain["day"]).replace(hour=12, tzinfo=UTC)
    values, unit, where = tuple(plain["values"]), plain["unit"], plain["where"]
    return Reading(of.code, values, unit, at, "", instrument, conditions or {}, where)


class Maker:
    """Readings of one quantity, with chance's help: half are complete, the others may lack things."""

    def __init__(self, of: Quantity, number: int) -> None:
        self.of = of
        self.number = number
        self.chance = Random(f"{of.code} {number}")  # noqa: S311  # the same each time
        self.complete = self.chance.random() < 0.6
        self.calm = self.complete and self.chance.random() < 0.5  # within its limit

    def vector(self, told: Mapping[str, Answer] | None = None) -> Plain:
        """One reading; with answers told, nothing but a table gives its limit."""
        unit = self.chance.choice(units_like(self.of.unit))
        low, high = self._plausible(unit)
        at = self._nice(low + (high - low) * self.chance.uniform(0.2, 0.8))
        u = self._nice((high - low) * self.chance.choice((0.002, 0.01, 0.03)))
        instrument = self._instrument(u, unit)
        values = self._values(at, u)
        by_table = told and self.of.table
        limit = None if by_table else self._limit(at, high - low, unit)
        day = AT + timedelta(days=self.chance.choice((0, 0, 3)))
        conditions = self._conditions() | dict(told or {})
        where = self.chance.choice(("", "", "port", "battery 2"))
        reading = Reading(self.of.code, values, unit, day, "", instrument, conditions, where)
        vector = {
            "quantity": self.of.code,
            "reading": {
                **plain_reading(reading),
                "instrument": instrument and plain_instrument(instrument),
                "conditions": dict(reading.conditions),
            },
            "limit": limit and plain_limit(limit),
            "twin": self._twin(reading),
            "years": [plain_reading(one) for one in self._years(reading, u)],
        }
        return vector | {"says": said(vector)}

    def _plausible(self, unit: str) -> tuple[float, float]:
        ends = [self.of.plausible.low, self.of.plausible.high]
        if self.of.table or self.of.code == "specific_gravity":
            ends = {"V": [8.3, 9.8], "°C": [2.0, 25.0], "SG": [1.2, 1.29]}[self.of.unit]
        low, high = (convert(end, self.of.unit, unit) for end in ends)
        return low, high

    def _nice(self, value: float) -> float:
        return float(f"{value:.4g}")

    def _values(self, at: float, u: float) -> tuple[float, ...]:
        steps = FAR if self.calm else STEPS
        first = at + self.chance.choice(steps) * u * (
            1 if self.calm else self.chance.choice((1, -1))
        )
        if self.of.values == Values.ONE:
            return (first,)
        if self.of.even and self.chance.random() < 0.1:
            return 3 * u, 2.9 * u  # too coarse a gauge
        spread = u * self.chance.choice((0.3, 1.0, 8.0))
        more = self.chance.randint(0, 5)
        others = [self._nice(first + self.chance.gauss(0, spread)) for _ in range(more)]
        if self.of.even and others and self.chance.random() < 0.2:
            others[-1] = self._nice(u * self.chance.choice((2.0, 4.9, 5.1)))  # a dead cylinder
        return (first, *others)

    def _instrument(self, u: float, unit: str) -> Instrument | None:
        if not self.complete and self.chance.random() < 0.1:
            return None
        good = (date(2032, 1, 1), AT.date() + timedelta(days=3))
        until = self.chance.choice(good if self.complete else (*good, date(2031, 5, 1), None))
        shown = self.chance.choice(units_like(unit)) if self.chance.random() < 0.3 else unit
        own = convert_difference(u, unit, shown)
        if not self.complete and self.chance.random() < 0.1:
            return Instrument("Old one", shown, until)
        if self.chance.random() < 0.5:
            return Instrument("Certified", shown, until, u=own, resolution=own / 10)
        share = self.chance.choice((0.0, 0.005, 0.02))
        return Instrument("Maker's word", shown, until, within=own * 3**0.5, within_share=share)

    def _conditions(self) -> dict[str, Answer]:
        answers = {}
        for one in self.of.conditions:
            told = self._answer(one)
            if told is not None:
                answers[one.code] = told
        return answers

    def _answer(self, one: Condition) -> Answer | None:
        luck = self.chance.uniform(0.1 if self.complete else 0.0, 0.9 if self.complete else 1.0)
        if luck < 0.04 or (one.otherwise and luck < 0.5):
            return None
        if one.choices:
            return self.chance.choice(one.choices) if luck < 0.95 else "something else"
        if not one.unit:
            return luck < 0.96
        least = one.least.value if one.least else 0.0
        most = one.most.value if one.most else None
        if one.plausible is None:
            return float(self.chance.choice((0.5, 1, 2, 5)))
        low = max(least, one.plausible.low)
        high = most if most is not None else one.plausible.high
        if luck > 0.93:
            low, high = one.plausible.low, one.plausible.high
        return self._nice(self.chance.uniform(low, min(high, low + 80)))

    def _limit(self, at: float, span: float, unit: str) -> Limit | None:
        kinds = ("lower", "upper", "both", "both", "even", "none", "bare")
        kind = "lower" if self.calm else self.chance.choice(kinds)
        if self.of.table and self.chance.random() < 0.6:
            kind = "none"
        if kind == "none":
            return None
        filed = self.chance.choice(units_like(unit)) if self.chance.random() < 0.3 else unit

        def apart(share: float) -> float:
            return convert_difference(self._nice(span * share), unit, filed)

        def sometimes(value: float) -> float | None:
            return value if self.chance.random() < 0.3 else None

        at_limit = convert(at, unit, filed)
        lower: float | None = at_limit
        upper: float | None = None
        if kind == "upper":
            lower, upper = None, at_limit
        elif kind == "both":
            upper = at_limit + apart(self.chance.choice((0.01, 0.05, 0.3)))
        elif kind == "bare":
            lower = None
        several = self.of.even and kind != "upper"
        return Limit(
            filed,
            "Workshop manual",
            "p. 4-12",
            lower,
            upper,
            lowest_over_highest=self.chance.choice((0.75, 0.9)) if several else None,
            thin=sometimes(apart(0.02)),
            u=sometimes(apart(0.003)) or 0.0,
            twin=sometimes(apart(0.02)),
            others=sometimes(apart(0.03)),
            years=sometimes(apart(0.03)),
            spread=sometimes(apart(0.03)),
            needs={one.code: 10.0 for one in self.of.conditions if one.from_limit}
            if self.chance.random() < 0.8
            else {},
        )

    def _twin(self, reading: Reading) -> Plain | None:
        if self.chance.random() < 0.6:
            return None
        off = self.chance.choice((1.0, 1.002, 1.05, 0.9))
        values = tuple(value * off for value in reading.values)
        return plain_reading(
            Reading(self.of.code, values, reading.unit, reading.at, "", None, {}, "starboard")
        )

    def _years(self, reading: Reading, u: float) -> Iterator[Reading]:
        """A trend with a little noise, toward the limit or away; at times a year is missing.

        What was read this year, too, or on fewer cylinders is no earlier year's.
        """
        count = self.chance.choice((0, 0, 0, 1, 2, 3, 4, 5, 8))
        a_year = u * self.chance.choice((-2.0, -0.4, 0.0, 0.5, 3.0))
        noise = u * self.chance.choice((0.0, 0.2, 1.0))
        unit = self.chance.choice(units_like(reading.unit))
        for back in range(count, 0, -1):
            if self.chance.random() < 0.1:
                continue
            values = [
                value - back * a_year + self.chance.gauss(0, noise) for value in reading.values
            ]
            kept = tuple(convert(value, reading.unit, unit) for value in values)
            then = reading.at.replace(year=reading.at.year - back)
            if self.chance.random() < 0.1:
                kept = (*kept, kept[0])
            yield Reading(self.of.code, kept, unit, then, "", None, {}, reading.where)
        if self.chance.random() < 0.2:
            off = tuple(value * 0.9 for value in reading.values)
            yield Reading(self.of.code, off, reading.unit, AT, "", None, {}, reading.where)


def readings() -> Iterator[Plain]:
    for of in quantities().values():
        more = 4 * EACH if of.table or of.even else EACH
        for number in range(more):
            yield Maker(of, number).vector()
        for code, answers in EDGES.get(of.code, {}).items():
            for number, answer in enumerate(answers):
                yield Maker(of, more + number).vector({code: answer})


# Texts as people type them, beside what is asked: (typed, wanted unit, unit beside the box).
TEXTS = (
    "74 F",
    "74",
    "5,2 m",
    "95 psi",
    "5 ft 2 in",
    "5' 2\"",
    "5ft2",
    "5 ft 13 in",
    "3/4 in",
    "2 3/4 in",
    "1/0 in",
    "1,200",
    "1,200 kPa",
    "0,200 kPa",
    "1.200,5 mm",
    "1,234,567 mm",
    "1 234,5 mm",
    "1.2.3 V",
    "12.6 V",
    "12.6v",
    "−5 °C",
    "-5 C",
    "-300 C",
    "-0 C",
    "abc",
    "",
    "   ",
    "12 elephants",
    "12 ton",
    "3 oz",
    "2 mΩ",
    "2 MΩ",
    "0.4 ohm",
    "1265 points",
    "1.265 SG",
    "1.265",
    "13 lb ft",
    "0.005 in",
    "120 µm",
    "5 mils",
    "98 ft2",
    "3 drops",
    "1.0625 kPa",
    "1000000000000000000000000 kPa",
    "7" * 45,
    "it's 5",
    "+4 kPa",
    ".5 L",
    "5. L",
    "20 fl oz",
    "85 %",
    "30 in hg",
)
ENDS = ("{low:g} {unit}", "{high:g} {unit}", "{beyond:g} {unit}", "{below:g} {unit}")


def typed() -> Iterator[Plain]:
    for text in TEXTS:
        for unit in ("°C", "kPa", "m", "V", "SG"):
            yield _asked(text, unit, "")
        yield _asked(text, "µm", "mil")
        yield _asked(text, "°C", "°F", difference=True)
    for of in quantities().values():
        low, high = of.plausible.low, of.plausible.high
        ends = {"low": low, "high": high, "beyond": high + 1.0, "below": low - 1.0}
        for unit in units_like(of.unit):
            for end in ENDS:
                text = end.format(**ends, unit=unit)
                yield _asked(text, of.unit, "", of.plausible)
        yield _asked(f"{high * 2:g}", of.unit, of.unit, of.plausible)
        yield _asked(f"{high * 2:g}", of.unit, of.unit, of.plausible, sure=True)
        for one in of.usual:
            usual = Plausible(one.low, one.high, one.unit)
            for unit in units_like(of.unit):
                yield _asked(f"{one.high + 1:g} {unit}", of.unit, "", usual)


def _asked(
    text: str,
    unit: str,
    beside: str,
    plausible: Plausible | None = None,
    *,
    sure: bool = False,
    difference: bool = False,
) -> Plain:
    span = plausible and {
        "low": plausible.low,
        "high": plausible.high,
        "unit": plausible.unit,
    }
    vector = {
        "typed": text,
        "unit": unit,
        "beside": beside,
        "plausible": span,
        "sure": sure,
        "difference": difference,
    }
    return vector | {"says": understood(vector)}


def written(vectors: Iterator[Plain]) -> str:
    """One vector a line, after the line that says what made them."""
    lines = [json.dumps(MADE_BY), *(json.dumps(one, ensure_ascii=False) for one in vectors)]
    return "[\n" + ",\n".join(lines) + "\n]\n"


if __name__ == "__main__":
    READINGS.write_text(written(readings()), encoding="utf-8")
    TYPED.write_text(written(typed()), encoding="utf-8")
