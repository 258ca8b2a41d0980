"""The command: from a file, from the network, by a cable; and somebody at the keys."""

import json
import socket
import sys
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from tests.sensors.test_run import healthy, logged, slipped, when
from yardwright import cli
from yardwright.sensors import library

ON_MUFFS = ("--point", "head", "--running", "70C", "--limit", "80C", "--supply", "muffs")


@pytest.fixture
def log(tmp_path: Path) -> Callable[..., str]:
    def write(*lines: str) -> str:
        path = tmp_path / "log.txt"
        path.write_text("\n".join(lines) + "\n", encoding="utf-8")
        return str(path)

    return write


def test_stop_comes_first(log: Callable[..., str], capsys: pytest.CaptureFixture[str]) -> None:
    code = cli.main(["listen", "--replay", log(*logged(slipped, until_s=480)), *ON_MUFFS])
    out = capsys.readouterr().out
    assert code == 1
    assert "6:45  Stop the engine. It leaves the healthy warm-up (head" in out
    assert out[out.index("head: 20 to") :].startswith("head: 20 to")
    told = out.splitlines()[-3]
    assert told.startswith("Stop the engine.")
    assert told.index("Stop") < told.index("Tap off")


def test_warm_and_steady_is_a_yes_and_json(
    log: Callable[..., str], capsys: pytest.CaptureFixture[str]
) -> None:
    code = cli.main(["listen", "--replay", log(*logged(healthy)), *ON_MUFFS, "--json"])
    found = json.loads(capsys.readouterr().out)
    assert code == 0
    assert (found["stop"], found["ended"], found["wrong"]) == ("", "ran, warm and steady", 0)
    assert found["points"]["head"]["count"] == 60


def test_cold_hose_water_is_never_a_yes(
    log: Callable[..., str], capsys: pytest.CaptureFixture[str]
) -> None:
    cold = [f"{when(at_s)} head 30.{at_s % 10} C" for at_s in range(0, 600, 15)]
    code = cli.main(["listen", "--replay", log(*cold), *ON_MUFFS, "--no-answers"])
    out = capsys.readouterr().out
    assert code == 1
    assert "Never warm and steady: Can't say." in out
    assert "temperatures alone were watched" in out


def test_a_point_that_no_sensor_names_is_never_shown_as_watched(
    log: Callable[..., str], capsys: pytest.CaptureFixture[str]
) -> None:
    words = ["--point", "haed", "--running", "70C", "--supply", "muffs", "--no-answers"]
    assert cli.main(["listen", "--replay", log(*logged(healthy, answered=False)), *words]) == 1
    out = capsys.readouterr().out
    assert out.count("haed was never read, so nobody watches it. Heard: head.") == 2


def test_garbage_is_counted_and_said_ten_times(
    log: Callable[..., str], capsys: pytest.CaptureFixture[str]
) -> None:
    lines = [*(f"{when(0)} garbage{n}" for n in range(40)), f"{when(1)} head 60 C"]
    assert cli.main(["listen", "--replay", log(*lines)]) == 0
    out = capsys.readouterr().out
    assert out.count("does not count") == 10
    assert "41 lines, 40 do not count." in out


def test_an_engine_that_warns_by_itself_is_told_to_stop(
    log: Callable[..., str], capsys: pytest.CaptureFixture[str]
) -> None:
    # From the tests of canboatjs: "Over Temperature", "Low Oil Pressure".
    line = (
        "2023-04-01T17:24:51.634Z,2,127489,16,255,26,00,2f,06,ff,ff,e3,73,66,05,ff,7f,58,02,00,00,"
        "ff,ff,ff,ff,ff,06,00,00,00,7f,7f"
    )
    told = "Stop the engine and look: engine_0 warns by itself, Over Temperature, Low Oil Pressure."
    assert cli.main(["listen", "--replay", log(line, line)]) == 1
    out = capsys.readouterr().out
    assert out.count(told) == 2  # as it comes, and in the end before the points
    assert out.rindex(told) < out.index("lines.")
    assert cli.main(["listen", "--replay", log(line, line), "--json"]) == 1
    assert json.loads(capsys.readouterr().out)["warns"] == {told: "0:00"}


def test_a_warning_stands_in_the_recording_and_is_heard_again(
    log: Callable[..., str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    first = log(*logged(healthy), f"{when(960)} engine_0 warns: Over Temperature")
    kept = tmp_path / "kept.txt"
    for path, more in ((first, ["--record", str(kept)]), (str(kept), [])):
        assert cli.main(["listen", "--replay", path, *ON_MUFFS, *more]) == 1
        out = capsys.readouterr().out
        assert "engine_0 warns by itself, Over Temperature." in out
        assert "do not count" not in out


def test_hotter_than_any_engine_is_never_silent(
    log: Callable[..., str], capsys: pytest.CaptureFixture[str]
) -> None:
    garbage = [f"{when(0)} garbage{n}" for n in range(40)]  # more than is said of bad lines
    words = ["--point", "head", "--running", "70C", "--supply", "muffs", "--no-answers"]
    hot = log(f"{when(0)} head 20 C", *garbage, f"{when(20)} head 160 C")
    told = "Stop the engine and look: head says more than 150 °C (160 °C)"
    assert cli.main(["listen", "--replay", hot, *words]) == 1
    assert f"0:20  {told}" in capsys.readouterr().out
    assert cli.main(["listen", "--replay", hot, *words, "--json"]) == 1
    assert next(iter(json.loads(capsys.readouterr().out)["warns"])).startswith(told)


def test_only_a_yes_is_a_yes(
    gateway: tuple[str, list[str]],
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    address, lines = gateway
    lines += ["head 20 C"] * 20
    keys = iter(["\n", "s\n", "\n", "ok\n", "yess\n", "none comes\n"])
    monkeypatch.setattr(sys, "stdin", keys)
    assert cli.main(["listen", "--tcp", address, *ON_MUFFS]) == 1
    out = capsys.readouterr().out
    assert "'' starts nothing." in out
    for typed in ("''", "'ok'", "'yess'"):
        assert f"{typed} is no answer. Water still coming out?" in out
    assert "Stop the engine. The water stopped." in out


@pytest.mark.parametrize(
    ("reading", "told"),
    [("head 3 bar", "head says kPa"), ("head -30 C", "an engine is -20 to 150 °C")],
)
def test_a_watched_point_that_can_t_be_an_engine_s_is_said(
    reading: str, told: str, log: Callable[..., str], capsys: pytest.CaptureFixture[str]
) -> None:
    words = ["--point", "head", "--running", "70C", "--supply", "muffs", "--no-answers"]
    assert cli.main(["listen", "--replay", log(f"{when(0)} {reading}"), *words]) == 1
    out = capsys.readouterr().out
    assert told in out
    assert "1 lines, 1 do not count." in out


def test_a_minute_a_second(log: Callable[..., str], capsys: pytest.CaptureFixture[str]) -> None:
    lines = [f"{when(at_s)} head 60 C" for at_s in (0, 30, 60)]
    began = time.monotonic()
    assert cli.main(["listen", "--replay", log(*lines), "--speed", "120"]) == 0
    assert 0.5 <= time.monotonic() - began < 5


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["--running", "70C", "--supply", "muffs"], "Name the points"),
        (["--running", "70C", "--point", "head"], "where the water comes from"),
        (["--limit", "oil=80C", "--point", "head", "--supply", "muffs"], "no point oil"),
        (["--running", "70", "--point", "head", "--supply", "muffs"], "70 of what"),
        (["--running", "700C", "--point", "head", "--supply", "muffs"], "give 30 to 150"),
    ],
)
def test_what_it_is_told_wrong(
    words: list[str], told: str, log: Callable[..., str], capsys: pytest.CaptureFixture[str]
) -> None:
    assert cli.main(["listen", "--replay", log("x"), *words]) == 2
    assert told in capsys.readouterr().err


def test_for_a_boat_s_page(log: Callable[..., str], tmp_path: Path) -> None:
    path = log(f"{when(0)} head 20 C", f"{when(5)} head 21.5 C", f"{when(6)} oil 3 bar")
    words = ["listen", "--replay", path, "--home", str(tmp_path), "--boat"]
    assert cli.main([*words, "WRE"]) == 2  # no yard there
    (tmp_path / "yard.sqlite3").touch()
    assert cli.main([*words, "../x"]) == 2
    assert cli.main([*words, "wre"]) == 0
    told = json.loads((tmp_path / "heard" / "WRE.json").read_text(encoding="utf-8"))
    assert {point: temp_c for point, (temp_c, _) in told.items()} == {"head": 21.5}


def test_no_address(capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["listen", "--tcp", "nowhere"]) == 2
    assert "write it like" in capsys.readouterr().err


@pytest.fixture
def gateway() -> Iterator[tuple[str, list[str]]]:
    """Sends the lines it is given to who connects, then hangs up."""
    lines: list[str] = []
    with socket.create_server(("127.0.0.1", 0)) as server:

        def send() -> None:
            made, _ = server.accept()
            time.sleep(0.3)  # the serial library drops what came while it opened
            with made:
                for line in lines:
                    made.sendall(line.encode() + b"\r\n")
                    time.sleep(0.05)

        threading.Thread(target=send, daemon=True).start()
        yield f"127.0.0.1:{server.getsockname()[1]}", lines


@pytest.mark.parametrize("by", ["--tcp", "--serial"])
def test_live(
    by: str, gateway: tuple[str, list[str]], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    # The serial library reads a network socket as it reads a cable.
    address, lines = gateway
    lines += ["$INMTW,17.9,C*1B", "head 60 C", "\xff\xfe", "17:33:21.107 R 09F20010 00 98 21 0C"]
    where = f"socket://{address}" if by == "--serial" else address
    kept = tmp_path / "run.txt"
    assert cli.main(["listen", by, where, "--record", str(kept)]) == 0
    out = capsys.readouterr().out
    assert "water_temperature: 17.9 to 17.9 °C, 1 readings" in out
    assert "head: 60 to 60 °C, 1 readings" in out
    assert "4 lines, 1 do not count." in out
    assert [line.split(" ", 1)[1] for line in kept.read_text(encoding="utf-8").splitlines()] == [
        "water_temperature 17.9 °C",
        "head 60 °C",
        "engine_0_speed 2150 rpm",
    ]


def test_a_sensor_that_hangs_up_does_not_end_the_watch(
    gateway: tuple[str, list[str]],
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    address, lines = gateway
    lines += ["head 20 C"]

    def keys() -> Iterator[str]:
        yield "s\n"  # she starts
        time.sleep(1)  # the sensor is gone by now
        yield "y\n"  # water
        yield "n\n"

    monkeypatch.setattr(sys, "stdin", keys())
    assert cli.main(["listen", "--tcp", address, *ON_MUFFS]) == 1
    out = capsys.readouterr().out
    assert out.startswith("s and Enter as the engine starts")
    assert "Stop the engine. The water stopped. Tap off once she" in out


def test_over_its_limit_live(
    gateway: tuple[str, list[str]],
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    address, lines = gateway
    lines += ["head 60 C"] * 10 + ["head 81 C", "head 60 C"]
    monkeypatch.setattr(sys, "stdin", iter(["s\n", "y\n"]))
    assert cli.main(["listen", "--tcp", address, *ON_MUFFS]) == 1
    assert "Stop the engine. Over its limit (head, 81 °C)." in capsys.readouterr().out


def test_udp() -> None:
    from yardwright.sensors.source import udp

    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    came = udp("127.0.0.1", port)

    def send() -> None:
        with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as ours:
            for _ in range(50):
                ours.sendto(b"head 60 C\r\noil 3 bar\r\n", ("127.0.0.1", port))
                time.sleep(0.05)

    threading.Thread(target=send, daemon=True).start()
    assert [next(came), next(came)] == ["head 60 C", "oil 3 bar"]
    came.close()  # type: ignore[attr-defined]


def test_nobody_there(capsys: pytest.CaptureFixture[str]) -> None:
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    assert cli.main(["listen", "--tcp", f"127.0.0.1:{port}"]) == 1
    assert "Connection refused. Go by your eyes." in capsys.readouterr().out
    assert cli.main(["listen", "--serial", "/dev/none"]) == 1
    assert "/dev/none" in capsys.readouterr().out


def test_what_is_missing_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    for name, package in (
        ("serial", "pyserial"),
        ("pynmeagps", "pynmeagps"),
        ("nmea2000.decoder", "nmea2000"),
    ):
        monkeypatch.setitem(sys.modules, name, None)
        with pytest.raises(ValueError, match=f"needs a library: pip install {package}"):
            library.library(name)
