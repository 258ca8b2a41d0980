"""A hose run as it is written down, line for line, and what the watch says of it afterwards."""

import re
from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from yardwright.calc.units import read
from yardwright.procedures.hose_watch import (
    COLDEST_C,
    HOTTEST_C,
    Alarm,
    Course,
    Ended,
    Rules,
    Watch,
    is_head,
    sort_of,
    stop_words,
)
from yardwright.procedures.verdict import Verdict
from yardwright.procedures.water_order import Supply

MOST_LINES = 5000
WATER, YES, NO, BY_HAND, STOPPED = "water", "yes", "no", "end by hand", "stopped"
_LINE = re.compile(r"(\d{1,3}):([0-5]\d(?:\.\d+)?) +(.+)")
_TEMP = re.compile(r"(.+?) +(-?\d[\d.,]* *(?:°? ?[CF]))", re.IGNORECASE)
_HEAD = re.compile(r"(supply|running|limit|points) +(.+)", re.IGNORECASE)
HOW = (
    "First: supply muffs; running 70 C; limit 80 C, or for one point: limit elbow 60 C. Then a line for each thing, minutes and seconds"
    " since the start: 0:12 water; 0:30 yes; 1:00 head 35 C; 6:20 no; 15:10 end by hand;"
    " 12:00 stopped."
)


@dataclass(frozen=True, slots=True)
class Deed:
    """One thing of a run, in seconds since the start; a temperature has its point."""

    at_s: float
    what: str
    temp_c: float | None = None


@dataclass(frozen=True, slots=True)
class HoseRun:
    """A run as it was written down."""

    rules: Rules
    deeds: tuple[Deed, ...]

    @property
    def lasted_s(self) -> float:
        """Seconds from the start to the last that was written down."""
        return self.deeds[-1].at_s

    def by_file(self, heads_c: float | None, kept: Mapping[str, tuple[Course, ...]]) -> "HoseRun":
        """The run by what the yard has on file.

        Parameters
        ----------
        heads_c : float or None
            What her heads must not reach: a higher limit that was written down does not count. [°C]
        kept : mapping
            The yard's own healthy runs of this engine, by the sort of point.
        """
        limit_c = dict(self.rules.limit_c)
        for point in self.rules.points:
            if heads_c is not None and is_head(point):
                limit_c[point] = min(heads_c, limit_c.get(point, heads_c))
        return replace(self, rules=replace(self.rules, limit_c=limit_c, kept=kept))

    def courses(self) -> Mapping[str, list[Course]]:
        """What was read, as it went at each point, by the sort of point."""
        found: defaultdict[str, list[Course]] = defaultdict(list)
        for point in self.rules.points:
            course = tuple(
                (deed.at_s, deed.temp_c)
                for deed in self.deeds
                if deed.what == point and deed.temp_c is not None
            )
            if course:
                found[sort_of(point)].append(course)
        return found


@dataclass(frozen=True, slots=True)
class Followed:
    """What the watch says of a run: its verdict, a sentence, and the alarm if there was one."""

    verdict: Verdict
    words: str
    alarm: Alarm | None


def read_run(text: str) -> HoseRun:
    """Read a run, one thing a line.

    Parameters
    ----------
    text : str
        As ``HOW`` says; a phone writes the same lines.

    Returns
    -------
    HoseRun
        In the order of time.

    Raises
    ------
    ValueError
        Every line that can't be read, with its number; or nothing to read.
    """
    heads: list[tuple[str, str]] = []
    deeds: list[Deed] = []
    wrong: list[str] = []
    lines = [line.strip() for line in text.splitlines()]
    if len(lines) > MOST_LINES:
        raise ValueError(f"{len(lines)} lines; a run has at most {MOST_LINES}.")
    for number, line in enumerate(lines, start=1):
        if not line:
            continue
        try:
            if head := _HEAD.fullmatch(line):
                heads.append((head[1].lower(), head[2].strip()))
            else:
                deeds.append(_deed(line))
        except ValueError as error:
            wrong.append(f"Line {number}: {error}")
    if wrong:
        raise ValueError(" ".join(wrong[:5]))
    if not deeds:
        raise ValueError("Nothing of the run is written. A line for each thing: 1:00 head 35 C.")
    listed = ",".join(said for head, said in heads if head == "points")
    named = [one.strip().lower() for one in listed.split(",") if one.strip()]
    read_at = (deed.what for deed in deeds if deed.temp_c is not None)
    points = tuple(dict.fromkeys([*named, *read_at]))
    ordered = tuple(sorted(deeds, key=lambda deed: deed.at_s))
    return HoseRun(_rules(heads, points or ("head",)), ordered)


def _deed(line: str) -> Deed:
    match = _LINE.fullmatch(line)
    if match is None:
        raise ValueError(f"{line!r} is no line of a run; write 1:30 head 45 C.")
    at_s, what = 60 * int(match[1]) + float(match[2]), match[3].strip()
    if what.lower() in (WATER, YES, NO, BY_HAND, STOPPED):
        return Deed(at_s, what.lower())
    temp = _TEMP.fullmatch(what)
    if temp is None:
        raise ValueError(f"{what!r}: say water, yes, no, stopped, end by hand, or head 45 C.")
    temp_c = _celsius(temp[2])
    if not COLDEST_C <= temp_c <= HOTTEST_C:
        raise ValueError(f"{temp_c:g} °C; an engine is {COLDEST_C:.0f} to {HOTTEST_C:.0f} °C.")
    return Deed(at_s, temp[1].lower(), temp_c)


def _celsius(typed: str) -> float:
    return read(typed.replace("°", ""), "°C").value


def _rules(heads: list[tuple[str, str]], points: tuple[str, ...]) -> Rules:
    supply = dict(heads).get("supply", "")
    if supply not in [one.value for one in Supply]:
        offered = ", ".join(one.value for one in Supply)
        raise ValueError(f"Where did the water come from? First line: supply, then {offered}.")
    running_c, limit_c = (_by_point(heads, head, points) for head in ("running", "limit"))
    return Rules(Supply(supply), points, running_c, limit_c)


def _by_point(
    heads: list[tuple[str, str]], asked: str, points: tuple[str, ...]
) -> dict[str, float]:
    """A temperature for each point: one for all, where one has none of its own."""
    for_all: dict[str, float] = {}
    own: dict[str, float] = {}
    for said in (said for head, said in heads if head == asked):
        if temp := _TEMP.fullmatch(said):
            own[temp[1].lower()] = _celsius(temp[2])
        else:
            for_all = dict.fromkeys(points, _celsius(said))
    return for_all | own


def followed(run: HoseRun) -> Followed:
    """What the watch says of a run: an alarm is a *Stop*, a plateau *Good*, else *Can't say*."""
    watch = Watch(run.rules)
    for deed in run.deeds:
        if watch.at(deed.at_s).alarm:
            break
        if deed.temp_c is not None:
            watch.read(deed.at_s, deed.what, deed.temp_c)
            continue
        match deed.what:
            case "water":
                watch.water_at_outlet(deed.at_s)
            case "yes" | "no":
                watch.answered(deed.at_s, coming_out=deed.what == YES)
            case "end by hand":
                if watch.at(deed.at_s).may_end_by_hand:
                    watch.end_by_hand(deed.at_s)
            case _:
                watch.stopped(deed.at_s)
    return _said(watch, run)


def _said(watch: Watch, run: HoseRun) -> Followed:
    lasted = f"{run.lasted_s / 60:.0f} min"
    if watch.alarm:
        return Followed(Verdict.STOP, stop_words(watch.alarm, run.rules.supply), watch.alarm)
    match watch.ended:
        case Ended.PLATEAU if bare := [p for p in run.rules.points if p not in run.rules.limit_c]:
            words = (
                f"Ran {lasted}, warm and steady; what {' and '.join(bare)} must not reach is not"
                " on file."
            )
            return Followed(Verdict.NO_LIMIT, words, None)
        case Ended.PLATEAU:
            return Followed(
                Verdict.GOOD, f"Ran {lasted}, warm and steady, water all the time.", None
            )
        case Ended.BY_HAND:
            return Followed(Verdict.CANT_SAY, f"{Ended.BY_HAND.value.capitalize()}.", None)
        case None:
            dumb = watch.at(run.lasted_s).cant_tell
            gauges = [f"{p}: {why}; read it with a second instrument" for p, why in dumb.items()]
            why = ". ".join(gauges) or "it was stopped before it was warm and steady"
            return Followed(Verdict.CANT_SAY, f"Ran {lasted}; {why}.", None)


def lines_of(run: HoseRun) -> Iterator[str]:
    """The run as it is written down."""
    yield f"supply {run.rules.supply.value}"
    for head, temps in (("running", run.rules.running_c), ("limit", run.rules.limit_c)):
        yield from (f"{head} {point} {temp_c:g} C" for point, temp_c in temps.items())
    yield f"points {', '.join(run.rules.points)}"
    for deed in run.deeds:
        minutes, seconds = divmod(round(deed.at_s, 1), 60)
        temp = "" if deed.temp_c is None else f" {deed.temp_c:g} C"
        yield f"{minutes:.0f}:{seconds:04.1f} {deed.what}{temp}"
