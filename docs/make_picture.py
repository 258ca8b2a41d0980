"""Make docs/morning-sheet.png anew: ``python docs/make_picture.py``.

It makes the demo yard in a folder of its own, serves it, logs in as the manager and takes the
picture with the system's Chromium (``./dev setup --browser``).
"""

import json
import subprocess
import sys
import tempfile
import time
from contextlib import closing
from pathlib import Path

from playwright.sync_api import Error, Page, sync_playwright

from tests.browser.conftest import chromium

PICTURE = Path(__file__).parent / "morning-sheet.png"
PORT = 8465
YARDWRIGHT = [sys.executable, "-c", "import sys; from yardwright.cli import main; sys.exit(main())"]


def main() -> None:
    """Make the yard, serve it, take the picture."""
    with tempfile.TemporaryDirectory() as folder:
        demo = [*YARDWRIGHT, "demo", "--home", f"{folder}/heron-slip", "--json"]
        made = subprocess.run([*demo, "--no-serve"], check=True, stdout=subprocess.PIPE)  # noqa: S603
        told = json.loads(made.stdout)
        server = subprocess.Popen([*demo, "--port", str(PORT)])  # noqa: S603  # our own command
        try:
            take(told["log_ins"][0], told["password"])
        finally:
            server.terminate()
            server.wait()


def take(name: str, password: str) -> None:
    """Log in as the manager; what she sees first is the Morning Sheet."""
    with (
        sync_playwright() as driver,
        closing(
            driver.chromium.launch(executable_path=chromium(), args=["--no-sandbox"])
        ) as browser,
    ):
        page = browser.new_page(
            base_url=f"http://127.0.0.1:{PORT}", viewport={"width": 1280, "height": 900}
        )
        open_when_up(page)
        page.get_by_label("Name").fill(name)
        page.get_by_label("Password").fill(password)
        page.get_by_role("button", name="Log in").click()
        page.get_by_role("heading", name="Morning Sheet").wait_for()
        page.screenshot(path=PICTURE, full_page=True)


def open_when_up(page: Page) -> None:
    """Wait for the server."""
    until = time.monotonic() + 30
    while True:
        try:
            page.goto("/sign-in/")
        except Error:  # not up yet
            if time.monotonic() > until:
                raise
            time.sleep(0.2)
        else:
            return


if __name__ == "__main__":
    main()
