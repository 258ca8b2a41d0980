"""Slings and weight as in story A8, water as in story A1 (Curlew, Wednesday): worked by hand there."""

import re
from collections.abc import Mapping
from dataclasses import replace
from datetime import date, datetime
from zoneinfo import ZoneInfo

import pytest

from yardwright.papers import lift_card as module
from yardwright.papers.lift_card import (
    LiftCard,
    Refusal,
    Sling,
    Undone,
    Water,
    Weight,
    lift_card,
)
from yardwright.papers.paper import MissingLetterError, Paper

ZONE = ZoneInfo("America/New_York")


def at(hour: int, minute: int) -> datetime:
    return datetime(2031, 5, 7, hour, minute, tzinfo=ZONE)


CARD = LiftCard(
    yard="Heron Slip",
    boat="Curlew",
    hull_number="HRN00B07C031",
    day=date(2031, 5, 7),
    stands="Row C, berth 2",
    lift="the travel lift",
    lift_well="the lift well",
    length_m=9.8,
    beam_m=3.2,
    draft_m=1.75,
    weight=Weight(5200, 4680, 5720),
    lift_rated_kg=20_000,
    slings=(
        Sling("Forward sling", 5.2, Weight(1820, 1287, 2431), 4500),
        Sling("Aft sling", 1.2, Weight(3380, 2691, 4147), 4500),
    ),
    float_word="Floats",
    float_why="Every way in is proven shut.",
    before_water=(),
    later=(Undone("Speed sensor", "handover", "bin 14"),),
    water=Water(at(6, 38), at(10, 35), at(7, 0), 30),
    hang_min=15,
    lift_by="Ruben Ash",
    second_look_by="",
    wind_limit="",
    address="http://heron-slip.local/boat/HRN00B07C031/",
)
PLUG = Undone("Stern drain plug", "in the water", "bin 14")
REFUSED = replace(
    CARD,
    float_word="Would take water",
    float_why="sea → stern drain hole → bilge",
    before_water=(PLUG,),
    refusals=(Refusal("The stern drain plug is out.", "Fit it; prove it by feel."),),
)
COMES_OUT = replace(REFUSED, comes_out=True, water=None, refusals=())


def pages(pdf: bytes) -> int:
    found = re.search(rb"<xmpTPg:NPages>(\d+)</xmpTPg:NPages>", pdf)
    assert found
    return int(found[1])


@pytest.mark.parametrize("paper", Paper)
@pytest.mark.parametrize(
    "card", [CARD, REFUSED, COMES_OUT], ids=["goes", "does not go", "comes out"]
)
def test_one_page_the_same_bytes_each_time(card: LiftCard, paper: Paper) -> None:
    pdf = lift_card(card, paper)
    assert pdf.startswith(b"%PDF")
    assert pages(pdf) == 1
    assert pdf == lift_card(card, paper)


def test_the_two_papers_have_their_sizes() -> None:
    # A4 is 210 by 297 mm (ISO 216), Letter 8.5 by 11 in (ANSI/ASME Y14.1): in points of 1/72 in.
    boxes = [
        re.search(rb"/MediaBox\s*\[0 0 ([\d.]+) ([\d.]+)\]", lift_card(CARD, paper))
        for paper in Paper
    ]
    sizes = [tuple(map(float, box.groups())) for box in boxes if box]
    assert sizes[0] == pytest.approx((210 / 25.4 * 72, 297 / 25.4 * 72), abs=0.1)
    assert sizes[1] == pytest.approx((8.5 * 72, 11 * 72), abs=0.1)


def test_less_sure_water_is_said_in_its_heading() -> None:
    def note(card: LiftCard) -> object:
        return module._content(card)["water_note"]

    assert note(CARD) == "at our sill"
    assert CARD.water is not None
    unsure = replace(CARD, water=replace(CARD.water, less_sure=True))
    assert "less sure: only high and low water are known, read the gauge" in str(note(unsure))
    assert pages(lift_card(unsure, Paper.LETTER)) == 1


@pytest.mark.parametrize("paper", Paper)
def test_long_words_stay_on_one_page(paper: Paper) -> None:
    long = replace(
        CARD,
        boat="Great Northern Diver of Saint Bartholomew's Haven the Second",
        stands="Shed 3, bay 12, against the north wall behind the mast rack",
        float_why=CARD.float_why * 8,
        later=tuple(
            Undone(f"Speed sensor paddle wheel {n}, blank fitted", "handover", "bin 14 " * 6)
            for n in range(30)
        ),
        lift_by="Maximiliana Featherstonehaugh-Østergård",
    )
    assert pages(lift_card(long, paper)) == 1


def test_names_of_many_lands_are_printed() -> None:
    lift_card(replace(CARD, boat="Łódź Ő Şș Þórðar Ελένη Ольга Nguyễn Ō"), Paper.A4)


def test_a_letter_that_no_face_has_is_refused_by_name() -> None:
    with pytest.raises(MissingLetterError, match=r"has the letter “海”.*print again"):
        lift_card(replace(CARD, boat="A海鸥"), Paper.A4)


def test_the_card_says_what_was_worked_out(monkeypatch: pytest.MonkeyPatch) -> None:
    said: dict[str, object] = {}

    def keep(template: str, content: Mapping[str, object], day: date, paper: Paper) -> bytes:
        said.update(content)
        return b""

    monkeypatch.setattr(module, "printed", keep)
    lift_card(CARD, Paper.A4)
    words = str(said)
    for part in ("1,820 kg", "1,287–2,431 kg", "3,380 kg", "2,691–4,147 kg", "06:38", "10:35"):
        assert part in words
    # 07:00 + 30 min = 07:30; 10:35 − 07:30 = 3 h 5 min.
    assert "at 07:00, with 3 h 5 min of water to spare" in words
    assert "Wind: not known, look before the slings. No wind limit on file" in words
    lift_card(replace(CARD, wind_asked=True), Paper.A4)
    assert "Wind: not known, measure the gusts before the slings." in str(said)
    lift_card(replace(CARD, draft_m=None), Paper.A4)
    assert "draws not known" in str(said)
    lift_card(replace(CARD, water=Water(at(6, 38), at(7, 42), at(7, 0), 30)), Paper.A4)
    assert "only 12 min to spare" in str(said)


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"before_water": (PLUG,)}, "Stern drain plug is still undone"),
        ({"float_word": "Would take water"}, "The float check says: Would take water"),
        ({"float_word": "Not known"}, "The float check says: Not known"),
        ({"weight": None}, "not all known"),
        ({"slings": ()}, "not all known"),
        ({"lift_rated_kg": None}, "not all known"),
        # A8: rated 4,000 kg it is refused aft, as the range reaches 4,147 kg.
        (
            {"slings": (Sling("Aft sling", 1.2, Weight(3380, 2691, 4147), 4000),)},
            "may have to carry 4,147 kg",
        ),
        ({"lift_rated_kg": 5500.0}, "The lift may have to carry 5,720 kg and is rated 5,500 kg"),
        ({"lift_rated_kg": float("nan")}, "The lift may have to carry"),
        ({"lift_beam_m": 3.1}, "Her beam is 3.20 m; the lift takes 3.10 m"),
        ({"lift_draft_m": 1.7}, "Her draft is 1.75 m; the lift takes 1.70 m"),
        ({"lift_beam_m": 4.0, "beam_m": None}, "Her beam is not known; the lift takes 4.00 m"),
        ({"water": None}, "Her water is not known"),
        # A1: ready 09:30, a launch takes 30 min, her water leaves 09:45.
        (
            {"water": Water(at(5, 38), at(9, 45), at(9, 30), 30)},
            "09:30 takes 30 min: not all in her",
        ),
        ({"water": Water(at(6, 38), at(9, 45), at(6, 30), 30)}, "not all in her water"),
    ],
)
def test_a_card_that_says_she_goes_refuses_what_speaks_against(
    change: dict[str, object], says: str
) -> None:
    with pytest.raises(ValueError, match=says):
        replace(CARD, **change)  # type: ignore[arg-type]


@pytest.mark.parametrize("weight", [(5, 6, 7), (5, 4, 4), (float("nan"), 1, 2), (1, -1, 2)])
def test_a_weight_must_lie_in_its_range(weight: tuple[float, float, float]) -> None:
    with pytest.raises(ValueError, match="give low, likely and high"):
        Weight(*weight)


def test_what_is_not_known_is_printed_on_a_refusal() -> None:
    bare = replace(
        REFUSED,
        length_m=None,
        weight=None,
        lift_rated_kg=None,
        slings=(),
        water=None,
        float_word="Not known",
        hull_number="",
        before_water=(),
        later=(),
    )
    assert pages(lift_card(bare, Paper.LETTER)) == 1


def test_minutes_to_spare_in_the_night_the_clock_goes_back() -> None:
    # US daylight time ends on 2 November 2031 at 02:00 (15 U.S.C. 260a): 00:30 to 02:30 is 3 h.
    night = [datetime(2031, 11, 2, hour, 30, tzinfo=ZONE) for hour in (0, 0, 2)]
    assert Water(night[0], night[2], night[1], 30).to_spare_min == 150
