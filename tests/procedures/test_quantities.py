import pytest

from yardwright.calc.units import kind_of, read, units_like
from yardwright.procedures.put_backs import Harm
from yardwright.procedures.quantities import Answers, Area, Quantity, quantities, quantity

ALL = list(quantities().values())


@pytest.mark.parametrize("one", ALL, ids=lambda one: one.code)
def test_every_quantity_can_be_typed_asked_and_judged(one: Quantity) -> None:
    assert one.conditions  # a bare number proves nothing
    assert one.can
    assert one.name[0].isupper()
    for condition in one.conditions:
        assert condition.question.endswith((".", "?"))
        assert bool(condition.choices) == bool(condition.otherwise_words)
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
    ]


@pytest.mark.parametrize(
    ("code", "can", "area"),
    [
        ("bilge_pump_current", Harm.SINKS, Area.WAYS_IN),
        ("fuel_pressure", Harm.BURNS, Area.FUEL),
        ("propeller_nut_torque", Harm.HURTS, Area.STEERING),
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
        ("battery_at_rest", {"rested_h": 3, "kind": "flooded"}, "3 h; 12 h is asked for"),
        (
            "battery_at_rest",
            {"rested_h": 12, "kind": "lithium"},
            "It is lithium: a lithium battery",
        ),
        (
            "freeze_point",
            {"fluid": "ethanol blend", "own_scale": True, "at_outlet": True},
            "ethanol",
        ),
        ("compression", {"warm": True, "plugs_out": True, "throttle_open": False}, "open? No."),
        ("compression", {"warm": True, "plugs_out": True}, "Not told: Was the throttle wide open?"),
    ],
)
def test_what_makes_a_reading_worthless(code: str, answers: Answers, says: str) -> None:
    [told] = quantity(code).lacking(answers, None)
    assert says in told


def test_nothing_lacks_when_all_is_so() -> None:
    answers: Answers = {"rested_h": 14, "kind": "absorbed mat"}
    assert list(quantity("battery_at_rest").lacking(answers, None)) == []


def test_no_such_quantity() -> None:
    with pytest.raises(
        ValueError, match=r"^No quantity 'moisture'\. There are: battery_under_load"
    ):
        quantity("moisture")
