"""Live sensors on the command line: shown, recorded, and watched while an engine runs on a hose."""

import argparse
import queue
import re
import sys
import threading
import time
from collections.abc import Iterable, Iterator
from contextlib import ExitStack
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, TextIO

from yardwright.cli.answers import NO, YES, Add, number, tell, whole

if TYPE_CHECKING:
    from yardwright.procedures.hose_watch import Rules, Standing
    from yardwright.sensors.latest import Latest
    from yardwright.sensors.reading import Heard
    from yardwright.sensors.run import Listening, Run

    Coming = queue.Queue[tuple[str, str | None]]

SUPPLIES = ("muffs", "bucket", "afloat")
SHOWN_S, SHOWN_OF_A_FILE_S = 5.0, 60.0
TICK_S = 0.25
UNHEARD_S = 30.0  # a point silent for so long from the start is said
KEYS = (
    "s and Enter as the engine starts, then y each time you see water come out; n if it does not;"
    " off once the engine stands still."
)
STARTS, WATER, STANDS, NO_WATER = (
    ("s", "start"),
    ("y", "yes"),
    ("off",),
    ("n", "stop"),
)  # the last by their first letters


def add_commands(add: Add) -> None:
    """Say where lines come from and what is watched."""
    sub = add(listen)
    come = sub.add_mutually_exclusive_group(required=True)
    come.add_argument("--replay", metavar="FILE", help="a recording or a sensor's log, or .gz")
    come.add_argument("--serial", metavar="PORT", help="a serial cable, such as /dev/ttyUSB0")
    come.add_argument("--tcp", metavar="HOST:PORT", help="a gateway on the network")
    come.add_argument("--udp", metavar="HOST:PORT", help="what is sent to this machine")
    sub.add_argument("--baud", type=whole, default=4800, help="of the serial cable; 4800")
    sub.add_argument("--speed", type=_times, help="how many times as fast as it was; else at once")
    sub.add_argument("--record", metavar="FILE", help="keep what is heard; .gz is packed")
    sub.add_argument(
        "--point",
        action="append",
        default=[],
        metavar="NAME[=SENSOR]",
        help="a point to watch, and what its sensor calls it; again for each",
    )
    sub.add_argument(
        "--running",
        action="append",
        default=[],
        metavar="[NAME=]TEMP",
        help="at which a point, or any, is when this engine is warm: head_port=70C, 70C",
    )
    sub.add_argument(
        "--limit",
        action="append",
        default=[],
        metavar="[NAME=]TEMP",
        help="not to be reached at a point, or at any: head_port=82C, 80C",
    )
    sub.add_argument("--boat", metavar="TAG", help="show it on her Hose Run page too; with --home")
    sub.add_argument("--home", type=Path, default=Path.cwd(), help="the yard's folder")
    sub.add_argument("--supply", choices=SUPPLIES, help="where the cooling water comes from")
    sub.add_argument("--no-answers", action="store_true", help="watch temperatures alone")


def listen(args: argparse.Namespace) -> int:
    """Show what sensors say, record it, and watch an engine that runs on a hose."""
    from yardwright.sensors import record
    from yardwright.sensors.run import Listening, Run

    rules = _rules(args)
    named = {sensor: name for name, sensor in map(_named, args.point)}
    listening = Listening(named, rules.limit_c if rules else {})
    run = Run(rules, answers=not args.no_answers) if rules else None
    with ExitStack() as stack:
        kept = stack.enter_context(record.new(Path(args.record))) if args.record else None
        listener = _Listener(args, listening, run, kept)
        listener.latest = _latest(args)
        if args.replay:
            listener.replay(Path(args.replay))
        else:
            listener.live()
    return listener.told()


class _Listener:
    """Takes lines one after the other, shows and keeps what they say."""

    def __init__(
        self,
        args: argparse.Namespace,
        listening: "Listening",
        run: "Run | None",
        kept: TextIO | None,
    ) -> None:
        self.args, self.listening, self.run, self.kept = args, listening, run, kept
        self.began, self.began_s = datetime.now(UTC).astimezone(), time.monotonic()
        self.first: datetime | None = None
        self.shown: datetime | None = None
        self.said: set[str] = set()
        self.open: set[str] = set()
        self.standing: Standing | None = None
        self.warns: dict[str, str] = {}  # what is to be looked at, and when it was first said
        self.broke: list[str] = []
        self.latest: Latest | None = None

    def replay(self, path: Path) -> None:
        """A file, at the speed that is asked for."""
        from yardwright.sensors.record import lines_in

        began = time.monotonic()
        for line in lines_in(path):
            for one in self.listening.hear(line, None):
                if one.at and self.first and self.args.speed:
                    due_s = (one.at - self.first).total_seconds() / self.args.speed
                    time.sleep(max(0.0, began + due_s - time.monotonic()))
                self.take(one)
                if one.at:
                    self.look(one.at, SHOWN_OF_A_FILE_S)

    def live(self) -> None:
        """Lines as they come, and what somebody says by the keys, until Ctrl-C."""
        coming: Coming = queue.Queue()
        self._follow("sensor", self._lines(), coming)
        if self.run and self.run.answers:
            self.say(KEYS)
            self._follow("key", sys.stdin, coming)
        try:
            while self._goes_on():
                self._next(coming)
                self.look(self.now(), SHOWN_S)
        except KeyboardInterrupt:
            self.say("")

    def _goes_on(self) -> bool:
        """A sensor that broke off does not end the watch: somebody is still asked about water."""
        over = self.standing and (self.standing.alarm or (self.run and self.run.watch.stopped_s))
        running = self.run and self.run.started and not over
        return "sensor" in self.open or bool(running and "key" in self.open)

    def _next(self, coming: "Coming") -> None:
        try:
            kind, line = coming.get(timeout=TICK_S)
        except queue.Empty:
            return
        if line is None:
            self.open.discard(kind)
        elif kind == "broke":
            self.broke.append(line)
            self.say(f"{line} Go by your eyes.")
        elif kind == "key":
            self._key(line.strip().casefold())
        else:
            self._hear(line)

    def _hear(self, line: str) -> None:
        for one in self.listening.hear(line, self.now()):
            self.take(one)

    def _follow(self, kind: str, lines: Iterable[str], coming: "Coming") -> None:
        """Read on in a thread of its own, so that the watch never waits for a sensor."""

        def read() -> None:
            try:
                for line in lines:
                    coming.put((kind, line))
            except ValueError as wrong:
                coming.put(("broke", str(wrong)))
            coming.put((kind, None))

        self.open.add(kind)
        threading.Thread(target=read, daemon=True).start()

    def _key(self, typed: str) -> None:
        """A word of trouble is believed at once, water only where it is said; else it asks again."""
        if self.run and self.run.started is None:
            if typed in STARTS:
                self._hear("start")
            else:
                self.say(f"{typed!r} starts nothing. {KEYS}")
        elif typed.startswith(NO_WATER):
            self._hear("water no")
        elif typed in WATER:
            self._hear("water yes")
        elif typed in STANDS:
            self._hear("stopped")
        else:
            self.say(f"{typed!r} is no answer. Water still coming out? y, or n if it does not.")

    def _lines(self) -> Iterator[str]:
        from yardwright.sensors import source

        if self.args.serial:
            return source.serial(self.args.serial, self.args.baud)
        host, port = _address(self.args.tcp or self.args.udp)
        return source.tcp(host, port) if self.args.tcp else source.udp(host, port)

    def now(self) -> datetime:
        """By a clock that nobody sets while an engine runs."""
        return self.began + timedelta(seconds=round(time.monotonic() - self.began_s, 3))

    def take(self, one: "Heard") -> None:
        """One thing that was heard: kept, and watched."""
        from yardwright.sensors.reading import Reading, Warned, Wrong
        from yardwright.sensors.record import line_of

        self.first = self.first or one.at
        if self.kept and (line := line_of(one)):
            self.kept.write(f"{line}\n")
        if isinstance(one, Warned):
            self.warn(one.at, f"{one.point} warns by itself, {one.words}")
        if self.run:
            try:
                if beyond := self.run.take(one):
                    self.warn(one.at, beyond)
            except ValueError as wrong:
                self.listening.does_not_count(Wrong(one.at, str(wrong)))
        if self.latest and isinstance(one, Reading):
            try:
                self.latest.put(one, datetime.now(UTC))
            except OSError as error:
                self.once(f"Not shown on her page ({error.strerror}); the watch here goes on.")
        for words in self.listening.wrong_first:
            self.once(words)

    def warn(self, at: datetime | None, words: str) -> None:
        """What the watch has no rule for, and nobody may miss."""
        told = f"Stop the engine and look: {words}."
        self.warns.setdefault(told, self.since(at))
        self.once(f"{self.since(at)}  {told}")

    def look(self, now: datetime, every_s: float) -> None:
        """How the run stands by now, and from time to time what is read."""
        if self.run:
            self.standing = self.run.at(now)
            if self.run.watch.stopped_s is not None:
                self.once("The engine stands; nothing is watched any more.")
            for words in _standing_words(self.standing, self.run.rules):
                self.once(f"{self.since(now)}  {words}")
            if self.passed_s(now) > UNHEARD_S:
                for words in self.unheard():
                    self.once(words)
        due = self.shown is None or (now - self.shown).total_seconds() >= every_s
        if due and self.listening.seen:
            self.shown = now
            alarm = self.standing and self.standing.alarm
            stop = (
                "Stop the engine. " if alarm else "Stop the engine and look. " if self.warns else ""
            )
            self.say(f"{self.since(now)}  {stop}{self.values()}")
            if self.kept:
                self.kept.flush()

    def unheard(self) -> list[str]:
        """Points that are to be watched and never said anything."""
        seen = self.listening.seen
        points = self.run.rules.points if self.run else ()
        return [
            f"{point} was never read, so nobody watches it. Heard: {', '.join(seen) or 'nothing'}."
            for point in points
            if point not in seen
        ]

    def values(self) -> str:
        """What each point last said; those that are watched alone, where some are."""
        watched = self.run.rules.points if self.run else ()
        seen = self.listening.seen
        names = [name for name in watched if name in seen] or [*seen]
        return ", ".join(f"{name} {seen[name].last:g} {seen[name].unit}" for name in names)

    def passed_s(self, now: datetime | None) -> float:
        """Since the start, or since the first line."""
        began = (self.run.started if self.run else None) or self.first
        return max(0.0, (now - began).total_seconds()) if now and began else 0.0

    def since(self, now: datetime | None) -> str:
        """The same in minutes and seconds."""
        passed_s = int(self.passed_s(now))
        return f"{passed_s // 60}:{passed_s % 60:02}"

    def once(self, words: str) -> None:
        """Say something that is not to be said at each look."""
        key = words.partition("  ")[2] or words
        if key not in self.said:
            self.said.add(key)
            self.say(words)

    def say(self, words: str) -> None:
        """A line as things go; none where JSON is asked for."""
        if not self.args.json:
            calls = sys.stdout.isatty() and ("Stop the engine" in words or "?" in words)
            print("\a" if calls else "", words, sep="", flush=True)

    def told(self) -> int:
        """The end: what the watch found first, then each point, then what does not count."""
        from yardwright.procedures.hose_watch import stop_words

        heard, run = self.listening, self.run
        alarm = self.standing.alarm if self.standing else None
        ended = self.standing.ended if self.standing else None
        stop = stop_words(alarm, run.rules.supply) if run and alarm else ""
        lines = [*([stop] if stop else []), *self.warns]
        if run and run.started is None:
            lines.append("Not watched: nobody said when the engine started.")
        elif run and not alarm:
            lines.append(f"{ended.capitalize()}." if ended else "Never warm and steady: Can't say.")
        if run and not run.answers:
            lines.append("Nobody answered about the water: temperatures alone were watched.")
        lines += self.unheard()
        lines += [
            f"{name}: {one.low:g} to {one.high:g} {one.unit}, {one.count} readings"
            for name, one in heard.seen.items()
        ]
        wrong = f", {heard.wrong} do not count" if heard.wrong else ""
        lines += self.broke
        lines.append(f"{heard.lines} lines{wrong}.")
        found = {
            "stop": stop,
            "warns": self.warns,
            "broke": self.broke,
            "alarm": alarm,
            "ended": ended,
            "answers": bool(run and run.answers),
            "never_read": self.unheard(),
            "points": heard.seen,
            "lines": heard.lines,
            "wrong": heard.wrong,
            "wrong_first": heard.wrong_first,
        }
        tell(self.args, found, lines)
        return NO if self.warns or not heard.seen or (run and not ended) else YES


def _standing_words(standing: "Standing | None", rules: "Rules") -> Iterator[str]:
    """What is to be said now: stop first."""
    from yardwright.procedures.hose_watch import stop_words

    if standing is None:
        return
    if standing.alarm:
        yield stop_words(standing.alarm, rules.supply)
    if standing.ask_since_s is not None:
        yield f"Water still coming out? ({standing.ask_since_s:.0f} s)"
    if standing.ended:
        yield f"{standing.ended.capitalize()}."
    for point, why in standing.cant_tell.items():
        yield f"{point} tells nothing any more, go by your eyes: {why.partition(' for ')[0]}"


def _rules(args: argparse.Namespace) -> "Rules | None":
    """What is watched; None where nothing is to be."""
    from yardwright.procedures.hose_watch import Rules
    from yardwright.procedures.water_order import Supply

    if not (args.running or args.limit or args.supply):
        return None
    points = tuple(_named(point)[0] for point in args.point)
    if not points:
        raise ValueError(
            "Name the points to watch, such as --point head_port=engine_0_temperature."
        )
    if not args.supply:
        raise ValueError(f"Say where the water comes from: --supply {', '.join(SUPPLIES)}.")
    running_c = _by_point("--running", args.running, points)
    limit_c = _by_point("--limit", args.limit, points)
    return Rules(Supply[args.supply.upper()], points, running_c, limit_c)


def _by_point(option: str, given: list[str], points: tuple[str, ...]) -> dict[str, float]:
    """A temperature for each point that one is given for, or for all of them."""
    found: dict[str, float] = {}
    for one in given:
        name, _, temp = one.rpartition("=")
        if name and name not in points:
            raise ValueError(f"{option} {one}: no point {name}; there are {', '.join(points)}.")
        found |= dict.fromkeys([name] if name else points, _temp_c(temp))
    return found


def _latest(args: argparse.Namespace) -> "Latest | None":
    """Where her page looks for what is heard; None where it is for nobody's page."""
    from yardwright.sensors.latest import Latest

    if not args.boat:
        return None
    if not re.fullmatch(r"[A-Za-z]{3}", args.boat):
        raise ValueError(f"--boat {args.boat}: give her tag, three letters, such as WRE.")
    if not (args.home / "yard.sqlite3").exists():
        raise ValueError(f"No yard in {args.home.resolve()}. Name its folder with --home.")
    return Latest(args.home, args.boat)


def _times(typed: str) -> float:
    speed = number(typed)
    if not speed > 0:
        raise argparse.ArgumentTypeError(f"{speed:g} times; give more than 0, such as 60")
    return speed


def _temp_c(typed: str) -> float:
    from yardwright.calc import units

    return units.read(typed, "°C").value


def _named(point: str) -> tuple[str, str]:
    """Our name of a point, and its sensor's."""
    name, _, sensor = point.partition("=")
    return name, sensor or name


def _address(typed: str) -> tuple[str, int]:
    host, _, port = typed.rpartition(":")
    if not port.isdecimal() or not 0 < int(port) < 65536:
        raise ValueError(f"{typed!r} is no address; write it like 192.168.1.20:2000")
    return host, int(port)
