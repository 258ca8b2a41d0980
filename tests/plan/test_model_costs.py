"""What the solver makes small after a surprise is what a change costs."""

from dataclasses import replace

from tests.plan.test_rules import EVENING, A, B, boat, job, person, yard
from tests.plan.yards import at, story_a1
from yardwright.plan import checker, solver
from yardwright.plan.change import changed
from yardwright.plan.model_costs import Published
from yardwright.plan.parts import Part, whole
from yardwright.plan.problem import Job, PersonId, Plan


def test_work_is_handed_on_rather_than_a_pencil_lost() -> None:
    """The solver weighs a change as ``Change`` does: handed on comes after Pencil."""
    mechanic = replace(person("mechanic", 0, 1), trades=frozenset({"mechanic", "rigger"}))
    una = replace(person("mechanic", 0, 1), id=PersonId("una"), name="Una")
    boats = [replace(boat(key, None, water=EVENING), pencil=0) for key in (A, B)]
    x, y = job("x", A), job("y", B, "rigger")
    asked = yard(boats, [x, y], [mechanic, una])
    was, later = (Job(mechanic.id, at(day, "07:00"), at(day, "12:00")) for day in (0, 1))
    told = Plan({x.id: was}, {A: at(0, "12:00")}, {})
    known = Plan({x.id: was, y.id: later}, {A: at(0, "12:00"), B: at(1, "12:00")}, {})
    assert not checker.broken(known, asked)
    part = Part(frozenset({x.id, y.id}), frozenset({B}))
    found = solver.improve(
        asked, known, part, solver.Limits(10, 1), published=Published(told, {}), reach_days=(3, 3)
    )
    assert found.plan is not None
    assert changed(asked, told, known)[:4] == (0, 4, 1, 0)
    assert changed(asked, told, found.plan)[:4] == (0, 4, 0, 1)


def test_a_move_aside_goes_back_to_its_published_minute() -> None:
    asked = story_a1()
    told = solver.solve(asked, time_limit_s=10, workers=1).plan
    assert told is not None
    ((key, at_minute),) = told.asides.items()
    known = replace(told, asides={key: at_minute - 1})
    assert not checker.broken(known, asked)
    assert changed(asked, told, known).moves == 1
    found = solver.improve(
        asked, known, whole(asked), solver.Limits(20, 1), published=Published(told, {})
    )
    assert found.plan is not None
    assert found.plan.asides == told.asides
