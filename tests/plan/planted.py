"""Faults to plant in good plans, each with the rule that must refuse it. Needs no solver."""

from collections.abc import Callable
from dataclasses import replace
from functools import cache
from random import Random

from tests.plan.yards import BEA, INES, NILS, OLE, in_turn, whole
from yardwright.plan import checker
from yardwright.plan.problem import Boat, BoatId, PersonId, Plan, Problem, TaskId

Plant = Callable[[Plan, Problem, Random], Plan]
WHOLE = "the plan is whole"


@cache
def good_plan(seed: int) -> tuple[Problem, Plan]:
    """A yard, and a plan of it that the checker accepts."""
    problem = whole(seed)
    good = in_turn(problem)
    assert checker.broken(good, problem) == []
    return problem, good


def refused(name: str, seed: int) -> list[str]:
    """Plant a fault in the good plan of a yard; what its rule says, and nothing said without it."""
    (problem, good), dice = good_plan(seed), Random(seed)  # noqa: S311 - no secret
    rule, plant = PLANTED[name]
    bad = plant(good, problem, dice)
    said = checker.broken(bad, problem)
    if rule == WHOLE:
        return said
    of_rule = next(one for one in checker.RULES if one.__name__ == rule)
    own = list(of_rule(bad, problem))
    assert set(own) <= set(said)
    return own


def job(plan: Plan, key: str, **change: object) -> Plan:
    new = replace(plan.jobs[TaskId(key)], **change)  # type: ignore[arg-type]
    return replace(plan, jobs={**plan.jobs, TaskId(key): new})


def launch(plan: Plan, **when: int) -> Plan:
    return replace(plan, launches={**plan.launches, **{BoatId(k): v for k, v in when.items()}})


def aside(plan: Plan, key: str, start: int) -> Plan:
    return replace(plan, asides={**plan.asides, BoatId(key): start})


def some(problem: Problem, dice: Random) -> Boat:
    return dice.choice(problem.boats)


def wrong_trade(plan: Plan, problem: Problem, dice: Random) -> Plan:
    return job(plan, f"{some(problem, dice).id} paint", person=dice.choice((INES, OLE, NILS)))


def nobody_watches(plan: Plan, problem: Problem, dice: Random) -> Plan:
    return job(plan, f"{some(problem, dice).id} engine", watcher=None)


def who_watches_lacks_the_trade(plan: Plan, problem: Problem, dice: Random) -> Plan:
    return job(plan, f"{some(problem, dice).id} engine", watcher=dice.choice((BEA, NILS)))


def who_watches_is_at_work(plan: Plan, problem: Problem, dice: Random) -> Plan:
    key = some(problem, dice).id
    engine = plan.jobs[TaskId(f"{key} engine")]
    start = engine.end - dice.randint(1, engine.end - engine.start)
    return job(plan, f"{key} second look", person=INES, start=start)


def who_watches_is_off(plan: Plan, problem: Problem, dice: Random) -> Plan:
    """Ole is off on Fridays."""
    start = dice.randint(0, 4) * 7 * 1440 + 4 * 1440 + dice.randint(420, 700)
    return job(plan, f"{some(problem, dice).id} engine", watcher=OLE, start=start, end=start + 60)


def watches_too_many(plan: Plan, problem: Problem, dice: Random) -> Plan:
    one, other = dice.sample(problem.boats, 2)
    engine = plan.jobs[TaskId(f"{one.id} engine")]
    return job(plan, f"{other.id} engine", start=engine.start, end=engine.end)


def too_short(plan: Plan, problem: Problem, dice: Random) -> Plan:
    key = TaskId(f"{some(problem, dice).id} {dice.choice(('hull', 'paint', 'engine'))}")
    return job(plan, key, end=plan.jobs[key].end - dice.randint(1, 30))


def ends_at_night(plan: Plan, problem: Problem, dice: Random) -> Plan:
    key = TaskId(f"{some(problem, dice).id} hull")
    clock = problem.person[BEA].on.plain
    day = dice.randint(30, 31)
    end = day * 1440 + 930
    start = clock.minute_of(clock.worked_by(end) - problem.task[key].minutes)
    return job(plan, key, start=start, end=end + dice.randint(1, 300))


def overtime_not_said(plan: Plan, problem: Problem, dice: Random) -> Plan:
    key = TaskId(f"{some(problem, dice).id} engine")
    start = dice.randint(10, 11) * 1440 + 15 * 60
    end = start + min(problem.task[key].minutes, 180)
    return job(plan, key, start=start, end=end, overtime=False)


def on_a_day_off(plan: Plan, problem: Problem, dice: Random) -> Plan:
    """Bea does not work on Saturdays."""
    key = TaskId(f"{some(problem, dice).id} hull")
    start = dice.randint(0, 7) * 7 * 1440 + 5 * 1440 + 8 * 60
    return job(plan, key, start=start, end=start + problem.task[key].minutes)


def one_person_twice(plan: Plan, problem: Problem, dice: Random) -> Plan:
    one, other = (f"{boat.id} hull" for boat in dice.sample(problem.boats, 2))
    first = plan.jobs[TaskId(one)]
    return job(plan, other, start=first.end - dice.randint(1, 30), end=first.end + 100)


def two_on_one_boat(plan: Plan, problem: Problem, dice: Random) -> Plan:
    key = some(problem, dice).id
    first = plan.jobs[TaskId(f"{key} hull")]
    return job(plan, f"{key} mast", start=first.end - 1, end=first.end + 100)


def before_the_part(plan: Plan, problem: Problem, dice: Random) -> Plan:
    key = TaskId(f"{some(problem, dice).id} engine")
    return job(plan, key, start=problem.task[key].not_before - dice.randint(1, 600))


def out_of_order(plan: Plan, problem: Problem, dice: Random) -> Plan:
    key = some(problem, dice).id
    hull = plan.jobs[TaskId(f"{key} hull")]
    return job(plan, f"{key} paint", start=hull.end - dice.randint(1, 60))


def own_second_look(plan: Plan, problem: Problem, dice: Random) -> Plan:
    return job(plan, f"{some(problem, dice).id} second look", person=NILS)


def in_before_the_work(plan: Plan, problem: Problem, dice: Random) -> Plan:
    boat = some(problem, dice)
    done = max(plan.jobs[task.id].end for task in problem.ashore(boat.id))
    return launch(plan, **{boat.id: done + boat.carry_min - dice.randint(1, boat.carry_min)})


def wet_paint(plan: Plan, problem: Problem, dice: Random) -> Plan:
    boat = some(problem, dice)
    key = TaskId(f"{boat.id} paint")
    dry = plan.jobs[key].end + problem.task[key].dry_min
    return launch(plan, **{boat.id: dry - dice.randint(1, 300)})


def old_paint(plan: Plan, problem: Problem, dice: Random) -> Plan:
    boat = some(problem, dice)
    key = TaskId(f"{boat.id} paint")
    last = plan.jobs[key].end + (problem.task[key].within_min or 0)
    return launch(plan, **{boat.id: last + dice.randint(1, 300)})


def water_leaves(plan: Plan, problem: Problem, dice: Random) -> Plan:
    boat = some(problem, dice)
    water = dice.choice(boat.water)
    return launch(plan, **{boat.id: water[1] - boat.launch_min + dice.randint(1, 30)})


def before_her_water(plan: Plan, problem: Problem, dice: Random) -> Plan:
    boat = some(problem, dice)
    return launch(plan, **{boat.id: dice.choice(boat.water)[0] - dice.randint(1, 300)})


def lift_is_shut(plan: Plan, problem: Problem, dice: Random) -> Plan:
    """Open when she meets the water, and not yet when she is fetched."""
    boat = some(problem, dice)
    opens = dice.choice(problem.lift[boat.lift].opens)[0]
    return launch(plan, **{boat.id: opens + dice.randint(0, boat.carry_min - 1)})


def aside_while_the_lift_is_shut(plan: Plan, problem: Problem, dice: Random) -> Plan:
    key = dice.choice(list(plan.asides))
    opens = dice.choice(problem.lift[problem.boat[key].lift].opens)[0]
    return aside(plan, key, opens - dice.randint(1, 19))


def on_soft_ground(plan: Plan, problem: Problem, dice: Random) -> Plan:
    """Fetched before the ground bears it, or moved aside before."""
    if dice.random() < 0.5:
        key = dice.choice(list(plan.asides))
        return aside(plan, key, problem.boat[key].ground_from - dice.randint(1, 300))
    boat = some(problem, dice)
    fetched = boat.ground_from - dice.randint(1, 300)
    return launch(plan, **{boat.id: fetched + boat.carry_min})


def too_many_on_lifts(plan: Plan, problem: Problem, dice: Random) -> Plan:
    kind = dice.choice(problem.lifts)
    boats = [boat for boat in problem.boats if boat.lift == kind.id][: kind.count + 1]
    at = plan.launches[boats[0].id]
    return launch(plan, **{boat.id: at + dice.randint(0, 9) for boat in boats})


def leaves_from_behind(plan: Plan, problem: Problem, dice: Random) -> Plan:
    row = problem.rows[0]
    front = plan.launches[row[1]]
    return launch(plan, **{row[2]: front - dice.randint(0, 5000)})


def not_moved_aside(plan: Plan, problem: Problem, dice: Random) -> Plan:
    stays = dice.choice(list(plan.asides))
    return replace(plan, asides={key: at for key, at in plan.asides.items() if key != stays})


def aside_too_late(plan: Plan, problem: Problem, dice: Random) -> Plan:
    key = dice.choice(list(plan.asides))
    boat = problem.boat[key]
    fetched = plan.launches[key] - boat.carry_min
    return aside(plan, key, fetched - (boat.aside_min or 0) + dice.randint(1, 300))


def aside_with_somebody_aboard(plan: Plan, problem: Problem, dice: Random) -> Plan:
    key = dice.choice(list(plan.asides))
    work = plan.jobs[TaskId(f"{key} {dice.choice(('hull', 'engine', 'mast'))}")]
    return aside(plan, key, work.start - dice.randint(0, (problem.boat[key].aside_min or 0) - 1))


def too_many_to_look_after(plan: Plan, problem: Problem, dice: Random) -> Plan:
    at = plan.launches[problem.boats[0].id]
    boats = dice.sample(problem.boats, 3)
    return launch(plan, **{boat.id: at - boat.launch_min + dice.randint(0, 50) for boat in boats})


def nobody_to_look_after_her(plan: Plan, problem: Problem, dice: Random) -> Plan:
    boat = some(problem, dice)
    assert problem.looks is not None
    ends = dice.choice(problem.looks.opens)[1]
    late = dice.randint(1, 100)
    return launch(plan, **{boat.id: ends - boat.launch_min - boat.looks_min + late})


def afloat_too_soon(plan: Plan, problem: Problem, dice: Random) -> Plan:
    boat = some(problem, dice)
    floats = plan.launches[boat.id] + boat.launch_min
    return job(plan, f"{boat.id} hose run afloat", start=floats - dice.randint(1, 600))


def a_job_is_left_out(plan: Plan, problem: Problem, dice: Random) -> Plan:
    left_out = dice.choice(problem.tasks).id
    return replace(plan, jobs={key: job for key, job in plan.jobs.items() if key != left_out})


def a_boat_is_left_out(plan: Plan, problem: Problem, dice: Random) -> Plan:
    left_out = some(problem, dice).id
    launches = {key: at for key, at in plan.launches.items() if key != left_out}
    return replace(plan, launches=launches)


def nobody_of_that_name(plan: Plan, problem: Problem, dice: Random) -> Plan:
    who = dice.choice(("person", "watcher"))
    return job(plan, f"{some(problem, dice).id} engine", **{who: PersonId("nobody")})


def strangers_moved(plan: Plan, problem: Problem, dice: Random) -> Plan:
    return aside(plan, "heron", dice.randint(0, 1440))


PLANTED: dict[str, tuple[str, Plant]] = {
    "wrong trade": ("right_trade", wrong_trade),
    "a learner alone": ("watched", nobody_watches),
    "watched by one who is no mechanic": ("watched", who_watches_lacks_the_trade),
    "watched by one who works": ("watched", who_watches_is_at_work),
    "watched by one who is off": ("watched", who_watches_is_off),
    "two watched by one who can watch one": ("watched", watches_too_many),
    "too short": ("working_hours", too_short),
    "ends at night": ("working_hours", ends_at_night),
    "on a day off": ("working_hours", on_a_day_off),
    "overtime that is not said": ("working_hours", overtime_not_said),
    "one person twice": ("one_job_a_person", one_person_twice),
    "two on one boat": ("jobs_at_once", two_on_one_boat),
    "before the part": ("part_first", before_the_part),
    "out of order": ("in_order", out_of_order),
    "one's own second look": ("by_another", own_second_look),
    "in before the work is done": ("work_before_water", in_before_the_work),
    "wet paint": ("paint_dry", wet_paint),
    "old paint": ("not_too_long_dry", old_paint),
    "before her water": ("water_holds", before_her_water),
    "water leaves": ("water_holds", water_leaves),
    "lift shut when she is fetched": ("lift_open", lift_is_shut),
    "moved aside with the lift shut": ("lift_open", aside_while_the_lift_is_shut),
    "on soft ground": ("ground_bears", on_soft_ground),
    "too many on lifts": ("lifts_enough", too_many_on_lifts),
    "leaves from behind": ("front_leaves_first", leaves_from_behind),
    "not moved aside": ("front_leaves_first", not_moved_aside),
    "moved aside too late": ("aside_before_launch", aside_too_late),
    "moved aside with somebody aboard": ("nobody_on_her", aside_with_somebody_aboard),
    "too many to look after": ("looks_places", too_many_to_look_after),
    "nobody to look after her": ("looks_hours", nobody_to_look_after_her),
    "afloat too soon": ("work_afloat", afloat_too_soon),
    "a job left out": (WHOLE, a_job_is_left_out),
    "a boat left out": (WHOLE, a_boat_is_left_out),
    "nobody of that name": (WHOLE, nobody_of_that_name),
    "a stranger moved aside": (WHOLE, strangers_moved),
}
