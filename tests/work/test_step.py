"""A boat's steps: in fall they open put-backs, in spring they prove them back."""

from collections.abc import Callable

from django.test import Client

from tests.conftest import entry
from tests.work.conftest import HTMX, Crew, asks_for_log_in, refuses_method, typed, words
from yardwright.fleet import queries as fleet
from yardwright.fleet.models import Boat
from yardwright.procedures.going_in import State
from yardwright.procedures.steps import book
from yardwright.work import facts, put_backs, queries, services
from yardwright.work.models import Fact, Kind
from yardwright.yard.models import Person

Use = Callable[[Person], Client]
STEPS = "/boats/TEA/steps/"
PLUG_OUT = next(step for step in book().steps if "stern_plug" in step.opens)
PLUG_IN = next(step for step in book().steps if "stern_plug" in step.proves)
PLUG = book().kinds["stern_plug"].what


def at(code: str) -> str:
    return f"{STEPS}{code}/"


def opened() -> list[Fact]:
    return list(Fact.objects.filter(kind=Kind.UNDONE, what=PLUG))


def test_the_next_one_first_and_what_is_missing_said(ines: Client, teal: Boat) -> None:
    page = words(ines.get(STEPS))
    assert "0 of" in page
    assert page.index("<h2>Spring") < page.index("<h2>Fall")
    Boat.objects.filter(pk=teal.pk).update(has=["sterndrive"])
    assert "Has her raw-water pump a rubber impeller?" in words(ines.get(STEPS))


def test_what_comes_first_are_her_own_steps(ines: Client, teal: Boat) -> None:
    Boat.objects.filter(pk=teal.pk).update(has=["outboard", "four stroke"])
    page = words(ines.get(at("looks_afloat")))
    titles = {step.code: step.title for step in book().steps}
    assert titles["outboard_tried_afloat"] in page
    assert titles["diesel_tried_afloat"] not in page


def test_coming_out_fall_stands_first(ines: Client, crew: Crew, teal: Boat) -> None:
    facts.add_moved(entry(crew.ines), teal, State.COMING_OUT)
    page = words(ines.get(STEPS))
    assert page.index("<h2>Fall") < page.index("<h2>Spring")


def test_a_fall_step_asks_where_it_lies_and_takes_the_one_plug(ines: Client) -> None:
    page = words(ines.get(at(PLUG_OUT.code)))
    assert PLUG_OUT.why in page
    assert PLUG_OUT.goes_wrong in page
    assert PLUG_OUT.caution in page
    assert book().kinds["stern_plug"].lies_hint in page
    sent = typed(lies_stern_plug="bag on the wheel", fitting_stern_plug="stern drain plug")
    assert ines.post(at(PLUG_OUT.code), sent).status_code == 302
    (fact,) = opened()
    assert (fact.body["lies"], fact.body["fitting"]) == ("bag on the wheel", "stern drain plug")
    assert "Done: Ines" in words(ines.get(at(PLUG_OUT.code)))


def test_a_repeat_opens_nothing_twice(ines: Client) -> None:
    sent = typed(lies_stern_plug="bag", fitting_stern_plug="stern drain plug")
    for _ in range(3):
        ines.post(at(PLUG_OUT.code), sent)
    ines.post(
        at(PLUG_OUT.code), typed(lies_stern_plug="bag", fitting_stern_plug="stern drain plug")
    )
    assert len(opened()) == 1


def test_a_fitting_that_is_not_hers_writes_nothing_and_keeps_what_was_typed(ines: Client) -> None:
    sent = typed(lies_stern_plug="bag on the wheel", fitting_stern_plug="garboard plug")
    answer = ines.post(at(PLUG_OUT.code), sent)
    assert answer.status_code == 422
    assert "bag on the wheel" in words(answer)
    assert not opened()
    assert not Fact.objects.filter(kind=Kind.DONE).exists()


def test_a_boat_without_ways_in_is_refused_whole(ines: Client, teal: Boat) -> None:
    """No half step: nothing is done, nothing is opened."""
    Boat.objects.get(pk=teal.pk).ways_in.all().delete()
    answer = ines.post(at(PLUG_OUT.code), typed(lies_stern_plug="bag", fitting_stern_plug=""))
    assert answer.status_code == 422
    assert not Fact.objects.filter(kind=Kind.DONE).exists()


def test_a_spring_step_proves_back_what_it_says_and_waits_for_the_second(
    crew: Crew, as_person: Use, teal: Boat
) -> None:
    kind = book().kinds["stern_plug"]
    plug = services.undo(entry(crew.tomas), teal, kind, "bag", "stern drain plug")
    ines = as_person(crew.ines)
    assert PLUG in words(ines.get(at(PLUG_IN.code)))
    ines.post(at(PLUG_IN.code), typed())
    assert put_backs.left(plug).thing.is_open
    assert put_backs.left(plug).waits_for_second
    as_person(crew.tomas).post(at(PLUG_IN.code), typed())
    assert not put_backs.left(plug).thing.is_open


def test_a_step_asks_for_its_reading(ines: Client) -> None:
    step = next(s for s in book().steps if s.reading == "gear_case_pressure")
    page = words(ines.get(at(step.code)))
    assert "/boats/TEA/readings/new/?quantity=gear_case_pressure&back=" in page


def test_a_learner_is_watched_by_someone_who_knows(crew: Crew, as_person: Use) -> None:
    step = next(s for s in book().steps if s.watch_learner and not s.opens)
    pip = as_person(crew.pip)
    assert "Who is watching you" in words(pip.get(at(step.code)))
    alone = pip.post(at(step.code), typed())
    assert alone.status_code == 409
    assert "You are learning this." in words(alone)
    assert pip.post(at(step.code), typed(second=crew.pip.pk)).status_code == 422
    pip.post(at(step.code), typed(second=crew.tomas.pk))
    assert Fact.objects.get(kind=Kind.DONE).second == crew.tomas
    assert "watched by Tomas" in words(pip.get(STEPS))


def test_as_a_fragment(ines: Client) -> None:
    sent = typed(lies_stern_plug="bag", fitting_stern_plug="stern drain plug")
    answer = ines.post(at(PLUG_OUT.code), sent, headers=HTMX)
    assert answer.status_code == 200
    assert "<html" not in words(answer)
    assert "Done: Ines" in words(answer)


def test_after_handover_a_new_season_begins(ines: Client, crew: Crew, teal: Boat) -> None:
    sent = typed(lies_stern_plug="bag", fitting_stern_plug="stern drain plug")
    ines.post(at(PLUG_OUT.code), sent)
    assert "1 of" in words(ines.get(STEPS))
    facts.add_moved(entry(crew.ines), teal, State.HANDED_OVER)
    assert "Done: Ines" not in words(ines.get(at(PLUG_OUT.code)))


def test_a_spring_step_caught_up_after_handover_is_not_done_next_spring(
    ines: Client, crew: Crew, teal: Boat
) -> None:
    facts.add_moved(entry(crew.ines), teal, State.HANDED_OVER)
    for late in (PLUG_IN, PLUG_OUT):
        facts.add_done(entry(crew.ines), teal, late.code, "step")
    facts.add_moved(entry(crew.ines), teal, State.COMING_OUT)
    assert "Done: Ines" in words(ines.get(at(PLUG_OUT.code)))  # in fall, still afloat
    assert "Done: Ines" not in words(ines.get(at(PLUG_IN.code)))


def test_last_season_s_steps_are_planned_again_once_she_comes_out(crew: Crew, teal: Boat) -> None:
    def done() -> frozenset[str]:
        (value,) = queries.values([fleet.boats().get(pk=teal.pk)])
        return value.done

    facts.add_done(entry(crew.ines), teal, PLUG_OUT.code, "step")
    facts.add_moved(entry(crew.ines), teal, State.HANDED_OVER)
    assert PLUG_OUT.code in done()  # the season she is handed over from is still hers
    facts.add_moved(entry(crew.ines), teal, State.COMING_OUT)
    assert PLUG_OUT.code not in done()
    facts.add_done(entry(crew.ines), teal, PLUG_OUT.code, "step")
    assert PLUG_OUT.code in done()


def test_rights_methods_strangers(crew: Crew, as_person: Use, ines: Client) -> None:
    refuses_method(ines, STEPS, "POST")
    refuses_method(ines, at(PLUG_IN.code), "PUT")
    assert ines.get(at("no_such_step")).status_code == 404
    answer = as_person(crew.guest).post(at(PLUG_IN.code), typed())
    assert answer.status_code == 409
    assert "Ask Ines" in words(answer)
    asks_for_log_in(as_person(crew.guest), STEPS)
