"""A mechanic's day: ten readings in three systems of units, and what must not pass for fine."""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.conftest import context, log_in
from tests.browser.looked_over import faults
from tests.browser.served import Served

GREBE = Path(__file__).parent / "mechanics_day.toml"
MORNING = datetime.fromisoformat("2031-05-06T07:30-04:00")


@dataclass(frozen=True, slots=True)
class Taken:
    """One reading as it is typed, and the word that stands beside it afterwards."""

    quantity: str
    values: tuple[str, ...]
    tool: str
    told: Mapping[str, str]
    understood: str
    verdict: str
    why: str


YES = "Yes"
ENGINE_WARM = {"Was the engine at running temperature": YES, "Was each spot touched": YES}
CRANKED = {
    "Was the engine warm?": YES,
    "Were all plugs out?": YES,
    "Was the throttle wide open?": YES,
    "Was each cylinder cranked equally long": YES,
}
LOADED = {
    "Was it charged, to three quarters": YES,
    "Had it rested, or was its surface": YES,
    "Was half of its cold-cranking amps": YES,
    "After how many seconds": "15 s",
    "How warm is the battery itself?": "45 °F",
    "How far off can that thermometer be": "2 F",
}
IDLING = {"Was the engine at fast idle?": YES, "Was the battery nearly full?": YES}

DAY = (
    # The expected words are worked out by hand from the limits in mechanics_day.toml.
    Taken(
        "battery_at_rest",
        ("12,71",),
        "bench meter",
        {"How many hours since": "14 h", "What kind of battery": "flooded"},
        "12.71 V",
        "Good",  # 0.21 V over 12.5 V, u 0.01 V
        "at least 12.5 V",
    ),
    Taken(
        "battery_under_load",
        ("10.10 V",),
        "load tester",
        LOADED,
        "10.1 V",
        "Good",  # the table: 9.35 V at 45 °F; 0.75 V over it, thin under 0.45 V
        "9.35",
    ),
    Taken(
        "head_temperature",
        ("165 F", "163 F", "166 F", "74 C"),
        "contact probe",
        ENGINE_WARM,
        "165 °F",
        "Good",  # 80 °C is 176 °F; the hottest, 166 °F, is 10 °F under, thin under 5.4 °F
        "at most 176 °F",
    ),
    Taken(
        "compression",
        ("150 psi", "148 psi", "151 psi", "149 psi"),
        "compression gauge",
        CRANKED,
        "150 psi",
        "No limit on file",
        "no limit on file. Enter the manual's value and its page",
    ),
    Taken(
        "charge_voltage",
        ("14.2 V",),
        "van meter",
        IDLING,
        "14.2 V",
        "Can't say",  # the meter was checked until 31 March
        "2031-03-31",
    ),
    Taken(
        "charge_voltage",
        ("14,2 V",),
        "shop meter",
        IDLING,
        "14.2 V",
        "Good",
        "13.8 V to 14.8 V",
    ),
    Taken(
        "fuel_pressure",
        ("40 psi",),
        "fuel gauge",
        {"Was it sniffed before": YES, "Was every joint dry": YES},
        "2.76 bar",  # 40 × 0.0689476
        "Good",
        "2.4 bar to 3.1 bar",
    ),
    Taken(
        "propeller_nut_torque",
        ("75 N m",),
        "torque wrench",
        {"Are thrust washer and spacer in": YES, "Is the pin or tab in": YES},
        "55.3 lb ft",  # 75 / 1.35582
        "Good",
        "50 lb ft to 60 lb ft",
    ),
    Taken(
        "freeze_point",
        ("-31 C",),
        "refractometer",
        {
            "Which fluid is it?": "propylene glycol",
            "Was it read on that fluid's own scale?": YES,
            "How warm was the drop": "18 C",
            "Was it taken where the fluid comes out; of a coolant loop, from below its surface?": YES,
        },
        "-23.8 °F",  # -31 × 1.8 + 32
        "Good",  # 3.8 °F under -20 °F, u 1 °F
        "at most -20 °F",
    ),
    Taken(
        "lift_weight",
        ("5730 lb",),
        "lift scale",
        {"Did she hang free": YES, "Was the scale zeroed": YES, "Did the number stand still": YES},
        "2599 kg",  # 5730 × 0.453592
        "Good",
        "at most 15000 kg",
    ),
)


@pytest.fixture(scope="module")
def ines(browser: Browser, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Page]:
    with Served(tmp_path_factory.mktemp("grebe") / "yard", GREBE) as yard:
        yard.set_clock(MORNING)
        page = context(browser, yard, "phone").new_page()
        log_in(page, "Ines")
        yield page


@pytest.mark.slow
def test_ten_readings_in_three_systems_of_units(ines: Page) -> None:
    for taken in DAY:
        takes(ines, taken)
    ines.goto("/boats/GRE/")
    expect(ines.locator("main")).to_contain_text("No limit on file")
    assert faults(ines, "phone") == []


def takes(page: Page, taken: Taken) -> None:
    """Type it, read back what was understood with its verdict, keep it; nothing is kept before."""
    page.goto(f"/boats/GRE/readings/new/?quantity={taken.quantity}")
    form = page.locator("form.fields")
    boxes = form.locator("input[name^=value_]")
    for box, value in zip(boxes.all(), taken.values, strict=False):
        box.fill(value)
    form.get_by_label("Which").first.select_option(
        label=tool_option(form_options(page), taken.tool)
    )
    for question, answer in taken.told.items():
        box = form.get_by_label(re.compile(re.escape(question))).first
        if box.evaluate("box => box.tagName") == "SELECT":
            box.select_option(label=answer)
        else:
            box.fill(answer)
    form.get_by_role("button", name="Show what it says").click()
    keep = form.get_by_role("button", name=re.compile("^Keep it"))
    expect(form.locator("#understood")).to_contain_text(taken.understood)
    expect(form.locator("#understood")).to_contain_text(taken.verdict)
    keep.click()
    page.wait_for_url(re.compile("/readings/[0-9a-f-]{36}/"))
    expect(page.locator("main")).to_contain_text(taken.verdict)
    expect(page.locator("main")).to_contain_text(taken.why)


def form_options(page: Page) -> list[str]:
    return page.locator("select[name=instrument] option").all_inner_texts()


def tool_option(options: list[str], tool: str) -> str:
    return next(option for option in options if tool in option)


def test_a_number_of_another_unit_is_asked_about(ines: Page) -> None:
    ines.goto("/boats/GRE/readings/new/?quantity=fuel_pressure")
    form = ines.locator("form.fields")
    form.locator("input[name=value_1]").fill("95 bar")  # 1,378 psi, in a petrol engine's rail
    form.get_by_role("button", name="Show what it says").click()
    expect(form).to_contain_text("or 95 psi (6.55 bar)")
    expect(form.get_by_role("button", name=re.compile("^Keep it"))).to_have_count(0)


def test_a_split_bellows_would_take_water(ines: Page) -> None:
    looks_at(ines, "all openings counted", "Counted: these are all")
    looks_at(ines, "stern drain plug", "Looked: it holds")
    ines.goto("/boats/GRE/look/?at=drive bellows")
    ines.get_by_text("It does not hold").first.click()
    ines.get_by_label("What did you see?").fill("split along the third fold")
    ines.get_by_role("button", name="Write it down").click()
    expect(ines.get_by_role("status")).to_contain_text("split along the third fold")
    ines.goto("/boats/GRE/")
    expect(ines.locator("main")).to_contain_text("Would take water")
    expect(ines.locator("main")).to_contain_text("drive bellows")


def looks_at(page: Page, what: str, button: str) -> None:
    page.goto(f"/boats/GRE/look/?at={what}")
    page.get_by_role("button", name=button).first.click()
    expect(page.locator("main")).to_contain_text("Ines")


def test_a_petrol_engine_under_a_hatch_waits_for_its_blower(ines: Page) -> None:
    # 33 CFR 183.610(f): four minutes of blower before the start, and a look for vapours.
    ines.goto("/boats/GRE/")
    main = ines.locator("main")
    expect(main).to_contain_text(re.compile("Not known|Must not start"))
    expect(main).to_contain_text("lower")
    ines.goto("/boats/GRE/look/")
    expect(main).to_contain_text(re.compile("4 min|four minutes"))
