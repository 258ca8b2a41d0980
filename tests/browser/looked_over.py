"""One page looked over: by axe, in sun and at night, on a desk or with gloves on a phone."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Literal, cast

from axe_playwright_python.sync_playwright import Axe  # type: ignore[import-untyped]  # has none
from playwright.sync_api import ConsoleMessage, Error, Page, ViewportSize

Device = Literal["desk", "phone"]
SCHEMES: tuple[Literal["light", "dark"], ...] = ("light", "dark")

AXE = Axe().axe_script
FOUND = """(options) => axe.run(document, options).then(({ violations }) => violations.map(
  ({ id, nodes }) => `axe ${id}: ${nodes.slice(0, 3).map((one) => one.html.slice(0, 120)).join("; ")}`))"""
LEVELS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
MEASURE = (Path(__file__).parent / "measure.js").read_text(encoding="utf-8")
CONTRAST = 7
TARGET_PX = 57
LETTERS_PX = 12
PHONE_PX: ViewportSize = {"width": 390, "height": 844}
AT_200_PERCENT_PX: ViewportSize = {"width": 195, "height": 422}
DESK_PX: ViewportSize = {"width": 1280, "height": 900}
SIZES: dict[Device, ViewportSize] = {"phone": PHONE_PX, "desk": DESK_PX}


@contextmanager
def complaints(page: Page) -> Iterator[list[str]]:
    """What the browser itself complains of meanwhile: scripts, what the page's policy forbids."""
    heard: list[str] = []

    def listen(said: ConsoleMessage) -> None:
        if said.type == "error":
            heard.append(f"console: {said.text}")

    def broken(error: Error) -> None:
        heard.append(f"script: {error}")

    page.on("console", listen)
    page.on("pageerror", broken)
    yield heard
    page.remove_listener("console", listen)
    page.remove_listener("pageerror", broken)


def faults(page: Page, *devices: Device) -> list[str]:
    """Whatever is wrong on the page as it stands, everything that folds unfolded."""
    page.evaluate(MEASURE + AXE)
    page.evaluate("document.querySelectorAll('details').forEach((one) => (one.open = true))")
    found = [*_structure(page)]
    for device in devices:
        page.set_viewport_size(SIZES[device])
        found += [f"{device}: {said}" for said in _seen(page, device)]
    return found


def _seen(page: Page, device: Device) -> Iterator[str]:
    for scheme in SCHEMES:
        page.emulate_media(color_scheme=scheme)
        yield from (f"{scheme}: {said}" for said in _measured(page, f"faint({CONTRAST})"))
        if scheme == "light":  # by night only the colours are others, and those are measured
            yield from (f"{scheme}: {said}" for said in axe(page, colours=device == "desk"))
    yield from _measured(page, "wide()")
    if device == "phone":
        yield from _measured(page, f"small({TARGET_PX})") + _measured(page, f"tiny({LETTERS_PX})")
        page.set_viewport_size(AT_200_PERCENT_PX)
        yield from (f"at 200 %: {said}" for said in _measured(page, "wide()"))
        page.set_viewport_size(PHONE_PX)


def _measured(page: Page, what: str) -> list[str]:
    return cast(list[str], page.evaluate(f"measure.{what}"))


def _structure(page: Page) -> Iterator[str]:
    if (count := page.locator("h1").count()) != 1:
        yield f"{count} h1"
    if not page.title().strip():
        yield "no title"


def axe(page: Page, *, colours: bool) -> list[str]:
    """What axe finds; whether it also looks at colours, which takes it seconds on a long page."""
    options = {
        "runOnly": {"type": "tag", "values": LEVELS},
        "rules": {"color-contrast": {"enabled": colours}},
        "resultTypes": ["violations"],
        "iframes": False,
    }
    return cast(list[str], page.evaluate(FOUND, options))
