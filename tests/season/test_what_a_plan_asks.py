"""What a season says beyond work, water and one lift, as the planner is asked it."""

from dataclasses import replace
from datetime import date, datetime, time
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from yardwright.plan.days import Interval
from yardwright.plan.planner import plan
from yardwright.plan.problem import BoatId, LiftId, PersonId, TaskId
from yardwright.procedures.step import Has
from yardwright.season.faults import faults
from yardwright.season.going_in import lifting
from yardwright.season.holds import breaks
from yardwright.season.lifts import Lifts
from yardwright.season.model import (
    Boat,
    Hold,
    Lift,
    LiftMinutes,
    Looks,
    Owner,
    Part,
    Person,
    Promise,
    Season,
    Weekday,
    Work,
)
from yardwright.season.published import as_json, from_json, published
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


def two_lifts(season: Season, **of_teal: object) -> Season:
    """A travel lift 3.5 m between its legs and a crane for 4 t that reaches over any."""
    travel = replace(season.lifts[0], beam_m=3.5, draft_m=1.8)
    boats = tuple(replace(boat, weight_kg=2000.0, beam_m=2.5) for boat in season.boats)
    season = replace(season, lifts=(travel, crane(season, aside_min=None)), boats=boats)
    return with_boat(season, "Teal", **{"weight_kg": 5000.0, "weight_within": 0.1} | of_teal)


@pytest.mark.parametrize(
    ("teal", "goes_by"),
    [
        ({"beam_m": 3.5}, "Travel lift"),  # to the centimetre
        ({"beam_m": 3.51, "weight_kg": 3600.0}, "Crane"),  # 3,960 kg with a tenth
        ({"beam_m": None, "weight_kg": 3600.0}, "Crane"),  # it has no limit to her beam
        ({"beam_m": None}, "Travel lift"),  # 5,500 kg: no other may; she is measured first
        ({"beam_m": 3.2, "weight_kg": None, "lift": "Travel lift"}, "Travel lift"),
    ],
)
def test_a_lift_takes_her_weight_and_her_beam(
    three_days: Season, teal: dict[str, object], goes_by: str
) -> None:
    problem = problem_of(two_lifts(three_days, **teal))
    assert TEAL in {boat.id for boat in problem.going_in}
    assert problem.boat[TEAL].lift == LiftId(goes_by)


@pytest.mark.parametrize(
    ("teal", "says"),
    [
        # 5,000 kg and a tenth is 5,500 kg, more than the crane's 4,000; 3.6 m of beam is more
        # than the 3.5 m between the legs of the other.
        (
            {"beam_m": 3.6},
            "no lift here takes her: her beam is 3.6 m, and the Travel lift takes 3.5 m; she weighs "
            "up to 5,500 kg, and the Crane may carry 4,000 kg",
        ),
        (
            {"beam_m": 3.6, "lift": "Travel lift"},
            "her beam is 3.6 m, and the Travel lift named for her takes 3.5 m; name another, or "
            "measure her",
        ),
        (
            {"weight_kg": 3000.0, "draft_m": 1.9, "lift": "Travel lift"},
            "she draws 1.9 m, and the Travel lift named for her takes 1.8 m; name another, or "
            "measure her",
        ),
        (
            {"weight_kg": None, "beam_m": None},
            "her weight and her beam are not known, nor which lift may carry her; measure her, or "
            "name it",
        ),
    ],
)
def test_no_lift_takes_her_or_nobody_knows(
    three_days: Season, teal: dict[str, object], says: str
) -> None:
    assert because(two_lifts(three_days, **teal))["Teal"] == says


def test_all_lifts_are_too_narrow(three_days: Season) -> None:
    narrow = [replace(three_days.lifts[0], name=f"Lift {m}", beam_m=m) for m in (3.0, 3.4)]
    wide = with_boat(replace(three_days, lifts=tuple(narrow)), "Teal", beam_m=3.6, weight_kg=2e3)
    assert because(wide)["Teal"] == "her beam is 3.6 m, and no lift here takes more than 3.4 m"


def test_what_is_to_be_measured_is_told_with_the_plan(three_days: Season) -> None:
    slung = {"weight_within": 0.1, "centre_m": 2.3, "centre_within_m": 0.2, "slings_m": (1.0, 4.4)}
    season = two_lifts(three_days, beam_m=None, **slung)
    season = with_boat(season, "Dunlin", **slung)
    season = with_boat(season, "Avocet", **slung | {"slings_m": None})
    problem = problem_of(season)
    found = published(season, problem, plan(problem, time_limit_s=5))
    assert found.told["Teal"].measure == (
        "Not known of Teal: her beam. Measure her before the Travel lift fetches her."
    )
    assert found.told["Dunlin"].measure == (
        "Not known: her slings' angle. Measure it before the Crane lifts her."
    )
    assert found.told["Avocet"].measure.startswith("Not known of Avocet: what each sling ")
    assert found.not_known == (
        "No limit on file: how wide and deep a boat the Crane takes. Measure it, and write it "
        "down.",
    )
    assert from_json(as_json(found)) == found


@pytest.mark.parametrize(
    ("sling_kg", "goes_by"),
    [(3_400.0, "Crane"), (3_300.0, "Travel lift")],
)
def test_a_lift_takes_her_by_its_slings(three_days: Season, sling_kg: float, goes_by: str) -> None:
    # By hand, moments about the aft sling at 1 m: 5,000 kg at 2 m, slings 3 m apart, put 5,000 / 3
    # = 1,667 kg forward and 3,333 kg aft, more than the one crane's sling holds and not the other's.
    season = two_lifts(three_days, beam_m=2.5, weight_within=0.0)
    lifts = (season.lifts[0], replace(season.lifts[1], rating_kg=6_000.0, sling_rating_kg=sling_kg))
    season = replace(season, lifts=lifts)
    teal = {"centre_m": 2.0, "centre_within_m": 0.0, "slings_m": (1.0, 4.0)}
    assert problem_of(with_boat(season, "Teal", **teal)).boat[TEAL].lift == LiftId(goes_by)
    # Nobody knows where they go: that holds no plan up, and is asked for before she is lifted.
    unknown = with_boat(season, "Teal", **teal | {"slings_m": None})
    assert problem_of(unknown).boat[TEAL].lift == LiftId("Crane")
    assert "what each sling carries of her" in Lifts(season.lifts).asks(boat_of(unknown, "Teal"))


def test_the_angle_of_a_crane_s_slings_is_asked_for(three_days: Season) -> None:
    season = two_lifts(three_days, beam_m=2.5, draft_m=1.2, weight_within=0.0)
    teal = {"centre_m": 2.0, "centre_within_m": 0.0, "slings_m": (1.0, 4.0)}
    known = boat_of(with_boat(season, "Teal", **teal), "Teal")
    crane = replace(season.lifts[1], rating_kg=6_000.0)
    says = "Not known: her slings' angle. Measure it before the Crane lifts her."
    assert Lifts((crane,)).asks(known) == says
    assert Lifts((season.lifts[0],)).asks(known) == ""  # a travel lift's is known
    unknown = Lifts((crane,)).asks(replace(known, slings_m=None))
    assert unknown.startswith("Not known of Teal: what each sling carries of her. Measure her")
    assert unknown.endswith(says)


@pytest.mark.parametrize(
    ("has", "carry", "launch"),
    [
        ({Has.OUTBOARD}, 0, 30),  # as usual here
        ({Has.MAST}, 25, 40),
        ({Has.MAST, Has.INBOARD_DIESEL}, 25, 50),  # of both kinds: the longest of each
        (set(), 25, 50),  # nobody wrote what she has
    ],
)
def test_a_lift_s_minutes_go_by_the_kind_of_boat(
    three_days: Season, has: set[Has], carry: int, launch: int
) -> None:
    kinds = (LiftMinutes(Has.MAST, 40, 25), LiftMinutes(Has.INBOARD_DIESEL, 50, 10))
    lifts = tuple(replace(lift, by_kind=kinds) for lift in three_days.lifts)
    season = with_boat(replace(three_days, lifts=lifts), "Teal", has=frozenset(has), work=())
    assert faults(season) == ()
    boat = problem_of(season).boat[TEAL]
    assert (boat.carry_min, boat.launch_min) == (carry, launch)


def test_with_her_kind_s_minutes_her_water_is_too_short(three_days: Season) -> None:
    kinds = (LiftMinutes(Has.MAST, 1_000),)
    lifts = tuple(replace(lift, by_kind=kinds) for lift in three_days.lifts)
    season = with_boat(replace(three_days, lifts=lifts), "Teal", has=frozenset({Has.MAST}))
    assert "of draft for 1000 minutes" in because(season)["Teal"]


def test_no_lift_has_slings_for_her(three_days: Season) -> None:
    """At 80° a sling holds 3,000 kg * sin 80° = 2,954 kg of her."""
    lift = replace(three_days.lifts[0], sling_rating_kg=3_000.0)
    teal = {"weight_kg": 5_000.0, "weight_within": 0.0, "centre_m": 2.0, "centre_within_m": 0.0}
    season = with_boat(replace(three_days, lifts=(lift,)), "Teal", **teal, slings_m=(1.0, 4.0))
    assert because(season)["Teal"] == (
        "one of her slings carries up to 3,333 kg of her, and no lift here may put on one more "
        "than 2,954 kg"
    )


def test_the_lift_itself_refuses_her(three_days: Season) -> None:
    """At the slings, whatever the plan said."""
    travel = two_lifts(three_days).lifts[0]
    teal = replace(
        boat_of(three_days, "Teal"),
        weight_kg=2200.0,
        weight_within=0.1,
        centre_m=2.3,
        centre_within_m=0.2,
        slings_m=(1.0, 4.4),
    )
    assert lifting(replace(teal, beam_m=3.5), travel).refusals == ()
    assert lifting(replace(teal, beam_m=3.6), travel).refusals == (
        "Her beam is 3.6 m, and the Travel lift takes 3.5 m.",
    )
    assert lifting(replace(teal, beam_m=None), travel).refusals == (
        "Not known: her beam. Measure and write it down.",
    )
    assert lifting(replace(teal, beam_m=3.5), travel, None, ("Soft.",)).refusals == ("Soft.",)


def on_ground(season: Season, **ground: object) -> Season:
    """Its one lift goes on firm ground alone."""
    lifts = (replace(season.lifts[0], firm_ground=True),)
    places = tuple(replace(place, **ground) for place in season.places)  # type: ignore[arg-type]
    return replace(season, lifts=lifts, places=places)


def test_a_lift_that_goes_on_firm_ground_alone(three_days: Season) -> None:
    asks = "the Travel lift goes on firm ground alone, and nobody"
    stands = {boat.name: boat.place for boat in three_days.boats}
    assert because(on_ground(three_days)) == {
        name: f"{asks} has said whether {place} goes soft; look, and write it"
        if place
        else f"{asks} wrote where she stands; write it"
        for name, place in stands.items()
    }
    hard = because(on_ground(three_days, soft=False))
    assert set(hard) == {name for name, place in stands.items() if not place}
    for last_year in (None, date(2030, 4, 20)):
        soft = because(on_ground(three_days, soft=True, firm_from=last_year))
        assert "from which day of this season North row bears it" in soft["Curlew"]


def test_on_soft_ground_nobody_is_fetched_before_its_day(three_days: Season) -> None:
    # The season's first day is Monday 5 May; Tuesday begins 1,440 minutes after it.
    season = on_ground(three_days, soft=True, firm_from=date(2031, 5, 6))
    assert faults(season) == ()
    problem = problem_of(season)
    stand = [boat for boat in problem.boats if boat_of(season, boat.name).place]
    assert {boat.ground_from for boat in stand} == {1440}
    found = plan(problem, time_limit_s=5).plan
    assert found is not None
    assert set(found.launches) == {boat.id for boat in stand}
    assert min([*found.launches.values(), *found.asides.values()]) >= 1440
    late = because(on_ground(three_days, soft=True, firm_from=date(2031, 5, 20)))
    assert "and the ground firm, which it is from" in late["Curlew"]


def test_soft_ground_is_said_as_it_is() -> None:
    path = ("places", 0, "firm_from")
    season = read_file(DOCS / "three-days.toml")
    hard = replace(season.places[0], soft=False, firm_from=date(2031, 5, 6))
    found = faults(replace(season, places=(hard, *season.places[1:])))
    assert [fault.path for fault in found] == [path]


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
    assert because(season)["Teal"] == (
        "nobody has said when the last frost is, and this waits for it: fill her tank; "
        "write the yard's last frost"
    )
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
