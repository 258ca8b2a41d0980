import re
import subprocess
import sys

import pytest
from hypothesis import given
from hypothesis import strategies as st

from yardwright.calc.units import (
    Plausible,
    convert,
    convert_difference,
    degrees,
    kind_of,
    read,
    say,
    units_like,
)

# NIST Special Publication 811 (2008 edition), appendix B.8: bold (exact) factors in full,
# the others with the seven digits printed there.
NIST_SP_811 = [
    ("psi", "kPa", 6.894757),
    ("inHg", "kPa", 3.386389),  # conventional
    ("bar", "kPa", 100.0),
    ("mbar", "kPa", 0.1),
    ("ft", "m", 0.3048),
    ("in", "mm", 25.4),
    ("lb", "kg", 0.45359237),
    ("t", "kg", 1000.0),
    ("gal", "L", 3.785412),
    ("qt", "L", 0.9463529),
    ("fl oz", "mL", 29.57353),
    ("lb ft", "N m", 1.355818),
    ("lb in", "N m", 0.1129848),
    ("gal/min", "L/min", 3.785412),
    ("gal/h", "L/min", 3.785412 / 60),
    ("h", "min", 60.0),
]


@pytest.mark.parametrize(("unit", "to", "factor"), NIST_SP_811)
def test_factors(unit: str, to: str, factor: float) -> None:
    assert convert(1.0, unit, to) == pytest.approx(factor, rel=5e-7)
    assert convert_difference(1.0, unit, to) == pytest.approx(factor, rel=5e-7)


# NIST SP 811, B.8: t/°C = (t/°F - 32)/1.8, and temperature intervals 1 °F = 1/1.8 °C.
@pytest.mark.parametrize(("temp_f", "temp_c"), [(32, 0), (212, 100), (-40, -40), (50, 10)])
def test_temperature_has_an_offset(temp_f: float, temp_c: float) -> None:
    assert convert(temp_f, "°F", "°C") == pytest.approx(temp_c, abs=1e-9)
    assert convert(temp_c, "°C", "°F") == pytest.approx(temp_f, abs=1e-9)


def test_difference_of_temperatures_has_none() -> None:
    assert convert_difference(6, "°C", "°F") == pytest.approx(10.8)


@pytest.mark.parametrize(
    ("typed", "unit", "value", "echo"),
    [
        # Worked by hand from the factors above.
        ("74 F", "°C", 23.333333, "74 °F = 23.3 °C"),
        ("74 °F", "°C", 23.333333, "74 °F = 23.3 °C"),
        ("−5 °C", "°C", -5, "-5 °C"),
        ("5,2 m", "m", 5.2, "5.2 m"),
        ("95 psi", "kPa", 655.001915, "95 psi = 655 kPa"),
        ("1.2 bar", "kPa", 120, "1.2 bar = 120 kPa"),
        ("5ft", "m", 1.524, "5 ft = 1.52 m"),
        ("5 ft 2 in", "m", 1.5748, "5.167 ft = 1.575 m"),
        ("5'2\"", "m", 1.5748, "5.167 ft = 1.575 m"),
        ("3/4 in", "mm", 19.05, "0.75 in = 19 mm"),
        ("1 1/2 in", "mm", 38.1, "1.5 in = 38.1 mm"),
        ("20 lb-ft", "N m", 27.11636, "20 lb ft = 27.1 N m"),
        ("20 ft lb", "N m", 27.11636, "20 lb ft = 27.1 N m"),
        ("2 gal", "L", 7.570824, "2 gal = 7.57 L"),
        ("11 400 lb", "kg", 5170.953, "11400 lb = 5171 kg"),
        ("1,234.5 lb", "lb", 1234.5, "1234.5 lb"),
        ("1.234,5 kg", "kg", 1234.5, "1234.5 kg"),
        ("1,234,567 g", "g", 1234567, "1234567 g"),
        ("0,400 m", "m", 0.4, "0.4 m"),  # no thousands begin with 0
        ("12.346 V", "V", 12.346, "12.346 V"),
        ("30 %", "%", 30, "30 %"),
        ("100 ft2", "ft²", 100, "100 ft²"),
        ("40 ft3", "ft³", 40, "40 ft³"),
        ("20 ft3/min", "cfm", 20, "20 cfm"),
        ("5 ft 2in", "ft", 62 / 12, "5.167 ft"),
        ("0,4 ohm", "Ω", 0.4, "0.4 Ω"),
        ("2.5 MΩ", "kΩ", 2500, "2.5 MΩ = 2500 kΩ"),
        ("500 kohm", "MΩ", 0.5, "500 kΩ = 0.5 MΩ"),
        ("1265 points", "SG", 1.265, "1265 points = 1.265 SG"),
        ("1.265 sg", "SG", 1.265, "1.265 SG"),
        ("3 drops", "a minute", 3, "3 a minute"),
    ],
)
def test_what_people_type(typed: str, unit: str, value: float, echo: str) -> None:
    told = read(typed, unit)
    assert told.value == pytest.approx(value, rel=2e-7)
    assert (told.unit, told.typed, told.echo) == (unit, typed, echo)


@pytest.mark.parametrize(
    ("typed", "unit", "says"),
    [
        ("95", "kPa", "95 of what? Type the unit too: 95 kPa or 95 bar"),
        ("95 psi", "°C", "psi is a pressure, this asks for a temperature"),
        ("5 ft 2 in", "kg", "ft is a length, this asks for a weight"),
        ("20 lb", "N m", "lb is a weight, this asks for a torque; type it in N m or lb ft"),
        ("5 furlongs", "m", "'furlongs' is no unit here; type m or cm"),
        ("3 tons", "kg", "a short ton is 2000 lb"),
        ("3 mΩ", "Ω", "milliohms or megohms; type them as Ω or MΩ"),
        ("11,400 lb", "kg", "is that 11400 or 11.400"),
        ("nan m", "m", "is no number"),
        ("inf m", "m", "is no number"),
        ("", "m", "is no number"),
        ("1e3 m", "m", "is no unit"),
        ("9" * 400 + " m", "m", "is no number"),
        ("1.2.3 m", "m", "too many points"),
        ("5,2 100 m", "m", "is no unit"),
        ("5 2 m", "m", "is no unit"),
        ("1/0 in", "mm", "divides by 0"),
        ("5 ft 12 in", "m", "type feet and inches as 5 ft 2 in"),
        ("5 ft 13 in", "m", "type feet and inches as 5 ft 2 in"),
        ("5 ft 2", "m", "type feet and inches as 5 ft 2 in"),
        ("-300 C", "°C", "colder than anything can be"),
    ],
)
def test_asks_instead_of_guessing(typed: str, unit: str, says: str) -> None:
    with pytest.raises(ValueError, match=re.escape(says)):
        read(typed, unit)


BATTERY = Plausible(-40, 60, "°C")
COMPRESSION = Plausible(300, 2000, "kPa")


def test_a_gauge_in_fahrenheit_typed_as_celsius() -> None:
    with pytest.raises(ValueError, match=r"^74 °C is .* Did you mean 74 °F \(23\.3 °C\)\?$"):
        read("74", "°C", beside="°C", plausible=BATTERY)
    assert read("74 F", "°C", beside="°C", plausible=BATTERY).value == pytest.approx(
        23.3333, abs=1e-4
    )


def test_psi_typed_into_a_bar_field() -> None:
    with pytest.raises(ValueError, match=r"Did you mean 95 psi \(6\.55 bar\)"):
        read("95", "kPa", beside="bar", plausible=COMPRESSION)


def test_implausible_in_every_unit() -> None:
    with pytest.raises(ValueError, match="Is the number right"):
        read("0 psi", "kPa", plausible=COMPRESSION)


def test_asked_and_meant() -> None:
    assert read("74 C", "°C", plausible=BATTERY, sure=True).value == 74


def test_unit_beside_the_box_serves_a_bare_number_only() -> None:
    assert read("6.5", "kPa", beside="bar").value == pytest.approx(650)
    assert read("6.5 kPa", "kPa", beside="bar").value == 6.5


def test_unknown_unit_or_kind_in_code() -> None:
    with pytest.raises(ValueError, match="'furlong' is no unit here"):
        convert(1, "furlong", "m")
    with pytest.raises(ValueError, match="m is a length, kg is a weight"):
        convert(1, "m", "kg")
    with pytest.raises(ValueError, match="m is a length, kg is a weight"):
        convert_difference(1, "m", "kg")


ALL_UNITS = [
    unit
    for some in ("°C", "m", "kPa", "kg", "L", "N m", "V", "A", "s", "L/min", "Ω", "SG", "a minute")
    for unit in units_like(some)
]


@given(st.sampled_from(ALL_UNITS), st.integers(-200, 99_999), st.integers(0, 99), st.booleans())
def test_point_or_comma_reads_the_same(unit: str, whole: int, hundredths: int, comma: bool) -> None:
    mark = "," if comma else "."
    typed = f"{whole}{mark}{hundredths:02} {unit}"
    expected = float(f"{whole}.{hundredths:02}")
    if kind_of(unit) == "temperature":
        expected, typed = abs(expected), typed.removeprefix("-")
    assert read(typed, unit).value == expected


@given(st.sampled_from(ALL_UNITS), st.floats(-200, 1e5), st.data())
def test_there_and_back(unit: str, value: float, data: st.DataObject) -> None:
    other = data.draw(st.sampled_from(units_like(unit)))
    assert convert(convert(value, unit, other), other, unit) == pytest.approx(value, abs=1e-6)


TYPED = st.text(max_size=60) | st.text("0123456789,./'\"+- ftinpsbarC°%", max_size=14)


@given(TYPED, st.sampled_from(ALL_UNITS))
def test_any_text_is_read_or_answered_in_a_sentence(typed: str, unit: str) -> None:
    try:
        answer = read(typed, unit).echo
    except ValueError as refused:
        answer = str(refused)
    assert " " in answer or answer.endswith("%")  # value and unit, or a sentence


def test_said_without_exponent() -> None:
    assert say(11400.0, "lb") == "11400 lb"
    assert say(0.00012, "m") == "0.00012 m"


def test_library_loads_only_for_who_converts() -> None:
    code = (
        "import sys; from yardwright.calc import units; units.read('5,2 m', 'm');"
        "assert 'pint' not in sys.modules; units.read('5 ft', 'm'); assert 'pint' in sys.modules"
    )
    subprocess.run([sys.executable, "-c", code], check=True)  # noqa: S603  # our own interpreter


def test_a_difference_of_temperatures_has_no_zero() -> None:
    # A Fahrenheit degree is 5/9 of a kelvin, wherever it lies: NIST SP 811, appendix B.9.
    typed = read("9 F", "°C", difference=True)
    assert typed.value == pytest.approx(5)
    assert typed.echo == "9 °F = 5 °C"
    assert read("9 F", "°C").value == pytest.approx(-12.78, abs=0.005)
    assert read("-600 F", "°C", difference=True).value == pytest.approx(-333.3, abs=0.05)


def test_the_tables_degrees_are_shown_as_people_write_them() -> None:
    assert degrees("9.1 V at 30 degF, ice at 0 degC") == "9.1 V at 30 °F, ice at 0 °C"
    assert degrees("30 degrees") == "30 degrees"


@pytest.mark.parametrize(("fahrenheit", "celsius"), [(32, 0), (5, -15), (-4, -20), (14, -10)])
def test_whole_degrees_of_one_scale_are_whole_of_the_other(fahrenheit: int, celsius: int) -> None:
    # By hand, (F - 32) x 5 / 9; a bound at 0 °C must hold for who types 32 °F.
    assert convert(fahrenheit, "°F", "°C") == celsius
    assert convert(celsius, "°C", "°F") == fahrenheit
