"""The sketch of what lies under a wrap."""

import re
from xml.etree import ElementTree

from hypothesis import given
from hypothesis import strategies as st

from yardwright.papers.under_wrap import SHAPES, Drawn, Hull, sketch
from yardwright.procedures.under_wrap import Sort, Zone

TEAL = Hull("Teal", 6.4, 2.4, outboard=True)


def drawn(number: int, sort: Sort = Sort.SHARP, along: float = 0.5, across: float = 0.0) -> Drawn:
    return Drawn(number, SHAPES[sort], along, across, f"{number}: thing, {sort}")


def test_each_sort_has_its_own_shape() -> None:
    """None is told by its colour alone."""
    assert set(SHAPES) == set(Sort)
    assert len(set(SHAPES.values())) == len(Sort)
    bodies = {re.sub(r"[\d.]+", "", sketch("s", TEAL, [drawn(1, one)]).svg) for one in Sort}
    assert len(bodies) == len(Sort)


def test_port_is_on_the_left_with_the_bow_up_and_below_with_the_bow_to_the_left() -> None:
    """Seen from above, port is to the left of whoever looks forward."""

    def at(across: float, *, bow_up: bool) -> tuple[float, float]:
        svg = sketch("s", TEAL, [drawn(7, across=across)], bow_up=bow_up).svg
        found = re.search(r'<text x="([\d.]+)" y="([\d.]+)" [^>]*>7<', svg)
        assert found
        return float(found[1]), float(found[2])

    assert at(-0.5, bow_up=True)[0] < at(0.5, bow_up=True)[0]
    assert at(-0.5, bow_up=False)[1] > at(0.5, bow_up=False)[1]


def test_what_is_not_known_is_said_and_dashed() -> None:
    plain, unknown = sketch("s", TEAL, []), sketch("s", Hull("Dove", None, 2.4), [])
    assert "not known" not in plain.sentence
    assert "Her length or beam is not known" in unknown.sentence
    assert 'stroke-dasharray="9 5"' in unknown.svg
    assert 'stroke-dasharray="9 5"' not in plain.svg


@given(
    st.lists(st.tuples(st.sampled_from(Zone), st.sampled_from(Sort)), max_size=30),
    st.floats(2, 30),
    st.floats(0.5, 9),
    st.booleans(),
)
def test_every_number_is_on_the_sheet(
    things: list[tuple[Zone, Sort]], length_m: float, beam_m: float, bow_up: bool
) -> None:
    """Also many in one zone, on any hull: each number once, inside the sheet."""
    marks = [
        drawn(n, sort, zone.middle.along, zone.middle.across)
        for n, (zone, sort) in enumerate(things, 1)
    ]
    svg = sketch("s", Hull("Wren", length_m, beam_m), marks, bow_up=bow_up).svg
    root = ElementTree.fromstring(svg)  # noqa: S314  # our own
    _, _, width, height = map(float, root.attrib["viewBox"].split())
    numbers = [e for e in root.iter() if e.tag.endswith("text") and (e.text or "").isdigit()]
    assert [int(e.text or "0") for e in numbers] == [*range(1, len(marks) + 1)]
    for e in numbers:
        assert 0 < float(e.attrib["x"]) < width
        assert 0 < float(e.attrib["y"]) < height
