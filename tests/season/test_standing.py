"""The season asked where boats stand: what a wish, a told day, past years and a height count for."""

from datetime import date

import pytest

from yardwright.plan.standing import Place as Stood
from yardwright.procedures.going_in import State
from yardwright.season.model import Boat, Place, Promise, Yard
from yardwright.season.standing import day_of, day_words, expected, where_to, why_none, why_not

YARD = Yard("Heron Slip", "America/New_York", date(2031, 4, 1), date(2031, 6, 30), 0.1, 0.25)
MAY = date(2031, 5, 1)
PLACES = (Place("A", "row", 2), Place("B", "row", 2, bears_kg=5000, headroom_m=6))


def wishes(name: str, day: date, place: str = "", berth: int | None = None) -> Boat:
    state = State.LAID_UP if place else State.AFLOAT
    return Boat(name, state, place=place, berth=berth, promise=Promise(wished=day))


def test_a_day_that_was_told_stands_before_the_wish() -> None:
    boat = Boat("Teal", State.AFLOAT, promise=Promise(MAY, date(2031, 5, 8), date(2031, 5, 12)))
    assert day_of(YARD, boat).mean == date(2031, 5, 12).toordinal()


def test_past_years_shift_a_wish_and_no_told_day() -> None:
    late = Boat("Teal", State.AFLOAT, promise=Promise(wished=MAY), late_days=(12, 12, 12))
    assert day_of(YARD, late).mean == MAY.toordinal() + 6  # as heavy as three years of none
    told = Boat("Teal", State.AFLOAT, promise=Promise(MAY, ink=date(2031, 5, 9)), late_days=(9,))
    assert day_of(YARD, told).mean == date(2031, 5, 9).toordinal()
    assert day_of(YARD, told).spread_days < day_of(YARD, late).spread_days
    assert "with 3 past years" in day_words(YARD, late)


def test_no_wish_is_said_to_be_none() -> None:
    assert "nobody wrote a wish" in day_words(YARD, Boat("Teal", State.AFLOAT))


def test_pairs_of_each_row_as_they_stand() -> None:
    boats = [
        wishes("Front", date(2031, 6, 20), "A", 1),
        wishes("Back", date(2031, 4, 10), "A", 2),
        wishes("Alone", MAY, "B", 1),
    ]
    pairs = expected(YARD, boats, PLACES)
    assert pairs["A"] == pytest.approx(1, abs=1e-3)  # ten weeks apart, the wrong way round
    assert pairs["B"] == 0


def test_where_nobody_blocks_is_no_row() -> None:
    line = (Place("Trailers", "trailer line", 9),)
    boats = [wishes("A", MAY, "Trailers", 1), wishes("B", MAY, "Trailers", 2), wishes("C", MAY)]
    assert expected(YARD, boats, line) == {}
    assert where_to(YARD, boats, line, "C") == ()


def test_she_goes_in_front_of_one_that_stays() -> None:
    stays = Boat("Hulk", State.NOT_GOING_IN, place="A", berth=2)
    early = wishes("Early", date(2031, 4, 5), "B", 2)
    comes = Boat("Teal", State.AFLOAT, weight_kg=900, height_m=3, promise=Promise(wished=MAY))
    best = where_to(YARD, [stays, early, comes], PLACES, "Teal")[0]
    assert best.place == Stood("A", 1)


def test_what_is_not_known_of_her_is_said() -> None:
    said = why_not(wishes("Teal", MAY), YARD, PLACES)
    assert said == [
        "B: Teal was never measured (in weight), and the row bears up to 5000 kg.",
        "B: Teal was never measured (high as she stands), and the row has headroom of 6 m.",
    ]
    with pytest.raises(ValueError, match="no boat Skua"):
        where_to(YARD, [], PLACES, "Skua")


def test_the_nearest_row_says_why_no_place_takes_her() -> None:
    # By hand: 12.0 m are 1.2 of A's 10 m, 6.6 m are 1.1 of B's 6 m; C has two reasons.
    places = (
        Place("A", "row", 1, length_m=10),
        Place("B", "row", 1, headroom_m=6),
        Place("C", "row", 1, length_m=9, bears_kg=5000),
    )
    egret = Boat("Egret", State.AFLOAT, length_m=12, weight_kg=6000, height_m=6.6)
    assert where_to(YARD, [egret], places, "Egret") == ()
    assert why_none(egret, [egret], YARD, places) == (
        "B comes nearest: Egret is 6.6 m high as she stands; the row has headroom of 6 m."
    )
    unknown = Boat("Egret", State.AFLOAT, length_m=12, weight_kg=6000)
    assert why_none(unknown, [unknown], YARD, places) == (
        "B comes nearest: Egret was never measured (high as she stands), and the row has headroom "
        "of 6 m."
    )


def test_a_row_that_is_shut_at_its_aisle_is_named_and_so_is_a_yard_without_rows() -> None:
    places = (Place("A", "row", 3), Place("B", "row", 2, length_m=9))
    teal, egret = wishes("Teal", MAY, "A", 1), Boat("Egret", State.AFLOAT, length_m=12)
    assert where_to(YARD, [teal, egret], places, "Egret") == ()
    assert why_none(egret, [teal, egret], YARD, places) == (
        "A would take her, but Teal stands at its aisle."
    )
    assert why_none(egret, [egret], YARD, ()).startswith("No row is on file")
