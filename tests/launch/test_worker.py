"""The planning in real processes: a killed worker's job is finished by another, a stop stops it."""

import json
import os
import signal
import sqlite3
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path
from uuid import uuid4

import pytest
from django.db import OperationalError
from django.test import Client

from tests.conftest import entry
from yardwright.launch import queries, services
from yardwright.launch import worker as worker_module
from yardwright.yard import jobs
from yardwright.yard.models import Job, Person

ROOT = Path(__file__).parents[2]
ASK = """
import django
django.setup()
from datetime import datetime
from pathlib import Path
from django.core.management import call_command
from django.utils import timezone
from yardwright.launch import services
from yardwright.season.model import Right
from yardwright.season.read import read_file
from yardwright.work import exchange
from yardwright.yard.models import Person, Yard
call_command("migrate", verbosity=0)
exchange.take_in(read_file(Path("docs/three-days.toml")), by="Mara")
ahead = datetime.fromisoformat("2031-05-05T05:10-04:00") - timezone.now()
Yard.objects.update(clock_ahead_s=ahead.total_seconds())
mara = Person.objects.create(name="Petra", rights=[Right.INK])
services.plan_the_spring(mara, time_limit_s=10)
"""
Post = Callable[..., dict[str, str]]
Say = Callable[[], tuple[str, int, str | None, bool]]


@pytest.fixture
def home(tmp_path: Path) -> Path:
    """A yard in a folder, as serve would have it, with a plan asked for."""
    subprocess.run([sys.executable, "-c", ASK], cwd=ROOT, env=_env(tmp_path), check=True)  # noqa: S603
    return tmp_path


def _env(home: Path) -> dict[str, str]:
    ours = {"YARDWRIGHT_HOME": str(home), "PYTHONPATH": str(ROOT)}
    return {**os.environ, **ours, "DJANGO_SETTINGS_MODULE": "yardwright.web.settings"}


@pytest.fixture
def worker(home: Path) -> Iterator[Callable[[], subprocess.Popen[bytes]]]:
    started: list[subprocess.Popen[bytes]] = []

    def start() -> subprocess.Popen[bytes]:
        command = [sys.executable, "-m", "yardwright.launch.worker"]
        one = subprocess.Popen(command, cwd=ROOT, env=_env(home), stdin=subprocess.PIPE)  # noqa: S603
        started.append(one)
        return one

    yield start
    for one in started:
        one.kill()
        one.wait()
        if one.stdin:
            one.stdin.close()


def job(home: Path) -> tuple[str, int, str | None]:
    with closing(sqlite3.connect(home / "yard.sqlite3", timeout=10)) as base:
        row = base.execute("SELECT state, attempt, answer FROM yard_job").fetchone()
    return row[0], row[1], row[2]


def said(home: Path) -> str:
    with closing(sqlite3.connect(home / "yard.sqlite3", timeout=10)) as base:
        return str(base.execute("SELECT said FROM yard_job").fetchone()[0])


def wait_for(what: Callable[[], bool], seconds: float = 60) -> None:
    until = time.monotonic() + seconds
    while not what():
        assert time.monotonic() < until, "it took too long"
        time.sleep(0.05)


def test_a_killed_worker_s_job_is_finished_by_another(
    home: Path, worker: Callable[[], subprocess.Popen[bytes]]
) -> None:
    first = worker()
    wait_for(lambda: job(home)[0] == "running")
    first.send_signal(signal.SIGKILL)
    assert first.wait() == -signal.SIGKILL
    assert job(home)[:2] == ("running", 1)
    worker()
    wait_for(lambda: job(home)[0] == "done")
    _, attempt, answer = job(home)
    assert attempt == 2
    plan = json.loads(answer or "")
    assert (plan["status"], plan["ink_days"]) == ("best", 1)  # story A1


def test_a_stop_ends_the_work_with_the_best_so_far(
    home: Path, worker: Callable[[], subprocess.Popen[bytes]]
) -> None:
    worker()
    wait_for(lambda: "Ink late" in said(home))
    with closing(sqlite3.connect(home / "yard.sqlite3", timeout=10)) as base, base:
        base.execute("UPDATE yard_job SET stop_asked = 1")
    wait_for(lambda: job(home)[0] == "done", 20)
    assert json.loads(job(home)[2] or "")["plan"]["launches"]


@pytest.mark.django_db
def test_work_that_does_not_stop_is_ended(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(jobs, "ENDS_S", 0.5)
    asked = Job.objects.create(what=queries.ODDS, question={}, stop_asked=True)
    sleeps = [sys.executable, "-c", "import time; time.sleep(60)"]
    assert jobs.work_one(uuid4(), lambda _job: sleeps)
    asked.refresh_from_db()
    assert (asked.state, asked.answer) == (Job.State.STOPPED, None)


def test_a_busy_database_is_asked_again(monkeypatch: pytest.MonkeyPatch) -> None:
    def busy(*_: object, **__: object) -> bool:
        raise OperationalError("database is locked")

    monkeypatch.setattr(jobs, "work_one", busy)
    assert worker_module.turn(uuid4(), lambda _: []) is False


def test_a_plan_is_taken_before_what_goes_by_one(mara: Person) -> None:
    for what in (queries.SAVERS, queries.ODDS, queries.AGAIN):
        jobs.ask(what, {}, mara)
    taken: list[str] = []

    def kept(job: Job) -> list[str]:
        taken.append(job.what)
        return [sys.executable, "-c", """print('{"answer": {}}')"""]

    for _ in range(3):
        worker_module.turn(uuid4(), kept)
    assert taken == [queries.AGAIN, queries.SAVERS, queries.ODDS]


def test_what_waits_says_behind_whom_and_that_can_be_stopped_there(
    mara: Person, planned: Job, as_person: Callable[[Person], Client], post: Post
) -> None:
    services.publish(entry(mara), planned)
    Job.objects.filter(what=queries.ODDS).delete()
    savers = services.look_for_savers(mara)
    jobs.take(uuid4())
    client, path = as_person(mara), "/spring/again/"
    assert client.post(path, post(deed="ask")).status_code == 302
    page = client.get(path).content.decode()
    assert "Behind: savers, asked by Mara." in page
    assert f'name="job" value="{savers.pk}"' in page
    client.post(path, post(deed="stop", job=str(savers.pk)))
    savers.refresh_from_db()
    assert savers.stop_asked
    again = Job.objects.get(what=queries.AGAIN)
    assert (again.state, again.stop_asked) == (Job.State.READY, False)
    assert "Stop that one" not in client.get(path).content.decode()
    assert (
        client.post(path, post(deed="publish", job=str(savers.pk), choice="0")).status_code == 409
    )
