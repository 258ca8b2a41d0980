from dataclasses import replace

import pytest

from yardwright.calc.units import kind_of, read, units_like
from yardwright.procedures.put_backs import Harm
from yardwright.procedures.quantities import Answers, Area, Quantity, quantities, quantity

CRANKED: Answers = {"warm": True, "plugs_out": True, "cranked": True}

ALL = list(quantities().values())


@pytest.mark.parametrize("one", ALL, ids=lambda one: one.code)
def test_every_quantity_can_be_typed_asked_and_judged(one: Quantity) -> None:
    assert one.conditions  # a bare number proves nothing
    assert one.can
    assert one.name[0].isupper()
    for condition in one.conditions:
        assert condition.question.endswith((".", "?"))
        assert not condition.choices or condition.otherwise_words
        assert not (condition.unit and condition.otherwise_words)
    for unit in units_like(one.unit):
        middle = (one.plausible.low + one.plausible.high) / 2
        assert read(f"{middle} {one.unit}", one.unit, plausible=one.plausible).value == middle
        assert kind_of(unit) == kind_of(one.unit)


def test_what_the_yard_measures_is_there() -> None:
    # The list of the design: what a boat is let go on.
    assert [one.code for one in ALL] == [
        "battery_under_load",
        "battery_at_rest",
        "head_temperature",
        "compression",
        "gear_case_pressure",
        "start_cable_drop",
        "charge_voltage",
        "bilge_pump_current",
        "fuel_pressure",
        "propeller_nut_torque",
        "freeze_point",
        "spark_plug_torque",
        "gear_oil_in",
        "oil_level",
        "gland_drip",
        "earth_resistance",
        "insulation",
        "leak_down",
        "specific_gravity",
        "fuel_vapour",
        "lift_weight",
        "surface_temperature",
        "film_thickness",
    ]


@pytest.mark.parametrize(
    ("code", "can", "area"),
    [
        ("bilge_pump_current", Harm.SINKS, Area.WAYS_IN),
        ("fuel_pressure", Harm.BURNS, Area.FUEL),
        ("propeller_nut_torque", Harm.HURTS, Area.STEERING),
        ("gland_drip", Harm.SINKS, Area.WAYS_IN),
        ("fuel_vapour", Harm.BURNS, Area.FUEL),
        ("lift_weight", Harm.HURTS, Area.LIFTING),
    ],
)
def test_grave_ones_are_strict(code: str, can: Harm, area: Area) -> None:
    one = quantity(code)
    assert (one.can, one.area) == ((can,), area)
    assert one.grave
    assert one.strict


def test_a_dead_battery_neither_sinks_nor_burns() -> None:
    assert not quantity("battery_under_load").grave
    assert not quantity("battery_under_load").strict


@pytest.mark.parametrize(
    ("seconds", "words"), [(15, ""), (10, "10 s; 15 s is"), (30, "30 s; 15 s is")]
)
def test_load_test_is_read_at_the_fifteenth_second(seconds: float, words: str) -> None:
    # Workshop manuals, 2004 to 2009: read with the load on at the 15th second.
    told = quantity("battery_under_load").condition("seconds").lacks({"seconds": seconds}, None)
    assert words in told
    assert bool(told) == bool(words)


@pytest.mark.parametrize(
    ("code", "answers", "says"),
    [
        ("battery_at_rest", {"rested_h": 7.9, "kind": "flooded"}, "7.9 h; 8 h is asked for"),
        (
            "battery_at_rest",
            {"rested_h": 8, "kind": "lithium"},
            "It is lithium: a lithium battery",
        ),
        (
            "freeze_point",
            {"fluid": "ethanol blend", "own_scale": True, "fluid_temp_c": 20, "at_outlet": True},
            "ethanol",
        ),
        ("compression", {**CRANKED, "throttle_open": False}, "open? No."),
        ("compression", CRANKED, "Not told: Was the throttle wide open?"),
    ],
)
def test_what_makes_a_reading_worthless(code: str, answers: Answers, says: str) -> None:
    [told] = quantity(code).lacking(answers, None)
    assert says in told


@pytest.mark.parametrize(
    ("code", "answers", "says"),
    [
        # A refractometer that allows for the temperature itself does so between 10 and 30 °C.
        (
            "freeze_point",
            {"fluid": "propylene glycol", "own_scale": True, "fluid_temp_c": 4, "at_outlet": True},
            "4 °C; 10 °C is asked for",
        ),
        (
            "freeze_point",
            {"fluid": "propylene glycol", "own_scale": True, "fluid_temp_c": 35, "at_outlet": True},
            "35 °C; 30 °C is asked for",
        ),
        (
            "freeze_point",
            {"fluid": "ethylene glycol", "own_scale": False, "fluid_temp_c": 20, "at_outlet": True},
            "own scale? No.",
        ),
        ("oil_level", {"level": True, "waited": 2, "as_manual": True}, "2 min; 5 min is asked for"),
        ("gland_drip", {"afloat": True, "turning": True}, "Not told: Was it counted over a whole"),
    ],
)
def test_what_makes_a_spring_reading_worthless(code: str, answers: Answers, says: str) -> None:
    [told] = quantity(code).lacking(answers, None)
    assert says in told


def test_hot_or_cold_has_its_own_plausible_range() -> None:
    head = quantity("head_temperature")
    cold, hot, either = (head.plausible_when(a) for a in ({"warm": False}, {"warm": True}, {}))
    # A cold engine at 74 °C is no cold engine; at 74 °F it is one.
    with pytest.raises(ValueError, match=r"Did you mean 74 °F \(23\.3 °C\)"):
        read("74 C", "°C", plausible=cold)
    assert read("74 F", "°C", plausible=cold).value == pytest.approx(23.333, abs=0.001)
    # The other way round: 160 °F is a warm head's, 160 °C is no engine's.
    with pytest.raises(ValueError, match=r"Did you mean 160 °F \(71\.1 °C\)"):
        read("160", "°C", beside="°C", plausible=hot)
    assert read("74 C", "°C", plausible=hot).value == read("74 C", "°C", plausible=either).value


def test_a_battery_as_warm_as_its_gauge_in_fahrenheit_is_asked_about() -> None:
    acid = quantity("battery_under_load").condition("battery_temp_c")
    with pytest.raises(ValueError, match=r"Did you mean 74 °F \(23\.3 °C\)"):
        read("74", "°C", beside="°C", plausible=acid.plausible)


@pytest.mark.parametrize("one", ALL, ids=lambda one: one.code)
def test_every_number_asked_for_has_a_range_and_every_range_its_evidence(one: Quantity) -> None:
    for condition in one.conditions:
        assert condition.plausible or condition.otherwise or not condition.unit
        for datum in (condition.least, condition.most, condition.otherwise):
            assert datum is None or datum.source
    for usual in one.usual:
        assert usual.source
        assert usual.trust
        assert one.plausible.low <= usual.low < usual.high <= one.plausible.high


def test_nothing_lacks_when_all_is_so() -> None:
    answers: Answers = {"rested_h": 14, "kind": "absorbed mat"}
    assert list(quantity("battery_at_rest").lacking(answers, None)) == []


def test_a_quantity_that_contradicts_itself() -> None:
    head = quantity("head_temperature")
    usual = head.usual[0]
    with pytest.raises(ValueError, match="head_temperature: nothing asks for the moon"):
        replace(head, usual=(replace(usual, condition="the moon"),))
    with pytest.raises(ValueError, match="head_temperature: V beside °C; give one kind"):
        replace(head, usual=(replace(usual, unit="V"),))
    for low in (usual.high, usual.high + 1):
        with pytest.raises(ValueError, match="give the lower one first"):
            replace(usual, low=low)


def test_a_condition_by_its_code() -> None:
    under_load = quantity("battery_under_load")
    assert under_load.condition("battery_temp_c").unit == "°C"
    with pytest.raises(KeyError, match="the moon"):
        under_load.condition("the moon")


def test_no_such_quantity() -> None:
    with pytest.raises(
        ValueError, match=r"^No quantity 'moisture'\. There are: battery_under_load"
    ):
        quantity("moisture")


@pytest.mark.parametrize(
    ("code", "condition", "told"),
    [
        ("fuel_vapour", "nose", "touch no switch"),
        ("fuel_pressure", "sniffed", "touch no switch"),
        ("fuel_pressure", "no_drip", "pressure off"),
        ("bilge_pump_current", "moved_water", "saves nobody"),
    ],
)
def test_a_no_that_can_burn_or_sink_says_what_to_do(code: str, condition: str, told: str) -> None:
    asked = quantity(code).condition(condition)
    assert told in asked.lacks({condition: False}, None)
    assert asked.lacks({condition: True}, None) == ""
    assert asked.lacks({}, None) == f"Not told: {asked.question}"
