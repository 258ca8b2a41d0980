"""The log of a served yard: each request by its id, and nobody's name, typed or stored or broken over."""

import os
import re
import stat
import subprocess
import sys
from pathlib import Path

SERVED = """
import sys
from pathlib import Path
from yardwright.web import serve
answers = iter(("Heron Slip", "America/New_York", "MLLW", "Mara", "walk round her twice"))
serve.open_home(Path(sys.argv[1]))
serve.first_run(lambda _: next(answers), lambda _: next(answers))
from django.contrib.auth.models import User
from django.test import Client
from yardwright.web import views
client = Client(headers={"Host": "localhost"}, raise_request_exception=False)
client.post("/sign-in/", {"username": "Mara", "password": "wrong for Mara"})
client.force_login(User.objects.get())
client.post("/boats/new/", {"name": "Teal", "owner": "A. Reeve", "watch_min": "0"})
print(client.get("/boats/?q=Reeve")["X-Request-Id"])
client.get("/boats/TEA/look/?at=Reeve")
def breaks(_):
    raise RuntimeError("no day for A. Reeve, 555 0142")
views.morning = breaks
print(client.get("/")["X-Request-Id"])
"""


def test_each_request_by_its_id_and_nobody_by_name(tmp_path: Path) -> None:
    home = tmp_path / "yard"
    home.mkdir(mode=0o755)
    plain = {k: v for k, v in os.environ.items() if not k.startswith(("YARDWRIGHT", "DJANGO"))}
    done = subprocess.run(  # noqa: S603  # our own words
        [sys.executable, "-c", SERVED, str(home)],
        capture_output=True,
        text=True,
        env=plain,
        timeout=120,
        check=True,
    )
    asked, broke = done.stdout.split()
    log = (home / "yardwright.log").read_text()
    assert re.search(rf"INFO yardwright.request {asked} GET /boats/ 302 \d+ ms", log)
    assert re.search(rf"ERROR django.request {broke} Internal Server Error: /\n", log)
    assert "in breaks" in log  # where it broke
    assert "RuntimeError" in log
    for name in ("Mara", "Reeve", "555", "wrong for"):
        assert name not in log
    for file in home.iterdir():  # in a folder that anybody may look into
        assert not stat.S_IMODE(file.stat().st_mode) & 0o077, file
