"""The commands: their numbers, their three endings, and one clear sentence for bad input."""

import argparse
import json
import subprocess
import sys
from datetime import datetime, timedelta
from functools import wraps
from pathlib import Path
from typing import Any

import pytest

from yardwright import cli
from yardwright.cli import season_file
from yardwright.procedures.steps import book, shipped

DOCS = Path(__file__).parents[1] / "docs"
THREE_DAYS, TEAL = DOCS / "three-days.toml", DOCS / "teal.toml"
READINGS = DOCS / "readings.toml"
SLING = [
    "sling",
    "--kg",
    "5200",
    "--centre-m",
    "2.6",
    "--centre-within-m",
    "0.3",
    "--aft-m",
    "1.2",
    "--forward-m",
    "5.2",
]

Capture = pytest.CaptureFixture[str]


def answered(capsys: Capture, *argv: str | Path, code: int = cli.YES) -> dict[str, Any]:
    assert cli.main([*map(str, argv), "--json"]) == code
    found: dict[str, Any] = json.loads(capsys.readouterr().out)
    return found


def said(capsys: Capture, *argv: str | Path, code: int = cli.YES) -> str:
    assert cli.main([*map(str, argv)]) == code
    return capsys.readouterr().out


def changed(tmp_path: Path, file: Path, *pairs: tuple[str, str]) -> Path:
    text = file.read_text(encoding="utf-8")
    for right, wrong in pairs:
        assert right in text
        text = text.replace(right, wrong)
    other = tmp_path / "yard.toml"
    other.write_text(text, encoding="utf-8")
    return other


def test_water_tells_the_windows_of_story_a1(capsys: Capture) -> None:
    found = answered(capsys, "water", THREE_DAYS, "Curlew")
    floats = found["boats"]["Curlew"]["floats"]
    # Story A1, by hand: each within a minute; the others are outside what it lists.
    for by_hand in ("2031-05-06T05:38", "2031-05-06T18:05", "2031-05-07T06:38"):
        start = datetime.fromisoformat(f"{by_hand}-04:00")
        assert any(
            abs(datetime.fromisoformat(one[0]) - start) <= timedelta(minutes=1) for one in floats
        )


def test_water_of_one_day_has_its_high_and_low_waters_as_typed(capsys: Capture) -> None:
    out = said(capsys, "water", THREE_DAYS, "--day", "2031-05-06")
    assert "Tue 6 May 07:40  HW 1.42 m" in out
    assert "Mon 5 May" not in out.replace("Mon 5 May 00:40", "")


def test_water_between_printed_high_and_low_is_less_sure(capsys: Capture) -> None:
    # A typed table has high and low waters alone; Teal's station has constants of its own.
    assert "Less sure between high and low water" in said(capsys, "water", THREE_DAYS, "Curlew")
    assert answered(capsys, "water", TEAL, "TEA", "--day", "2031-05-06")["less_sure"] == ""


def test_water_on_the_night_the_clock_changes_shows_both_offsets(capsys: Capture) -> None:
    out = said(capsys, "water", TEAL, "TEA", "--day", "2031-11-02")
    assert "Sun 2 Nov 00:00 EDT to Mon 3 Nov 00:00 EST (the clock changes)" in out


def test_a_boat_that_never_floats_is_a_no(capsys: Capture, tmp_path: Path) -> None:
    deep = changed(tmp_path, THREE_DAYS, ("draft_m = 1.90", "draft_m = 4.90"))
    assert "never" in said(capsys, "water", deep, "Avocet", code=cli.NO)


def test_a_draft_nobody_knows_is_never_shown_as_fine(capsys: Capture, tmp_path: Path) -> None:
    unknown = changed(tmp_path, THREE_DAYS, ("draft_m = 0.60\n", ""))
    out = said(capsys, "water", unknown, code=cli.NO)
    assert "Plover's draft is not known; measure it.\n" in out


def test_plan_tells_story_a1(capsys: Capture) -> None:
    found = answered(capsys, "plan", THREE_DAYS)
    assert found["status"] == "best"
    assert found["ink_days"] == found["least_ink_days"] == 1
    assert [one["boat"] for one in found["plan"]["launches"] if one["days_late"]] == ["Curlew"]
    reasons = " ".join(found["told"]["Curlew"]["why"])
    # The reason in words: kit 07:30 + 2 h = 09:30, her water leaves at 09:45, 30 min are needed.
    for words in ("Tue 6 May 07:30", "2 h", "Tue 6 May 09:30", "Tue 6 May 09:45", "30 min"):
        assert words in reasons, words


def test_odds_are_the_same_with_the_same_seed_and_rounded_down(capsys: Capture) -> None:
    asked = ("odds", THREE_DAYS, "--seasons", "1000", "--seed", "3")
    one, again = answered(capsys, *asked), answered(capsys, *asked)
    assert (one["seasons"], set(one["boats"])) == (1000, set(again["boats"]))
    hers = one["boats"]["Curlew"]
    assert (hers["promised"], hers["in_ink"]) == ("2031-05-06", True)
    assert hers["between"][0] <= hers["odds"] <= hers["between"][1]
    # Her day can be kept only where the kit is there and all goes quicker than planned (story A1).
    assert hers["odds"] < 0.5


def test_a_cluster_that_does_not_answer(capsys: Capture, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("yardwright.plan.cluster.REACHED_S", 1)
    asked = ["odds", str(THREE_DAYS), "--cluster", "tcp://127.0.0.1:1"]
    assert cli.main(asked) == cli.BAD_INPUT
    assert "No Dask cluster answers at tcp://127.0.0.1:1" in capsys.readouterr().err


def test_savers_are_a_yes_when_one_is_worth_doing(capsys: Capture, tmp_path: Path) -> None:
    found = answered(capsys, "savers", THREE_DAYS, "Curlew", "--seasons", "1000")
    assert found["worth"] == "Curlew"
    no_ink = changed(tmp_path, THREE_DAYS, ("ink = ", "pencil = "))
    out = said(capsys, "savers", no_ink, "--seasons", "1000", code=cli.NO)
    assert out == "Every Ink still to come is 90 % sure or better.\n"


def test_no_boat_going_in_is_a_no_with_its_reason(capsys: Capture, tmp_path: Path) -> None:
    shut = changed(tmp_path, THREE_DAYS, ("closes = 16:00:00", "closes = 06:20:00"))
    out = said(capsys, "plan", shut, code=cli.NO)
    assert out.startswith("No boat goes in by this plan.")
    assert (
        "Plover is not planned: she can be ready Mon 5 May 10:00, but after that she has no" in out
    )


def test_what_cant_be_planned_is_said_beside_the_plan(capsys: Capture, tmp_path: Path) -> None:
    shallow = changed(tmp_path, THREE_DAYS, ("draft_m = 0.60\n", ""))
    out = said(capsys, "plan", shallow)
    assert "Plover is not planned: her draft is not known; measure it.\n" in out


def test_float_check_of_story_a3(capsys: Capture) -> None:
    found = answered(capsys, "float-check", TEAL, "Teal", "--at", "2031-04-11 09:00", code=cli.NO)
    assert found["answer"] == "Would take water"
    # Story A3: 44 to 59 L/min through the drain hole.
    assert found["ways"][0]["inflow_l_min"] == pytest.approx([44, 59], abs=0.5)


def test_float_check_floats_once_plug_and_hose_are_proven(capsys: Capture, tmp_path: Path) -> None:
    back = 'put_back = {at = 2031-04-11 08:00:00, by = "Ines", proof = "felt"}\n'
    proven = changed(
        tmp_path,
        TEAL,
        ('fitting = "stern drain plug"\n', 'fitting = "stern drain plug"\n' + back),
        ('fitting = "livewell hose"\n', 'fitting = "livewell hose"\n' + back),
    )
    at = ("--at", "2031-04-11 09:00")
    assert said(capsys, "float-check", proven, "Teal", *at).startswith("Floats")
    late = ("--going-in", "2031-04-12 09:00")
    assert said(capsys, "float-check", proven, "Teal", *at, *late, code=cli.NO).startswith(
        "Not known"
    )


def test_left_undone_is_yes_when_nothing_is(capsys: Capture) -> None:
    assert said(capsys, "left-undone", THREE_DAYS) == "Nothing.\n"
    assert cli.main(["left-undone", str(TEAL), "--json"]) == cli.NO
    assert len(json.loads(capsys.readouterr().out)) == 11


def test_read_says_what_holds_her_and_what_would_decide(capsys: Capture) -> None:
    # Load test, worked out by hand: limit 9.346 V at 7 °C, u 0.03: p 0.871, u of 0.0207 decides.
    assert cli.main(["read", str(READINGS), "TEA", "--json"]) == cli.NO
    load, compression = json.loads(capsys.readouterr().out)
    assert (load["verdict"], compression["verdict"]) == ("Can't say", "No limit on file")
    assert load["p"] == pytest.approx(0.871, abs=0.0006)
    assert load["deciding_u"] == pytest.approx(0.0207, abs=0.00005)
    assert said(capsys, "read", READINGS, "Knot").startswith("Good 1.")
    assert said(capsys, "read", TEAL) == "No readings.\n"


def test_start_check_names_each_reason(capsys: Capture) -> None:
    at = ("--at", "2031-04-11 09:00")
    found = answered(capsys, "start-check", TEAL, "Teal", *at, code=cli.NO)
    assert found["answer"] == "Must not start"
    assert len(found["must_not"]) == 6  # story A3: 2 to 4 and 9 to 11


@pytest.mark.parametrize(
    ("percent", "mixed", "freezes_c", "within"),
    [(30, 22.5, -7.8, 0.1), (50, 37.5, -18, 0.5)],  # story A7, from the handbook's table
)
def test_mix(
    capsys: Capture, percent: float, mixed: float, freezes_c: float, within: float
) -> None:
    argv = ("--water-l", "3", "--fluid-l", "9", "--percent", str(percent))
    found = answered(capsys, "mix", *argv)
    assert found["percent"] == pytest.approx(mixed)
    assert found["freezes_at_c"] == pytest.approx(freezes_c, abs=within)
    assert "refractometer at the outlet decides" in said(capsys, "mix", *argv)


def test_sling_of_story_a8(capsys: Capture) -> None:
    found = answered(
        capsys,
        *SLING,
        *["--within", "0.1", "--sling-kg", "4000", "--lift-kg", "15000", "--angle", "90"],
        code=1,
    )
    # Story A8, by moments: forward 1,820 (1,287 to 2,431), aft 3,380 (2,691 to 4,147).
    for end, by_hand in (("forward", (1820, 1287, 2431)), ("aft", (3380, 2691, 4147))):
        share = [found[f"{end}{which}_kg"] for which in ("", "_low", "_high")]
        assert share == pytest.approx(by_hand, abs=0.5)
    assert found["may"] is False
    assert "aft sling may have to carry 4,147 kg (9,143 lb)" in found["besides"][0]


def test_a_rating_not_given_is_not_known_never_fine(capsys: Capture) -> None:
    out = said(capsys, *SLING, "--within", "0", code=cli.NO)
    assert out.count("Not known: ") == 3
    found = answered(capsys, *SLING, "--within", "0", code=cli.NO)
    assert found["may"] is None


SEASON_COMMANDS = [
    ["plan"],
    ["capacity", "--by", "2031-05-06"],
    ["float-check", "Teal"],
    ["start-check", "Teal"],
    ["left-undone"],
    ["read"],
    ["water"],
]


@pytest.mark.parametrize("command", SEASON_COMMANDS, ids=lambda command: command[0])
def test_a_fault_in_the_file_ends_with_2_and_its_sentence(
    capsys: Capture, tmp_path: Path, command: list[str]
) -> None:
    bad = changed(tmp_path, TEAL, ("draft_m = 0.55", "draft_m = 0"))
    name, *boat = command
    assert cli.main([name, str(bad), *boat]) == cli.BAD_INPUT
    out, err = capsys.readouterr()
    assert out == ""
    line = bad.read_text(encoding="utf-8")[: bad.read_text(encoding="utf-8").index("draft_m")]
    assert err == (
        f"yard.toml, line {line.count(chr(10)) + 1}: Teal, draft_m: 0 m is no draft; give up to 5 m. "
        "Measure it, or leave the line out.\n"
    )


@pytest.mark.parametrize("command", SEASON_COMMANDS[2:], ids=lambda command: command[0])
def test_a_boat_that_is_not_there(capsys: Capture, command: list[str]) -> None:
    assert cli.main([command[0], str(TEAL), "Tael"]) == cli.BAD_INPUT
    assert capsys.readouterr().err == "No boat 'Tael'. There are: Teal.\n"


def test_a_boat_to_come_like_one_that_is_not_there(capsys: Capture) -> None:
    asked = ["capacity", str(TEAL), "--by", "2031-05-06", "--like", "Tael"]
    assert cli.main(asked) == cli.BAD_INPUT
    assert capsys.readouterr().err == "No boat 'Tael'. There are: Teal.\n"


def test_what_is_odd_is_asked_on_the_side_and_answered(capsys: Capture, tmp_path: Path) -> None:
    odd = changed(tmp_path, TEAL, ("draft_m = 0.55", "draft_m = 2.1"))
    assert cli.main(["water", str(odd), "Teal", "--day", "2031-05-06"]) == cli.YES
    out, err = capsys.readouterr()
    assert out.startswith("Teal floats from")
    assert err.startswith("Odd: yard.toml, line ")
    assert err.endswith("If it is in feet, write 0.64.\n")


@pytest.mark.parametrize(
    ("argv", "says"),
    [
        (["water", "x.toml", "--day", "6 May"], "'6 May' is no day; write it like 2031-05-06"),
        (["water", "x.toml", "--day", "9999-12-31"], "'9999-12-31': give a year from 1900 to 2199"),
        (
            ["capacity", "x.toml", "--by", "2031-05-06", "--tolerance", "-2"],
            "'-2' is no whole number; give 0 or more",
        ),
        (["float-check", "x.toml", "T", "--at", "noon"], "'noon' is no time; write it like"),
    ],
)
def test_a_typed_value_that_cant_be_read(capsys: Capture, argv: list[str], says: str) -> None:
    with pytest.raises(SystemExit) as ended:
        cli.main(argv)
    assert ended.value.code == cli.BAD_INPUT
    assert says in capsys.readouterr().err


@pytest.mark.parametrize(
    ("argv", "says"),
    [
        (["mix", "--water-l", "-3", "--fluid-l", "9", "--percent", "30"], "volume is -3.0 L"),
        (
            ["mix", "--water-l", "three", "--fluid-l", "9", "--percent", "30"],
            "'three' is no number",
        ),
        (
            ["mix", "--water-l", "1,200", "--fluid-l", "9", "--percent", "30"],
            "is that 1200 or 1.200",
        ),
        ([*SLING, "--within", "0", "--angle", "120"], "angle is 120.0°"),
        (["water", "none.toml"], "none.toml can't be read (No such file or directory)"),
        (["start-check", str(TEAL), "Teal", "--on", "bucket or unpressurised tee"], "outboard on"),
        (["float-check", str(TEAL), "Teal", "--at", "2031-11-02 01:30"], "comes twice"),
        (["float-check", str(TEAL), "Teal", "--at", "9999-12-31 23:59"], "the year is 9999"),
        (["water", str(THREE_DAYS), "Curlew", "--day", "2031-06-01"], "01 Jun 2031 is outside"),
        ([*SLING, "--within", "0", "--aft-m", "6"], "as the larger"),
        (["odds", str(THREE_DAYS), "--seasons", "1500"], "1500 seasons; give 1,000 to 100,000"),
        (["savers", str(TEAL)], "There is no lift, so nothing can be launched; enter one."),
        (["plan", str(TEAL)], "There is no lift, so nothing can be launched; enter one."),
    ],
)
def test_a_value_out_of_range_ends_with_2(capsys: Capture, argv: list[str], says: str) -> None:
    assert cli.main(argv) == cli.BAD_INPUT
    assert says in capsys.readouterr().err


def test_who_reads_the_answer_may_stop_reading() -> None:
    ask = f"import sys; from yardwright.cli import main; sys.exit(main(['water', {str(THREE_DAYS)!r}]))"
    command = [sys.executable, "-c", ask]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE) as asked:  # noqa: S603
        assert asked.stdout is not None
        assert asked.stderr is not None
        asked.stdout.close()
        assert asked.stderr.read() == b""
    assert asked.returncode == cli.YES


def test_a_check_waits_neither_for_django_nor_for_the_solver() -> None:
    ask = (
        "import sys; from yardwright.cli import main;"
        f"main(['float-check', {str(TEAL)!r}, 'Teal', '--at', '2031-04-11 09:00']);"
        "print(sorted({'django', 'ortools', 'scipy', 'pint', 'typst'} & set(sys.modules)))"
    )
    out = subprocess.run([sys.executable, "-c", ask], capture_output=True, text=True, check=True)  # noqa: S603
    assert out.stdout.splitlines()[-1] == "[]"


def test_a_seasons_own_steps_hold_for_its_command_alone(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """By hand: the yard leaves walking round her out, so its book has one step fewer."""
    own = '[[steps]]\ncode = "walked_round"\nreason = "the owner does"\nby = "Ines"\n'
    file = tmp_path / "own.toml"
    teal = TEAL.read_text(encoding="utf-8")
    file.write_text(f"{teal}\n{own}at = 2031-04-11 08:30:00\n", encoding="utf-8")
    many: list[int] = []
    command = season_file.left_undone

    @wraps(command)
    def counted(args: argparse.Namespace) -> int:
        answer = command(args)
        many.append(len(book().steps))
        return answer

    monkeypatch.setattr(season_file, "left_undone", counted)
    cli.main(["left-undone", str(file)])
    assert many == [len(shipped().steps) - 1]
    assert len(book().steps) == len(shipped().steps)
