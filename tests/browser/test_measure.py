"""What is measured in the browser finds each fault when it is planted."""

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page

from tests.browser.looked_over import MEASURE, axe, complaints, faults


@pytest.fixture(scope="module")
def page(browser: Browser) -> Iterator[Page]:
    made = browser.new_page(viewport={"width": 390, "height": 844})
    yield made
    made.close()


def on(page: Page, body: str) -> Page:
    page.set_content(
        f"<!doctype html><title>t</title><body style='background: white'>{body}</body>"
    )
    page.evaluate(MEASURE)
    return page


@pytest.mark.parametrize(
    ("colour", "contrast"),
    [
        # WCAG 2.2, 1.4.3 and 1.4.6: #767676 is the lightest grey on white above 4.5, #595959 above 7.
        ("#777777", 4.5),
        ("#5a5a5a", 7.0),
        ("#ffffff", 1.1),
    ],
)
def test_faint_words_are_found(page: Page, colour: str, contrast: float) -> None:
    on(page, f"<p style='color: {colour}'>Left undone</p>")
    assert len(page.evaluate(f"measure.faint({contrast})")) == 1


@pytest.mark.parametrize(
    ("colour", "contrast"), [("#767676", 4.5), ("#595959", 7.0), ("#000000", 20.99)]
)
def test_dark_words_are_good(page: Page, colour: str, contrast: float) -> None:
    on(page, f"<p style='color: {colour}'>Left undone</p>")
    assert page.evaluate(f"measure.faint({contrast})") == []


def test_the_ground_is_what_lies_behind(page: Page) -> None:
    on(page, "<div style='background: black'><p style='color: black'>Left undone</p></div>")
    assert len(page.evaluate("measure.faint(7)")) == 1


def test_the_ground_may_shine_through(page: Page) -> None:
    """Half black over white is #808080, on which black has 5.3."""
    on(page, "<div style='background: #00000080'><p style='color: black'>Left undone</p></div>")
    assert len(page.evaluate("measure.faint(5.4)")) == 1
    assert page.evaluate("measure.faint(5.2)") == []


def test_words_in_a_drawing_stand_on_their_shape(page: Page) -> None:
    hull = "<rect x='0' y='0' width='200' height='40' fill='black'/>"
    words = "<text x='10' y='25' fill='{}'>Wren</text>"
    on(page, f"<svg width='300' height='60'>{hull}{words.format('#222')}</svg>")
    assert len(page.evaluate("measure.faint(7)")) == 1
    on(page, f"<svg width='300' height='60'>{hull}{words.format('white')}</svg>")
    assert page.evaluate("measure.faint(7)") == []


def test_a_drawing_made_narrow_has_small_letters(page: Page) -> None:
    drawing = "<svg viewBox='0 0 1180 100' style='width: 360px'><text y='50' font-size='16'>A</text></svg>"
    on(page, drawing)
    assert len(page.evaluate("measure.tiny(13)")) == 1


@pytest.mark.parametrize(
    "control",
    [
        "<button style='width: 200px; height: 56px'>Dry</button>",
        "<a href='#' style='display: block; width: 50px; height: 60px'>A</a>",
        "<p><a href='#'>Her steps</a> · <a href='#'>Her record</a></p>",
        "<ul><li><a href='#'>Oil at the mark?</a> nobody looked</li></ul>",
        "<input aria-label='Value' style='height: 30px'>",
        "<label><input type='checkbox'> Cold</label>",
        "<svg width='90' height='40'><a href='/w'><text y='20'>Wren</text></a></svg>",
    ],
)
def test_small_targets_are_found(page: Page, control: str) -> None:
    assert on(page, control).evaluate("measure.small(57)")


@pytest.mark.parametrize(
    "control",
    [
        "<button style='width: 200px; height: 57px'>Dry</button>",
        "<p>She waits for <a href='#'>her kit</a>.</p>",
        "<label style='display: block; height: 60px'><input type='checkbox'> Cold</label>",
        "<button hidden>Dry</button>",
        "<svg width='90' height='40'><a href='/w'><text y='20'>Wren</text></a></svg>"
        "<a href='/w' style='display: block; height: 60px'>Wren</a>",
    ],
)
def test_what_is_big_enough_or_read_is_left_alone(page: Page, control: str) -> None:
    assert on(page, control).evaluate("measure.small(57)") == []


def test_a_page_too_wide_is_found(page: Page) -> None:
    assert on(page, "<p style='width: 500px'>Morning</p>").evaluate("measure.wide()")
    assert on(page, "<p>Morning</p>").evaluate("measure.wide()") == []


def test_axe_is_asked_by_day(page: Page) -> None:
    on(page, "<h1>Wren</h1><input style='height: 60px'>")
    found = faults(page, "desk", "phone")
    assert any("desk: light: axe label" in said for said in found)
    assert any("phone: light: axe label" in said for said in found)
    on(page, "<h1>Wren</h1><p style='color: #ddd; background: white'>Left undone</p>")
    assert any("light: axe color-contrast" in said for said in faults(page, "desk"))


def test_by_night_what_is_faint_for_axe_is_faint_for_us(page: Page) -> None:
    night = "@media (prefers-color-scheme: dark) { p { color: #eee } }"
    on(page, f"<h1>Wren</h1><style>{night}</style><p>Left undone</p>")
    found = faults(page, "desk")
    assert any("dark: <p>" in said for said in found)
    assert not any("light: <p>" in said for said in found)
    assert any("color-contrast" in said for said in axe(page, colours=True))


def test_what_the_browser_complains_of_is_heard(page: Page) -> None:
    with complaints(page) as heard:
        on(page, "<script>console.error('no'); nothing()</script>")
        page.wait_for_timeout(50)
    assert [said.partition(":")[0] for said in heard] == ["console", "script"]
