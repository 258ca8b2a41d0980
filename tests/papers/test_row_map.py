"""Row C of story A1: Curlew stands in front of Dunlin."""

from dataclasses import replace
from xml.etree import ElementTree

import pytest

from yardwright.papers.marks import Shape
from yardwright.papers.row_map import PX_PER_M, Row, StandingBoat, row_map, shut_in_by

SVG = "{http://www.w3.org/2000/svg}"


def boat(
    name: str, leaves: int | None = None, state: str = "Laid up", length_m: float = 8
) -> StandingBoat:
    return StandingBoat(name, length_m, 2.5, state, Shape.RING, f"/boat/{name}/", leaves)


ROW_C = Row("Row C", (boat("Curlew", 3), boat("Dunlin", 1), boat("Ruff")))


def test_who_shuts_whom_in() -> None:
    curlew, dunlin, ruff = ROW_C.boats
    assert shut_in_by(ROW_C, curlew) == ()
    assert shut_in_by(ROW_C, dunlin) == (curlew,)  # she leaves first: Curlew is moved aside
    assert shut_in_by(ROW_C, ruff) == ()  # both in front are planned to leave before her


def test_two_without_a_plan_shut_in_the_one_behind() -> None:
    row = Row("Row D", (boat("Knot"), boat("Snipe")))
    assert shut_in_by(row, row.boats[1]) == (row.boats[0],)


def test_an_empty_berth_shuts_nobody_in() -> None:
    curlew, dunlin, ruff = ROW_C.boats
    row = Row("Row C", (replace(curlew, stands=False), dunlin, replace(ruff, stands=False)))
    assert shut_in_by(row, dunlin) == ()
    assert shut_in_by(row, row.boats[2]) == ()
    svg = row_map("map", (row,)).svg
    assert svg.count('stroke-dasharray="5 5"') == 2
    assert ">1 boat<" in svg


def test_each_boat_is_a_link_that_says_where_she_is_at() -> None:
    root = ElementTree.fromstring(row_map("map", (ROW_C,)).svg)  # noqa: S314
    links = [(a.get("href"), a.get("aria-label")) for a in root.iter(f"{SVG}a")]
    assert links == [
        ("/boat/Curlew/", "Curlew, Laid up, leaves as number 3"),
        ("/boat/Dunlin/", "Dunlin, Laid up, shut in by Curlew, next to leave, leaves as number 1"),
        ("/boat/Ruff/", "Ruff, Laid up"),
    ]
    assert root.get("role") == "group"  # an image would hide its links


def test_its_name_says_the_same() -> None:
    drawing = row_map("map", (ROW_C, Row("Shed", ())))
    title = ElementTree.fromstring(drawing.svg).find(f"{SVG}title")  # noqa: S314
    assert title is not None
    assert title.text == drawing.sentence
    assert drawing.sentence == (
        "Row C, from the way out: Curlew (Laid up), Dunlin (Laid up), Ruff (Laid up)."
        " Dunlin is shut in by Curlew. Shed is empty. Next to leave: Dunlin."
    )


def test_hulls_are_to_scale() -> None:
    drawing = row_map("map", (Row("A", (boat("Knot", length_m=10), boat("Ruff", length_m=5))),))
    hulls = [path.get("d", "") for path in ElementTree.fromstring(drawing.svg).iter(f"{SVG}path")]  # noqa: S314
    ends = []
    for d in hulls:
        if "v27.5" in d:  # 2.5 m wide
            left, right = float(d[1:].split()[0]), float(d.split("H")[1].split("v")[0])
            ends.append(right - left)
    assert ends == pytest.approx([10 * PX_PER_M, 5 * PX_PER_M], abs=0.1)
    assert PX_PER_M * 2.5 == 27.5


def test_a_long_row_goes_on_below_inside_the_width() -> None:
    row = Row("Row A", tuple(boat(f"Knot {n}") for n in range(30)))
    narrow, wide = (row_map("map", (row,), width).svg for width in (380, 1180))
    assert narrow.count("<a ") == wide.count("<a ") == 30
    assert "in front: the line above" in narrow


def test_no_plan_is_said() -> None:
    assert row_map("map", (Row("A", (boat("Knot"),)),)).sentence.endswith(
        "No plan says who leaves next."
    )


def test_letters_are_made_safe() -> None:
    odd = boat('<Tern> & "Co"', 1)
    ElementTree.fromstring(row_map("map", (Row("R&D", (odd,)),)).svg)  # noqa: S314


@pytest.mark.parametrize("length_m", [0, -1, 61, float("nan")])
def test_a_length_out_of_range_is_refused(length_m: float) -> None:
    with pytest.raises(ValueError, match=r"Knot is .* m long; give more than 0, up to 60"):
        boat("Knot", length_m=length_m)


def test_too_narrow_is_refused() -> None:
    with pytest.raises(ValueError, match="give 320 or more"):
        row_map("map", (ROW_C,), 100)
