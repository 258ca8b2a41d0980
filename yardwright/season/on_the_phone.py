"""What a phone judges a reading by, as plain values: the rules' numbers, and what is on file for her.

The phone's own code (``static/phone/verdict.js``) goes by the seven rules of `procedures.verdict`;
every number that it compares with comes from here, so that none is written twice. All values are
what JSON has: texts, numbers, true and false, lists, and None for *not known*.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import fields
from datetime import date, datetime

from yardwright.calc import batteries, dew, metrology, units
from yardwright.calc.units import Plausible
from yardwright.procedures import case, hose_watch, readings, verdict
from yardwright.procedures.quantities import Condition, Quantity, quantities
from yardwright.procedures.start_check import StartCheck, good_for_min
from yardwright.refdata import Datum, curves, table
from yardwright.season import checks
from yardwright.season.model import Boat, Limit

Plain = dict[str, object]

_LIMIT = tuple(field.name for field in fields(readings.Limit))


def rules() -> Plain:
    """All that is the same for every boat.

    Returns
    -------
    dict of str to object
        ``rules_version``, ``limit_fields`` (what one left out is not on file), ``units`` (see
        `units.plain`), ``quantities`` by code, ``chances`` (what is sure enough), ``load_test`` and
        ``paint`` (the tables that give a limit),
        ``hose`` (the numbers and words of the watch over a hose run).
    """
    return {
        "rules_version": verdict.RULES_VERSION,
        "limit_fields": list(_LIMIT),
        "units": units.plain(),
        "quantities": {code: _quantity(of) for code, of in quantities().items()},
        "chances": {
            "stop_at": case.STOP_AT,
            "sure": case.SURE,
            "sure_grave": case.SURE_GRAVE,
            "trend_years": case.TREND_YEARS,
            "sure_points": metrology.SURE_POINTS,
        },
        "load_test": _load_test(),
        "paint": _paint(),
        "hose": _hose(),
    }


def start(check: StartCheck, undone: Mapping[str, str]) -> Plain:
    """What ``static/phone/hose_start.js`` goes by to say again, from a copy, whether she may start.

    Parameters
    ----------
    check : StartCheck
        The answer as the page was made.
    undone : mapping of str to str
        What is open and holds a start back, by the address where it is put back.

    Returns
    -------
    dict of str to object
        ``needs`` in the order they are looked at, each with the look that counts; ``undone``.
    """
    return {
        "needs": [
            {
                "at": one.need.code,
                "question": one.need.question,
                "if_not": one.need.what_if_not,
                "caution": one.need.caution,
                "good_min": good_for_min(one.need),
                "after_stop": one.need.after_stop,
                "looked_at": one.known.look.at.isoformat() if one.known.look else None,
                "holds": one.known.look.holds if one.known.look else None,
                "because": one.known.because,
            }
            for one in check.needs
        ],
        "undone": [{"to": to, "what": what} for to, what in undone.items()],
    }


def _hose() -> Plain:
    """The numbers and words of ``static/phone/hose_watch.js``."""
    numbers = {name.lower(): getattr(hose_watch, name) for name in hose_watch.NUMBERS}
    words = {why.name.lower(): why.value for why in hose_watch.Why}
    large = {why.value: said for why, said in hose_watch.LARGE.items()}
    then, ends = (
        {supply.value: what for supply, what in each.items()}
        for each in (hose_watch.THEN, hose_watch.ENDS)
    )
    return {**numbers, "why": words, "large": large, "then": then, "ends": ends}


def phone_reading(limits: Iterable[Limit], boat: Boat, quantity: Quantity, today: date) -> Plain:
    """Say what one quantity on one boat is judged by.

    Parameters
    ----------
    limits : iterable of Limit
        All that the yard filed.
    boat : Boat
        With her readings.
    quantity : Quantity
        What will be measured.
    today : date
        By the yard's clock. Of earlier years only the latest of each is needed, of each place and
        number of values; of this one all, for a twin is of the same day.

    Returns
    -------
    dict of str to object
        ``limit`` (None: none on file) and ``before``, her readings of it, oldest first.
    """
    limit = checks.limit_for(limits, boat, quantity.code)
    return {
        "limit": limit and {n: told for n, told in plain_limit(limit).items() if told is not None},
        "before": [plain_reading(one) for one in _that_count(boat, quantity, today)],
    }


def _that_count(boat: Boat, quantity: Quantity, today: date) -> Iterator[readings.Reading]:
    hers = sorted((r for r in boat.readings if r.quantity == quantity.code), key=lambda r: r.at)
    latest = {(r.at.year, r.where, len(r.values)): r for r in hers}
    for reading in hers:
        last = latest[reading.at.year, reading.where, len(reading.values)]
        if reading.at.year >= today.year or reading is last:
            yield reading


def plain_limit(limit: readings.Limit) -> Plain:
    """What a limit says, without whom it is for."""
    return {name: getattr(limit, name) for name in _LIMIT} | {"needs": dict(limit.needs)}


def plain_reading(reading: readings.Reading) -> Plain:
    """Values, unit, day and place of an earlier reading: what another is compared with."""
    return {
        "values": list(reading.values),
        "unit": reading.unit,
        "day": _day(reading.at),
        "where": reading.where,
    }


def plain_instrument(instrument: readings.Instrument) -> Plain:
    """All of it, with the day until which its check holds; None is *not known*."""
    until = instrument.checked_until
    plain = {field.name: getattr(instrument, field.name) for field in fields(readings.Instrument)}
    return plain | {"checked_until": until and until.isoformat()}


def _day(at: datetime) -> str:
    return at.date().isoformat()


def _quantity(of: Quantity) -> Plain:
    return {
        "code": of.code,
        "name": of.name,
        "unit": of.unit,
        "tool": of.tool,
        "values": of.values,
        "place": of.place(1).removesuffix(" 1"),
        "grave": of.grave,
        "table": of.table,
        "even": of.even,
        "plausible": _range(of.plausible),
        "usual": [
            {"condition": one.condition, "answer": one.answer} | _span(one.low, one.high, one.unit)
            for one in of.usual
        ],
        "conditions": [_condition(one) for one in of.conditions],
        "moves": of.moves
        and {
            name: getattr(of.moves, name)
            for name in ("condition", "thermometer", "at", "each", "shift", "unit")
        },
        "method_u": _datum(of.method_u),
        "bounds": {name: _datum(getattr(of, name)) for name in verdict.AGAINST},
    }


def _condition(one: Condition) -> Plain:
    plain: Plain = {"code": one.code, "question": one.question}
    more: Plain = {
        "unit": one.unit,
        "least": one.least and one.least.value,
        "most": one.most and one.most.value,
        "otherwise": one.otherwise and one.otherwise.value,
        "choices": list(one.choices),
        "otherwise_words": one.otherwise_words,
        "from_limit": one.from_limit,
        "difference": one.difference,
        "plausible": one.plausible and _range(one.plausible),
    }
    return plain | {name: told for name, told in more.items() if told not in (None, "", [], False)}


def _range(plausible: Plausible) -> Plain:
    return _span(plausible.low, plausible.high, plausible.unit)


def _span(low: float, high: float, unit: str) -> Plain:
    return {"low": low, "high": high, "unit": unit}


def _datum(datum: Datum | None) -> Plain | None:
    return None if datum is None else {"value": datum.value, "unit": datum.unit}


def _load_test() -> Plain:
    row = curves("batteries")["load_test_minimum"]
    return {
        "temp_f": list(row.x),
        "least_v": list(row.y),
        "hottest_f": table("batteries")["load_test_warmest_row_holds_up_to"].value,
        "f_per_c": batteries.F_PER_C,
        "zero_c_in_f": batteries.in_f(0.0),
        "source": row.source,
        "page": row.page,
    }


def _paint() -> Plain:
    rows = table("paint")
    above = rows["surface_above_dew_point"]
    return {
        "magnus_factor": rows["magnus_factor"].value,
        "magnus_c": rows["magnus_c"].value,
        "coldest_c": dew.COLDEST_C,
        "warmest_c": dew.WARMEST_C,
        "above_c": above.value,
        "dampest": rows["dampest_air"].value,
        "source": above.source,
        "page": above.page,
    }
