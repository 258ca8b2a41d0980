"""Every address is visited: read by a machine, seen in sun and at night, aimed at with gloves."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Literal
from uuid import UUID, uuid4

import pytest
from django.core.signing import Signer
from django.urls import URLPattern, URLResolver, get_resolver
from playwright.sync_api import Browser, Page

from tests.browser.conftest import context, log_in, plan_and_publish
from tests.browser.looked_over import AXE, DESK_PX, axe, complaints, faults
from tests.browser.served import ROOT, Served

Says = Literal["page", "part", "pdf", "file", "posts"]


@dataclass(frozen=True, slots=True)
class Visit:
    """Where to go for a URL pattern, and what is to be found there; ``{words}`` are in SAMPLES."""

    path: str
    says: Says = "page"
    stranger: bool = False


VISITS: dict[str, tuple[Visit, ...]] = {
    "": (Visit("/"),),
    "morning-sheet.pdf": (Visit("/morning-sheet.pdf", "pdf"),),
    "day/": (Visit("/day/"), Visit("/day/?day=2031-05-06")),
    "day/all.pdf": (Visit("/day/all.pdf", "pdf"),),
    "yard/people/<int:pk>/day/": (
        Visit("/yard/people/{ines}/day/"),
        Visit("/yard/people/{ines}/day/?day=2031-05-06"),
    ),
    "yard/people/<int:pk>/day.pdf": (Visit("/yard/people/{ines}/day.pdf", "pdf"),),
    "yard/people/<int:pk>/calendar/": (Visit("/yard/people/{ines}/calendar/"),),
    "boats/<str:tag>/calendar/": (Visit("/boats/TEA/calendar/"),),
    "calendars/<str:token>.ics": (Visit("/calendars/{calendar}.ics", "file", stranger=True),),
    "rows/": (Visit("/rows/"), Visit("/rows/?day=2031-05-06")),
    "rows/where/": (Visit("/rows/where/"), Visit("/rows/where/?boat=TEA")),
    "row-map.pdf": (Visit("/row-map.pdf?day=2031-05-06", "pdf"),),
    "freeze-tonight/": (
        Visit("/freeze-tonight/"),
        Visit("/freeze-tonight/?hours=1&people=1&goes=alone&air_c=-6"),
    ),
    "freeze-tonight.pdf": (Visit("/freeze-tonight.pdf", "pdf"),),
    "haul-out/": (Visit("/haul-out/"),),
    "haul-out.pdf": (Visit("/haul-out.pdf", "pdf"),),
    "winter-round/": (Visit("/winter-round/"),),
    "winter-round.pdf": (Visit("/winter-round.pdf", "pdf"),),
    "sign-in/": (Visit("/sign-in/", stranger=True),),
    "sign-in/password/": (Visit("/sign-in/password/"),),
    "yard/phones/": (Visit("/yard/phones/"),),
    "phone/": (Visit("/phone/"),),
    "phone/rules.json": (Visit("/phone/rules.json", "file", stranger=True),),
    "phone/steps.json": (Visit("/phone/steps.json", "file", stranger=True),),
    "phone/today.json": (Visit("/phone/today.json", "file"),),
    "phone/today.pdf": (Visit("/phone/today.pdf", "pdf"),),
    "phone/worker.js": (Visit("/phone/worker.js", "file"),),
    "phone/manifest.webmanifest": (Visit("/phone/manifest.webmanifest", "file"),),
    "phone/entries/": (Visit("/phone/entries/", "posts"),),
    "phone/photos/<uuid:pk>/": (Visit("/phone/photos/{undone}/", "posts"),),
    "photos/<uuid:pk>.jpg": (Visit("/photos/{photo}.jpg", "file"),),
    "photos/<uuid:pk>-small.jpg": (Visit("/photos/{photo}-small.jpg", "file"),),
    "facts/<uuid:pk>/photos/": (Visit("/facts/{undone}/photos/"),),
    "boats/<str:tag>/note/": (Visit("/boats/TEA/note/"),),
    "kept-aside/": (Visit("/kept-aside/"), Visit("/kept-aside/?boat=TEA")),
    "kept-aside/<uuid:pk>/": (Visit("/kept-aside/{aside}/"),),
    "sign-out/": (Visit("/sign-out/", "posts"),),
    # one boat
    "boats/<str:tag>/": (Visit("/boats/TEA/"), Visit("/boats/PLO/")),
    "boats/<str:tag>/at-hand/": (Visit("/boats/TEA/at-hand/"), Visit("/boats/PLO/at-hand/")),
    "boats/<str:tag>/hose-run/heard/": (Visit("/boats/TEA/hose-run/heard/", "file"),),
    "boats/<str:tag>/hose-run.pdf": (Visit("/boats/TEA/hose-run.pdf", "pdf"),),
    "boats/<str:tag>/hose-run/": (Visit("/boats/TEA/hose-run/"), Visit("/boats/AVO/hose-run/")),
    "boats/<str:tag>/now/": (Visit("/boats/TEA/now/", "posts"),),
    "boats/<str:tag>/saved/": (Visit("/boats/TEA/saved/", "posts"),),
    "boats/<str:tag>/star/": (Visit("/boats/TEA/star/", "posts"),),
    "boats/<str:tag>/tag.pdf": (Visit("/boats/TEA/tag.pdf", "pdf"),),
    "boats/tags.pdf": (Visit("/boats/tags.pdf?paper=Letter", "pdf"),),
    "boats/<str:tag>/boat.pdf": (Visit("/boats/TEA/boat.pdf", "pdf"),),
    "left-undone/": (Visit("/left-undone/"), Visit("/left-undone/?by=thing&harm=sinks")),
    "undone/<uuid:pk>/": (Visit("/undone/{undone}/"),),
    "boats/<str:tag>/left-undone/": (Visit("/boats/TEA/left-undone/"),),
    "boats/<str:tag>/found/": (Visit("/boats/TEA/found/"),),
    "boats/<str:tag>/left-undone.pdf": (Visit("/boats/TEA/left-undone.pdf", "pdf"),),
    "boats/<str:tag>/steps/": (Visit("/boats/TEA/steps/"),),
    "boats/<str:tag>/steps/<slug:code>/": (
        Visit("/boats/TEA/steps/stern_plug_out/"),
        Visit("/boats/TEA/steps/gear_oil_in/"),
    ),
    "things/new/": (Visit("/things/new/"),),
    "things/<slug:code>/change/": (Visit("/things/bow_thruster_fuse_out/change/"),),
    "things/<slug:code>/leave-out/": (Visit("/things/bow_thruster_fuse_out/leave-out/"),),
    "steps/": (Visit("/steps/"), Visit("/steps/?q=impeller")),
    "steps/<slug:code>/": (Visit("/steps/impeller_in/"), Visit("/steps/batteries_off/")),
    "steps/<slug:code>/change/": (Visit("/steps/impeller_in/change/"),),
    "steps/<slug:code>/copy/": (Visit("/steps/impeller_in/copy/"),),
    "steps/<slug:code>/leave-out/": (Visit("/steps/impeller_in/leave-out/"),),
    "steps/<slug:code>/boats/": (
        Visit("/steps/batteries_off/boats/"),
        Visit("/steps/stern_plug_out/boats/"),
    ),
    "boats/<str:tag>/readings/": (Visit("/boats/TEA/readings/"),),
    "boats/<str:tag>/readings/new/": (
        Visit("/boats/TEA/readings/new/"),
        Visit("/boats/TEA/readings/new/?quantity=head_temperature"),
        Visit("/boats/TEA/readings/new/?quantity=battery_under_load"),
        Visit("/boats/TEA/readings/new/?quantity=compression"),
    ),
    "readings/<uuid:pk>/": (Visit("/readings/{reading}/"),),
    "limits/new/": (Visit("/limits/new/"), Visit("/limits/new/?quantity=compression&boat=TEA")),
    "boats/<str:tag>/look/": (
        Visit("/boats/TEA/look/"),
        Visit("/boats/TEA/look/?at=all openings counted"),
        Visit("/boats/TEA/look/?at=livewell seacock"),
    ),
    "boats/<str:tag>/since/": (Visit("/boats/TEA/since/"),),
    "season-review/": (Visit("/season-review/"),),
    "season-review.pdf": (Visit("/season-review.pdf", "pdf"),),
    "findings.pdf": (Visit("/findings.pdf", "pdf"),),
    "school/": (Visit("/school/"),),
    "school/classes/new/": (Visit("/school/classes/new/"),),
    "school/classes/<int:pk>/": (Visit("/school/classes/{class}/"),),
    "school/classes/<int:pk>.pdf": (Visit("/school/classes/{class}.pdf", "pdf"),),
    "school/classes/<int:pk>/call-off/": (Visit("/school/classes/{class}/call-off/", "posts"),),
    "school/classes/<int:pk>/calendar/": (Visit("/school/classes/{class}/calendar/"),),
    "school/boats/new/": (Visit("/school/boats/new/"),),
    "school/boats/<int:pk>/plant/": (Visit("/school/boats/{practice}/plant/"),),
    "school/rounds/<uuid:pk>/": (Visit("/school/rounds/{round}/"),),
    "school/rounds/<uuid:pk>.pdf": (Visit("/school/rounds/{round}.pdf", "pdf"),),
    "school/questions/": (
        Visit("/school/questions/?of_set=7&n=1"),
        Visit("/school/questions/?of_set=7&about=cautions&n=2"),
    ),
    "school/questions.pdf": (Visit("/school/questions.pdf?of_set=7", "pdf"),),
    "yard/who-may/": (Visit("/yard/who-may/"),),
    "yard/who-may/<int:pk>/": (Visit("/yard/who-may/{person}/"),),
    "yard/who-may/<int:pk>.pdf": (Visit("/yard/who-may/{person}.pdf", "pdf"),),
    "findings/": (Visit("/findings/"),),
    "findings/<uuid:pk>/": (Visit("/findings/{finding}/"),),
    "boats/<str:tag>/finding/": (Visit("/boats/TEA/finding/?what=split hose"),),
    "boats/<str:tag>/under-wrap/": (
        Visit("/boats/TEA/under-wrap/"),
        Visit("/boats/PLO/under-wrap/"),
    ),
    "boats/<str:tag>/under-wrap/read/": (Visit("/boats/TEA/under-wrap/read/"),),
    "boats/<str:tag>/under-wrap.pdf": (Visit("/boats/TEA/under-wrap.pdf", "pdf"),),
    "boats/<str:tag>/record/": (Visit("/boats/TEA/record/"),),
    "facts/<uuid:pk>/": (Visit("/facts/{undone}/"),),
    # numbers
    "sums/": (Visit("/sums/"),),
    "sums/<slug:name>/": (
        Visit("/sums/mix/"),
        Visit("/sums/sling/"),
        Visit("/sums/hull-number/"),
    ),
    "sums/<slug:name>/paper.pdf": (
        Visit("/sums/mix/paper.pdf?water_l=3&fluid_l=9&percent=30", "pdf"),
    ),
    "facts/": (Visit("/facts/"), Visit("/facts/?q=glycol")),
    "facts/limits/": (Visit("/facts/limits/"),),
    "facts/<slug:topic>/": (Visit("/facts/antifreeze/"), Visit("/facts/batteries/")),
    "facts/<slug:topic>/paper.pdf": (Visit("/facts/starting/paper.pdf", "pdf"),),
    # the plan, the water, going in
    "spring/": (Visit("/spring/"),),
    "spring.pdf": (Visit("/spring.pdf", "pdf"),),
    "spring/calls.pdf": (Visit("/spring/calls.pdf", "pdf"),),
    "spring/again.pdf": (Visit("/spring/again.pdf", "pdf"),),
    "spring/promises-kept.pdf": (Visit("/spring/promises-kept.pdf", "pdf"),),
    "spring/job/": (Visit("/spring/job/", "part"),),
    "spring/again/": (Visit("/spring/again/"),),
    "spring/again/tell/<slug:what>/": (Visit("/spring/again/tell/away/"),),
    "spring/again/job/": (Visit("/spring/again/job/", "part"),),
    "spring/capacity/": (Visit("/spring/capacity/"),),
    "spring/capacity.pdf": (Visit("/spring/capacity.pdf", "pdf"),),
    "spring/capacity/job/": (Visit("/spring/capacity/job/", "part"),),
    "spring/savers/": (Visit("/spring/savers/"),),
    "spring/savers.pdf": (Visit("/spring/savers.pdf", "pdf"),),
    "spring/savers/job/": (Visit("/spring/savers/job/", "part"),),
    "spring/promises-kept/": (Visit("/spring/promises-kept/"),),
    "boats/<str:tag>/answer/": (Visit("/boats/AVO/answer/"), Visit("/boats/TEA/answer/")),
    "boats/<str:tag>/answer/job/": (Visit("/boats/AVO/answer/job/", "part"),),
    "boats/<str:tag>/told/": (Visit("/boats/TEA/told/"),),
    "boats/<str:tag>/called/": (Visit("/boats/TEA/called/"),),
    "water/": (Visit("/water/"), Visit("/water/?days=7")),
    "water.pdf": (Visit("/water.pdf", "pdf"),),
    "boats/<str:tag>/going-in/": (Visit("/boats/TEA/going-in/"), Visit("/boats/AVO/going-in/")),
    "boats/<str:tag>/ink/": (Visit("/boats/AVO/ink/"),),
    "boats/<str:tag>/move/": (Visit("/boats/TEA/move/"),),
    "boats/<str:tag>/lift-card.pdf": (Visit("/boats/TEA/lift-card.pdf", "pdf"),),
    # boats in and out
    "boats/": (Visit("/boats/"), Visit("/boats/?at=hand")),
    "boats/new/": (Visit("/boats/new/"),),
    "boats/import/": (Visit("/boats/import/"),),
    "boats/import/boats.csv": (Visit("/boats/import/boats.csv", "file"),),
    "boats/import/<uuid:uuid>/": (Visit("/boats/import/{sheet}/"),),
    "boats/import/<uuid:uuid>/rows-to-mend.csv": (
        Visit("/boats/import/{sheet}/rows-to-mend.csv", "file"),
    ),
    "boats/import/<uuid:uuid>/bring-in/": (Visit("/boats/import/{sheet}/bring-in/", "posts"),),
    "boats/import/<uuid:uuid>/take-back/": (Visit("/boats/import/{sheet}/take-back/", "posts"),),
    "boats/<str:tag>/edit/": (Visit("/boats/TEA/edit/"),),
    "boats/<str:tag>/ways-in/": (Visit("/boats/TEA/ways-in/"),),
    "boats/<str:tag>/ways-in/new/": (Visit("/boats/TEA/ways-in/new/"),),
    "boats/<str:tag>/ways-in/<int:pk>/": (Visit("/boats/TEA/ways-in/{way_in}/"),),
    "boats/<str:tag>/ways-in/<int:pk>/remove/": (
        Visit("/boats/TEA/ways-in/{way_in}/remove/", "posts"),
    ),
    "boats/<str:tag>/fittings/": (Visit("/boats/TEA/fittings/"),),
    "boats/<str:tag>/fittings/<slug:fitting>/": (Visit("/boats/TEA/fittings/engine_intake/"),),
    "boats/<str:tag>/fittings/<slug:fitting>/not/": (
        Visit("/boats/TEA/fittings/livewell/not/", "posts"),
    ),
    "boats/<str:tag>/work-done/": (Visit("/boats/AVO/work-done/"),),
    "boats/<str:tag>/work/": (Visit("/boats/AVO/work/"),),
    "boats/<str:tag>/work/new/": (Visit("/boats/AVO/work/new/"),),
    "boats/<str:tag>/work/<int:pk>/": (Visit("/boats/AVO/work/{work}/"),),
    "boats/<str:tag>/work/<int:pk>/remove/": (Visit("/boats/AVO/work/{work}/remove/", "posts"),),
    "parts/": (Visit("/parts/"),),
    "parts/new/": (Visit("/parts/new/"),),
    "parts/<int:pk>/": (Visit("/parts/{part}/"),),
    "parts/<int:pk>/came/": (Visit("/parts/{part}/came/"),),
    # the yard
    "yard/": (Visit("/yard/"),),
    "yard/settings/": (Visit("/yard/settings/"),),
    "yard/looks/": (Visit("/yard/looks/"),),
    "yard/water/": (Visit("/yard/water/"),),
    "yard/lifts/new/": (Visit("/yard/lifts/new/"),),
    "yard/lifts/<int:pk>/": (Visit("/yard/lifts/{lift}/"),),
    "yard/places/new/": (Visit("/yard/places/new/"),),
    "yard/places/<int:pk>/": (Visit("/yard/places/{place}/"),),
    "yard/instruments/new/": (Visit("/yard/instruments/new/"),),
    "yard/instruments/<int:pk>/": (Visit("/yard/instruments/{instrument}/"),),
    "yard/people/": (Visit("/yard/people/"),),
    "yard/people/new/": (Visit("/yard/people/new/"),),
    "yard/people/<int:pk>/": (Visit("/yard/people/{person}/"),),
    "yard/season-file/": (Visit("/yard/season-file/"),),
    "yard/season-file/season.toml": (Visit("/yard/season-file/season.toml", "file"),),
}
ANSWERS = {"posts": 405, "part": 286}  # 286: htmx asks no more, the planning is over
SAMPLES = {  # what stands in an address: the newest of each
    "undone": "SELECT uuid FROM work_fact WHERE kind = 'undone' ORDER BY received_at DESC",
    "reading": "SELECT uuid FROM work_fact WHERE kind = 'reading' ORDER BY received_at DESC",
    "finding": "SELECT uuid FROM work_fact WHERE kind = 'found'",
    "photo": "SELECT uuid FROM work_fact WHERE kind = 'photo'",
    "aside": "SELECT uuid FROM work_fact WHERE kind = 'kept aside'",
    "sheet": "SELECT uuid FROM fleet_import ORDER BY at DESC",
    "way_in": "SELECT w.id FROM fleet_wayin w JOIN fleet_boat b ON b.id = boat_id WHERE tag = 'TEA'",
    "work": "SELECT w.id FROM fleet_work w JOIN fleet_boat b ON b.id = boat_id WHERE tag = 'AVO'",
    "part": "SELECT id FROM fleet_part",
    "lift": "SELECT id FROM yard_lift",
    "place": "SELECT id FROM yard_place",
    "instrument": "SELECT id FROM yard_instrument",
    "person": "SELECT id FROM yard_person",
    "boat": "SELECT id FROM fleet_boat WHERE tag = 'TEA'",
    "class": "SELECT id FROM school_classgroup",
    "practice": "SELECT id FROM school_practiceboat",
    "round": "SELECT id FROM school_round",
    "ines": "SELECT id FROM yard_person WHERE name = 'Ines'",
}


def routes(patterns: list[URLPattern | URLResolver], before: str = "") -> Iterator[str]:
    for one in patterns:
        route = before + str(one.pattern)
        if isinstance(one, URLResolver):
            yield from routes(one.url_patterns, route)
        else:
            yield route


ROUTES = [*routes(get_resolver("yardwright.web.urls").url_patterns)]
HERE = [visit for route in ROUTES for visit in VISITS.get(route, ())]
PAGES = [visit for visit in HERE if visit.says == "page"]
ELSE = [visit for visit in HERE if visit.says != "page"]

SHEET = "Name,Draft (m),Owner\nGannet,1.10,B. Holt\nSkua,one,C. Lane\n"


@pytest.fixture(scope="module")
def yard(browser: Browser, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """Teal's eleven things undone, four boats in their rows, a plan that holds, and a reading."""
    files = (ROOT / "docs/teal.toml", ROOT / "docs/three-days.toml")
    with Served(tmp_path_factory.mktemp("yard"), *files) as served:
        served.set_clock(datetime.fromisoformat("2031-05-05T06:50-04:00"))
        desk = context(browser, served, "desk")
        page = desk.new_page()
        log_in(page, "Mara")
        take_a_reading(page)
        send_what_is_kept_aside(page, served)
        add_a_photo(page, served)
        find_something(page)
        send_a_sheet(page)
        plan_and_publish(page)
        tell_an_owner(page)
        ask_how_many_more(page)
        work_out_an_answer(page)
        look_for_savers(page)
        teach(page)
        keep_a_thing(page)
        desk.close()
        yield served


def take_a_reading(page: Page) -> None:
    page.goto("/boats/TEA/readings/new/?quantity=head_temperature")
    page.get_by_label("Point 1").fill("74 C")
    page.get_by_label("Which", exact=False).first.select_option("infrared gun")
    page.get_by_role("button", name="Keep it").click()
    page.wait_for_url("**/readings/*-*/")


def keep_a_thing(page: Page) -> None:
    """Something of the yard's own that can be left undone."""
    page.goto("/things/new/")
    fields = page.locator("form.fields")
    fields.locator("[name=what]").fill("Bow thruster fuse out")
    fields.locator("[name=if_forgotten]").fill("she will not turn in the berth")
    fields.locator("[name=lies_hint]").fill("In a bag on the wheel")
    fields.locator("[name=reason]").fill("half our boats have one")
    for name, value in (
        ("harm", "annoys"),
        ("before", "handover"),
        ("proof", "run"),
        ("system", "electrical"),
    ):
        fields.locator(f"select[name={name}]").select_option(value)
    page.get_by_role("button", name="Write it down").click()
    page.wait_for_url("**/steps/")


def teach(page: Page) -> None:
    """A class with a date, and faults planted on a practice boat."""
    page.goto("/school/classes/new/")
    page.get_by_label("Name of the class").fill("Spring class")
    page.get_by_label("Term begins").fill("2031-05-01")
    page.get_by_label("Term ends").fill("2031-06-06")
    page.get_by_label("Ines", exact=True).check()
    page.get_by_role("button", name="Make the class").click()
    page.get_by_label("Day").fill("2031-05-07")
    page.get_by_label("From").fill("08:00")
    page.get_by_label("What is learnt").fill("Hull openings")
    page.get_by_role("button", name="Set the date").click()
    page.get_by_text("Hull openings").wait_for()
    page.goto("/school/boats/new/")
    page.get_by_label("Her name").fill("Coot")
    page.get_by_label("She has what this boat has").select_option(label="Teal")
    page.get_by_role("button", name="Make her").click()
    page.get_by_label("Which class looks").select_option(label="Spring class")
    page.get_by_role("button", name="The round begins").click()
    page.wait_for_url("**/school/rounds/**")


def send_what_is_kept_aside(page: Page, yard: Served) -> None:
    """An unlikely reading as a phone sends it."""
    row = {
        "uuid": str(uuid4()),
        "to": "/boats/TEA/readings/new/?quantity=battery_at_rest",
        "fields": [["value_1", "127 V"], ["where", "battery 1"]],
        "made_at": datetime.now(UTC).isoformat(),
        "person": int(yard.ask("SELECT id FROM yard_person WHERE name = 'Mara'")),
        "boat": "TEA",
        "words": "Teal: battery at rest, 127 V",
    }
    sent = {"sent_at": datetime.now(UTC).isoformat(), "entries": [row]}
    answer = page.request.post("/phone/entries/", data=sent).json()["answers"]
    assert answer[row["uuid"]]["word"] == "marked", answer


def find_something(page: Page) -> None:
    page.goto("/boats/TEA/finding/")
    page.get_by_label("What is it?").select_option("split hose")
    page.get_by_role("button", name="Write it down").click()
    page.get_by_text("Held.").wait_for()


def add_a_photo(page: Page, yard: Served) -> None:
    """Beside the newest thing left undone: it shows on her pages."""
    undone = UUID(yard.ask(SAMPLES["undone"]))
    page.goto(f"/facts/{undone}/photos/")
    page.locator("input[type=file]").set_input_files(ROOT / "docs/morning-sheet.png")
    page.get_by_role("button", name="Keep them here").click()
    page.get_by_role("img", name="Photo of").wait_for()


def send_a_sheet(page: Page) -> None:
    page.goto("/boats/import/")
    sheet = {"name": "boats.csv", "mimeType": "text/csv", "buffer": SHEET.encode()}
    page.locator("input[type=file]").set_input_files(sheet)  # type: ignore[arg-type]
    page.get_by_role("button", name="Look at it").click()
    page.get_by_role("button", name="Bring in").wait_for()


def tell_an_owner(page: Page) -> None:
    page.goto("/boats/TEA/told/")
    page.get_by_label("Day told").fill("2031-05-07")
    page.get_by_label("How sure, in %").fill("80")
    page.get_by_role("button", name="Told the owner").click()
    page.wait_for_url("**/boats/TEA/")


def work_out_an_answer(page: Page) -> None:
    page.goto("/boats/AVO/answer/")
    page.get_by_role("button", name="Work it out").click()
    page.get_by_text("19 times in 20").wait_for(timeout=60_000)


def look_for_savers(page: Page) -> None:
    page.goto("/spring/savers/?boat=CUR")
    page.get_by_role("button", name="Look for savers").click()
    page.get_by_text("all savers in the same ones").wait_for(timeout=120_000)


def ask_how_many_more(page: Page) -> None:
    page.goto("/spring/capacity/")
    page.get_by_label("To be handed over by").fill("2031-05-07")
    page.get_by_role("button", name="Count").click()
    page.get_by_text("short first").wait_for(timeout=60_000)


@pytest.fixture(scope="module")
def mara(browser: Browser, yard: Served) -> Iterator[Page]:
    """Mara, logged in on a phone, whose browser can be made as wide as a desk's."""
    phone = context(browser, yard, "phone")
    page = phone.new_page()
    log_in(page, "Mara")
    yield page
    phone.close()


def a_calendar(yard: Served) -> str:
    """As the yard signs it: what a person copies from the calendar's page."""
    key = (yard.home / "secret-key").read_text().strip()
    return Signer(key=key, sep=".", salt="calendar").sign(f"boat-{yard.ask(SAMPLES['boat'])}-0")


def address(visit: Visit, yard: Served) -> str:
    def sample(word: re.Match[str]) -> str:
        if word[1] == "calendar":
            return a_calendar(yard)
        found = yard.ask(SAMPLES[word[1]])
        return str(UUID(found)) if len(found) == 32 else found

    return re.sub(r"{(\w+)}", sample, visit.path)


def test_each_address_is_visited() -> None:
    """A new URL needs a visit; a visit to a URL that is gone is dropped."""
    assert set(ROUTES) == set(VISITS)


@pytest.mark.parametrize("visit", PAGES, ids=[visit.path for visit in PAGES])
def test_page(visit: Visit, browser: Browser, yard: Served, mara: Page) -> None:
    page = context(browser, yard, "phone").new_page() if visit.stranger else mara
    with complaints(page) as heard:
        answer = page.goto(address(visit, yard))
        assert answer is not None
        assert answer.status == 200, page.inner_text("body")[:500]
        found = faults(page, "desk", "phone") + heard
    if visit.stranger:
        page.context.close()
    assert not found, "\n".join(found)


@pytest.mark.parametrize("path", ["/", "/spring/", "/boats/TEA/", "/freeze-tonight/"])
def test_axe_sees_nothing_faint_by_night(path: str, mara: Page) -> None:
    mara.set_viewport_size(DESK_PX)
    mara.goto(path)
    mara.evaluate(AXE)
    mara.emulate_media(color_scheme="dark")
    assert axe(mara, colours=True) == []
    mara.emulate_media(color_scheme="light")


@pytest.mark.parametrize("visit", ELSE, ids=[visit.path for visit in ELSE])
def test_what_is_no_page(visit: Visit, yard: Served, mara: Page) -> None:
    answer = mara.request.get(address(visit, yard))
    assert answer.status == ANSWERS.get(visit.says, 200)
    assert answer.body().startswith(b"%PDF-") == (visit.says == "pdf")
