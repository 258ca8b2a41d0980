"""The day of story A1, Tuesday 6 May 2031: high water 07:40, 1.42 m; low 13:50, 0.18 m."""

import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime, timedelta
from itertools import combinations
from math import cos, pi
from xml.etree import ElementTree
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from yardwright.papers.drawing import Drawing, text_width
from yardwright.papers.strip_lifts import Held, LiftHours, key
from yardwright.papers.strip_scale import Span
from yardwright.papers.water_strip import BoatWater, Turn, water_strip

ZONE = ZoneInfo("America/New_York")
SVG = "{http://www.w3.org/2000/svg}"


def at(hour: int, minute: int = 0, day: int = 6) -> datetime:
    return datetime(2031, 5, day, hour, minute, tzinfo=ZONE)


def span(start: tuple[int, int], end: tuple[int, int]) -> Span:
    return Span(at(*start), at(*end))


def curve(start: datetime, hours: float) -> list[tuple[datetime, float]]:
    high = at(7, 40)
    times = [start + timedelta(minutes=10) * step for step in range(int(hours * 6) + 1)]
    return [(t, 0.8 + 0.62 * cos(2 * pi * ((t - high) / timedelta(hours=12.42)))) for t in times]


TURNS = (Turn(at(7, 40), 1.42, True), Turn(at(13, 50), 0.18, False), Turn(at(20, 5), 1.38, True))
DUNLIN = BoatWater(
    "Dunlin", (span((4, 41), (10, 45)),), span((6, 30), (7, 0)), note="water leaves her 10:45"
)
CURLEW = BoatWater(
    "Curlew",
    (span((5, 38), (9, 45)), span((18, 5), (22, 5))),
    refused=span((9, 30), (10, 0)),
    note="not today: ready 09:30, a launch takes 30 min, her water leaves 09:45",
)
DIVER = BoatWater("Great Northern Diver", ())
BOATS = (DUNLIN, CURLEW, DIVER)
LIFT = LiftHours(
    "Travel lift",
    (span((6, 0), (10, 0)), span((12, 0), (16, 0)), Span(at(6, 0, 7), at(16, 0, 7))),
    (Held(span((10, 0), (12, 0)), "wind"),),
    (Span(at(6, 0, 8), at(16, 0, 8)),),
)
CRANE = LiftHours("Crane", (span((8, 0), (18, 0)),))


def strip(width: float = 1180, hours: float = 12, lifts: tuple[LiftHours, ...] = ()) -> Drawing:
    line = curve(at(5), hours)
    return water_strip("strip", "Water at our sill", line, TURNS, BOATS, width, lifts)


def boxes(drawing: Drawing) -> Iterator[tuple[float, float, float, float, str]]:
    """Left, top, right, bottom and words of each text, from the face's own widths."""
    return boxes_of(drawing.svg)


def boxes_of(svg: str) -> Iterator[tuple[float, float, float, float, str]]:
    for node in ElementTree.fromstring(svg).iter(f"{SVG}text"):  # noqa: S314
        x, y, size = (
            float(node.get("x", 0)),
            float(node.get("y", 0)),
            float(node.get("font-size", 15)),
        )
        width = text_width(node.text or "", size)
        left = x - width / 2 if node.get("text-anchor") == "middle" else x
        yield left, y - size * 0.7, left + width, y + size * 0.2, node.text or ""


def assert_words_stand_free(drawing: Drawing, width: float) -> None:
    for one, other in combinations(boxes(drawing), 2):
        apart = one[2] <= other[0] or other[2] <= one[0] or one[3] <= other[1] or other[3] <= one[1]
        assert apart, (one, other)
    for left, _, right, _, words in boxes(drawing):
        assert left >= -0.1 and right <= width + 0.1, words  # noqa: PT018


def test_bar_and_launch_stand_at_their_minutes() -> None:
    # 05:00 at 24 px, 17:00 at 1156 px: 94.333 px an hour, by hand.
    # 06:30 -> 165.5, 07:00 -> 212.7, 10:45 -> 566.4; Curlew 05:38 -> 83.7, 09:45 -> 472.1.
    svg = strip().svg
    assert re.search(r'd="M165\.5 [\d.]+H212\.7V[\d.]+H165\.5z" fill="var\(--blue', svg)
    assert re.search(r'd="M24\.0 [\d.]+H566\.4M566\.4 [\d.]+v14"', svg)  # no end mark at 05:00
    assert re.search(r'd="M83\.7 [\d.]+H472\.1M83\.7 [\d.]+v14M472\.1 [\d.]+v14"', svg)


def test_high_water_stands_over_its_minute() -> None:
    # 07:40 is 2 h 40 min in: 24 + 2.6667 * 94.333 = 275.6.
    label = next(box for box in boxes(strip()) if box[4].startswith("high 07:40"))
    assert (label[0] + label[2]) / 2 == pytest.approx(275.6, abs=0.1)


def test_what_is_not_possible_is_hatched_and_says_why() -> None:
    drawing = strip()
    assert 'd="M448.5' in drawing.svg  # 09:30, and the lines that fill it
    assert "a launch takes 30 min" in drawing.svg
    with pytest.raises(ValueError, match="Curlew can't go in at 09:30–10:00; say why"):
        BoatWater("Curlew", (), refused=span((9, 30), (10, 0)))


def test_a_name_between_two_bars_does_not_run_up_against_the_next() -> None:
    # 05:00 at 24 px, 94.333 px an hour, by hand; the first bar ends 06:00, 118.3 px.
    between = []
    for minutes in range(90, 180):
        back = at(6) + timedelta(minutes=minutes)
        boat = BoatWater("Curlew", (span((5, 0), (6, 0)), Span(back, at(17))), note="ready 09:30")
        drawing = water_strip("gap", "Water", curve(at(5), 12), (), [boat])
        (name,) = [box for box in boxes(drawing) if box[4].startswith("Curlew")]
        between.append(name[0] > 118.3)
        if between[-1]:
            assert 118.3 + minutes / 60 * 94.333 - name[2] > 23.9
    assert {True, False} == {*between}  # where there is no room for that, it stands under her bar


def test_its_name_says_the_same() -> None:
    drawing = strip()
    root = ElementTree.fromstring(drawing.svg)  # noqa: S314
    title = root.find(f"{SVG}title")
    assert title is not None
    assert title.text == drawing.sentence
    assert root.get("aria-labelledby") == title.get("id") == "strip-title"
    assert drawing.sentence == (
        "Water at our sill: high 07:40 · 1.42 m, low 13:50 · 0.18 m. "
        "Dunlin floats 04:41–10:45; goes in 06:30–07:00; water leaves her 10:45. "
        "Curlew floats 05:38–09:45; not today: ready 09:30, a launch takes 30 min, her water leaves"
        " 09:45. Great Northern Diver does not float in these hours."
    )


def test_a_boat_without_water_is_never_a_name_alone() -> None:
    assert any(
        box[4] == "Great Northern Diver does not float in these hours" for box in boxes(strip())
    )


@pytest.mark.parametrize("width", [320, 380, 760, 1180])
@pytest.mark.parametrize("hours", [3, 12, 24, 36, 60, 168])
def test_words_stand_free_of_each_other_and_of_the_edge(width: float, hours: float) -> None:
    assert_words_stand_free(strip(width, hours), width)
    assert_words_stand_free(strip(width, hours, (LIFT, CRANE)), width)


def test_the_lift_is_drawn_at_its_minutes() -> None:
    # 05:00 at 24 px, 94.333 px an hour, by hand: 06:00 -> 118.3, 10:00 -> 495.7, 12:00 -> 684.3,
    # 16:00 -> 1061.7, 17:00 -> 1156.
    svg = strip(lifts=(LIFT,)).svg
    box = r'd="M{}\.\d [\d.]+H{}\.\d[^"]*z" fill="var\(--{}, #[a-f\d]+\)"'
    for left, right in ((118, 495), (684, 1061)):
        assert re.search(box.format(left, right, "paper"), svg)  # open
    assert re.search(box.format(495, 684, "paper"), svg)  # held: a box with lines both ways
    for left, right in ((24, 118), (495, 684), (1061, 1156)):
        assert re.search(box.format(left, right, "wash"), svg)  # nothing can be lifted
    words = [(round((left + right) / 2), said) for left, _, right, _, said in boxes_of(svg)]
    assert (590, "wind") in words  # under its hatch
    assert {(307, "open"), (873, "open"), (71, "shut"), (1109, "shut")} <= set(words)


def test_only_where_no_lift_is_open_the_ground_is_grey() -> None:
    # The crane is open 08:00 to 18:00, so from 06:00 on one of the two is.
    svg = strip(lifts=(LIFT, CRANE)).svg
    assert re.findall(r'd="M([\d.]+) [^"]*" fill="var\(--wash', svg) == ["24.0"]


def test_the_lift_in_words() -> None:
    day = Span(at(0), at(0, 0, 7))
    assert LIFT.words(day) == "open 06:00–10:00, 12:00–16:00; held 10:00–12:00: wind"
    days = Span(at(0), at(0, 0, 10))
    assert LIFT.words(days) == (
        "open Tue 6 May 06:00–10:00, 12:00–16:00, open Wed 7 May 06:00–16:00, "
        "not open Thu 8 May to Fri 9 May; held Tue 6 May 10:00–12:00: wind; "
        "nobody in to run it Thu 8 May 06:00–16:00"
    )
    lunch = replace(LIFT, away=(span((12, 0), (12, 30)), Span(at(12, 0, 7), at(12, 30, 7))))
    assert lunch.words(day).endswith("; nobody in to run it 12:00–12:30")
    assert lunch.words(days).endswith("; nobody in to run it Tue 6 May to Wed 7 May 12:00–12:30")
    long = Held(Span(at(22, 0, 5), at(9, 30, 6)), "a repair")
    assert long.words(day) == "held until 09:30: a repair"
    assert long.words(Span(at(0, 0, 5), at(0, 0, 6))) == "held from 22:00: a repair"
    assert long.words(Span(at(0), at(8))) == "held all that time: a repair"
    assert "Travel lift: open 06:00–10:00" in strip(lifts=(LIFT,)).sentence


def test_what_is_held_is_named_also_where_every_word_has_no_room() -> None:
    held = LiftHours("Travel lift", (), (Held(span((10, 0), (10, 30)), "a hose burst; " * 5),))
    texts = [words for *_, words in boxes_of(strip(320, lifts=(held,)).svg)]
    assert "a hose burst" in " ".join(texts)


def test_the_key_names_only_what_is_drawn() -> None:
    view = Span(at(0), at(0, 0, 7))
    assert "held" in key((LIFT,), view)
    assert "nobody" not in key((LIFT,), view)
    assert "nobody" in key((LIFT,), Span(at(0), at(0, 0, 9)))
    assert "held" not in key((CRANE,), view)
    assert key((), view) == ""


def test_tide_labels_stand_free_of_the_curve() -> None:
    root = ElementTree.fromstring(strip().svg)  # noqa: S314
    line = root.find(f"{SVG}polyline")
    assert line is not None
    heights = [float(point.split(",")[1]) for point in line.get("points", "").split()]
    for _, top, _, bottom, words in boxes(strip()):
        if words.startswith(("high", "low")):
            assert bottom < min(heights) or top > max(heights), words


NAMES = st.text(st.characters(categories=["Lu", "Ll", "Nd"]), min_size=1, max_size=24).filter(
    lambda name: text_width(name, 15) < 350  # the narrowest strip has room for no wider one
)


@settings(deadline=None, max_examples=60)
@given(
    st.lists(st.tuples(NAMES, st.integers(0, 1300), st.integers(1, 400)), max_size=6),
    st.integers(360, 1400),
)
def test_any_boats_any_width(boats: list[tuple[str, int, int]], width: int) -> None:
    waters = []
    for name, start_min, long_min in boats:
        start = at(0) + timedelta(minutes=start_min)
        floats = Span(start, start + timedelta(minutes=long_min))
        waters.append(BoatWater(name, (floats,), floats, note="water leaves her early today"))
    drawing = water_strip("any", "Water", curve(at(0), 24), TURNS, waters, width)
    assert_words_stand_free(drawing, width)


def test_the_night_the_clock_goes_back_has_25_hours() -> None:
    # US daylight time ends on Sunday 2 November 2031 at 02:00 (15 U.S.C. 260a): 01 comes twice.
    start = datetime(2031, 11, 2, 0, tzinfo=ZONE)
    utc = start.astimezone(ZoneInfo("UTC"))
    line = [((utc + timedelta(hours=h)).astimezone(ZONE), 1.0) for h in range(7)]
    drawing = water_strip("back", "Water", line, (), ())
    assert [box[4] for box in boxes(drawing)] == ["00", "01", "01", "02", "03", "04", "05"]


@pytest.mark.parametrize(
    ("points", "width", "says"),
    [
        (curve(at(5), 12)[:1], 1180, "the curve has 1 points; give two or more"),
        (curve(at(5), 24 * 9), 1180, "give eight days at most"),
        (curve(at(5), 12), 200, "200 px wide has no room"),
        ([(at(5), 1.0), (at(7), 1.0), (at(6), 1.0), (at(9), 1.0)], 1180, "give rising times"),
        ([(datetime(2031, 5, 6), 1.0), (datetime(2031, 5, 7), 1.0)], 1180, "has no time zone"),  # noqa: DTZ001
        ([(at(9), 1.0), (at(5), 1.0)], 1180, "give the earlier time first"),
    ],
)
def test_refusals(points: list[tuple[datetime, float]], width: float, says: str) -> None:
    with pytest.raises(ValueError, match=says):
        water_strip("no", "Water", points, (), (), width)
