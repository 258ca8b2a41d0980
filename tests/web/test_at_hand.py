"""The page at hand: everything at one boat, sent by the forms it shows, without any script."""

import json
import re
from collections.abc import Callable
from datetime import datetime, timedelta
from html import unescape
from html.parser import HTMLParser
from urllib.parse import parse_qs, urlsplit
from uuid import UUID, uuid4

import pytest
from django.test import Client
from pytest_django import DjangoAssertNumQueries

from tests.conftest import entry, log_in, set_clock
from tests.web.fullest import fill
from yardwright.fleet.models import Boat
from yardwright.procedures.put_backs import Proof
from yardwright.procedures.quantities import quantities
from yardwright.procedures.readings import Reading
from yardwright.procedures.step import Has, Season
from yardwright.procedures.steps import ENGINES, book, steps_for
from yardwright.season.model import Right
from yardwright.web.middleware import uuid_of
from yardwright.work import facts, put_backs, services
from yardwright.work.models import Fact, Kind
from yardwright.yard.models import Instrument, Person

NOW = datetime.fromisoformat("2031-05-02T10:00-04:00")
AT_HAND = "/boats/TEA/at-hand/"
LARGEST = 300_000
FOR_ITS_OWN = 15_000  # left for what a yard adds to the steps


class Form:
    """A form as a browser would send it when this button is tapped."""

    def __init__(self, attrs: dict[str, str]) -> None:
        self.attrs = attrs
        self.fields: dict[str, str] = {}
        self.buttons: list[dict[str, str]] = []

    @property
    def uuid(self) -> UUID:
        """What the server makes of its number on the page."""
        (number,) = parse_qs(urlsplit(self.attrs["action"]).query)["once"]
        return uuid_of(number)

    def sent(self, *, button: int = 0, **typed: str) -> dict[str, str]:
        tapped = [one for one in self.buttons if "disabled" not in one][button]
        named = {tapped["name"]: tapped["value"]} if "name" in tapped else {}
        return {**self.fields, **typed, **named}


class Forms(HTMLParser):
    def __init__(self, page: str) -> None:
        super().__init__()
        self.all: list[Form] = []
        self.ids: list[str] = []
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = {name: value or "" for name, value in attrs}
        self.ids += [given["id"]] if "id" in given else []
        if tag == "form":
            self.all.append(Form(given))
        elif tag == "button" and self.all:
            self.all[-1].buttons.append(given)
        elif tag in ("input", "select") and self.all and "name" in given:
            self.all[-1].fields.setdefault(given["name"], given.get("value", ""))

    def to(self, start: str) -> Form:
        return next(one for one in self.all if one.attrs.get("action", "").startswith(start))


@pytest.fixture
def ines(teal: Boat) -> Person:
    set_clock(NOW)
    return log_in("Ines", Right.PROVE)


@pytest.fixture
def at_boat(ines: Person, as_person: Callable[[Person], Client]) -> Client:
    return as_person(ines)


def read(client: Client, path: str = AT_HAND) -> str:
    answer = client.get(path)
    assert answer.status_code == 200
    return str(answer.content.decode())


def text(page: str) -> str:
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", page)).split())


def plug(boat: Boat) -> Fact:
    return next(one.fact for one in put_backs.left_undone(boat) if "drain plug" in one.thing.what)


def test_it_says_first_what_holds_her(teal: Boat, at_boat: Client) -> None:
    said = text(read(at_boat))
    assert "11 things are left undone" in said  # story A3 counts eleven
    assert "Must not start" in said
    assert said.index("Must not start") < said.index("Left undone 11, nastiest first")


def test_nastiest_first_and_where_each_part_lies(teal: Boat, at_boat: Client) -> None:
    page = read(at_boat)
    things = put_backs.left_undone(teal)
    places = [page.index(f'id="u-{one.uuid}"') for one in things]
    assert places == sorted(places)
    said = text(page)
    for one in things:
        assert one.thing.what in said
        assert (
            f"lies: {one.thing.lies}" if one.thing.lies else "nobody wrote where it lies"
        ) in said


def test_put_back_in_two_taps_and_back_at_its_place(teal: Boat, at_boat: Client) -> None:
    """The page's own form, its first button, nothing else typed."""
    fact = plug(teal)
    form = Forms(read(at_boat)).to(f"/undone/{fact.pk}/")
    answer = at_boat.post(form.attrs["action"], form.sent())
    assert answer.status_code == 302
    came_to = answer.headers["Location"]
    assert came_to == f"{AT_HAND}?held={form.uuid}#left-undone"
    kept = Fact.objects.get(pk=form.uuid)
    assert (kept.kind, kept.of_id, kept.by.name) == (Kind.PUT_BACK, fact.pk, "Ines")
    assert f"Held: Put back: {fact.what}" in text(read(at_boat, came_to))


def test_it_does_not_hold_keeps_it_open(teal: Boat, at_boat: Client) -> None:
    fact = plug(teal)
    form = Forms(read(at_boat)).to(f"/undone/{fact.pk}/")
    at_boat.post(form.attrs["action"], form.sent(button=1, words="weeps at the flange"))
    assert fact.pk in {one.uuid for one in put_backs.left_undone(teal)}
    assert "it does not hold. weeps at the flange" in text(read(at_boat))


def test_enter_in_a_field_sends_nothing(at_boat: Client) -> None:
    """A form's default button is its first; where that is disabled, HTML says nothing is sent."""
    entries = [one for one in Forms(read(at_boat)).all if "data-entry" in one.attrs]
    typed = [one for one in entries if {"value_1", "kind"} & set(one.fields)]
    assert len(typed) > len(quantities())
    assert all("disabled" in one.buttons[0] for one in typed)


def test_a_step_in_spring(teal: Boat, at_boat: Client) -> None:
    first = steps_for(frozenset(map(Has, teal.has)), Season.SPRING)[0]
    page = read(at_boat)
    form = Forms(page).to(f"/boats/TEA/steps/{first.code}/")
    answer = at_boat.post(form.attrs["action"], form.sent())
    assert answer.headers["Location"].endswith("#steps")
    again = read(at_boat, answer.headers["Location"])
    assert f"Held: Done: {first.title}" in text(again)
    assert f'id="s-{first.code}"' in page
    assert f'id="s-{first.code}"' not in again


def test_each_step_has_caution_and_proof_and_leads_to_how_and_why(
    teal: Boat, at_boat: Client
) -> None:
    """With no script her step's own page tells the rest; with one, what a phone keeps for all boats."""
    page = read(at_boat)
    lessons = at_boat.get("/phone/steps.json").json()
    for step in steps_for(frozenset(map(Has, teal.has)), Season.SPRING):
        item = page[page.index(f'id="s-{step.code}"') :].split('<details class="item"')[0]
        for words in (step.title, step.caution, step.proof_words):
            assert " ".join(words.split()) in text(item)
        assert f'<div id="how-{step.code}"><a href="../steps/{step.code}/">' in item
        assert lessons[step.code] == [list(step.how), step.why, step.goes_wrong]
        own = text(read(at_boat, f"/boats/TEA/steps/{step.code}/"))
        for words in (*step.how, step.why, step.goes_wrong):
            assert " ".join(words.split()) in own


def test_a_learner_reads_how_before_the_button(
    teal: Boat, at_boat: Client, as_person: Callable[[Person], Client]
) -> None:
    def order(client: Client) -> list[str]:
        item = read(client).split('id="s-')[1]
        return sorted(("Mind:", "<form", 'id="how-'), key=item.index)

    assert order(at_boat) == ["Mind:", "<form", 'id="how-']
    pia = as_person(log_in("Pia", Right.PROVE, learner=True))
    assert order(pia) == ['id="how-', "Mind:", "<form"]


def test_each_put_back_has_its_caution_or_leads_to_it(teal: Boat, at_boat: Client) -> None:
    """Said once, at the step, where that is on the page too."""
    page = read(at_boat)
    to_do = steps_for(frozenset(map(Has, teal.has)), Season.SPRING)
    for left in put_backs.left_undone(teal):
        step = put_backs.proving_step(teal, left.thing)
        item = page[page.index(f'id="u-{left.uuid}"') :].split('<details class="item"')[0]
        if step is None:
            continue
        if step in to_do:
            assert f'href="#how-{step.code}" data-minds>How it is done, and what to mind' in item
            assert f'id="how-{step.code}"' in page
        else:
            assert " ".join(step.caution.split()) in text(item)


def test_a_reading_is_read_back_before_it_is_kept(teal: Boat, at_boat: Client) -> None:
    form = Forms(read(at_boat)).to("/boats/TEA/readings/new/?quantity=battery_at_rest")
    asked = at_boat.post(form.attrs["action"], form.sent(value_1="12.7 V"))
    assert asked.status_code == 200
    keep = {**form.sent(value_1="12.7 V"), "keep": "12.7 V"}
    kept = at_boat.post(form.attrs["action"], keep)
    assert kept.status_code == 302
    assert Fact.objects.get(pk=form.uuid).body["values"] == [12.7]
    assert f'href="{AT_HAND}#readings">Back to Teal' in read(at_boat, kept.headers["Location"])


def test_readings_her_steps_ask_for_come_first(teal: Boat, at_boat: Client) -> None:
    asked = {
        one.reading
        for one in steps_for(frozenset(map(Has, teal.has)), Season.SPRING)
        if one.reading
    }
    page = read(at_boat)
    others = page.index("<h3>Others</h3>")
    for code in quantities():
        assert (page.index(f'id="r-{code}"') < others) == (code in asked)


def test_a_put_back_that_asks_for_a_reading_leads_to_it(teal: Boat, at_boat: Client) -> None:
    page = read(at_boat)
    for left in put_backs.left_undone(teal):
        step = put_backs.proving_step(teal, left.thing)
        item = page[page.index(f'id="u-{left.uuid}"') :].split('<details class="item"')[0]
        asks = bool(step and step.reading)
        assert ("It asks for a reading" in item) == asks
        if asks and step:
            assert f'id="take-{step.reading}"' in page


def test_a_look(teal: Boat, at_boat: Client) -> None:
    form = Forms(read(at_boat)).to("/boats/TEA/look/?at=all")
    answer = at_boat.post(form.attrs["action"], form.sent())
    assert "Held: Looked at all openings counted" in text(read(at_boat, answer.headers["Location"]))
    assert Fact.objects.get(pk=form.uuid).body["holds"] is True


def test_done_earlier_keeps_the_time_on_paper(teal: Boat, at_boat: Client) -> None:
    page = read(at_boat)
    (once,) = re.findall(r'<template id="earlier">(.*?)</template>', page)
    assert "name=done_at" in once
    form = Forms(page).to(f"/undone/{plug(teal).pk}/")
    at_boat.post(form.attrs["action"], form.sent(done_at="2031-05-01T16:20"))
    done = Fact.objects.get(pk=form.uuid).done_at
    assert done == datetime.fromisoformat("2031-05-01T16:20-04:00")


def test_each_form_is_ready_for_a_phone_that_keeps_it(
    teal: Boat, ines: Person, at_boat: Client
) -> None:
    page = read(at_boat)
    assert f'<body data-person="{ines.pk}" data-name="Ines">' in page
    assert 'data-boat="TEA" data-name="Teal"' in page
    found = Forms(page)
    forms = [one for one in found.all if "data-entry" in one.attrs]
    assert len(forms) > 11
    uuids = {one.uuid for one in forms}
    assert len(uuids) == len(forms)
    said = {one.attrs["data-entry"] for one in forms}
    assert said >= {"put back", "done", "Looked: it holds", ""}
    assert len(found.ids) == len(set(found.ids))


def test_a_repeat_changes_nothing(teal: Boat, at_boat: Client) -> None:
    form = Forms(read(at_boat)).to(f"/undone/{plug(teal).pk}/")
    for _ in range(2):
        assert at_boat.post(form.attrs["action"], form.sent()).status_code == 302
    assert Fact.objects.filter(kind=Kind.PUT_BACK).count() == 1


def test_a_learner_says_who_watches(
    teal: Boat, as_person: Callable[[Person], Client], ines: Person
) -> None:
    pia = as_person(log_in("Pia", Right.PROVE, learner=True))
    watched = next(
        one for one in steps_for(frozenset(map(Has, teal.has)), Season.SPRING) if one.watch_learner
    )
    page = read(pia)
    form = Forms(page).to(f"/boats/TEA/steps/{watched.code}/")
    (once,) = re.findall(r'<template id="watched">(.*?)</template>', page)
    assert "name=second" in once
    assert "data-watched" in form.attrs
    assert f"<option value={ines.pk}>Ines" in page
    assert pia.post(form.attrs["action"], form.sent()).status_code == 409
    watched_by = pia.post(form.attrs["action"], form.sent(second=str(ines.pk)))
    assert watched_by.status_code == 302


def test_proven_once_it_is_not_yours(teal: Boat, ines: Person, at_boat: Client) -> None:
    kind = next(one for one in book().kinds.values() if one.second)
    services.undo(entry(ines), teal, kind, "tray 4", teal.ways_in.all()[0].name)
    left = next(one for one in put_backs.left_undone(teal) if one.thing.second)
    services.put_back(entry(ines), left.fact, Proof(left.thing.proof))
    form = Forms(read(at_boat)).to(f"/undone/{left.uuid}/")
    assert [one.get("value") for one in form.buttons if "name" in one] == ["does not hold"]
    assert "not yours, you proved it" in text(read(at_boat))


def test_without_the_right_the_yard_says_whom_to_ask(
    teal: Boat, ines: Person, as_person: Callable[[Person], Client]
) -> None:
    owner = as_person(log_in("Otto"))
    page = read(owner)
    assert "entries are by someone who may prove" in page
    form = Forms(page).to(f"/undone/{plug(teal).pk}/")
    answer = owner.post(form.attrs["action"], form.sent())
    assert answer.status_code == 409
    assert "Ask Ines" in answer.content.decode()
    assert not Fact.objects.filter(pk=form.uuid).exists()


def test_a_refusal_keeps_the_way_back(teal: Boat, at_boat: Client) -> None:
    form = Forms(read(at_boat)).to(f"/undone/{plug(teal).pk}/")
    refused = at_boat.post(form.attrs["action"], form.sent(button=1))  # no words: what did you see?
    assert refused.status_code == 409
    again = Forms(refused.content.decode()).to(f"/undone/{plug(teal).pk}/")
    assert again.attrs["action"] == form.attrs["action"]


def test_only_a_page_of_ours_is_gone_back_to(teal: Boat, at_boat: Client) -> None:
    path = f"/undone/{plug(teal).pk}/"
    sent = {**Forms(read(at_boat)).to(path).sent(), "uuid": str(uuid4())}
    answer = at_boat.post(f"{path}?back=//elsewhere.example/", sent)
    assert answer.headers["Location"] == path


def test_her_edition_changes_with_what_is_done(teal: Boat, ines: Person, at_boat: Client) -> None:
    def edition() -> str:
        found = re.search(r'data-edition="(\w+)"', read(at_boat))
        assert found
        return found[1]

    before = edition()
    assert edition() == before
    facts.add_looked(entry(ines), teal, "her cover", holds=True)
    assert edition() != before


def test_what_her_readings_are_judged_by_goes_along(
    teal: Boat, ines: Person, at_boat: Client
) -> None:
    """For a phone with no signal: her limit, the yard's instruments, what was read before."""
    services.read(
        entry(ines), teal, Reading("head_temperature", (64.0,), "°C", NOW, "Ines", None), "64 C"
    )
    found = re.search(r'<script id="readings-here"[^>]*>(.*?)</script>', read(at_boat))
    assert found
    told = json.loads(found[1])
    head = told["readings"].pop("head_temperature")
    assert (head["limit"]["upper"], head["limit"]["unit"]) == (80, "°C")
    assert [(one["values"], one["day"]) for one in head["before"]] == [([64.0], "2031-05-02")]
    assert told["readings"] == {}  # nothing else is on file
    assert told["zone"] == "America/New_York"
    gun = Instrument.objects.get(name="infrared gun")
    assert told["instruments"][str(gun.pk)]["u"] == 1.5


def test_queries_and_size(
    teal: Boat,
    ines: Person,
    as_person: Callable[[Person], Client],
    django_assert_max_num_queries: DjangoAssertNumQueries,
) -> None:
    learner = as_person(log_in("Pia", Right.PROVE, learner=True))
    for one in steps_for(frozenset(map(Has, teal.has)), Season.SPRING)[:3]:
        facts.add_done(entry(ines, timedelta(hours=1)), teal, one.code, "step")
    with django_assert_max_num_queries(
        14
    ):  # 13 with the yard's own steps, and who may watch a learner
        page = read(learner)
    assert len(page.encode()) < LARGEST


@pytest.mark.parametrize("engine", sorted(ENGINES))
def test_the_fullest_boat_fits(ines: Person, teal: Boat, at_boat: Client, engine: Has) -> None:
    """Everything that can be in a boat beside one kind of engine."""
    fill(teal, log_in("Mara", *Right), engine)
    page = read(at_boat)
    assert len(re.findall('data-entry="put back"', page)) > 90
    assert len(page.encode()) <= LARGEST - FOR_ITS_OWN


def test_it_fits_for_who_is_learning_beside_many(
    ines: Person, teal: Boat, as_person: Callable[[Person], Client]
) -> None:
    fill(teal, log_in("Mara", *Right))
    for n in range(20):
        log_in(f"Mechanic {n}", Right.PROVE)
    page = read(as_person(log_in("Pia", Right.PROVE, learner=True)))
    assert page.count("data-watched") > 40
    assert len(page.encode()) <= LARGEST - FOR_ITS_OWN


def test_a_stranger_is_sent_to_log_in(teal: Boat, client: Client) -> None:
    assert client.get(AT_HAND).headers["Location"] == f"/sign-in/?next={AT_HAND}"


def test_small_letters_find_her_too_and_no_other(at_boat: Client) -> None:
    assert at_boat.get("/boats/tea/at-hand/").status_code == 200
    assert at_boat.get("/boats/QQQ/at-hand/").status_code == 404


def test_it_is_only_looked_at(at_boat: Client) -> None:
    assert at_boat.post(AT_HAND).status_code == 405
