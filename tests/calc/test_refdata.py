"""Every reference value says where it is from; a wrong row is refused by file and name."""

from datetime import date
from importlib.resources import files
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from yardwright import refdata

TABLES = sorted(p.stem for p in Path(str(files(refdata))).glob("*.toml"))

EVIDENCE = {"source": "a book", "page": "7", "seen": date(2026, 11, 25), "trust": "read"}
CURVE = {"x": [0, 10, 30], "x_unit": "degC", "y": [0.0, 5.0, 6.0], "y_unit": "V"}


def test_the_tables_are_there() -> None:
    assert {"antifreeze", "batteries", "flooding", "lifting"} <= set(TABLES)


@pytest.mark.parametrize("name", TABLES)
def test_every_row_has_its_source(name: str) -> None:
    single, curves = refdata.table(name), refdata.curves(name)
    assert refdata.rows(name)
    for key, datum in single.items():
        assert isinstance(datum.value, int | float), key
        assert datum.unit, key
    for key, curve in curves.items():
        assert curve.x_unit, key
        assert curve.y_unit, key
        assert all(isinstance(number, int | float) for number in curve.x + curve.y), key
    for key, row in refdata.rows(name).items():
        assert row.tells, f"{key}: say what it tells, as a mechanic would ask for it"
        assert row.source, key
        assert isinstance(row.seen, date), key
        assert row.trust in refdata.TRUST, key
        assert row.trust != "read" or row.page != refdata.NO_PAGE, f"{key}: read, so it has a page"


def test_unknown_table_names_the_known() -> None:
    with pytest.raises(FileNotFoundError, match="flooding"):
        refdata.table("tides-of-mars")


@pytest.mark.parametrize(
    ("wrong", "told"),
    [
        ({"unit": "V"}, "missing 1 required"),
        ({"value": 1.0, "unit": "V", "maker": "x"}, "maker"),
        ({"value": 1.0, "unit": "V", "trust": "gossip"}, "gossip"),
        ({"value": 1.0, "unit": "V", "page": "-"}, "page that was read"),
        ({"value": 1.0, "unit": "V", "source": " "}, "who says so"),
        ({**CURVE, "x": [0, 10]}, "2 x and 3 y"),
        ({**CURVE, "x": [0, 30, 10]}, "rising"),
    ],
)
def test_a_bad_row_names_file_and_row(wrong: dict[str, object], told: str) -> None:
    fields = {**EVIDENCE, **wrong}
    if "value" not in fields and "x" not in fields:
        fields = {"value": 1.0, **EVIDENCE}  # a single value without its unit
    with pytest.raises(ValueError, match=rf"refdata/x.toml, row \[y\]: .*{told}"):
        refdata._row("x", "y", fields)


def curve() -> refdata.Curve:
    row = refdata._row("x", "y", {**EVIDENCE, **CURVE})
    assert isinstance(row, refdata.Curve)
    return row


def test_a_curve_is_straight_between_its_rows() -> None:
    # By hand: half-way up 0 to 5, a quarter of the way up 5 to 6.
    assert curve().at(5) == pytest.approx(2.5)
    assert curve().at(15) == pytest.approx(5.25)
    assert [curve().at(x) for x in curve().x] == pytest.approx(curve().y)


def test_on_a_row_the_steeper_slope_counts() -> None:
    assert curve().slope_at(10) == pytest.approx(0.5)
    assert curve().slope_at(11) == pytest.approx(0.05)


@given(x=st.floats().filter(lambda x: not 0 <= x <= 30))
def test_a_curve_is_not_carried_on_past_its_ends(x: float) -> None:
    with pytest.raises(ValueError, match="outside the table, 0 to 30 degC"):
        curve().at(x)


def test_nobody_can_change_a_row_for_all_others() -> None:
    rows, grid = refdata.rows("engine"), refdata.grids("engine")["emissivity"]
    with pytest.raises(TypeError):
        rows["leak_down_limit"] = rows["leak_down_act"]  # type: ignore[index]
    with pytest.raises(TypeError):
        grid.down["bare"] = (1.0, 1.0)  # type: ignore[index]
