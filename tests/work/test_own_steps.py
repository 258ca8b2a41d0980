"""The yard changes its steps without code: whom it touches is shown first, what was done stays as it was done."""

import re
from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from pytest_django import DjangoAssertNumQueries

from tests.conftest import entry, log_in
from tests.work.conftest import Crew, asks_for_log_in, refuses_method, typed, words
from yardwright.fleet.models import Boat
from yardwright.procedures.own import written
from yardwright.procedures.step import Has
from yardwright.procedures.steps import shipped
from yardwright.season.model import Right
from yardwright.work import own_steps, services, step_services
from yardwright.work.forms.own_steps import OwnStepForm
from yardwright.work.models import Fact, Kind
from yardwright.yard.models import Person
from yardwright.yard.refused import Refused

Use = Callable[[Person], Client]
CODE = "gear_oil_in"
STEP = next(step for step in shipped().steps if step.code == CODE)
CHANGE, COPY, OUT = f"/steps/{CODE}/change/", f"/steps/{CODE}/copy/", f"/steps/{CODE}/leave-out/"


@pytest.fixture
def manager(crew: Crew) -> Person:
    return log_in("Mara", Right.INK, Right.PROVE)


@pytest.fixture
def mara(manager: Person, as_person: Use) -> Client:
    return as_person(manager)


def sent(**changed: object) -> dict[str, str]:
    """The form as it is shown, with something typed over it."""
    form = OwnStepForm(shipped(), STEP, CODE)
    shown = {name: form[name].value() for name in form.fields}
    plain = {name: str(value) for name, value in shown.items() if value not in (None, False)}
    return plain | typed(reason="our oil comes in bottles", **changed)


def keep(client: Client, path: str, given: dict[str, str]) -> Any:
    """Shown first, then kept."""
    seen = words(client.post(path, given))
    (digest,) = re.findall(r'name="keep" value="(\w+)"', seen)
    return client.post(path, given | {"keep": digest})


def kept() -> list[Fact]:
    return list(Fact.objects.filter(kind=Kind.STEP))


def test_the_book_is_found_by_words(mara: Client) -> None:
    assert STEP.title in words(mara.get("/steps/"))
    found = words(mara.get("/steps/?q=pump from below"))
    assert STEP.title in words(mara.get(f"/steps/?q={STEP.title[:12]}"))
    assert "Owner walked through" not in found
    assert "No step has these words." in words(mara.get("/steps/?q=xyzzy"))


def test_a_step_is_read_whole(mara: Client) -> None:
    page = words(mara.get(f"/steps/{CODE}/"))
    for text in (STEP.title, STEP.why, *STEP.how, STEP.goes_wrong, STEP.caution):
        assert text in page
    assert "As it came with the book." in page
    assert mara.get("/steps/nonsense/").status_code == 404


def test_whom_it_touches_is_shown_before_it_is_kept(mara: Client, teal: Boat) -> None:
    answer = mara.post(CHANGE, sent(title="Gear case filled from the bottle"))
    page = words(answer)
    assert answer.status_code == 200
    assert "It is not kept yet. 1 boat touched:" in page
    assert "Teal</a> has it to do, by the new words" in page
    assert kept() == []


def test_kept_it_holds_on_every_page(mara: Client, teal: Boat) -> None:
    answer = keep(mara, CHANGE, sent(title="Gear case filled from the bottle", minutes=35))
    assert answer.status_code == 302
    (fact,) = kept()
    assert (fact.what, fact.by.name, fact.body["reason"]) == (
        CODE,
        "Mara",
        "our oil comes in bottles",
    )
    for path in ("/boats/TEA/steps/", "/boats/TEA/at-hand/", f"/steps/{CODE}/"):
        assert "Gear case filled from the bottle" in words(mara.get(path))
    assert "about 35 min" in words(mara.get(f"/boats/TEA/steps/{CODE}/"))
    at_hand = words(mara.get("/boats/TEA/at-hand/"))
    assert STEP.why in at_hand  # a phone keeps only the words that came with the book elsewhere


def test_what_is_other_is_shown_and_an_earlier_version_is_taken_again(
    mara: Client, teal: Boat
) -> None:
    first = sent(title="Filled from the bottle", minutes=35)
    shown = words(mara.post(CHANGE, first))
    assert (
        f'<dt>Title</dt><dd>Filled from the bottle <span class="ev">before: {STEP.title}<' in shown
    )
    assert f'<dt>Minutes</dt><dd>35 <span class="ev">before: {STEP.minutes}<' in shown
    assert "<dt>Why</dt>" not in shown
    keep(mara, CHANGE, first)
    keep(mara, CHANGE, sent(title="Filled by the pump"))
    page = words(mara.get(f"/steps/{CODE}/"))
    assert "before: Filled from the bottle<" in page
    older = next(fact for fact in kept() if fact.body["title"] == "Filled from the bottle")
    assert f"{CHANGE}?version={older.pk}" in page
    assert 'value="Filled from the bottle"' in words(mara.get(f"{CHANGE}?version={older.pk}"))
    again = words(mara.get(f"{CHANGE}?version=book"))
    assert f'value="{STEP.title}"' in again
    assert mara.get(f"{CHANGE}?version=none").status_code == 404


def test_other_words_than_those_shown_are_shown_again(mara: Client) -> None:
    given = sent(title="Gear case filled from the bottle")
    (digest,) = re.findall(r'name="keep" value="(\w+)"', words(mara.post(CHANGE, given)))
    again = mara.post(CHANGE, given | {"title": "Something else", "keep": digest})
    assert "It is not kept yet." in words(again)
    assert kept() == []


def test_a_repeat_changes_nothing(mara: Client) -> None:
    for path in (CHANGE, COPY):
        given = sent(title=f"Filled, {path}")
        for _ in range(2):
            assert keep(mara, path, given).status_code == 302
    assert len(kept()) == 2


def test_what_was_done_stays_as_it_was_done(
    mara: Client, manager: Person, crew: Crew, teal: Boat
) -> None:
    done = services.do_step(entry(crew.ines, timedelta(hours=1)), teal, STEP, {}, {})
    keep(mara, CHANGE, sent(title="Gear case filled from the bottle", how="Pour it.\nWait."))
    page = words(mara.get(f"/boats/TEA/steps/{CODE}/"))
    assert "The words it was done by" in page
    assert STEP.title in page
    assert STEP.how[0] in page
    assert Fact.objects.get(pk=done.pk).body["title"] == STEP.title
    assert STEP.title in words(mara.get("/boats/TEA/record/"))
    assert f"done {done.done_at:%d %b %Y} by Ines: that stays" in words(
        mara.post(CHANGE, sent(title="Once more"))
    )


def test_an_entry_that_comes_in_late_was_done_by_the_words_of_its_time(
    mara: Client, crew: Crew, teal: Boat
) -> None:
    keep(mara, CHANGE, sent(title="Gear case filled from the bottle"))
    new = own_steps.step_of(own_steps.the_yards_book(), CODE)
    assert new is not None
    late = services.do_step(entry(crew.ines, timedelta(hours=2)), teal, new, {}, {})
    assert late.body["title"] == STEP.title
    assert own_steps.done_by(late) == STEP


def test_the_same_entry_again_after_a_change_is_the_same(
    mara: Client, crew: Crew, teal: Boat
) -> None:
    one = entry(crew.ines)
    done = services.do_step(one, teal, STEP, {}, {})
    keep(mara, CHANGE, sent(title="Gear case filled from the bottle"))
    new = own_steps.step_of(own_steps.the_yards_book(), CODE)
    assert new is not None
    assert services.do_step(one, teal, new, {}, {}) == done
    with pytest.raises(Refused, match="already used"):
        services.do_step(one, teal, next(s for s in shipped().steps if s.code != CODE), {}, {})


def test_a_copy_is_a_step_of_its_own(mara: Client, teal: Boat) -> None:
    keep(mara, COPY, sent(title="Gear oil level read once more", proves="", after=STEP.title))
    (fact,) = kept()
    assert fact.what == "gear_oil_level_read_once_more"
    page = words(mara.get("/boats/TEA/steps/"))
    assert STEP.title in page
    assert page.index(STEP.title) < page.index("Gear oil level read once more")


@pytest.mark.parametrize(
    ("changed", "says"),
    [
        ({"proves": ""}, "but no spring step proves it"),
        ({"stage": "return tray"}, "too late: it is needed before start"),
        ({"caution": "Mind your back."}, "the caution does not speak of"),
    ],
)
def test_what_breaks_the_book_is_refused_with_the_reason(
    mara: Client, changed: dict[str, str], says: str
) -> None:
    answer = mara.post(CHANGE, sent(**changed))
    assert answer.status_code == 409
    page = words(answer)
    assert says in page
    assert "our oil comes in bottles" in page  # what was typed stays
    assert kept() == []


def test_a_bad_form_writes_nothing_and_keeps_what_was_typed(mara: Client) -> None:
    answer = mara.post(CHANGE, sent(title="Filled", needs="outbord\nbattery", minutes="many"))
    assert answer.status_code == 422
    page = words(answer)
    assert "“outbord” is not known. Is it “outboard”" in page
    assert "outbord\nbattery" in page
    assert "many" in page
    assert kept() == []


def test_left_out_only_where_nothing_waits_for_it(mara: Client, teal: Boat) -> None:
    refused = mara.post(OUT, typed(reason="we never do"))
    assert refused.status_code == 409
    assert "but no spring step proves it" in words(refused)
    free = next(
        s
        for s in shipped().steps
        if not (s.opens or s.proves)
        and s.suits(frozenset(map(Has, teal.has)))
        and not any(s.code in other.after for other in shipped().steps)
    )
    path = f"/steps/{free.code}/leave-out/"
    assert "Teal</a> no longer gets it" in words(mara.get(path))
    assert mara.post(path, typed()).status_code == 422
    assert mara.post(path, typed(reason="the owner does it")).status_code == 302
    assert free.title not in words(mara.get("/boats/TEA/steps/"))
    assert "The yard left this step out." in words(mara.get(f"/steps/{free.code}/"))


def test_who_settles_the_yard_changes_its_steps(crew: Crew, as_person: Use) -> None:
    tomas = as_person(crew.tomas)
    assert "Change it" not in words(tomas.get(f"/steps/{CODE}/"))
    answer = keep(tomas, CHANGE, sent(title="Mine"))
    assert answer.status_code == 409
    assert "Tomas may not" in words(answer)
    assert tomas.post(OUT, typed(reason="mine")).status_code == 409
    assert kept() == []


def test_a_change_is_not_struck_out_but_changed_again(mara: Client, manager: Person) -> None:
    keep(mara, CHANGE, sent(title="Gear case filled from the bottle"))
    with pytest.raises(Refused, match="stays done by it"):
        services.strike_out(entry(manager), kept()[0], "wrong")
    keep(mara, CHANGE, sent())
    book = own_steps.the_yards_book()
    assert own_steps.step_of(book, CODE) == STEP
    assert "the yard's own words" not in words(mara.get(f"/steps/?q={STEP.title}"))


def test_own_steps_that_no_longer_fit_are_said_and_wait(
    mara: Client, manager: Person, monkeypatch: pytest.MonkeyPatch
) -> None:
    step_services.keep_step(entry(manager), CODE, {**written(STEP), "title": "Ours"}, "ours")
    fact = kept()[0]
    broken = {**fact.body["row"], "proves": []}
    monkeypatch.setattr(own_steps, "own", lambda: {CODE: broken})
    own_steps._read.cache_clear()
    page = words(mara.get("/steps/"))
    assert "The yard's own steps do not hold" in page
    assert STEP.title in page
    own_steps._read.cache_clear()


def test_doors(crew: Crew, client: Client, mara: Client) -> None:
    for path in ("/steps/", f"/steps/{CODE}/"):
        refuses_method(mara, path, "POST")
    for path in (CHANGE, COPY, OUT):
        refuses_method(mara, path, "DELETE")
    for path in ("/steps/", f"/steps/{CODE}/", CHANGE, COPY, OUT):
        asks_for_log_in(client, path)


def test_queries_do_not_grow_with_the_fleet(
    mara: Client, teal: Boat, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    for n in range(40):
        Boat.objects.create(
            name=f"Bird {n}", tag=f"B{chr(65 + n // 26)}{chr(65 + n % 26)}", has=teal.has
        )
    with django_assert_max_num_queries(12):
        page = words(mara.post(CHANGE, sent(title="Filled")))
    assert "41 boats touched" in page
    with django_assert_max_num_queries(8):
        mara.get("/steps/")


def thing(**changed: object) -> dict[str, str]:
    given: dict[str, object] = {
        "what": "Bow thruster fuse out",
        "if_forgotten": "she will not turn in the berth",
        "harm": "annoys",
        "before": "handover",
        "proof": "run",
        "system": "electrical",
        "lies_hint": "In a bag on the wheel",
        "reason": "half our boats have one",
    }
    return typed(**given | changed)


def test_a_thing_of_the_yards_own_is_left_undone_and_proven_back(
    mara: Client, crew: Crew, teal: Boat
) -> None:
    given = thing()
    for _ in range(2):
        assert mara.post("/things/new/", given).status_code == 302
    assert len(kept()) == 1
    assert "Bow thruster fuse out" in words(mara.get("/steps/"))
    fuse = "Bow thruster fuse out"
    out = sent(title="Thruster fuse out", stage="drained", proves="", opens=fuse, after="")
    unproven = mara.post(COPY, out)
    assert unproven.status_code == 409
    assert f"opens “{fuse}”, but no spring step proves it" in words(unproven)
    back = sent(title="Thruster run", stage="return tray", proves=fuse, after="")
    assert keep(mara, COPY, back).status_code == 302
    assert keep(mara, COPY, out).status_code == 302
    laid_up = typed(lies_bow_thruster_fuse_out="bag on the wheel")
    assert mara.post("/boats/TEA/steps/thruster_fuse_out/", laid_up).status_code == 302
    assert f"{fuse}" in words(mara.get("/boats/TEA/left-undone/"))
    assert mara.post("/boats/TEA/steps/thruster_run/", typed()).status_code == 302
    assert f"{fuse}" not in words(mara.get("/boats/TEA/left-undone/"))


def test_a_thing_that_is_unsafe_is_refused_and_kept_as_typed(mara: Client) -> None:
    answer = mara.post("/things/new/", thing(harm="sinks", proof="looked"))
    assert answer.status_code == 409
    assert "two people prove it back, or it is measured" in words(answer)
    assert "half our boats have one" in words(answer)
    empty = mara.post("/things/new/", thing(what=""))
    assert empty.status_code == 422
    assert "she will not turn in the berth" in words(empty)
    assert kept() == []


def test_things_have_the_same_doors(crew: Crew, client: Client, as_person: Use) -> None:
    tomas = as_person(crew.tomas)
    assert tomas.post("/things/new/", thing()).status_code == 409
    refuses_method(tomas, "/things/new/", "DELETE")
    assert kept() == []
    asks_for_log_in(client, "/things/new/")


def test_a_thing_is_renamed_and_offered_no_more_but_never_while_it_is_open(
    mara: Client, crew: Crew, teal: Boat, as_person: Use
) -> None:
    fuse, change = "Bow thruster fuse out", "/things/bow_thruster_fuse_out/change/"
    out_of_it = "/things/bow_thruster_fuse_out/leave-out/"
    assert mara.post("/things/new/", thing()).status_code == 302
    assert (
        keep(
            mara, COPY, sent(title="Thruster run", stage="return tray", proves=fuse, after="")
        ).status_code
        == 302
    )
    assert (
        keep(
            mara,
            COPY,
            sent(title="Thruster fuse out", stage="drained", proves="", opens=fuse, after=""),
        ).status_code
        == 302
    )
    laid_up = typed(lies_bow_thruster_fuse_out="bag on the wheel")
    assert mara.post("/boats/TEA/steps/thruster_fuse_out/", laid_up).status_code == 302
    assert 'value="Bow thruster fuse out"' in mara.get(change).content.decode()
    refused = mara.post(change, thing(what="Thruster fuse in a bag"))
    assert refused.status_code == 409
    assert f"{fuse} is left undone on Teal." in words(refused)
    assert mara.post("/boats/TEA/steps/thruster_run/", typed()).status_code == 302
    assert mara.post(change, thing(what="Thruster fuse in a bag")).status_code == 302
    assert "Thruster fuse in a bag" in words(mara.get("/steps/"))
    record = words(mara.get("/boats/TEA/record/"))
    assert f"Undone: {fuse}" in record  # what was done stays as it was done
    assert "Thruster fuse in a bag" not in record
    held = mara.post(out_of_it, typed(reason="sold the boat that had one"))
    assert held.status_code == 409
    assert "Thruster fuse out" in words(held)
    for step in ("thruster_fuse_out", "thruster_run"):
        left_out = mara.post(f"/steps/{step}/leave-out/", typed(reason="sold"))
        assert left_out.status_code == 302, words(left_out)
    assert mara.post(out_of_it, typed(reason="")).status_code == 422
    assert mara.post(out_of_it, typed(reason="sold the boat that had one")).status_code == 302
    assert "Thruster fuse in a bag" not in words(mara.get("/steps/"))
    assert mara.get("/things/no_such/change/").status_code == 404
    assert as_person(crew.tomas).post(change, thing(what="Fuse")).status_code == 409


def test_what_fills_her_by_the_book_can_not_be_said_to_stay_dry(mara: Client) -> None:
    code = "shower_sump_runs"
    step = next(one for one in shipped().steps if one.code == code)
    form = OwnStepForm(shipped(), step, code)
    assert form.fields["refills"].disabled
    shown = {name: form[name].value() for name in form.fields}
    plain = {name: str(value) for name, value in shown.items() if value not in (None, False)}
    given = {name: value for name, value in plain.items() if name != "refills"}
    keep(mara, f"/steps/{code}/change/", given | typed(reason="we pour one jug alone"))
    (fact,) = kept()
    assert fact.body["row"]["refills"] is True


def test_a_step_of_the_yards_own_says_that_it_fills_her(mara: Client) -> None:
    keep(mara, COPY, sent(title="Ballast tank filled", opens="", proves="", refills="on"))
    (fact,) = kept()
    assert fact.body["row"]["refills"] is True
