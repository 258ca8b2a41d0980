"""One page looked over: by axe, in sun and at night, on a desk or with gloves on a phone."""

from collections.abc import Iterator
from pathlib import Path
from typing import Literal, cast

from axe_playwright_python.sync_playwright import Axe  # type: ignore[import-untyped]  # has none
from playwright.sync_api import ConsoleMessage, Page, ViewportSize

Device = Literal["desk", "phone"]
SCHEMES: tuple[Literal["light", "dark"], ...] = ("light", "dark")

AXE = Axe()
RULES: dict[str, object] = {  # by night only the colours are others
    "light": {"type": "tag", "values": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]},
    "dark": {"type": "rule", "values": ["color-contrast", "link-in-text-block"]},
}
MEASURE = (Path(__file__).parent / "measure.js").read_text(encoding="utf-8")
CONTRAST = 7
TARGET_PX = 57
LETTERS_PX = 12
PHONE_PX: ViewportSize = {"width": 390, "height": 844}
AT_200_PERCENT_PX: ViewportSize = {"width": 195, "height": 422}


def complaints(page: Page) -> list[str]:
    """What the browser itself complains of, as it comes: scripts, what the page's policy forbids."""
    heard: list[str] = []

    def listen(said: ConsoleMessage) -> None:
        if said.type == "error":
            heard.append(f"console: {said.text}")

    page.on("console", listen)
    page.on("pageerror", lambda error: heard.append(f"script: {error}"))
    return heard


def faults(page: Page, device: Device) -> list[str]:
    """Whatever is wrong on the page as it stands, everything that folds unfolded."""
    page.evaluate(MEASURE)
    page.evaluate("document.querySelectorAll('details').forEach((one) => (one.open = true))")
    found = [*_structure(page)]
    for scheme in SCHEMES:
        page.emulate_media(color_scheme=scheme)
        found += [f"{scheme}: {said}" for said in _seen(page, scheme)]
    found += _measured(page, "wide()")
    if device == "phone":
        found += _measured(page, f"small({TARGET_PX})") + _measured(page, f"tiny({LETTERS_PX})")
        page.set_viewport_size(AT_200_PERCENT_PX)
        found += [f"at 200 %: {said}" for said in _measured(page, "wide()")]
        page.set_viewport_size(PHONE_PX)
    return found


def _measured(page: Page, what: str) -> list[str]:
    return cast(list[str], page.evaluate(f"measure.{what}"))


def _structure(page: Page) -> Iterator[str]:
    if (count := page.locator("h1").count()) != 1:
        yield f"{count} h1"
    if not page.title().strip():
        yield "no title"


def _seen(page: Page, scheme: str) -> Iterator[str]:
    """What axe finds, and words too faint for sun or for night."""
    found = AXE.run(page, options={"runOnly": RULES[scheme], "resultTypes": ["violations"]})
    for violation in found.response["violations"]:
        nodes = "; ".join(node["html"][:120] for node in violation["nodes"][:3])
        yield f"axe {violation['id']}: {nodes}"
    yield from _measured(page, f"faint({CONTRAST})")
