"""What is due in winter, by the days that the rule gives, and the walk past it."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

from yardwright.procedures.going_in import State
from yardwright.procedures.land_check import COVER
from yardwright.procedures.put_backs import PutBack
from yardwright.procedures.step import Has
from yardwright.procedures.steps import book
from yardwright.procedures.ways_in import Disturbance, Disturbed, Look
from yardwright.season.model import Boat, Place
from yardwright.season.winter_round import due_on, where_m, winter_round

NOW = datetime(2031, 1, 20, 8, 0, tzinfo=UTC)
HAS = frozenset({Has.BATTERY, Has.COVER})
BARE = {
    "drains_seen_clear",
    "stands_looked_at",
}
OF_A_PLACE = {"ground_looked_at", "people_aboard_seen", "line_of_snow_and_ice"}
EACH_FORTNIGHT = BARE | {"snow_off", "bait_looked_at", "wrap_looked_at"}
ALL = EACH_FORTNIGHT | {"batteries_kept_up"}
PLACES = (Place("Row A", "row", 8), Place("Row B", "row", 8))


def ago(**days: int) -> dict[str, datetime]:
    return {code: NOW - timedelta(days=since) for code, since in days.items()}


def due(boat: Boat, seen: dict[str, datetime]) -> set[str]:
    return {one.step.code for one in due_on(boat, seen, NOW)}


def test_never_seen_is_due_and_only_what_she_has() -> None:
    assert due(Boat("Teal", State.LAID_UP, has=HAS), {}) == ALL
    assert due(Boat("Teal", State.LAID_UP), {}) == BARE


def test_afloat_there_is_no_round() -> None:
    assert due(Boat("Teal", State.AFLOAT, has=HAS), {}) == set()


def test_days_by_the_rule() -> None:
    boat = Boat("Teal", State.LAID_UP, has=HAS)
    assert due(boat, ago(**dict.fromkeys(ALL, 14))) == set()
    assert due(boat, ago(**dict.fromkeys(ALL, 15))) == EACH_FORTNIGHT
    assert due(boat, ago(**dict.fromkeys(ALL, 31))) == ALL


def test_batteries_of_each_kind_are_read_monthly() -> None:
    has = frozenset({Has.FLOODED, Has.SEALED, Has.LITHIUM})
    boat = Boat("Teal", State.LAID_UP, has=has)
    kinds = {"flooded_tended", "sealed_tended", "lithium_looked_at"}
    assert due(boat, ago(**dict.fromkeys(kinds, 30))) == BARE
    assert due(boat, ago(**dict.fromkeys(kinds, 31))) == BARE | kinds


def test_a_look_at_her_cover_counts() -> None:
    look = Look(COVER, True, NOW - timedelta(days=3), "Bea", "tight")
    boat = Boat("Teal", State.LAID_UP, has=HAS, looks=(look,))
    assert due(boat, {}) == ALL - {"wrap_looked_at"}


def test_frost_since_makes_all_but_the_battery_due() -> None:
    frost = Disturbed(Disturbance.FROST, NOW - timedelta(days=1))
    boat = Boat("Teal", State.LAID_UP, has=HAS, disturbed=(frost,))
    assert due(boat, ago(**dict.fromkeys(ALL, 2))) == EACH_FORTNIGHT
    assert due(boat, ago(**dict.fromkeys(ALL, 0))) == set()


def test_the_walk_goes_up_one_row_and_down_the_other() -> None:
    """Two rows 12 m apart, to berth 3 and back: 10 + 20 + 12 + 20 + 10 and the way along."""
    stood = [(row, berth) for row in ("Row A", "Row B") for berth in (3, 1, 2)]
    boats = [Boat(f"{row} {berth}", State.LAID_UP, place=row, berth=berth) for row, berth in stood]
    walk = winter_round(boats, PLACES, {}, NOW)
    assert walk.proven
    assert walk.length_m == 10 + 20 + 12 + 20 + (12**2 + 10**2) ** 0.5
    names = [stop.boat.name for stop in walk.stops]
    up = ["Row A 1", "Row A 2", "Row A 3", "Row B 3", "Row B 2", "Row B 1"]
    assert names in (up, up[::-1])
    assert walk.minutes == 6 * (5 + 5) + 2 * (
        2 + 1 + 1
    )  # drains, stands; by row ground, people, ice
    assert [(stop.where, {one.step.code for one in stop.due}) for stop in walk.places] == [
        ("Row A", OF_A_PLACE),
        ("Row B", OF_A_PLACE),
    ]


def test_a_look_at_the_ground_counts_for_all_who_stand_there_until_frost() -> None:
    frost = Disturbed(Disturbance.FROST, NOW - timedelta(days=1))
    one = Boat("Teal", State.LAID_UP, place="Row A", berth=1)
    other = Boat("Wren", State.LAID_UP, place="Row A", berth=2)
    seen = {"Wren": ago(**dict.fromkeys(OF_A_PLACE, 3))}
    assert winter_round([one, other], PLACES, seen, NOW).places == ()
    stirred = replace(one, disturbed=(frost,))
    [row] = winter_round([stirred, other], PLACES, seen, NOW).places
    assert {due.last for due in row.due} == {NOW - timedelta(days=3)}


def test_batteries_are_read_where_they_lie() -> None:
    thing = book().kinds["batteries_ashore"].undone(NOW - timedelta(days=60), "Ines", "shelf 13")
    boat = Boat("Teal", State.LAID_UP, has=HAS, place="Row A", berth=1, undone=(thing,))
    walk = winter_round([boat], PLACES, {}, NOW)
    assert {one.step.code for one in walk.stops[0].due} == EACH_FORTNIGHT
    [shelf] = walk.shelves
    assert (shelf.where, [one.step.code for one in shelf.due]) == (
        "shelf 13",
        ["batteries_kept_up"],
    )
    back = replace(thing, put_back=PutBack(NOW, "Ole", thing.proof, "Vera"))
    walk = winter_round([replace(boat, undone=(back,))], PLACES, {}, NOW)
    assert walk.shelves == ()
    assert {one.step.code for one in walk.stops[0].due} == ALL
    unwritten = replace(boat, undone=(replace(thing, lies=""),))
    assert "not written down" in winter_round([unwritten], PLACES, {}, NOW).shelves[0].where


def test_nothing_about_snow_once_the_cover_is_off() -> None:
    bare = BARE | {"batteries_kept_up"}
    laid_up = Boat("Teal", State.LAID_UP, has=HAS)
    assert due(replace(laid_up, done=frozenset({"unwrapped"})), {}) == bare
    assert due(replace(laid_up, state=State.READY), {}) == bare
    wrap = book().kinds["wrap_on"].undone(NOW - timedelta(days=60), "Ines")
    assert due(replace(laid_up, state=State.READY, undone=(wrap,)), {}) == ALL  # it is still on
    off = replace(wrap, put_back=PutBack(NOW, "Ole", wrap.proof, "Vera"))
    assert due(replace(laid_up, undone=(off,)), {}) == bare


def test_one_reason_for_all_is_said_once() -> None:
    boat = Boat("Teal", State.LAID_UP, place="Row A", berth=1)
    [stop] = winter_round([boat], PLACES, {}, NOW).stops
    assert stop.alike == "never seen this winter"
    [stop] = winter_round([boat], PLACES, {"Teal": ago(stands_looked_at=15)}, NOW).stops
    assert stop.alike == ""


def test_without_a_berth_she_is_named_not_walked_to() -> None:
    boat = Boat("Teal", State.LAID_UP, place="Trailer line")
    assert where_m(boat, PLACES) is None
    walk = winter_round([boat], PLACES, {}, NOW)
    assert not walk.stops
    assert [(stop.boat.name, stop.where) for stop in walk.nowhere] == [("Teal", "Trailer line")]
    lost = winter_round([replace(boat, place="")], PLACES, {}, NOW)
    assert [stop.where for stop in lost.nowhere] == ["no place on file"]
