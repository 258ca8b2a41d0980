"""What people type ("74 F", "5,2 m", "95 psi") becomes a value in one unit, or a question."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pint import UnitRegistry

# kind -> unit as we write it -> (its name in the registry, how people type it, in small letters)
_KINDS: Mapping[str, Mapping[str, tuple[str, str]]] = {
    "temperature": {
        "°C": ("degC", "c, °c, ºc, degc, deg c, celsius, degrees c"),
        "°F": ("degF", "f, °f, ºf, degf, deg f, fahrenheit, degrees f"),
    },
    "length": {
        "m": ("m", "m, meter, meters, metre, metres"),
        "cm": ("cm", "cm"),
        "mm": ("mm", "mm"),
        "ft": ("foot", "ft, ft., foot, feet, ', ′, ’"),
        "in": ("inch", 'in, in., inch, inches, ", ″, ”'),
        "µm": ("micrometer", "µm, μm, um, micron, microns"),
        "mil": ("thou", "mil, mils, thou"),
    },
    "area": {
        "m²": ("m**2", "m², m2, sq m"),
        "cm²": ("cm**2", "cm², cm2"),
        "ft²": ("foot**2", "ft², ft2, sq ft"),
        "in²": ("inch**2", "in², in2, sq in"),
    },
    "room": {
        "m³": ("m**3", "m³, m3, cu m"),
        "ft³": ("foot**3", "ft³, ft3, cu ft"),
    },
    "speed": {
        "m/s": ("m/s", "m/s"),
        "km/h": ("km/hour", "km/h, kmh"),
        "kn": ("knot", "kn, kt, kts, knot, knots"),
        "mph": ("mile/hour", "mph"),
    },
    "angle": {"°": ("degree", "°, deg, degree, degrees")},
    "pressure": {
        "kPa": ("kPa", "kpa"),
        "bar": ("bar", "bar, bars"),
        "mbar": ("mbar", "mbar, hpa"),
        "psi": ("psi", "psi, psig, lb/in2, lb/in²"),
        "inHg": ("inHg", "inhg, in hg, in. hg"),
    },
    "weight": {
        "kg": ("kg", "kg, kgs, kilo, kilos"),
        "g": ("g", "g, grams"),
        "t": ("tonne", "t, tonne, tonnes"),
        "lb": ("pound", "lb, lb., lbs, lbs., pound, pounds"),
    },
    "volume": {
        "L": ("liter", "l, liter, liters, litre, litres"),
        "mL": ("milliliter", "ml, cc"),
        "gal": ("gallon", "gal, gal., gals, gallon, gallons, us gal"),
        "qt": ("quart", "qt, qts, quart, quarts"),
        "fl oz": ("fluid_ounce", "fl oz, floz, fl. oz."),
    },
    "torque": {
        "N m": ("N*m", "n m, nm, n·m, n-m, newton metres, newton meters"),
        "lb ft": ("force_pound*foot", "lb ft, lb-ft, lb·ft, lbf ft, lbf-ft, ft lb, ft-lb, ft lbs"),
        "lb in": ("force_pound*inch", "lb in, lb-in, lb·in, lbf in, in lb, in-lb, in lbs"),
    },
    "voltage": {"V": ("V", "v, volt, volts"), "mV": ("mV", "mv")},
    "current": {"A": ("A", "a, amp, amps"), "mA": ("mA", "ma")},
    "time": {
        "s": ("s", "s, sec, secs, second, seconds"),
        "min": ("minute", "min, mins, minute, minutes"),
        "h": ("hour", "h, hr, hrs, hour, hours"),
    },
    "flow": {
        "L/min": ("liter/minute", "l/min, lpm"),
        "gal/min": ("gallon/minute", "gal/min, gpm"),
        "gal/h": ("gallon/hour", "gal/h, gph"),
        "cfm": ("foot**3/minute", "cfm, ft³/min, ft3/min"),
    },
    "share": {"%": ("percent", "%, percent, per cent")},
    "resistance": {
        "Ω": ("ohm", "ω, ohm, ohms"),
        "kΩ": ("kiloohm", "kω, kohm, kilohm, kilohms"),
        "MΩ": ("megaohm", "megohm, megohms, meg, megs"),
    },
    "specific gravity": {
        "SG": ("dimensionless", "sg, s.g."),
        "points": ("permille", "points, pts"),
    },
    "turning": {"rpm": ("revolution/minute", "rpm, r/min")},
    "rate": {"a minute": ("1/minute", "a minute, /min, per minute, drops, drops a minute")},
}
_KIND = {unit: kind for kind, units in _KINDS.items() for unit in units}
_NAME = {unit: name for units in _KINDS.values() for unit, (name, _) in units.items()}
_UNIT = {
    spelling: unit
    for units in _KINDS.values()
    for unit, (_, spellings) in units.items()
    for spelling in spellings.split(", ")
}
_SEVERAL = {  # one word, several units: asked about
    "ton": "a short ton is 2000 lb, a tonne 1000 kg; type lb, kg or t",
    "tons": "a short ton is 2000 lb, a tonne 1000 kg; type lb, kg or t",
    "oz": "ounces of weight or of volume; type lb, g or fl oz",
    "mω": "milliohms or megohms; type them as Ω or MΩ",
}
_LINEAR = {"°C": "delta_degC", "°F": "delta_degF"}  # a difference of temperatures has no zero
_COLDEST_C = -273.15

_NUMBER = re.compile(
    r"([+-]?)((?:\d+ )?\d+/\d+|\d{1,3}(?: \d{3})+(?:[.,]\d+)?(?!\d)|\d[\d.,]*|[.,]\d+) ?(.*)"
)
_LONGEST = 40
# ft2, ft3 and ft3/min are no feet and inches
_FEET_AND_INCHES = re.compile(r"([^'′’f]+(?:ft(?![23](?:$|/))\.?|feet|foot|['′’])) *(\d.*)")


@dataclass(frozen=True, slots=True)
class Typed:
    """A value as it was understood: ``echo`` is read back to whoever typed it."""

    value: float
    unit: str
    typed: str
    echo: str


@dataclass(frozen=True, slots=True)
class Plausible:
    """What a reading of this kind can well be; outside we ask, we don't refuse."""

    low: float
    high: float
    unit: str


def read(
    typed: str,
    unit: str,
    *,
    beside: str = "",
    plausible: Plausible | None = None,
    sure: bool = False,
    difference: bool = False,
) -> Typed:
    """Read what someone typed.

    Parameters
    ----------
    typed : str
        Number and unit: ``74 F``, ``5,2 m``, ``95 psi``, ``5 ft 2 in``, ``3/4 in``.
    unit : str
        The unit that is wanted, as in `units_like`.
    beside : str
        The unit printed beside the box, taken where none is typed. Without it a bare number is
        asked about.
    plausible : Plausible or None
        Outside of it, a number that would fit in another unit is asked about.
    sure : bool
        Asked and answered "yes, really": the plausible range no longer counts.
    difference : bool
        What is asked is how far apart two values are: 2 °F are 1.11 °C then, not -16.7.

    Returns
    -------
    Typed
        Value in ``unit``, and the sentence to read back, such as ``95 psi = 655 kPa``.

    Raises
    ------
    ValueError
        A sentence, mostly a question: no number, no unit, an unknown unit, a unit of another
        kind, a comma that could mean two things, an implausible number. Nothing is guessed.
    """
    number, typed_unit, digits = _parts(" ".join(typed.split()), unit, beside)
    change = convert_difference if difference else convert
    value = number if typed_unit == unit else change(number, typed_unit, unit)
    if not difference:
        _check_not_below_zero_k(value, unit)
    if plausible is not None and not sure:
        _ask_if_implausible(number, typed_unit, plausible)
    echo = say(number, typed_unit, digits)
    if typed_unit != unit:
        echo += f" = {say(value, unit, digits)}"
    return Typed(value, unit, typed, echo)


def read_one_of(typed: str, wanted: Sequence[str]) -> Typed:
    """Read what may be of several kinds; its unit says which.

    Parameters
    ----------
    typed : str
        Number and unit, as for `read`.
    wanted : sequence of str
        A unit for each kind that may come, as in `units_like`.

    Returns
    -------
    Typed
        In the wanted unit of its kind.

    Raises
    ------
    ValueError
        As for `read`; the unit must be there.
    """
    typed = " ".join(typed.split())
    of_kind = {kind_of(unit): unit for unit in wanted}
    match = _NUMBER.fullmatch(typed.replace("−", "-"))
    spelled = (match[3] or "").casefold().strip() if match else ""
    unit = of_kind.get(_KIND.get(_UNIT.get(spelled, ""), ""))
    if unit is None:
        raise ValueError(
            f"{typed[:_LONGEST]!r} is no number with its unit; type one in {', '.join(wanted)}."
        )
    return read(typed, unit)


def convert(value: float, unit: str, to: str) -> float:
    """The same quantity in another unit.

    Parameters
    ----------
    value : float
        In ``unit``.
    unit, to : str
        Two units of one kind, as in `units_like`.

    Returns
    -------
    float
        In ``to``.

    Raises
    ------
    ValueError
        An unknown unit, or two that do not measure the same kind of thing.
    """
    _check_same_kind(unit, to)
    if unit == to:
        return value
    other = _zero(unit, to) + value * _factor(unit, to)
    return round(other, 9) if unit in _LINEAR else other  # 32 °F are 0 °C, not a hair more


def convert_difference(value: float, unit: str, to: str) -> float:
    """A difference (a margin, a bound, an uncertainty) in another unit.

    Parameters
    ----------
    value : float
        In ``unit``: 6 °C of difference are 10.8 °F, not 42.8.
    unit, to : str
        Two units of one kind, as in `units_like`.

    Returns
    -------
    float
        In ``to``.

    Raises
    ------
    ValueError
        As for `convert`.
    """
    _check_same_kind(unit, to)
    if unit == to:
        return value
    return value * _factor(unit, to)


def units_like(unit: str) -> tuple[str, ...]:
    """All units that measure the same kind of thing, this one included.

    Parameters
    ----------
    unit : str
        Such as ``kPa``.

    Returns
    -------
    tuple of str
        Such as ``("kPa", "bar", "mbar", "psi", "inHg")``.

    Raises
    ------
    ValueError
        A unit that is not ours.
    """
    return tuple(_KINDS[kind_of(unit)])


def kind_of(unit: str) -> str:
    """What a unit measures.

    Parameters
    ----------
    unit : str
        Such as ``kPa``.

    Returns
    -------
    str
        Such as ``pressure``.

    Raises
    ------
    ValueError
        A unit that is not ours.
    """
    if unit not in _KIND:
        raise ValueError(f"{unit!r} is no unit here; there are {', '.join(_KIND)}.")
    return _KIND[unit]


def plain() -> dict[str, object]:
    """All that `read`, `convert` and `say` go by, as plain values for another language.

    Returns
    -------
    dict of str to object
        ``kinds`` (each with its units), ``spellings``, ``several`` (what is asked about),
        ``factors`` and ``zeros`` (from unit to unit; no zero where it is 0 everywhere),
        ``coldest_c`` and ``longest`` (letters that are read).
    """
    like = {unit: [other for other in units_like(unit) if other != unit] for unit in _KIND}
    return {
        "kinds": {kind: list(units) for kind, units in _KINDS.items()},
        "spellings": _UNIT,
        "several": _SEVERAL,
        "factors": {unit: {to: _factor(unit, to) for to in like[unit]} for unit in like},
        "zeros": {unit: {to: _zero(unit, to) for to in like[unit]} for unit in _LINEAR},
        "coldest_c": _COLDEST_C,
        "longest": _LONGEST,
    }


def degrees(words: str) -> str:
    """Words of the reference tables as a page shows them.

    Parameters
    ----------
    words : str
        With ``degC`` and ``degF``, as the tables write units.

    Returns
    -------
    str
        With °C and °F.
    """
    return words.replace("degC", "°C").replace("degF", "°F")


def say(value: float, unit: str, digits: int = 3) -> str:
    """Say a value with its unit, in at least three digits.

    Parameters
    ----------
    value : float
        In ``unit``.
    unit : str
        As in `units_like`.
    digits : int
        Digits that count, 3 at least.

    Returns
    -------
    str
        Such as ``655 kPa``.
    """
    rounded = float(f"{value:.{max(digits, 3)}g}")
    text = f"{rounded:.10f}".rstrip("0").rstrip(".")
    return f"{text} {unit}"


@cache
def _factor(unit: str, to: str) -> float:
    """Kept, since a sheet of boats asks for the same one ten thousand times."""
    here, there = (_LINEAR.get(name, _NAME[name]) for name in (unit, to))
    return float(_registry().Quantity(1.0, here).to(there).magnitude)


@cache
def _zero(unit: str, to: str) -> float:
    """What 0 of a unit is in another: not 0 for temperatures alone."""
    if unit not in _LINEAR:
        return 0.0
    return float(_registry().Quantity(0.0, _NAME[unit]).to(_NAME[to]).magnitude)


@cache
def _registry() -> "UnitRegistry[float]":
    # The library takes a third of a second to load: only for who really converts.
    from pint import UnitRegistry

    return UnitRegistry()


def _parts(typed: str, unit: str, beside: str) -> tuple[float, str, int]:
    """Number, its unit, and how many digits of it were typed."""
    if compound := _FEET_AND_INCHES.fullmatch(typed):
        feet, inches = (_one(part, unit, "") for part in compound.groups())
        if (feet[1], inches[1]) == ("ft", "in") and feet[0] >= 0 and 0 <= inches[0] < 12:
            _check_same_kind_as_typed("ft", unit)
            return feet[0] + inches[0] / 12, "ft", 4
        raise ValueError(f"{typed!r} could not be read; type feet and inches as 5 ft 2 in.")
    number, typed_unit, digits = _one(typed, unit, beside)
    if not typed_unit:
        choices = " or ".join(say(number, other, digits) for other in units_like(unit))
        raise ValueError(f"{typed} of what? Type the unit too: {choices}.")
    _check_same_kind_as_typed(typed_unit, unit)
    return number, typed_unit, digits


def _one(typed: str, wanted: str, beside: str) -> tuple[float, str, int]:
    match = _NUMBER.fullmatch(typed.replace("−", "-"))
    if match is None or len(typed) > _LONGEST:
        raise ValueError(
            f"{typed[:_LONGEST]!r} is no number; type one with its unit, such as 74 F or 5.2 m."
        )
    sign, digits, spelled = match.groups()
    number = _number(digits)
    unit = _unit(spelled, wanted) if spelled else beside
    return (
        (-number if sign == "-" else number),
        unit,
        sum(c.isdigit() for c in digits.lstrip("0.,")),
    )


def _number(digits: str) -> float:
    if "/" in digits:
        *whole, fraction = digits.split()
        over, under = (int(part) for part in fraction.split("/"))
        if under == 0:
            raise ValueError(f"{digits} divides by 0; check what was typed.")
        return sum(map(int, whole)) + over / under
    digits = digits.replace(" ", "")
    if re.fullmatch(r"[1-9]\d{0,2},\d{3}", digits):
        plain, point = digits.replace(",", ""), digits.replace(",", ".")
        raise ValueError(f"{digits}: is that {plain} or {point}? Type it the one way or the other.")
    if re.fullmatch(r"\d{1,3}(,\d{3})+\.\d+|\d{1,3}(,\d{3}){2,}", digits):
        digits = digits.replace(",", "")
    elif re.fullmatch(r"\d{1,3}(\.\d{3})+,\d+|\d{1,3}(\.\d{3}){2,}", digits):
        digits = digits.replace(".", "")
    digits = digits.replace(",", ".")
    if digits.count(".") > 1:
        raise ValueError(f"{digits} has too many points; type it with one, such as 5.2.")
    return float(digits)


def _unit(spelled: str, wanted: str) -> str:
    if spelled in _KIND:  # as we write it ourselves: MΩ is no mΩ
        return spelled
    word = spelled.casefold().strip()
    if word in _SEVERAL:
        raise ValueError(f"{spelled!r} can mean several: {_SEVERAL[word]}.")
    if word not in _UNIT:
        raise ValueError(f"{spelled!r} is no unit here; type {' or '.join(units_like(wanted))}.")
    return _UNIT[word]


def _check_same_kind(unit: str, to: str) -> None:
    if kind_of(unit) != kind_of(to):
        raise ValueError(f"{unit} is a {kind_of(unit)}, {to} is a {kind_of(to)}; check the unit.")


def _check_same_kind_as_typed(typed_unit: str, unit: str) -> None:
    if kind_of(typed_unit) != kind_of(unit):
        raise ValueError(
            f"{typed_unit} is a {kind_of(typed_unit)}, this asks for a {kind_of(unit)}; "
            f"type it in {' or '.join(units_like(unit))}."
        )


def _check_not_below_zero_k(value: float, unit: str) -> None:
    if kind_of(unit) == "temperature" and convert(value, unit, "°C") < _COLDEST_C:
        raise ValueError(
            f"{say(value, unit)} is colder than anything can be; check number and unit."
        )


def _ask_if_implausible(number: float, unit: str, plausible: Plausible) -> None:
    low, high = plausible.low, plausible.high
    if low <= convert(number, unit, plausible.unit) <= high:
        return
    span = f"{say(convert(low, plausible.unit, unit), unit)} to {say(convert(high, plausible.unit, unit), unit)}"
    told = f"{say(number, unit)} is outside what this usually is, {span}."
    others = [
        other
        for other in units_like(unit)
        if other != unit and low <= convert(number, other, plausible.unit) <= high
    ]
    if others:
        meant = " or ".join(
            f"{say(number, other)} ({say(convert(number, other, unit), unit)})" for other in others
        )
        raise ValueError(f"{told} Did you mean {meant}?")
    raise ValueError(f"{told} Is the number right?")
