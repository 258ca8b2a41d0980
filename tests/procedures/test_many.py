"""Many readings at once say the same words as each alone: `judge` is the authority here."""

from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from yardwright.procedures import many
from yardwright.procedures.many import verdicts
from yardwright.procedures.quantities import Quantity, quantities, quantity
from yardwright.procedures.readings import Instrument, Limit, Reading
from yardwright.procedures.verdict import Judgement, Verdict, judge

FIRST = datetime(2022, 5, 2, 10, 0, tzinfo=UTC)
MIDDLE = {"V": 10.0, "°C": 60.0, "psi": 140.0, "kPa": 900.0, "N m": 50.0, "SG": 1.26, "A": 3.0}

Draw = Callable[[st.SearchStrategy[object]], object]


def answers(draw: st.DrawFn, of: Quantity) -> dict[str, bool | float | str]:
    """Mostly all is so; now and then something is not told, or not so."""
    told: dict[str, bool | float | str] = {}
    for one in of.conditions:
        if draw(st.integers(0, 30)) == 0:
            continue
        if one.choices:
            told[one.code] = one.choices[0]
        elif one.unit:
            least = one.least.value if one.least else 5.0
            told[one.code] = draw(st.sampled_from((least, least, least, least + 3)))
        else:
            told[one.code] = draw(st.integers(0, 30)) > 0
    return told


def instrument(draw: st.DrawFn, unit: str, middle: float) -> Instrument | None:
    if draw(st.integers(0, 25)) == 0:
        return None
    until = draw(st.sampled_from((date(2040, 1, 1), date(2040, 1, 1), date(2026, 1, 1), None)))
    u = draw(st.sampled_from((0.001, 0.01, 0.05))) * middle
    match draw(st.integers(0, 5)):
        case 0:
            return Instrument("tool", unit, until, within=u, within_share=0.01, resolution=u / 5)
        case 1:
            return Instrument("tool", unit, until)
        case 2:
            return Instrument("tool", unit, until, u=u, resolution=u)
        case _:
            return Instrument("tool", unit, until, u=u)


@st.composite
def series(draw: st.DrawFn) -> tuple[Quantity, Limit | None, list[Reading], list[Reading | None]]:
    codes = ["head_temperature", "compression", "battery_under_load", "fuel_pressure"]
    of = quantity(draw(st.sampled_from((*codes, "propeller_nut_torque", "specific_gravity"))))
    unit = "psi" if of.unit == "kPa" else of.unit
    middle = MIDDLE[unit]
    near = st.floats(-0.12, 0.12).map(lambda share: middle * (1 + share))
    count = 1 if of.values == "one" else draw(st.integers(1, 5))
    at, readings, twins = FIRST, [], []
    tilt = draw(st.sampled_from((0.0, 0.0, 0.01, -0.02))) * middle
    for place in range(draw(st.integers(1, 9))):
        values = tuple(draw(near) + tilt * place for _ in range(count))
        tool, told = instrument(draw, unit, middle), answers(draw, of)
        reading = Reading(of.code, values, unit, at, "Ines", tool, told, "port")
        readings.append(reading)
        astray = replace(reading, values=tuple(draw(near) for _ in values), where="starboard")
        twins.append(astray if draw(st.integers(0, 4)) == 0 else None)
        at += timedelta(days=draw(st.sampled_from((365, 366, 366, 731, 20))))
    return of, draw(limits(of, unit, middle)), readings, twins


@st.composite
def limits(draw: st.DrawFn, of: Quantity, unit: str, middle: float) -> Limit | None:
    share = draw(st.sampled_from((None, 0.8, 0.9))) if of.even else None
    lower = draw(st.none() | st.floats(0.7, 1.0).map(lambda part: part * middle))
    upper = draw(st.none() | st.floats(1.01, 1.4).map(lambda part: part * middle))
    if draw(st.integers(0, 5)) == 0:
        return None
    some = st.none() | st.floats(0, 0.1).map(lambda part: part * middle)
    return Limit(
        unit,
        "Manual",
        "1",
        lower=lower,
        upper=upper,
        lowest_over_highest=share,
        thin=draw(some),
        u=draw(st.sampled_from((0.0, 0.0, 0.02 * middle))),
        twin=draw(some),
        others=draw(some),
        spread=draw(some),
        years=draw(some),
    )


@settings(max_examples=150)
@given(series())
def test_the_same_words_as_one_by_one(
    drawn: tuple[Quantity, Limit | None, list[Reading], list[Reading | None]],
) -> None:
    of, limit, readings, twins = drawn
    alone = [
        judge(of, reading, limit, twin, readings[:place]).verdict
        for place, (reading, twin) in enumerate(zip(readings, twins, strict=True))
    ]
    assert verdicts(of, limit, readings, twins) == alone


HEAD = quantity("head_temperature")
WARM = {"warm": True, "dull_spots": True}


def head(*values: float, year: int = 2031, unit: str = "°C", u: float | None = 1.0) -> Reading:
    tool = Instrument("gun", unit, date(2040, 1, 1), u=u)
    return Reading(HEAD.code, values, unit, FIRST.replace(year=year), "Ines", tool, WARM)


LIMIT = Limit("°C", "Manual", "12", upper=80)
RISING = [head(68 + 4 * n, year=2029 + n) for n in range(3)]


@pytest.mark.parametrize(
    ("readings", "limit", "words"),
    [
        ([head(60)], LIMIT, [Verdict.GOOD]),
        ([head(60)], None, [Verdict.NO_LIMIT]),
        ([head(90)], LIMIT, [Verdict.STOP]),
        ([head(80)], LIMIT, [Verdict.CANT_SAY]),
        ([head(60, u=None)], LIMIT, [Verdict.CANT_SAY]),
        ([head(60, 61, 68)], LIMIT, [Verdict.LOOK_AGAIN]),
        ([head(79, u=0.1)], replace(LIMIT, thin=2), [Verdict.THIN]),
        # Of two years one in Fahrenheit, 20 °C under the other: it is converted, and seen.
        (
            [head(104, year=2030, unit="°F"), head(60)],
            LIMIT,
            [Verdict.GOOD, Verdict.LOOK_AGAIN],
        ),
        ([], LIMIT, []),
    ],
)
def test_by_hand(readings: list[Reading], limit: Limit | None, words: list[Verdict]) -> None:
    assert verdicts(HEAD, limit, readings) == words


GEAR = quantity("gear_case_pressure")
HELD = {"minutes": 10.0, "steady": True, "shafts_turned": True}
CASE = Limit("psi", "Manual", "7", lower=10, needs={"minutes": 5})
COMPRESSION = quantity("compression")
CRANKED = dict.fromkeys(("warm", "plugs_out", "throttle_open", "cranked"), True)
EVEN = Limit("psi", "Manual", "31", lower=100, lowest_over_highest=0.9)


def gear(psi: float, tool: Instrument, year: int = 2031) -> Reading:
    return Reading(GEAR.code, (psi,), "psi", FIRST.replace(year=year), "Ines", tool, HELD)


def cranked(*psi: float, u: float = 0.5) -> Reading:
    tool = Instrument("gauge", "psi", date(2040, 1, 1), u=u)
    return Reading(COMPRESSION.code, psi, "psi", FIRST, "Ines", tool, CRANKED)


PRESSURE = replace(EVEN, lowest_over_highest=None)
FUEL, REST = quantity("fuel_pressure"), quantity("battery_at_rest")
RAIL = Limit("kPa", "Manual", "20", lower=250)
BANK = Limit("V", "Sheet of this battery", "1", lower=12.4)


def fuel(kpa: float) -> Reading:
    tool = Instrument("gauge", "kPa", date(2040, 1, 1), u=5)
    dry = {"sniffed": True, "no_drip": True}
    return Reading(FUEL.code, (kpa,), "kPa", FIRST, "Ines", tool, dry)


def resting(kind: str) -> Reading:
    tool = Instrument("meter", "V", date(2040, 1, 1), u=0.01)
    return Reading(REST.code, (12.7,), "V", FIRST, "Ines", tool, {"rested_h": 14.0, "kind": kind})


def gauge(**more: float) -> Instrument:
    return Instrument("gauge", "psi", date(2040, 1, 1), **more)


@pytest.mark.parametrize(
    ("of", "readings", "twins", "limit", "words"),
    [
        # Points 5 °C apart: the bound is 6. The twin 5 °C away, last year's too.
        (HEAD, [head(60, 65)], [head(62, 63)], LIMIT, [Verdict.GOOD]),
        (HEAD, [head(60, 61, year=2030), head(64, 65)], [], LIMIT, [Verdict.GOOD] * 2),
        (HEAD, [head(60), head(65)], [], replace(LIMIT, thin=10), [Verdict.GOOD] * 2),
        # Three years rising by 2 °C: 66 and 2 more is far from 80.
        (HEAD, [head(60 + 2 * n, year=2029 + n) for n in range(3)], [], LIMIT, [Verdict.GOOD] * 3),
        (HEAD, [head(60)], [], replace(LIMIT, lower=40), [Verdict.GOOD]),
        (HEAD, [head(60)], [], None, [Verdict.NO_LIMIT]),
        # Thin by its margin; by 4 °C a year: 72, 76 and 80.1 next year, or 79.9.
        (HEAD, [head(60)], [], replace(LIMIT, thin=21), [Verdict.THIN]),
        (HEAD, [head(60)], [], replace(LIMIT, thin=19), [Verdict.GOOD]),
        (
            HEAD,
            RISING,
            [],
            replace(LIMIT, upper=79.9, years=20),
            [Verdict.GOOD] * 2 + [Verdict.THIN],
        ),
        (HEAD, RISING, [], replace(LIMIT, upper=80.1, years=20), [Verdict.GOOD] * 3),
        # On one side of the limit by 10, 1.9 and -10 of their uncertainties of 1 °C.
        (HEAD, [head(70)], [], LIMIT, [Verdict.GOOD]),
        (HEAD, [head(78.1)], [], LIMIT, [Verdict.GOOD]),
        (HEAD, [head(90)], [], LIMIT, [Verdict.STOP]),
        (HEAD, [head(81.6)], [], LIMIT, [Verdict.CANT_SAY]),  # p 0.055
        (HEAD, [head(81.7)], [], LIMIT, [Verdict.STOP]),  # p 0.045
        (HEAD, [head(78.4)], [], LIMIT, [Verdict.CANT_SAY]),  # p 0.945
        # The gauge's own u 0.3, with the method's 0.06 psi 0.306: 1.645 of them are 0.503.
        (GEAR, [gear(10.51, gauge(u=0.3))], [], CASE, [Verdict.GOOD]),
        (GEAR, [gear(10.49, gauge(u=0.3))], [], CASE, [Verdict.CANT_SAY]),
        (GEAR, [gear(12, gauge(within=0.2, within_share=0.01))], [], CASE, [Verdict.GOOD]),
        (GEAR, [gear(12, gauge())], [], CASE, [Verdict.CANT_SAY]),
        (COMPRESSION, [cranked(140, 139, 141)], [], EVEN, [Verdict.GOOD]),
        (COMPRESSION, [cranked(140)], [], PRESSURE, [Verdict.GOOD]),
        (COMPRESSION, [cranked(140, 139)], [], PRESSURE, [Verdict.NO_LIMIT]),
        (COMPRESSION, [cranked(140, 139)], [], replace(EVEN, lower=None), [Verdict.NO_LIMIT]),
        # Fuel must be surer, 0.99: two uncertainties are 0.977, three 0.9987.
        (FUEL, [fuel(260)], [], RAIL, [Verdict.CANT_SAY]),
        (FUEL, [fuel(265)], [], RAIL, [Verdict.GOOD]),
        (REST, [resting("flooded")], [], BANK, [Verdict.GOOD]),
        (REST, [resting("lithium")], [], BANK, [Verdict.CANT_SAY]),
    ],
)
def test_what_is_plain_is_answered_without_the_rules(
    monkeypatch: pytest.MonkeyPatch,
    of: Quantity,
    readings: list[Reading],
    twins: list[Reading | None],
    limit: Limit | None,
    words: list[Verdict],
) -> None:
    twin = twins[0] if twins else None
    alone = [judge(of, r, limit, twin, readings[:n]) for n, r in enumerate(readings)]
    assert [one.verdict for one in alone] == words
    monkeypatch.setattr(many, "judge", None)
    assert verdicts(of, limit, readings, twins) == words


@pytest.mark.parametrize(
    ("of", "readings", "twins", "limit"),
    [
        (HEAD, [head(60, 67)], [], LIMIT),  # apart by more than the bound
        (HEAD, [head(60)], [head(67)], LIMIT),
        (HEAD, [head(60)], [head(60, unit="°F")], LIMIT),
        (HEAD, [head(60, year=2030), head(67)], [], LIMIT),
        (HEAD, [head(60)], [], replace(LIMIT, thin=20)),  # on the edge of it
        (HEAD, [head(78.2, u=2)], [], replace(LIMIT, lower=60)),  # two limits: the sum decides
        (HEAD, [head(140, unit="°F"), head(60)], [], LIMIT),
        (GEAR, [gear(10.25, gauge(within=0.2, within_share=0.01))], [], CASE),
        (COMPRESSION, [cranked(140, 128, 141)], [], EVEN),  # 0.908 of the highest, of 0.9
        (COMPRESSION, [cranked(140, 128.1, 141)], [], EVEN),  # a pair alone would be sure enough
        (COMPRESSION, [cranked(4, 4, u=1)], [], replace(EVEN, lower=None, lowest_over_highest=0.1)),
    ],
)
def test_what_is_near_is_left_to_the_rules(
    monkeypatch: pytest.MonkeyPatch,
    of: Quantity,
    readings: list[Reading],
    twins: list[Reading | None],
    limit: Limit | None,
) -> None:
    judged: list[Reading] = []

    def and_noted(*asked: object) -> Judgement:
        judged.append(asked[1])  # type: ignore[arg-type]
        return judge(*asked)  # type: ignore[arg-type]

    monkeypatch.setattr(many, "judge", and_noted)
    words = verdicts(of, limit, readings, twins)
    assert readings[-1] in judged
    twin = twins[0] if twins else None
    assert words[-1] == judge(of, readings[-1], limit, twin, readings[:-1]).verdict


def test_each_is_held_against_the_years_before_it_and_no_later_one() -> None:
    # 6 °C is the bound: 70 is out of 60's; 66 is within it of the middle of 60 and 70.
    read = [head(60, year=2029), head(70, year=2030), head(66, year=2031)]
    assert verdicts(HEAD, LIMIT, read) == [Verdict.GOOD, Verdict.LOOK_AGAIN, Verdict.GOOD]


def test_a_year_s_last_reading_of_fewer_points_does_not_hide_the_one_before_it() -> None:
    # Two points in May 2030, then one alone: 70 and 70 are 10 °C over what both showed then.
    alone = replace(head(60, year=2030), at=FIRST.replace(year=2030, month=6))
    read = [head(60, 60, year=2030), alone, head(70, 70, year=2031)]
    assert verdicts(HEAD, LIMIT, read) == [Verdict.GOOD, Verdict.GOOD, Verdict.LOOK_AGAIN]


def test_a_reading_of_something_else_is_refused() -> None:
    with pytest.raises(ValueError, match="give one kind"):
        verdicts(quantity("compression"), None, [head(60)])


def test_each_quantity_of_the_yard_is_judged_at_once() -> None:
    for of in quantities().values():
        middle = (of.plausible.low + of.plausible.high) / 2
        told = {c.code: True for c in of.conditions if not c.unit and not c.choices}
        tool = Instrument("tool", of.unit, date(2040, 1, 1), u=1)
        reading = Reading(of.code, (middle,), of.unit, FIRST, "Ines", tool, told)
        assert verdicts(of, None, [reading]) == [judge(of, reading, None).verdict]
