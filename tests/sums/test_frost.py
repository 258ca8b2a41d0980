"""What the sums about frost say on a cold evening."""

import pytest

from yardwright.sums import sums
from yardwright.sums.sum import Answer

TONIGHT = {"litres": "0.5 L", "loss_w_k": "0.4", "water_c": "8 °C", "air_c": "-6 °C"}
TABLE = {"ten": "2030-10-02", "fifty": "2030-10-16", "ninety": "2030-10-30"}


def ask(name: str, **typed: str) -> Answer:
    return sums()[name].answer(typed)


def test_a_strainer_tonight() -> None:
    # By hand: 1.23 h to 0 °C, 19.3 h more for all of it, a tenth of that for the first tenth.
    told = ask("freeze", **TONIGHT)
    assert told.says == (
        "0 °C in 1.2 h, a tenth frozen in 3.2 h, all in 20.6 h, in air of -6.0 °C (21 °F)."
    )
    assert told.may is None
    assert "How long it stays so cold is not known" in told.besides[0]


def test_a_whole_night_of_it() -> None:
    # By hand: (10 - 1.23) h x 6 °C = 52.6 °C h of 116 for all of it: 45 %.
    night = ask("freeze", **TONIGHT, hours="10 h")
    assert night.may is False
    assert night["frozen_percent"] == pytest.approx(45.4, abs=0.2)
    assert "Drain it or fill it tonight" in night.besides[0]
    short = ask("freeze", **TONIGHT, hours="1.2 h")
    assert short.may is True
    assert short["frozen_percent"] == 0
    assert "does not get there" in short.besides[0]
    assert ask("freeze", **TONIGHT, hours="1.25 h").may is False
    assert ask("freeze", **TONIGHT, hours="100 h")["frozen_percent"] == 100


def test_a_tank_takes_days() -> None:
    tank = ask("freeze", **{**TONIGHT, "litres": "50 L"})
    assert "all in 85.7 days" in tank.says  # a hundred times 20.56 h


def test_air_above_freezing_is_not_called_safe() -> None:
    for air in ("0 °C", "3 °C"):
        with pytest.raises(ValueError, match="but a clear sky can"):
            ask("freeze", **{**TONIGHT, "air_c": air})
    with pytest.raises(ValueError, match="time is -1 h"):
        ask("freeze", **TONIGHT, hours="-1 h")


def test_chance_and_day() -> None:
    # University of Delaware's table, 32 °F in fall: 33 % by 11 Oct; 5 % is 17.97 days before 50 %.
    both = ask("freeze-dates", **TABLE, day="2030-10-11", chance_percent="5 %")
    assert both["chance"] == pytest.approx(33, abs=2)
    assert both["days"] == pytest.approx(-17.97, abs=0.01)
    assert both.says == (
        "It freezes before 11 Oct in 32 years of 100. 5 % of years freeze before 28 Sep."
    )
    assert both.may is None
    assert len(both.besides) == 1


def test_one_of_the_two_must_be_asked() -> None:
    with pytest.raises(ValueError, match="give a day, or a chance"):
        ask("freeze-dates", **TABLE)
    assert "chance" not in [
        one.key for one in ask("freeze-dates", **TABLE, chance_percent="5 %").numbers
    ]
    assert "days" not in [one.key for one in ask("freeze-dates", **TABLE, day="2030-10-11").numbers]


@pytest.mark.parametrize(
    ("ninety", "lopsided"), [("2030-10-28", False), ("2030-10-27", True), ("2030-11-02", True)]
)
def test_a_lopsided_table_says_so(ninety: str, lopsided: bool) -> None:
    told = ask("freeze-dates", **{**TABLE, "ninety": ninety}, day="2030-10-11")
    assert told.besides[0].startswith("The table is lopsided") is lopsided


def test_spring_is_after() -> None:
    # The same table, 32 °F in spring: 33 % after 30 Apr.
    spring = {
        "season": "spring",
        "ten": "2030-05-10",
        "fifty": "2030-04-25",
        "ninety": "2030-04-10",
    }
    told = ask("freeze-dates", **spring, day="2030-04-30")
    assert told["chance"] == pytest.approx(33, abs=2)
    assert "freezes after 30 Apr" in told.says
    drawing = sums()["freeze-dates"].picture(
        sums()["freeze-dates"].values({**spring, "chance_percent": "5"})
    )
    assert drawing.sentence == "Chance of frost after a day; 25 Apr: 50 %."


def test_ice_of_a_night() -> None:
    # By hand: 15.8 mm with an air film of 20 W/m²K, 62 mm were its surface as cold as the air.
    told = ask("ice", air_c="-6 °C", hours="12 h")
    assert told.says == "16 mm (0.6 in) of ice, never more than 62 mm (2.4 in)."
    assert told.may is None
    assert told["ice_mm"] == pytest.approx(15.8, abs=0.2)
    assert ask("ice", air_c="-6 °C", hours="12 h", film="30")["ice_mm"] > told["ice_mm"]


@pytest.mark.parametrize(
    ("name", "caution"),
    [
        ("freeze", "carbon monoxide"),
        ("freeze-dates", "forecast decides"),
        ("ice", "Nobody walks on ice by a sum"),
    ],
)
def test_each_has_a_picture_a_caution_and_its_sources(name: str, caution: str) -> None:
    one = sums()[name]
    assert "<svg" in one.picture(one.values(one.example())).svg
    assert caution in one.caution
    assert one.rows()


def test_degrees_fahrenheit_are_said_without_a_tail() -> None:
    # By hand: (-6 - 32) / 1.8 = -21.11 °C.
    cold = {"litres": "0.5 L", "loss_w_k": "0.4", "water_c": "8 °C", "air_c": "-6 °F"}
    assert ask("freeze", **cold).says.endswith("in air of -21.1 °C (-6 °F).")
