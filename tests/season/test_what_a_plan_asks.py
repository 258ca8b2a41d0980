"""What a season says beyond work, water and one lift, as the planner is asked it."""

from dataclasses import replace
from datetime import date, datetime, time
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from yardwright.plan.days import Interval
from yardwright.plan.planner import plan
from yardwright.plan.problem import BoatId, LiftId, PersonId, TaskId
from yardwright.season.faults import faults
from yardwright.season.model import (
    Boat,
    Hold,
    Lift,
    Looks,
    Owner,
    Part,
    Person,
    Promise,
    Season,
    Weekday,
    Work,
)
from yardwright.season.published import as_json, breaks, from_json, published
from yardwright.season.read import read_file
from yardwright.season.spring import not_planned, problem_of

DOCS = Path(__file__).parents[2] / "docs"
ZONE = ZoneInfo("America/New_York")
CURLEW, TEAL = BoatId("Curlew"), BoatId("Teal")
ENGINE = TaskId("Curlew: engine")


@pytest.fixture(scope="module")
def three_days() -> Season:
    return read_file(DOCS / "three-days.toml")


def with_boat(season: Season, name: str, **changes: object) -> Season:
    boats = tuple(
        replace(boat, **changes) if boat.name == name else boat  # type: ignore[arg-type]
        for boat in season.boats
    )
    return replace(season, boats=boats)


def boat_of(season: Season, name: str) -> Boat:
    return next(boat for boat in season.boats if boat.name == name)


def with_work(season: Season, name: str, *work: Work) -> Season:
    return with_boat(season, name, work=(*boat_of(season, name).work, *work))


def because(season: Season) -> dict[str, str]:
    return {one.boat: one.because for one in not_planned(season)}


def at(day: int, clock: str) -> int:
    hour, minute = map(int, clock.split(":"))
    return 1440 * day + 60 * hour + minute


def crane(season: Season, **changes: object) -> Lift:
    made = replace(season.lifts[0], name="Crane", kind="crane", rating_kg=4000.0)
    return replace(made, **changes)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("kg", "within", "named", "goes_by"),
    [
        (3000.0, 0.1, "", "Crane"),  # the smallest that may
        (3800.0, 0.1, "", "Travel lift"),  # up to 4,180 of 4,000 kg
        (3000.0, 0.1, "Travel lift", "Travel lift"),
        (None, None, "Crane", "Crane"),
    ],
)
def test_which_lift_carries_her(
    three_days: Season, kg: float | None, within: float | None, named: str, goes_by: str
) -> None:
    season = replace(three_days, lifts=(*three_days.lifts, crane(three_days, carry_min=15)))
    boats = tuple(replace(boat, weight_kg=2000.0) for boat in season.boats)
    season = with_boat(
        replace(season, boats=boats), "Teal", weight_kg=kg, weight_within=within, lift=named
    )
    assert faults(season) == ()
    teal = problem_of(season).boat[TEAL]
    assert teal.lift == LiftId(goes_by)
    assert teal.carry_min == (15 if goes_by == "Crane" else 0)


def test_no_lift_may_carry_her(three_days: Season) -> None:
    heavy = with_boat(three_days, "Teal", weight_kg=14_000.0, weight_within=0.1)
    assert because(heavy) == {
        "Teal": "she weighs up to 15,400 kg, and no lift here may carry more than 15,000 kg"
    }


def test_the_lift_named_for_her_may_not_carry_her(three_days: Season) -> None:
    # By hand: 3,800 kg and a tenth is 4,180 kg, on a crane for 4,000 kg.
    season = replace(three_days, lifts=(*three_days.lifts, crane(three_days)))
    boats = tuple(replace(boat, weight_kg=2000.0) for boat in season.boats)
    season = replace(season, boats=boats)
    heavy = with_boat(season, "Teal", weight_kg=3800.0, weight_within=0.1, lift="Crane")
    assert because(heavy) == {
        "Teal": "she weighs up to 4,180 kg, and the Crane named for her may carry 4,000 kg; "
        "name another, or weigh her"
    }
    assert TEAL not in {boat.id for boat in problem_of(heavy).going_in}
    assert because(with_boat(heavy, "Teal", weight_within=0.05)) == {}  # 3,990 kg


def test_which_lift_is_not_known_without_her_weight(three_days: Season) -> None:
    unknown = with_boat(three_days, "Teal", weight_kg=None)
    assert "Teal" not in because(unknown)  # one lift: her weight is asked for before she is lifted
    two = replace(unknown, lifts=(*unknown.lifts, crane(unknown)))
    assert because(two)["Teal"].startswith("her weight is not known, nor which lift may carry her")


def test_lifts_that_differ_in_name_alone_work_side_by_side(three_days: Season) -> None:
    twin = replace(three_days.lifts[0], name="Second lift")
    problem = problem_of(replace(three_days, lifts=(*three_days.lifts, twin)))
    (lift,) = problem.lifts
    assert (lift.count, lift.name) == (2, "Travel lift or Second lift")


def test_wind_on_tuesday_morning(three_days: Season) -> None:
    hold = Hold(
        datetime(2031, 5, 6, 5, tzinfo=ZONE), datetime(2031, 5, 6, 9, 30, tzinfo=ZONE), "wind"
    )
    season = replace(three_days, lifts=(replace(three_days.lifts[0], holds=(hold,)),))
    opens = problem_of(season).lifts[0].opens
    assert opens == (
        (at(0, "06:00"), at(0, "16:00")),
        (at(1, "09:30"), at(1, "16:00")),
        (at(2, "06:00"), at(2, "16:00")),
    )


def test_overtime_and_who_learns(three_days: Season) -> None:
    nils = Person(
        "Nils",
        ("yard hand",),
        ((time(7), time(12)),),
        overtime=((time(11), time(14)),),
        learns=("mechanic",),
        may_watch=0,
    )
    season = replace(three_days, people=(*three_days.people, nils))
    (fault,) = faults(season)
    assert fault.says.startswith("11:00:00 begins before 12:00:00 is over")
    nils = replace(nils, overtime=((time(12), time(14)),))
    person = problem_of(replace(season, people=(*three_days.people, nils))).person[PersonId("Nils")]
    assert person.learns == {"mechanic"}
    assert person.overtime[0] == (at(0, "12:00"), at(0, "14:00"))
    assert (person.may_watch, person.on.long.worked[-1]) == (0, 3 * 7 * 60)


def test_paint_second_looks_and_work_afloat(three_days: Season) -> None:
    season = with_work(
        three_days,
        "Teal",
        Work("paint", "yard hand", 60, ("hull",), dry_hours=12.5, within_days=30, second_look=True),
        Work("hose run", "mechanic", 40, ("engine",), afloat=True),
    )
    assert "second look, paint is for another yard hand" in because(season)["Teal"]
    bea = replace(three_days.people[-1], name="Bea", trades=("yard hand",))
    season = replace(season, people=(*season.people, bea))
    assert because(season) == {}
    problem = problem_of(season)
    paint, look = (
        problem.task[TaskId("Teal: paint")],
        problem.task[TaskId("Teal: second look, paint")],
    )
    assert (paint.dry_min, paint.within_min) == (750, 30 * 1440)
    assert (look.trade, look.after, look.not_by) == ("yard hand", (paint.id,), (paint.id,))
    assert [task.text for task in problem.afloat(TEAL)] == ["hose run"]


def test_what_waits_for_the_frost(three_days: Season) -> None:
    season = with_work(three_days, "Teal", Work("fill her tank", "yard hand", 30, after_frost=True))
    assert "nobody has said when the last frost is" in because(season)["Teal"]
    season = replace(season, yard=replace(season.yard, last_frost=date(2031, 5, 6)))
    tank = problem_of(season).task[TaskId("Teal: fill her tank")]
    assert (tank.not_before, tank.waits_for) == (at(1, "00:00"), "last frost")
    # Of a kit on Wednesday and the frost on Tuesday, the later is what it waits for.
    kit = replace(tank_work(season), part="kit")
    late = replace(season, parts=(Part("kit", datetime(2031, 5, 7, 9, tzinfo=ZONE)),))
    late = with_boat(late, "Teal", work=(*boat_of(three_days, "Teal").work, kit))
    tank = problem_of(late).task[TaskId("Teal: fill her tank")]
    assert (tank.not_before, tank.waits_for) == (at(2, "09:00"), "kit")


def tank_work(season: Season) -> Work:
    return boat_of(season, "Teal").work[-1]


def test_a_price_that_nobody_agreed_to(three_days: Season) -> None:
    season = with_work(three_days, "Teal", Work("new prop", "mechanic", 30, needs_yes=True))
    assert because(season) == {
        "Teal": "her owner has not agreed to the price of this yet: new prop; ask"
    }


def test_an_owner_s_own_work(three_days: Season) -> None:
    paint = Work("paint", "owner", 60)
    season = with_work(three_days, "Teal", paint)
    assert faults(season) == ()
    assert because(season)["Teal"] == "nobody knows when her owner can come for this: paint; ask"
    owner = Owner("A. Reeve", hours=((time(9), time(12)),), weekdays=(Weekday.TUE,))
    problem = problem_of(with_boat(season, "Teal", owner=owner))
    reeve = problem.person[PersonId("A. Reeve (owner)")]
    assert reeve.works == ((at(1, "09:00"), at(1, "12:00")),)
    assert reeve.may_do(problem.task[TaskId("Teal: paint")])
    assert not any(p.may_do(problem.task[TaskId("Teal: paint")]) for p in problem.people[:-1])
    assert not any(reeve.may_do(task) for task in problem.jobs[CURLEW])


def test_insured_paid_and_how_many_work_on_her(three_days: Season) -> None:
    season = with_boat(
        replace(three_days, yard=replace(three_days.yard, hands=2)),
        "Teal",
        insured_from=date(2031, 5, 6),
        paid_from=date(2031, 5, 7),
        promise=Promise(ink=date(2031, 5, 6)),
    )
    problem = problem_of(with_boat(season, "Curlew", hands=1))
    teal = problem.boat[TEAL]
    assert min(start for start, _ in teal.water) >= at(1, "00:00")
    assert teal.free_from == at(2, "00:00")
    assert (teal.hands, problem.boat[CURLEW].hands) == (2, 1)
    late = with_boat(three_days, "Avocet", insured_from=date(2031, 5, 8))
    assert because(late)["Avocet"].endswith("after the day she is insured from")


def test_looks_after_boats_new_in_the_water(three_days: Season) -> None:
    looks = Looks(120, 2, ((time(6), time(14)),), (Weekday.TUE, Weekday.WED))
    problem = problem_of(replace(three_days, looks=looks))
    assert problem.looks is not None
    spans: tuple[Interval, ...] = (
        (at(1, "06:00"), at(1, "14:00")),
        (at(2, "06:00"), at(2, "14:00")),
    )
    assert (problem.looks.at_once, problem.looks.opens) == (2, spans)
    assert problem.boat[TEAL].looks_min == 120


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        ({"work": (Work("x", "yard hand", 5, dry_hours=24, within_days=1),)}, "more than it dries"),
        ({"work": (Work("x", "yard hand", 5, afloat=True, dry_hours=2),)}, "do one of the two"),
        (
            {"work": (Work("x", "yard hand", 5, afloat=True), Work("y", "yard hand", 5, ("x",)))},
            "x is done afloat, so this is too",
        ),
        ({"hands": 0}, "0 jobs at once; give 1 to 20"),
        ({"lift": "Crain"}, "no lift 'Crain'"),
        ({"owner": Owner("A", hours=((time(9), time(8)),))}, "goes backwards"),
    ],
)
def test_what_can_t_be_so_about_her(
    three_days: Season, wrong: dict[str, object], says: str
) -> None:
    found = faults(with_boat(three_days, "Teal", **wrong))
    assert any(says in fault.says for fault in found), found


def test_what_can_t_be_so_about_the_yard(three_days: Season) -> None:
    noon = datetime(2031, 5, 6, 12, tzinfo=ZONE)
    lift = replace(three_days.lifts[0], carry_min=-1, holds=(Hold(noon, noon),))
    ines = replace(three_days.people[0], learns=("mechanic",), may_watch=21)
    looks = Looks(0, 0, ((time(9), time(8)),))
    season = replace(
        three_days,
        yard=replace(three_days.yard, hands=0),
        lifts=(lift,),
        people=(ines, *three_days.people[1:]),
        looks=looks,
    )
    paths = {".".join(str(step) for step in fault.path) for fault in faults(season)}
    assert paths == {
        "yard.hands", "lifts.0.carry_min", "lifts.0.holds.0", "people.0.learns",
        "people.0.may_watch", "looks.minutes", "looks.at_once", "looks.hours.0",
    }  # fmt: skip


def test_a_published_plan_keeps_its_lift_and_when_she_is_fetched(three_days: Season) -> None:
    season = replace(three_days, lifts=(replace(three_days.lifts[0], carry_min=20),))
    problem = problem_of(season)
    one = published(season, problem, plan(problem, time_limit_s=5))
    again = from_json(as_json(one))
    assert again == one
    plover = again.launch("Plover")
    assert plover is not None
    assert plover.lift == "Travel lift"
    assert plover.fetched is not None
    assert (plover.starts - plover.fetched).total_seconds() == 20 * 60
    assert breaks(season, again, datetime(2031, 5, 5, tzinfo=ZONE)) == []
