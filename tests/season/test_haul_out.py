"""Haul-out on the tide of the three days: its windows were worked out by hand for the plan."""

from dataclasses import replace
from datetime import date, datetime, timedelta
from pathlib import Path

import pytest

from yardwright.procedures.going_in import State
from yardwright.season.haul_out import order
from yardwright.season.model import Hold, Place, Season
from yardwright.season.read import read_file

THREE_DAYS = Path(__file__).parents[2] / "docs/three-days.toml"
BEGINS = datetime.fromisoformat("2031-05-05T00:00:00+00:00")


def afloat(*names: str) -> Season:
    season = read_file(THREE_DAYS)
    boats = [
        replace(b, state=State.AFLOAT, place="", berth=None)
        for b in season.boats
        if b.name in names
    ]
    return replace(season, boats=tuple(boats), places=(Place("Row", "row", 9),))


def test_each_on_her_water() -> None:
    """From Wednesday on: Avocet's water is 07:18 to 09:55, each give or take a minute."""
    found = order(afloat("Avocet"), BEGINS + timedelta(days=2), 1, None)
    wanted = datetime.fromisoformat("2031-05-07T07:18-04:00")
    assert abs((found.turns[0].starts - wanted).total_seconds()) <= 60
    assert "frost would find water in her" in found.turns[0].because  # nobody wrote otherwise


def held(season: Season, *spans: tuple[str, str]) -> Season:
    """The lift held by wind on Wednesday."""
    at = (tuple(datetime.fromisoformat(f"2031-05-07T{t}-04:00") for t in span) for span in spans)
    holds = tuple(Hold(starts, ends, "wind") for starts, ends in at)
    return replace(season, lifts=(replace(season.lifts[0], holds=holds),))


def test_a_lift_that_is_held_hauls_nobody() -> None:
    """Her water is 07:18 to 09:55; wind holds the lift until eight, so she comes out at eight."""
    wednesday = BEGINS + timedelta(days=2)
    found = order(held(afloat("Avocet"), ("06:00", "08:00")), wednesday, 1, None)
    assert found.turns[0].starts == datetime.fromisoformat("2031-05-07T08:00-04:00")
    both = held(afloat("Avocet"), ("06:00", "08:00"), ("08:10", "16:00"))
    assert not order(both, wednesday, 1, None).turns  # ten minutes are no haul-out


def test_further_in_comes_out_first() -> None:
    found = order(afloat("Plover", "Teal", "Dunlin"), BEGINS, 3, None)
    berths = [int(turn.place.split()[-1]) for turn in found.turns]
    assert berths == sorted(berths, reverse=True)


def test_who_stands_beside_the_rows_takes_no_place_in_them() -> None:
    season = afloat("Avocet", "Plover")
    on_trailer = tuple(
        replace(b, state=State.LAID_UP, place="Trailers", berth=3) if b.name == "Plover" else b
        for b in season.boats
    )
    places = (Place("Row", "row", 1), Place("Trailers", "trailer line", 9))
    found = order(replace(season, boats=on_trailer, places=places), BEGINS, 3, None)
    assert [(turn.boat.name, turn.place) for turn in found.turns] == [("Avocet", "Row, berth 1")]


def test_the_late_are_told_and_the_unmeasured_have_no_turn() -> None:
    season = afloat("Avocet", "Plover")
    never = tuple(replace(b, draft_m=None) if b.name == "Plover" else b for b in season.boats)
    season = replace(season, boats=never)
    for frost, late in ((date(2031, 5, 5), True), (date(2031, 5, 8), False)):
        found = order(season, BEGINS, 3, frost)
        assert [turn.boat.name for turn in found.turns] == ["Avocet"]
        assert ("frost is expected" in " ".join(found.turns[0].because)) == late
        assert [why for _, why in found.left] == ["Her draft is not known: measure it."]


def test_a_lift_hauls_nobody_who_is_too_heavy_or_too_broad() -> None:
    # By hand: 14,000 kg and a tenth is 15,400 kg, and the lift may carry 15,000 kg.
    season = afloat("Avocet", "Plover", "Teal")
    made = {"Avocet": (14_000.0, 3.0), "Plover": (2_000.0, 4.4), "Teal": (2_000.0, None)}
    boats = [
        replace(b, weight_kg=made[b.name][0], weight_within=0.1, beam_m=made[b.name][1])
        for b in season.boats
    ]
    lifts = (replace(season.lifts[0], beam_m=4.3),)
    found = order(replace(season, boats=tuple(boats), lifts=lifts), BEGINS, 3, None)
    assert {boat.name: why for boat, why in found.left} == {
        "Avocet": "she weighs up to 15,400 kg, and the Travel lift may carry 15,000 kg.",
        "Plover": "her beam is 4.4 m, and the Travel lift takes 4.3 m.",
    }
    (teal,) = found.turns
    assert "her beam: not known; measure before she is lifted" in teal.because


def test_refused() -> None:
    with pytest.raises(ValueError, match="1 to 120"):
        order(afloat("Teal"), BEGINS, 0, None)
