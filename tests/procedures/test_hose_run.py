"""A hose run as it is written down, and what is said of it."""

from contextlib import suppress
from math import exp

import pytest
from hypothesis import given
from hypothesis import strategies as st

from yardwright.procedures.hose_run import followed, lines_of, read_run
from yardwright.procedures.verdict import Verdict
from yardwright.procedures.water_order import Supply


def written(temp: object, until_s: int = 900, *more: str) -> str:
    """Story A2: read each 15 s, answered each half minute, running 70, limit 80 on file."""
    lines = ["supply muffs", "running 70 C", "limit 80 C", "0:10 water"]
    for t in range(15, until_s + 1, 15):
        lines.append(f"{t // 60}:{t % 60:02d} head {temp(t):.2f} C")  # type: ignore[operator]
        if t % 30 == 0:
            lines.append(f"{t // 60}:{t % 60:02d} yes")
    return "\n".join([*lines, *more])


def healthy(t: float) -> float:
    return 70 - 50 * exp(-t / 180)


def test_the_story_s_runs_as_they_are_written() -> None:
    # Story A2 (a), (b), (c) and (h).
    good = followed(read_run(written(healthy)))
    assert good.verdict == Verdict.GOOD
    assert good.words == "Ran 15 min, warm and steady, water all the time."
    slips = followed(read_run(written(lambda t: healthy(min(t, 380)) + max(0, t - 380) / 3, 600)))
    assert slips.verdict == Verdict.STOP
    assert slips.words.startswith("Stop the engine. It leaves the healthy warm-up (head, ")
    lines = written(healthy).splitlines()
    quiet = "\n".join(one for one in lines if not one.endswith("yes") or int(one.split(":")[0]) < 3)
    assert "Nobody answered" in followed(read_run(quiet)).words
    cold = followed(read_run(written(lambda t: healthy(t) - 15, 915, "15:16 end by hand")))
    assert cold.verdict == Verdict.CANT_SAY
    assert cold.words == "Ran, water steady, thermostat not seen open."


def test_what_goes_wrong_after_the_plateau_is_still_a_stop() -> None:
    steady = followed(read_run(written(healthy, 900, "15:05 yes", "15:06 stopped")))
    assert steady.verdict == Verdict.GOOD
    for last, why in (("15:05 no", "The water stopped."), ("15:05 head 85 C", "Over its limit")):
        wrong = followed(read_run(written(healthy, 900, last)))
        assert wrong.verdict == Verdict.STOP
        assert why in wrong.words


def test_a_point_that_was_named_and_never_read_ends_nothing() -> None:
    run = read_run(f"points head, elbow\n{written(healthy)}")
    assert run.rules.points == ("head", "elbow")
    assert followed(run).verdict == Verdict.CANT_SAY


def test_without_a_limit_it_is_never_good() -> None:
    lines = [one for one in written(healthy).splitlines() if not one.startswith("limit")]
    assert followed(read_run("\n".join(lines))).verdict == Verdict.NO_LIMIT


def test_each_point_has_its_own_limit_and_one_without_is_named() -> None:
    text = written(healthy).replace("limit 80 C", "limit elbow 60 C\nlimit head 80 C")
    run = read_run(text.replace("0:10 water", "0:10 water\n0:11 elbow 30 C"))
    assert run.rules.limit_c == {"elbow": 60, "head": 80}
    text = written(healthy).replace("limit 80", "limit head 80").replace("running", "running head")
    bare = "\n".join(
        f"{one}\n{one.partition(' ')[0]} elbow {40 + n % 2} C"
        if ":" in one and "head" in one
        else one
        for n, one in enumerate(text.splitlines())
    )
    said = followed(read_run(bare))
    assert said.verdict == Verdict.NO_LIMIT
    assert said.words == "Ran 15 min, warm and steady; what elbow must not reach is not on file."


def test_the_limit_on_file_counts_where_a_higher_one_was_written() -> None:
    run = read_run("supply muffs\nlimit 90 C\n0:10 water\n0:20 head, port 84 C\n0:25 elbow 84 C")
    assert followed(run).verdict == Verdict.CANT_SAY
    filed = run.by_file(80, {})
    assert filed.rules.limit_c == {"head, port": 80, "elbow": 90}
    said = followed(filed)
    assert said.verdict == Verdict.STOP
    assert said.alarm is not None
    assert said.alarm.point == "head, port"
    lower = read_run("supply muffs\nlimit 75 C\n0:10 water\n0:20 head 50 C")
    assert lower.by_file(80, {}).rules.limit_c == {"head": 75}
    assert lower.by_file(None, {}).rules.limit_c == {"head": 75}


def test_a_run_is_held_to_the_yard_s_own() -> None:
    kept = read_run(written(healthy)).courses()["head"] * 5
    hot = read_run(written(lambda t: healthy(t) + (9 if t > 40 else 0), 120))
    assert followed(hot.by_file(80, {"head": tuple(kept[:4])})).verdict == Verdict.CANT_SAY
    assert "Unlike the yard's own runs" in followed(hot.by_file(80, {"head": tuple(kept)})).words


def test_a_temperature_is_no_answer() -> None:
    # A point somebody calls water, over its limit: heat, and no water seen.
    run = read_run("supply muffs\nlimit 80 C\n0:10 water\n0:20 water 95 C")
    assert followed(run).verdict == Verdict.STOP


def test_a_minute_has_sixty_seconds() -> None:
    run = read_run("supply muffs\n0:59.96 water")
    assert [*lines_of(run)][-1] == "1:00.0 water"
    assert read_run("\n".join(lines_of(run))).deeds[0].at_s == 60


def test_stopped_early_is_not_known_to_be_good() -> None:
    early = followed(read_run(written(healthy, 300, "5:05 stopped")))
    assert early.verdict == Verdict.CANT_SAY
    assert early.words == "Ran 5 min; it was stopped before it was warm and steady."


def test_a_gauge_that_never_moved_is_said_to_need_a_second_instrument() -> None:
    still = followed(read_run(written(lambda _: 70.0, 900, "15:05 stopped")))
    assert still.verdict == Verdict.CANT_SAY
    assert still.words == (
        "Ran 15 min; head: it says 70.0 °C since its first reading;"
        " read it with a second instrument."
    )


def test_fahrenheit_and_commas_are_understood() -> None:
    # 158 degF is 70 degC.
    run = read_run(
        "supply muffs\nrunning 158 F\n0:10 water\n1:00 port head 95 F\n1:30 port head 36,5 C"
    )
    assert run.rules.supply == Supply.MUFFS
    assert run.rules.running_c == {"port head": pytest.approx(70)}
    assert run.rules.points == ("port head",)
    assert [deed.temp_c for deed in run.deeds] == [None, pytest.approx(35), 36.5]


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "Nothing of the run is written"),
        ("supply muffs", "Nothing of the run is written"),
        ("0:10 water", "Where did the water come from"),
        ("supply garden\n0:10 water", "Where did the water come from"),
        (
            "supply muffs\nten past water\n0:70 yes",
            "Line 2: 'ten past water' is no line .* Line 3:",
        ),
        ("supply muffs\n0:10 steam", "'steam': say water, yes, no"),
        ("supply muffs\nlimit 8 C\n0:10 water", "give 30 to 150"),
        ("supply muffs\n" * 6000, "6000 lines"),
    ],
)
def test_what_cant_be_read_says_what_to_do(text: str, says: str) -> None:
    with pytest.raises(ValueError, match=says):
        read_run(text)


@given(
    st.lists(st.tuples(st.integers(0, 5000), st.sampled_from(["water", "yes", "no", "head 40 C"])))
)
def test_written_and_read_again_it_is_the_same(deeds: list[tuple[int, str]]) -> None:
    lines = [f"{t // 60}:{t % 60:02d} {what}" for t, what in deeds]
    text = "\n".join(["supply afloat", "running 70 C", "limit 80 C", *lines])
    if not deeds:
        return
    run = read_run(text)
    assert read_run("\n".join(lines_of(run))) == run
    assert followed(run).words


@given(st.text(max_size=300))
def test_nothing_typed_ends_in_more_than_a_sentence(text: str) -> None:
    run = None
    with suppress(ValueError):
        run = read_run(text)
    assert run is None or run.deeds
