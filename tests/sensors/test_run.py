"""What is heard is thinned, kept and watched; the same log says the same again."""

from collections.abc import Iterable
from datetime import datetime, timedelta, timezone
from math import exp
from pathlib import Path

import pytest

from yardwright.procedures.hose_watch import Ended, Rules, Why
from yardwright.procedures.water_order import Supply
from yardwright.sensors import record
from yardwright.sensors.reading import Heard, Reading, Wrong
from yardwright.sensors.run import Listening, Run

START = datetime(2031, 5, 6, 9, 30, tzinfo=timezone(timedelta(hours=-4)))
ON_MUFFS = Rules(Supply.MUFFS, ("head",), {"head": 70.0}, {"head": 80.0})


def when(at_s: float) -> str:
    return (START + timedelta(seconds=at_s)).isoformat()


def healthy(at_s: float) -> float:
    # Story A2: T(t) = 70 - 50 exp(-t / 180 s).
    return 70 - 50 * exp(-at_s / 180)


def slipped(at_s: float) -> float:
    # Story A2 (b): from 380 s on +20 degC a minute.
    return healthy(min(at_s, 380)) + max(0.0, at_s - 380) * 20 / 60


def logged(temp: object, *, answered: bool = True, until_s: int = 900) -> list[str]:
    lines = [f"{when(0)} start"] if answered else []
    for at_s in range(0, until_s, 15):
        if answered and (at_s == 15 or at_s % 30 == 0):
            lines.append(f"{when(at_s)} water yes")
        lines.append(f"{when(at_s)} head {temp(at_s):.2f} C")  # type: ignore[operator]
    return lines


def heard(lines: Iterable[str], listening: Listening | None = None) -> list[Heard]:
    listening = listening or Listening()
    return [one for line in lines for one in listening.hear(line, None)]


def watched(lines: Iterable[str], rules: Rules = ON_MUFFS, *, answers: bool = True) -> Run:
    run = Run(rules, answers=answers)
    for one in heard(lines):
        run.take(one)
    return run


@pytest.mark.parametrize("answered", [True, False])
def test_the_hose_slips_in_a_log(answered: bool) -> None:
    # Story A2 (b): alarm by the second reading after 380 s (405 s), before 75 degC.
    alarm = watched(logged(slipped, answered=answered, until_s=480), answers=answered).watch.alarm
    assert alarm
    assert alarm.why == Why.LEFT_WARM_UP
    assert 380 < alarm.at_s <= 405
    assert alarm.temp_c
    assert alarm.temp_c < 75


@pytest.mark.parametrize("answered", [True, False])
def test_a_healthy_engine_in_a_log(answered: bool) -> None:
    # Story A2 (a).
    run = watched(logged(healthy, answered=answered), answers=answered)
    assert (run.watch.alarm, run.watch.ended) == (None, Ended.PLATEAU)


@pytest.mark.parametrize("last", ["stopped", "engine 0 rpm"])
def test_heat_after_the_engine_stands_is_no_alarm(last: str) -> None:
    # Heat soaks through her head once no water moves.
    begins, *goes_on = logged(healthy)
    turning = [f"{when(0)} engine 800 rpm"] if "rpm" in last else []
    stands = [f"{when(at_s)} {last}" for at_s in (901, 907, 913)]
    run = watched([begins, *turning, *goes_on, *stands, f"{when(960)} head 88 C"])
    assert (run.watch.alarm, run.watch.ended) == (None, Ended.PLATEAU)
    still_running = watched([*logged(healthy), f"{when(910)} head 88 C"])
    assert still_running.watch.alarm
    assert still_running.watch.alarm.why == Why.OVER_LIMIT


@pytest.mark.parametrize("zero", ["engine_1 0 rpm", "engine 0 rpm"])
def test_another_engine_or_one_lost_frame_ends_no_watch(zero: str) -> None:
    # Twin engines: the one that nobody started says 0 all the time; or one frame was dropped.
    begins, *goes_on = logged(healthy)
    times = range(10, 900, 10) if "_1" in zero else (300,)
    zeros = [f"{when(at_s)} {zero}" for at_s in times]
    turns = [f"{when(at_s)} engine 800 rpm" for at_s in range(1, 900, 10)]
    lines = sorted([*goes_on, *zeros, *turns, f"{when(901)} head 95 C"])
    run = watched([begins, *lines])
    assert run.watch.stopped_s is None
    assert run.watch.alarm
    assert run.watch.alarm.why == Why.OVER_LIMIT


def test_a_log_without_answers_says_stop_for_the_water_where_they_are_asked_for() -> None:
    lines = [f"{when(0)} start", *logged(healthy, answered=False)]
    alarm = watched(lines).watch.alarm
    assert alarm
    assert (alarm.why, alarm.at_s) == (Why.NO_WATER, 30)


def test_no_start_no_watch() -> None:
    assert watched(logged(slipped, until_s=480)[1:]).started is None


def test_a_watched_point_that_is_no_temperature_is_said() -> None:
    run = watched([f"{when(0)} start"])
    with pytest.raises(ValueError, match="head says kPa"):
        run.take(Reading(START, "head", 100, "kPa"))


def test_a_recording_says_the_same_again(tmp_path: Path) -> None:
    for name in ("run.txt", "run.txt.gz"):
        first = heard(logged(slipped, until_s=480))
        with record.new(tmp_path / name) as file:
            file.writelines(f"{record.line_of(one)}\n" for one in first)
        lines = [*record.lines_in(tmp_path / name)]
        assert heard(lines) == first
        assert watched(lines).watch.alarm == watched(logged(slipped, until_s=480)).watch.alarm


def test_a_recording_is_never_written_over(tmp_path: Path) -> None:
    (tmp_path / "run.txt").write_text("ours")
    with pytest.raises(ValueError, match="there already"):
        record.new(tmp_path / "run.txt")
    assert (tmp_path / "run.txt").read_text() == "ours"


def test_a_packed_recording_counts_up_to_where_the_power_failed(tmp_path: Path) -> None:
    whole = tmp_path / "run.txt.gz"
    with record.new(whole) as file:
        for line in logged(healthy):
            file.write(f"{line}\n")
            file.flush()
    torn = tmp_path / "torn.txt.gz"
    torn.write_bytes(whole.read_bytes()[:-40])
    lines = [*record.lines_in(torn)]
    assert 50 < len(lines) < len(logged(healthy))


def test_what_is_no_file(tmp_path: Path) -> None:
    (tmp_path / "no.gz").write_text("plain")
    with pytest.raises(ValueError, match="not packed"):
        [*record.lines_in(tmp_path / "no.gz")]
    with pytest.raises(ValueError, match="can't be read: No such file"):
        [*record.lines_in(tmp_path / "none.txt")]


def test_each_point_once_in_five_seconds_but_over_its_limit_at_once() -> None:
    listening = Listening(limit_c={"head": 80.0})
    lines = [f"{when(at_s)} head {80 if at_s == 7 else 60} C" for at_s in range(12)]
    taken = heard(lines, listening)
    assert [one.at for one in taken] == [START + timedelta(seconds=at_s) for at_s in (0, 5, 7)]
    assert listening.seen["head"].count == 12


def test_a_logger_s_clock_that_is_off_does_not_count_where_we_hear_it_ourselves() -> None:
    listening = Listening()
    for off_s in (3600, -3600, 0):
        now = START + timedelta(seconds=10 + listening.lines * 5)
        (one,) = listening.hear(f"{when(off_s)} head 60 C", now)
        assert isinstance(one, Reading)
        assert one.at == now


def test_a_point_has_the_yard_s_own_name() -> None:
    (one,) = heard([f"{when(0)} T1 60 C"], Listening({"T1": "head"}))
    assert isinstance(one, Reading)
    assert one.point == "head"


@pytest.mark.parametrize(
    ("lines", "told"),
    [
        (["head 60 C"], "without its time"),
        ([f"{when(60)} head 60 C", f"{when(0)} head 60 C"], "before the line above"),
        ([f"{when(0)} head 60 C", f"{when(6)} head 60 psi"], "came in °C before, now in kPa"),
    ],
)
def test_a_line_that_does_not_fit_is_counted_and_the_others_stand(
    lines: list[str], told: str
) -> None:
    listening = Listening()
    *_, wrong, last = heard([*lines, f"{when(99)} head 61 C"], listening)
    assert isinstance(wrong, Wrong)
    assert told in wrong.words
    assert isinstance(last, Reading)
    assert (listening.wrong, last.value) == (1, 61)
    assert told in listening.wrong_first[0]


def test_lines_of_two_senders_may_cross_by_a_second() -> None:
    lines = [f"{when(10)} head 60 C", f"{when(9.2)} oil 3 bar"]
    assert [one.at for one in heard(lines)] == [START + timedelta(seconds=10)] * 2
