"""Three boats from contract to walk-through: an outboard, a sterndrive, a sloop with a diesel."""

import re
from collections.abc import Callable, Iterator
from datetime import datetime, timedelta
from functools import partial
from itertools import takewhile
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.conftest import context, log_in
from tests.browser.looked_over import faults
from tests.browser.served import Served
from yardwright.procedures.start_check import needs
from yardwright.procedures.step import Season, Stage, Step
from yardwright.procedures.steps import book, not_covered
from yardwright.procedures.water_order import EngineKind, Supply
from yardwright.procedures.ways_in import OPENINGS
from yardwright.season.read import read_file

THREE_BOATS = Path(__file__).parent / "three_boats.toml"
YEAR = read_file(THREE_BOATS)
HAS = {boat.name: boat.has for boat in YEAR.boats}
TAG = {boat.name: boat.tag for boat in YEAR.boats}
EVERY = tuple(TAG)
ENGINES = {
    "Wren": (EngineKind.OUTBOARD, Supply.MUFFS),
    "Kite": (EngineKind.STERNDRIVE, Supply.MUFFS),
    "Avocet": (EngineKind.INBOARD_DIESEL, Supply.BUCKET),
}
OPENS = {  # where her list has several of the kind, and none bears the usual name
    "head_seacocks": "head seacocks",
    "head_hoses": "head hoses",
}


@pytest.mark.slow
def test_from_contract_to_walk_through(browser: Browser, tmp_path: Path) -> None:
    assert not any(not_covered(has) for has in HAS.values())
    with Served(tmp_path / "yard", THREE_BOATS) as yard:
        ines = context(browser, yard, "phone").new_page()
        tomas = context(browser, yard, "phone").new_page()
        log_in(ines, "Ines")
        log_in(tomas, "Tomas")

        yard.set_clock(at("2030-11-04T08:00-05:00"))
        fall(ines)
        winter(yard, ines)
        spring(yard, ines, tomas)
        launch(yard, ines, tomas)
        tells_the_year(ines)


def at(text: str) -> datetime:
    return datetime.fromisoformat(text)


def of(season: Season, *stages: Stage) -> Iterator[Step]:
    return (s for s in book().steps if s.season == season and (not stages or s.stage in stages))


# --- the yard's ways of doing ---------------------------------------------------------


def does(page: Page, step: Step, boats: tuple[str, ...] = EVERY) -> None:
    """Hers alone at the boat, also where it opens a way in; what is the same on several, at once."""
    hers = [boat for boat in boats if step.suits(HAS[boat])]
    if len(hers) > 1 and not any(book().kinds[code].barrier for code in step.opens):
        on_several(page, step, hers)
        return
    for boat in hers:
        page.goto(f"/boats/{TAG[boat]}/steps/{step.code}/")
        does_it_here(page, step)


def on_several(page: Page, step: Step, boats: list[str]) -> None:
    page.goto(f"/steps/{step.code}/boats/")
    for boat in boats:
        page.get_by_label(boat, exact=True).check()
    says_where_it_lies(page)
    page.get_by_role("button", name=re.compile("on all that are chosen$")).click()
    expect(page.locator(".say, p").filter(has_text="No boat has it still to do.")).to_be_visible()


def does_it_here(page: Page, step: Step) -> None:
    says_where_it_lies(page)
    for code in step.opens:
        which = page.locator(f"[name=fitting_{code}]")
        if which.count() and not which.input_value():
            which.select_option(OPENS[code])
    page.locator("form.fields").get_by_role("button").first.click()
    expect(page.get_by_role("status")).to_contain_text("Done: ")


def says_where_it_lies(page: Page) -> None:
    for lies in page.locator("form.fields").get_by_label("where does it lie?").all():
        lies.fill("bin 7, shelf 2")


def each(deed: Callable[[Page, str], None], page: Page) -> None:
    for boat in EVERY:
        deed(page, boat)


def comes_out(page: Page, boat: str, berth: int) -> None:
    page.goto(f"/boats/{TAG[boat]}/going-in/")
    page.get_by_label("She stands at").select_option("North row")
    page.get_by_label("Berth").fill(str(berth))
    page.get_by_role("button", name="She is out, and blocked up").click()
    expect(page.locator(".head")).to_contain_text(f"Blocked up, North row, berth {berth}")


def moves(page: Page, boat: str, state: str) -> None:
    page.goto(f"/boats/{TAG[boat]}/move/")
    page.get_by_label("She is").select_option(state)
    page.get_by_role("button", name="She is here now").click()
    expect(page.locator(".head")).to_contain_text(state)


def answers(page: Page, boat: str, floats: str, start: str) -> None:
    """What her page says of the water and of her engine."""
    page.goto(f"/boats/{TAG[boat]}/")
    checks = page.locator("#her-checks .answer")
    expect(checks.filter(has_text="Would she float?").locator("h2")).to_contain_text(floats)
    expect(checks.filter(has_text="May her engine").locator("h2")).to_contain_text(start)


# --- fall -------------------------------------------------------------------------


def fall(page: Page) -> None:
    steps = list(of(Season.FALL))
    blocked_up = next(n for n, step in enumerate(steps) if step.code == "blocked_up")
    for step in steps[:blocked_up]:
        if step.reading == "lift_weight":
            for boat, kg in zip(EVERY, (1480, 2540, 4960), strict=True):
                is_weighed(page, boat, step, kg)
        else:
            does(page, step)
    each(counts_her_openings, page)
    for berth, boat in enumerate(SLINGS, 1):
        comes_out(page, boat, berth)
    for step in steps[blocked_up:]:
        if step.code == "under_wrap_drawn":
            each(draws_her_card, page)
        does(page, step)
    for boat in EVERY:
        page.goto(f"/boats/{TAG[boat]}/steps/")
        expect(page.locator(".say")).to_contain_text(re.compile(r"All \d+ fall steps are done\."))
        moves(page, boat, "Laid up")
        answers(page, boat, "Would take water", "Must not start")


def is_weighed(page: Page, boat: str, step: Step, kg: int) -> None:
    """The scale is asked for in the step; what it showed is read back before it is kept."""
    page.goto(f"/boats/{TAG[boat]}/steps/{step.code}/")
    page.get_by_role("link", name="It asks for a reading: Weight on the lift's scale").click()
    page.get_by_label("Weight on the lift's scale").fill(f"{kg} kg")
    page.get_by_label("Which scale").select_option("lift's scale")
    for asked in page.locator("form.fields select[name^=c_]").all():
        asked.select_option("yes")
    page.get_by_role("button", name=re.compile(f"Keep it: .*{kg}")).click()
    expect(page.locator("main")).to_contain_text("Good")
    page.get_by_role("link", name="Back to the step").click()
    does_it_here(page, step)


def draws_her_card(page: Page, boat: str) -> None:
    page.goto(f"/boats/{TAG[boat]}/under-wrap/")
    drawn = (("rod holder", "hard or sharp", "stern, starboard"), ("keel line", "cut here", "top"))
    for number, (what, sort, zone) in enumerate(drawn, 1):
        if number > 1:
            page.reload()
            page.locator("#mark summary").first.click()
        page.get_by_label("What lies there?").fill(what)
        page.get_by_label("It is").select_option(sort)
        page.get_by_label("Where on her?").select_option(zone)
        page.get_by_role("button", name="Put it on the card").click()
        expect(page.locator("#card")).to_contain_text(f"{number}. {what}")


# --- winter -----------------------------------------------------------------------


def winter(yard: Served, page: Page) -> None:
    """Frost and a contractor; the round says what is due, and after it nothing is."""
    yard.set_clock(at("2031-01-20T09:00-05:00"))
    for boat in EVERY:
        happened(page, boat, "Frost while wet")
    happened(page, "Avocet", "Somebody aboard")
    page.goto("/winter-round/")
    expect(page.locator(".say")).to_contain_text("due on 3 boats")
    for step in of(Season.WINTER):
        does(page, step)
    page.goto("/winter-round/")
    expect(page.locator(".say")).to_contain_text("Nothing is due")
    finds(page, "Kite")
    for boat in EVERY:
        answers(page, boat, "Would take water", "Must not start")


def happened(page: Page, boat: str, what: str) -> None:
    page.goto(f"/boats/{TAG[boat]}/since/")
    page.get_by_label(what).check()
    page.get_by_role("button", name="It happened: look again").click()
    expect(page.get_by_role("heading", name="What happened")).to_be_visible()


def finds(page: Page, boat: str) -> None:
    page.goto(f"/boats/{TAG[boat]}/finding/")
    page.get_by_label("What is it?").select_option(index=1)
    page.get_by_label("Where on her, and how does it look?").fill("by the port cushion")
    page.get_by_role("button", name="Write it down").click()
    expect(page.locator("#finding .entered, #finding + .entered")).to_contain_text("Held.")
    page.goto("/findings/")
    expect(page.locator("main")).to_contain_text("by the port cushion")


# --- spring -----------------------------------------------------------------------


def spring(yard: Served, ines: Page, tomas: Page) -> None:
    """The afternoon before the launch: what can sink her is proven within a day of it."""
    yard.set_clock(at("2031-05-06T12:30-04:00"))
    for boat in EVERY:
        moves(ines, boat, "Fitting out")
    for step in takewhile(lambda one: one.stage != Stage.RUN, of(Season.SPRING)):
        if step.code == "under_wrap_read":
            each(reads_her_card_first, ines)
        if step.code == "openings_counted":
            each(counts_her_openings, ines)
        does(ines, step)
    for boat in EVERY:
        looks_a_second_time(tomas, boat)
        may_start(ines, boat)
    for step in of(Season.SPRING, Stage.RUN, Stage.AGAIN, Stage.DOMESTIC):
        does(ines, step)
    for boat in EVERY:
        looks_a_second_time(tomas, boat)
        looks_at_what_is_asked(ines, boat)
        if boat == "Avocet":
            looks(ines, boat, "macerator hose")  # else she would float on one valve
        floats(ines, boat)


def reads_her_card_first(page: Page, boat: str) -> None:
    """Who has not read the card does not say that the wrap is off."""
    page.goto(f"/boats/{TAG[boat]}/steps/unwrapped/")
    page.locator("form.fields").get_by_role("button").first.click()
    expect(page.get_by_role("alert")).to_contain_text(f"You have not read {boat}'s under-wrap card")
    page.get_by_role("link", name="Her under-wrap card").click()
    page.get_by_role("button", name="I have read it: I may cut").click()
    expect(page.locator("#read")).to_contain_text("Ines")


def looks(page: Page, boat: str, at_what: str) -> None:
    page.goto(f"/boats/{TAG[boat]}/look/?at={at_what}")
    page.get_by_role(
        "button", name=re.compile("^(Looked: it (is so|holds)|Counted: these are all)")
    ).click()
    expect(page.get_by_role("status")).to_contain_text(re.compile("it was so|holds"))


def counts_her_openings(page: Page, boat: str) -> None:
    """Round the bare hull: until somebody did, no answer about the water is known."""
    looks(page, boat, OPENINGS)


def looks_at_what_is_asked(page: Page, boat: str) -> None:
    """What nobody took off was proven by nobody: her page names it, the fewest things to do."""
    for _ in range(9):
        page.goto(f"/boats/{TAG[boat]}/")
        to_do = page.locator("#her-checks .answer").first.locator("a.btn.main")
        if not to_do.count():
            return
        to_do.first.click()
        page.get_by_role("button", name="Looked: it holds").click()
        expect(page.get_by_role("status")).to_contain_text("holds, proven")


def floats(page: Page, boat: str) -> None:
    page.goto(f"/boats/{TAG[boat]}/")
    check = page.locator("#her-checks .answer").first
    expect(check.locator("h2")).to_contain_text("Floats")


def looks_a_second_time(page: Page, boat: str) -> None:
    """What can sink, burn or ruin is seen by another pair of eyes."""
    page.goto(f"/boats/{TAG[boat]}/left-undone/")
    waits = page.get_by_role("row").filter(has_text="waits for a second pair of eyes")
    for left in range(waits.count() - 1, -1, -1):
        waits.first.get_by_role("link").first.click()
        page.locator("#live > form").get_by_role("button").click()
        expect(page.get_by_role("status")).to_contain_text("Ines and Tomas")
        page.goto(f"/boats/{TAG[boat]}/left-undone/")
        expect(waits).to_have_count(left)


def may_start(page: Page, boat: str) -> None:
    """Each thing that a start needs is looked at; then, and no sooner, she may start."""
    page.goto(f"/boats/{TAG[boat]}/hose-run/")
    expect(page.locator("#before .say")).to_contain_text("Not known")
    for need in needs(*ENGINES[boat]):
        if not need.after_stop:
            looks(page, boat, need.code)
    page.goto(f"/boats/{TAG[boat]}/hose-run/")
    expect(page.locator("#before .say")).to_contain_text("May start")


# --- the launch ---------------------------------------------------------------------

SLINGS = {"Avocet": "10:00", "Kite": "10:50", "Wren": "11:40"}  # each afloat and watched an hour
BEFORE_THE_SLINGS = ("slings_set", "bare_patches_painted", "anodes_seen_bare")
HANG, WATCH = 16, (0, 10, 30, 120, 24 * 60)  # minutes


def launch(yard: Served, ines: Page, tomas: Page) -> None:
    """One after another at the lift; the looks of the watch fall between."""
    deeds: list[tuple[datetime, Callable[[], None]]] = []
    for boat, clock in SLINGS.items():
        since = at(f"2031-05-07T{clock}-04:00")
        off = since + timedelta(minutes=HANG)
        deeds.append((since, partial(into_the_slings, ines, boat)))
        deeds.append((off, partial(slings_off, ines, boat)))
        for number, minutes in enumerate(WATCH, 1):
            look = partial(a_look_of_the_watch, ines, boat, number)
            deeds.append((off + timedelta(minutes=minutes, seconds=20), look))
    for moment, deed in sorted(deeds, key=lambda one: one[0]):
        yard.set_clock(moment)
        deed()
    after = [step for step in of(Season.SPRING, Stage.LAUNCH) if step.code not in BEFORE_THE_SLINGS]
    for step in (*after, *of(Season.SPRING, Stage.TRAY)):
        if step.code == "owner_walked_through":
            for boat in EVERY:
                is_refused_before_the_key(ines, boat)
                asks(ines, boat)
        does(ines, step)
    for boat in EVERY:
        looks_a_second_time(tomas, boat)
        is_handed_over(ines, boat)


def into_the_slings(page: Page, boat: str) -> None:
    for step in of(Season.SPRING, Stage.LAUNCH):
        if step.code in BEFORE_THE_SLINGS:
            does(page, step, (boat,))
    page.goto(f"/boats/{TAG[boat]}/going-in/")
    page.get_by_role("button", name="She is ready to go in").click()
    expect(page.locator("#going .say")).to_contain_text("Ready to go in")
    page.get_by_role("button", name="The pump ran").click()
    expect(page.locator("#going")).to_contain_text("It ran")
    expect(page.locator("#going .say")).to_contain_text("Nothing refuses the next step.")
    page.get_by_role("button", name="In the slings now").click()
    page.get_by_role("button", name="The bilge is dry").click()
    expect(page.locator("#going")).to_contain_text("The second look counts from")
    dry = page.get_by_role("button", name=re.compile("^Dry at the "))
    for left in range(dry.count() - 1, -1, -1):
        dry.first.click()
        expect(dry).to_have_count(left)


def slings_off(page: Page, boat: str) -> None:
    page.goto(f"/boats/{TAG[boat]}/going-in/")
    page.get_by_role("button", name="The bilge is dry").click()
    expect(page.locator("#going .say")).to_contain_text("Nothing refuses the next step.")
    page.get_by_role("button", name="Slings off: she floats").click()
    expect(page.get_by_role("heading", name="The watch")).to_be_visible()


def a_look_of_the_watch(page: Page, boat: str, number: int) -> None:
    page.goto(f"/boats/{TAG[boat]}/going-in/")
    page.get_by_role("button", name="The bilge is dry").click()
    done = page.get_by_role("listitem").filter(has_text=re.compile(r"\d done: "))
    expect(done).to_have_count(number)


# --- her owner ----------------------------------------------------------------------


def is_refused_before_the_key(page: Page, boat: str) -> None:
    page.goto(f"/boats/{TAG[boat]}/going-in/")
    page.get_by_role("button", name="Hand her over").click()
    expect(page.get_by_role("alert")).to_contain_text("Key ashore")


def asks(page: Page, boat: str) -> None:
    """What her owner asked stays with her."""
    page.goto(f"/boats/{TAG[boat]}/note/")
    page.get_by_label("Note").fill("Owner asks: which oil now?")
    page.locator("form.fields").get_by_role("button").first.click()


def is_handed_over(page: Page, boat: str) -> None:
    page.goto(f"/boats/{TAG[boat]}/steps/")
    expect(page.locator(".say")).to_contain_text(re.compile(r"All \d+ spring steps are done\."))
    page.goto(f"/boats/{TAG[boat]}/going-in/")
    page.get_by_role("button", name="Hand her over").click()
    expect(page.locator("#going .say")).to_contain_text("Handed over")
    page.goto(f"/boats/{TAG[boat]}/")
    expect(page.locator("#her-answer")).to_contain_text("Nothing is left undone on her.")
    expect(page.locator("main")).to_contain_text("Owner asks: which oil now?")
    expect(page.locator("#her-checks")).to_contain_text("Floats")


def tells_the_year(page: Page) -> None:
    """As many things as the fall's steps open on the three, all proven back, and none too late."""
    undone = sum(
        len(step.opens) for step in of(Season.FALL) for boat in EVERY if step.suits(HAS[boat])
    )
    page.goto("/season-review/")
    expect(page.locator(".say")).to_have_text(f"{undone} things undone, 0 still open.")
    expect(page.locator("main")).to_contain_text(
        "Nothing was proven back after the deed that had to wait for it."
    )
    page.goto("/left-undone/")
    expect(page.locator("main")).to_contain_text("Nothing")
    assert faults(page, "phone") == []
