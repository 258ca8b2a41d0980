"""The commands on a yard's folder, each run as a person runs it: in a process of its own."""

import hashlib
import json
import shutil
import signal
import socket
import sqlite3
import ssl
import subprocess
import sys
import time
from argparse import Namespace
from collections.abc import Callable
from contextlib import closing
from http import HTTPStatus
from http.client import HTTPConnection, HTTPResponse, HTTPSConnection
from pathlib import Path
from typing import Any

import pytest

from tests.terminal import CTRL_C, Terminal
from yardwright.cli import BAD_INPUT, NO, YES, yard_folder
from yardwright.season.read import read_file
from yardwright.web import serve
from yardwright.web.authority import fingerprint
from yardwright.yard.refused import Refused

TEAL = Path(__file__).parents[1] / "docs" / "teal.toml"
YARDWRIGHT = [sys.executable, "-c", "import sys; from yardwright.cli import main; sys.exit(main())"]
UP_WITHIN_S = 60


def run(folder: Path, *argv: str | Path) -> "subprocess.CompletedProcess[str]":
    return subprocess.run(  # noqa: S603  # our own command
        [*YARDWRIGHT, *map(str, argv)],
        cwd=folder,
        capture_output=True,
        text=True,
        check=False,
        stdin=subprocess.DEVNULL,
    )


def answered(folder: Path, *argv: str | Path) -> dict[str, Any]:
    done = run(folder, *argv, "--json")
    assert done.returncode == YES, done.stderr
    found: dict[str, Any] = json.loads(done.stdout)
    return found


def refused(folder: Path, *argv: str | Path, code: int = NO) -> str:
    done = run(folder, *argv)
    assert (done.returncode, done.stdout) == (code, ""), done.stderr
    assert "Traceback" not in done.stderr
    return done.stderr


@pytest.fixture(scope="module")
def made_once(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Teal's season file, and the yard that it was brought into."""
    made = tmp_path_factory.mktemp("teal")
    text = TEAL.read_text(encoding="utf-8")  # its years are still to come by this machine's clock
    (made / "teal.toml").write_text(text.replace("2031-", "2025-").replace("2030-", "2024-"))
    found = answered(made, "import", "teal.toml", "--home", "yard")
    assert found == {"home": str(made / "yard"), "boats": 1, "by": "Ines"}
    return made


@pytest.fixture
def teals_yard(made_once: Path, tmp_path: Path) -> Path:
    shutil.copytree(made_once, tmp_path, dirs_exist_ok=True)
    return tmp_path


def test_a_season_file_goes_in_and_comes_out_equal(teals_yard: Path) -> None:
    done = run(teals_yard, "export", "out.toml", "--home", "yard")
    assert (done.returncode, done.stdout) == (YES, "1 boat written to out.toml.\n")
    assert read_file(teals_yard / "out.toml") == read_file(teals_yard / "teal.toml")
    assert "is there already" in refused(teals_yard, "export", "out.toml", "--home", "yard")


def test_a_second_file_is_refused(teals_yard: Path) -> None:
    assert "has boats already" in refused(teals_yard, "import", "teal.toml", "--home", "yard")


def test_a_faulty_file_makes_no_yard(tmp_path: Path) -> None:
    (tmp_path / "bad.toml").write_text("version = 1\n[yard]\nname = 3\n")
    assert "line 3" in refused(tmp_path, "import", "bad.toml", "--home", "yard", code=BAD_INPUT)
    assert not (tmp_path / "yard").exists()


def test_what_is_still_to_come_is_not_taken_in(tmp_path: Path) -> None:
    says = refused(tmp_path, "import", TEAL, "--home", "yard", code=BAD_INPUT)
    assert "2031-04-10 08:10 is still to come; leave it out until it is so." in says
    assert not (tmp_path / "yard").exists()


def test_a_copy_is_kept_and_brought_back(teals_yard: Path) -> None:
    kept = Path(answered(teals_yard, "keep", "--home", "yard")["kept"])
    assert kept.stat().st_mode & 0o077 == 0
    (teals_yard / "letter").write_text("Dear owner,")
    assert "not a whole yard" in refused(teals_yard, "bring-back", "letter", "--home", "yard")
    with closing(sqlite3.connect(teals_yard / "yard" / "yard.sqlite3")) as spoilt, spoilt:
        spoilt.execute("DROP TABLE fleet_wayin")
    found = answered(teals_yard, "bring-back", kept, "--home", "yard")
    assert Path(found["before"]).exists()
    run(teals_yard, "export", "out.toml", "--home", "yard")
    assert read_file(teals_yard / "out.toml") == read_file(teals_yard / "teal.toml")


def test_no_yard_no_copy_no_file(tmp_path: Path) -> None:
    assert "No yard in" in refused(tmp_path, "keep", "--home", "nowhere")
    assert "No yard in" in refused(tmp_path, "export", "out.toml", "--home", "nowhere")
    assert "No copy" in refused(tmp_path, "bring-back", "none.sqlite3", "--home", "nowhere")
    assert list(tmp_path.iterdir()) == []


def test_a_first_run_without_anybody_to_ask_says_so(tmp_path: Path) -> None:
    done = run(tmp_path, "serve", "--home", "yard", "--port", str(free_port()))
    assert done.returncode == BAD_INPUT
    assert "where someone can type" in done.stderr


def test_a_real_yard_is_never_made_the_demo(teals_yard: Path) -> None:
    assert "holds a real yard" in refused(teals_yard, "demo", "--home", "yard", "--no-serve")
    (teals_yard / "papers").mkdir()
    (teals_yard / "papers" / "letter.txt").write_text("Dear owner,")
    assert "not empty" in refused(teals_yard, "demo", "--home", "papers", "--no-serve")
    assert [one.name for one in (teals_yard / "papers").iterdir()] == ["letter.txt"]


def test_a_port_that_is_taken_is_named(tmp_path: Path) -> None:
    with closing(socket.socket()) as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        for command in ("demo", "serve"):
            says = refused(tmp_path, command, "--home", "yard", "--port", str(port))
            assert "is served there already" in says
            assert f"--port {port + 1}" in says
    assert list(tmp_path.iterdir()) == []


def test_a_port_that_is_taken_while_the_yard_was_made_is_never_shared(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Two servers would answer on it by turns: each page from another yard."""
    served: list[int] = []
    monkeypatch.setattr(serve, "serve", lambda _address, port, _certificate: served.append(port))
    asked = Namespace(port=free_port(), json=False)
    yard_folder._serve(asked, None, {}, [])
    assert served == [asked.port]
    with closing(socket.socket()) as taken:
        taken.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEPORT, 1)
        taken.bind(("127.0.0.1", asked.port))
        taken.listen()
        with pytest.raises(Refused, match="is served there already"):
            yard_folder._serve(asked, None, {}, [])
    assert served == [asked.port]


@pytest.mark.slow
def test_the_demo_is_planned_once_and_served_at_once_the_second_time(tmp_path: Path) -> None:
    first = run(tmp_path, "demo", "--no-serve")
    assert first.returncode == YES, first.stderr
    assert first.stdout == (
        f"Heron Slip is in {tmp_path / 'heron-slip'}.\n"
        "Log in as Mara (manager), Ines (mechanic), Tomas (yard hand), Runa (lift) or Pia (learner); "
        "the password is heron for all.\n"
    )
    port = free_port()
    with subprocess.Popen(  # noqa: S603  # our own command
        [*YARDWRIGHT, "demo", "--port", str(port)],
        cwd=tmp_path,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    ) as served:
        try:
            _, page = signed_out(lambda: HTTPConnection("127.0.0.1", port, timeout=10))
            assert "Heron Slip" in page
        finally:
            served.send_signal(signal.SIGINT)
            said, aside = served.communicate(timeout=20)
    assert f"Open http://127.0.0.1:{port}/" in said
    assert "Planning" not in aside
    says = refused(tmp_path, "serve", "--home", "heron-slip", "--port", str(port))
    assert "whose log-ins everybody knows" in says


def test_by_https_to_a_phone_that_was_told_to_trust_the_yard(teals_yard: Path) -> None:
    port = free_ports()
    named = ("--https", "--name", "heron.local", "--port", str(port))
    server = Terminal(teals_yard, "serve", "--home", "yard", *named)
    server.reads("name:")
    server.types("Ines\n")
    server.reads("password:")
    server.types("two-grebes-asleep\n")
    server.reads(f"Once on each phone: http://heron.local:{port + 1}/")
    with closing(HTTPConnection("127.0.0.1", port + 1, timeout=10)) as to:
        to.request("GET", "/")
        page = to.getresponse().read().decode()
        to.request("GET", "/authority.crt")
        given = to.getresponse()
        authority = given.read().decode()
        to.request("GET", "/yard.sqlite3")
        assert to.getresponse().status == HTTPStatus.NOT_FOUND
    assert given.headers["Content-Type"] == "application/x-x509-ca-cert"
    sha = hashlib.sha256(ssl.PEM_cert_to_DER_cert(authority)).digest().hex(" ").upper()
    assert sha == fingerprint(teals_yard / "yard")
    assert f"https://heron.local:{port}/" in page
    trusts_it = ssl.create_default_context(cadata=authority)
    answer, _ = signed_out(
        lambda: HTTPSConnection("localhost", port, timeout=10, context=trusts_it)
    )
    assert "Secure" in answer.headers["Set-Cookie"]
    with pytest.raises(ssl.SSLCertVerificationError):  # who was not told does not trust it
        HTTPSConnection("localhost", port, timeout=10).request("GET", "/sign-in/")
    server.types(CTRL_C)
    code, said = server.ends()
    assert (code, "Traceback" in said) == (0, False), said


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["--https"], "none was given"),
        (["--https", "--name", "boats.example.org"], "can't speak for boats.example.org"),
        (["--certificate", "x.pem"], "comes with its key"),
        (["--https", "--certificate", "x.pem", "--key", "x.key", "--name", "a.local"], "Leave out"),
        (["--certificate", "x.pem", "--key", "x.key", "--name", "a.example.org"], "is not there"),
    ],
)
def test_https_that_can_t_be_had(teals_yard: Path, words: list[str], says: str) -> None:
    assert says in refused(
        teals_yard, "serve", "--home", "yard", "--port", str(free_ports()), *words
    )


def free_ports() -> int:
    """The first of two neighbours."""
    while True:
        with closing(socket.socket()) as first, closing(socket.socket()) as second:
            first.bind(("127.0.0.1", 0))
            port = int(first.getsockname()[1])
            try:
                second.bind(("127.0.0.1", port + 1))
            except OSError:
                continue
            return port


def free_port() -> int:
    with closing(socket.socket()) as free:
        free.bind(("127.0.0.1", 0))
        return int(free.getsockname()[1])


def signed_out(connect: Callable[[], HTTPConnection]) -> tuple[HTTPResponse, str]:
    """The page that a stranger sees, as soon as the server answers."""
    until = time.monotonic() + UP_WITHIN_S
    while True:
        try:
            with closing(connect()) as to:
                to.request("GET", "/sign-in/")
                answer = to.getresponse()
                assert answer.status == HTTPStatus.OK
                return answer, answer.read().decode()
        except ConnectionError:
            assert time.monotonic() < until, "the server does not answer"
            time.sleep(0.2)
