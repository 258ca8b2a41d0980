"""Who may do and sign what; how far each learner is; what minors don't do."""

from collections.abc import Callable
from datetime import date, timedelta

import pytest
from django.test import Client

from tests.conftest import entry
from tests.work.conftest import Crew, asks_for_log_in, refuses_method, typed, words
from yardwright.fleet.models import Boat
from yardwright.procedures.minors import keeps_a_minor_off, not_for_minors
from yardwright.procedures.put_backs import Proof
from yardwright.procedures.step import Hazard, Step
from yardwright.procedures.steps import shipped
from yardwright.work import competence, services
from yardwright.work.facts import Entry
from yardwright.work.models import Fact, Kind
from yardwright.yard.models import Person
from yardwright.yard.refused import Refused

Use = Callable[[Person], Client]
PAGE = "/yard/who-may/"


def plain(step: Step) -> bool:
    """A step that opens nothing, proves nothing and cuts nothing."""
    return not (step.opens or step.proves or step.reading)


WATCHED = [step for step in shipped().steps if step.watch_learner and plain(step)]
LIFT = next(step for step in shipped().steps if Hazard.LIFTING in step.hazards and plain(step))
HARMLESS = next(step for step in shipped().steps if not step.hazards and plain(step))


def watched(by: Person, second: Person, ago_min: float) -> Entry:
    one = entry(by, timedelta(minutes=ago_min))
    return Entry(one.uuid, by, one.done_at, second)


def test_who_may_sign_what(ines: Client) -> None:
    page = words(ines.get(PAGE))
    clears = page.split("Clears a reading")[1].split("</li>")[0]
    assert "Ines" in clears
    assert "Tomas" not in clears
    assert "Pip (learning)" in page.split("Does steps")[1].split("</li>")[0]
    assert "<b>nobody</b>" in page.split("Puts a boat in the water")[1].split("</li>")[0]


def test_how_far_a_learner_is_and_who_watched(crew: Crew, as_person: Use, teal: Boat) -> None:
    """Two steps, three times: twice by Ines, once by Tomas; counted by hand."""
    one, other = WATCHED[:2]
    for step, by, ago in ((one, crew.ines, 900), (one, crew.tomas, 600), (other, crew.ines, 300)):
        services.do_step(watched(crew.pip, by, ago), teal, step, {}, {})
    (pip,) = competence.learned([crew.pip])
    first = next(it for it in pip.steps if it.step.code == one.code)
    assert (first.times, first.watchers) == (2, "Ines once, Tomas once")
    assert f"2 of {len(pip.watched_steps)} steps that are watched" in pip.sentence
    assert pip.sentence.endswith("Watched by Ines twice, Tomas once.")
    ines = as_person(crew.ines)
    assert pip.sentence in words(ines.get(PAGE))
    sheet = words(ines.get(f"{PAGE}{crew.pip.pk}/"))
    assert one.title in sheet
    assert "Ines once, Tomas once" in sheet


def test_a_step_struck_out_was_not_practised(crew: Crew, teal: Boat) -> None:
    done = services.do_step(watched(crew.pip, crew.ines, 60), teal, WATCHED[0], {}, {})
    services.strike_out(entry(crew.pip), done, "other boat")
    (pip,) = competence.learned([crew.pip])
    assert pip.sentence == "No step was done yet."


def test_more_at_once_than_they_may_watch(crew: Crew, as_person: Use, teal: Boat) -> None:
    """Two learners within one step's usual minutes, and she may watch one."""
    kit = Person.objects.create(name="Kit", learner=True, rights=["prove"])
    step = WATCHED[0]
    services.do_step(watched(crew.pip, crew.ines, 31), teal, step, {}, {})
    assert competence.too_many_at_once() == []
    services.do_step(watched(kit, crew.ines, 30), teal, step, {}, {})
    (found,) = competence.too_many_at_once()
    assert (found.watcher, found.learners) == (crew.ines, ("Kit", "Pip"))
    assert "who may watch 1: Kit, Pip" in words(as_person(crew.ines).get(PAGE))
    Person.objects.filter(pk=crew.ines.pk).update(may_watch=2)
    assert competence.too_many_at_once() == []


def test_one_after_the_other_is_not_at_once(crew: Crew, teal: Boat) -> None:
    kit = Person.objects.create(name="Kit", learner=True, rights=["prove"])
    step = WATCHED[0]
    services.do_step(watched(crew.pip, crew.ines, step.minutes + 40), teal, step, {}, {})
    services.do_step(watched(kit, crew.ines, 30), teal, step, {}, {})
    assert competence.too_many_at_once() == []


def test_a_minor_is_kept_from_the_lift(crew: Crew, as_person: Use, teal: Boat) -> None:
    """29 CFR 570.58(a)(1): nobody between 16 and 18 tends or assists at a hoist."""
    Person.objects.filter(pk=crew.pip.pk).update(of_age_on=date(2031, 5, 3))
    pip = Person.objects.get(pk=crew.pip.pk)
    with pytest.raises(Refused, match=r"Pip is under age, and this has to do with.* lift"):
        services.do_step(watched(pip, crew.ines, 1), teal, LIFT, {}, {})
    answer = as_person(pip).post(f"/boats/TEA/steps/{LIFT.code}/", typed(second=str(crew.ines.pk)))
    assert answer.status_code == 409
    assert "local law" in words(answer).lower() or "law where the yard is" in words(answer)
    assert not Fact.objects.filter(kind=Kind.DONE).exists()
    services.do_step(watched(pip, crew.ines, 1), teal, HARMLESS, {}, {})
    page = words(as_person(crew.ines).get(PAGE))
    assert "Under age until Sat 3 May 2031" in page
    assert LIFT.title in words(as_person(crew.ines).get(f"{PAGE}{pip.pk}/"))


def test_a_minor_proves_nothing_back_that_has_to_do_with_petrol(crew: Crew, teal: Boat) -> None:
    """What the step is kept from, its put-back is kept from too."""
    Person.objects.filter(pk=crew.pip.pk).update(of_age_on=date(2031, 5, 3))
    pip = Person.objects.get(pk=crew.pip.pk)
    lead_off = Fact.objects.get(kind=Kind.UNDONE, what="fuel pump lead off")
    plug_out = Fact.objects.get(kind=Kind.UNDONE, what="stern drain plug out")
    with pytest.raises(Refused, match="Pip is under age, and this has to do with petrol"):
        services.put_back(watched(pip, crew.ines, 1), lead_off, Proof.MEASURED)
    assert not Fact.objects.filter(kind=Kind.PUT_BACK, of=lead_off).exists()
    services.put_back(watched(pip, crew.ines, 1), plug_out, Proof.MEASURED)
    services.put_back(entry(crew.ines), lead_off, Proof.MEASURED)


def test_on_the_day_itself_they_are_of_age(crew: Crew, teal: Boat) -> None:
    """The clock stands at Friday 2 May 2031."""
    Person.objects.filter(pk=crew.pip.pk).update(of_age_on=date(2031, 5, 2))
    pip = Person.objects.get(pk=crew.pip.pk)
    assert not competence.is_minor(pip)
    services.do_step(watched(pip, crew.ines, 1), teal, LIFT, {}, {})


def test_whose_age_nobody_said_is_not_said_to_be_of_age(ines: Client) -> None:
    page = words(ines.get(PAGE)).split("Who is learning")[1]
    assert "Not known" in page.split("</section>")[0]
    assert "Of age." not in page


def test_each_rule_for_minors_is_a_hazard_with_its_source() -> None:
    rules = not_for_minors()
    assert rules[Hazard.LIFTING].trust == "read"
    assert set(rules) <= set(Hazard)
    for step in shipped().steps:
        assert set(keeps_a_minor_off(step)) == set(step.hazards) & set(rules)


def test_the_competence_sheet_on_paper(ines: Client, crew: Crew, teal: Boat) -> None:
    services.do_step(watched(crew.pip, crew.ines, 1), teal, WATCHED[0], {}, {})
    for paper in ("A4", "Letter"):
        answer = ines.get(f"{PAGE}{crew.pip.pk}.pdf?paper={paper}")
        assert answer.status_code == 200
        assert answer.content.startswith(b"%PDF-")
    assert ines.get(f"{PAGE}{crew.pip.pk}.pdf?paper=A9").status_code == 422
    assert ines.get(f"{PAGE}99999/").status_code == 404


def test_few_queries_however_many_learn(
    ines: Client,
    crew: Crew,
    teal: Boat,
    django_assert_max_num_queries: Callable[[int], object],
) -> None:
    for n in range(8):
        one = Person.objects.create(name=f"Learner {n}", learner=True, rights=["prove"])
        services.do_step(watched(one, crew.ines, n), teal, WATCHED[n % 2], {}, {})
    with django_assert_max_num_queries(12):  # type: ignore[attr-defined]
        ines.get(PAGE)


def test_methods_and_strangers(ines: Client, crew: Crew, as_person: Use) -> None:
    for path in (PAGE, f"{PAGE}{crew.pip.pk}/", f"{PAGE}{crew.pip.pk}.pdf"):
        refuses_method(ines, path, "POST", "PUT")
    assert as_person(crew.guest).get(PAGE).status_code == 200  # whoever works here may look
    asks_for_log_in(ines, PAGE)
