"""What is heard, one after the other: thinned, counted, and watched while an engine runs."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import datetime

from yardwright.procedures.hose_watch import HOTTEST_C, Rules, Standing, Watch
from yardwright.sensors.line import Ear
from yardwright.sensors.reading import Heard, Reading, Start, Stopped, Warned, Water, Wrong

EVERY_S = 5.0  # of each point so often: what the watch is made for, and a day stays small
SAID = 10  # lines that do not count are said so often, then only counted
BACK_S = 1.0  # lines of several senders cross by so much
STILL = 3  # a dropped frame says 0 once
ALONE_S = 5.0  # where nobody is asked, water is taken to run


@dataclass
class Seen:
    """What one point said."""

    unit: str
    last: float
    low: float
    high: float
    count: int = 0


@dataclass
class Listening:
    """All that was heard.

    ``named`` gives points the yard's own names; ``limit_c`` lets a reading through at once that is
    over its limit, however lately its point was read.
    """

    named: Mapping[str, str] = field(default_factory=dict)
    limit_c: Mapping[str, float] = field(default_factory=dict)
    every_s: float = EVERY_S
    lines: int = 0
    wrong: int = 0
    wrong_first: list[str] = field(default_factory=list)
    seen: dict[str, Seen] = field(default_factory=dict)
    ear: Ear = field(default_factory=Ear)
    _kept_at: dict[str, datetime] = field(default_factory=dict)
    _last_at: datetime | None = None

    def hear(self, line: str, now: datetime | None) -> Iterator[Heard]:
        """What of a line counts; what is wrong with it is counted, and the next one is heard.

        Parameters
        ----------
        line : str
            As it came.
        now : datetime or None
            When it came, which counts where it is known: a logger's clock may be off. None for a
            file, where each line has its own time.

        Yields
        ------
        Reading, Start, Stopped, Water, Warned or Wrong
            With its time, in the order of time, each point once in ``every_s``.
        """
        self.lines += 1
        try:
            heard = self.ear.hear(line)
            for one in heard:
                yield from self._counted(one, now or one.at)
        except ValueError as wrong:
            yield self.does_not_count(Wrong(now, str(wrong)))

    def _counted(self, one: Heard, at: datetime | None) -> Iterator[Heard]:
        if at is None:
            raise ValueError("a line without its time; in a file each begins with it.")
        if self._last_at and (self._last_at - at).total_seconds() > BACK_S:
            raise ValueError(f"{at.isoformat()} is before the line above it.")
        self._last_at = max(at, self._last_at or at)
        match one:
            case Wrong():
                yield self.does_not_count(one)
            case Reading():
                yield from self._thinned(one, self._last_at)
            case Start():
                yield Start(self._last_at)
            case Stopped():
                yield Stopped(self._last_at)
            case Water():
                yield Water(self._last_at, one.coming_out)
            case Warned():
                yield Warned(self._last_at, one.point, one.words)

    def does_not_count(self, one: Wrong) -> Wrong:
        """Count what is wrong with the line just heard, and keep the first few in words.

        Parameters
        ----------
        one : Wrong
            What is wrong.

        Returns
        -------
        Wrong
            The same.
        """
        self.wrong += 1
        if len(self.wrong_first) < SAID:
            self.wrong_first.append(f"Line {self.lines} does not count: {one.words}")
        return one

    def _thinned(self, one: Reading, at: datetime) -> Iterator[Reading]:
        point = self.named.get(one.point, one.point)
        seen = self.seen.setdefault(point, Seen(one.unit, one.value, one.value, one.value))
        if seen.unit != one.unit:
            raise ValueError(f"{point} came in {seen.unit} before, now in {one.unit}.")
        seen.last, seen.count = one.value, seen.count + 1
        seen.low, seen.high = min(seen.low, one.value), max(seen.high, one.value)
        limit_c = self.limit_c.get(point)
        kept = self._kept_at.get(point)
        over = limit_c is not None and one.value >= limit_c
        if over or kept is None or (at - kept).total_seconds() >= self.every_s:
            self._kept_at[point] = at
            yield Reading(at, point, one.value, one.unit)


class Run:
    """An engine's run on a hose, by what is heard.

    ``answers`` says whether somebody answers about the water; where nobody does, as in the log of
    a sensor alone, only its temperatures are watched. The run counts from its start; without
    answers from the first reading.
    """

    def __init__(self, rules: Rules, *, answers: bool) -> None:
        self.rules = rules
        self.answers = answers
        self.watch = Watch(rules)
        self.started: datetime | None = None
        self._answered_s = 0.0
        self._still: dict[str, int] = {}  # of each that turned, how often in a row it says 0

    def take(self, one: Heard) -> str:
        """One thing that was heard.

        Parameters
        ----------
        one : Reading, Start, Stopped, Water, Warned or Wrong
            With its time.

        Returns
        -------
        str
            What is hotter than an engine is read: she burns, or a wire is broken, and nobody here
            knows which. Empty else.

        Raises
        ------
        ValueError
            A point that is watched says no temperature of an engine.
        """
        if one.at is None:
            return ""
        if isinstance(one, Start) or (self.started is None and not self.answers):
            self.started = self.started or one.at
        if self.started is None:
            return ""
        at_s = (one.at - self.started).total_seconds()
        if not self.answers:
            self._taken_as_yes(at_s)
        if self._stands(one):
            self.watch.stopped(at_s)
        elif isinstance(one, Water) and self.answers:
            self.watch.answered(at_s, coming_out=one.coming_out)
        elif isinstance(one, Reading) and one.point in self.rules.points:
            if one.unit != "°C":
                raise ValueError(f"{one.point} says {one.unit}; what is watched is a temperature.")
            if one.value > HOTTEST_C:
                return (
                    f"{one.point} says more than {HOTTEST_C:.0f} °C ({one.value:g} °C): she is far "
                    "too hot, or its wire is broken"
                )
            self.watch.read(at_s, one.point, one.value)
        return ""

    def _stands(self, one: Heard) -> bool:
        """Somebody says so, or all that turned turn no more, and say so several times in a row."""
        if isinstance(one, Reading) and one.unit == "rpm":
            if one.value > 0:
                self._still[one.point] = 0
            elif one.point in self._still:
                self._still[one.point] += 1
            return bool(self._still) and min(self._still.values()) >= STILL
        return isinstance(one, Stopped)

    def at(self, now: datetime) -> Standing | None:
        """How the run stands.

        Parameters
        ----------
        now : datetime
            Not before what was last taken.

        Returns
        -------
        Standing or None
            None before the start.
        """
        if self.started is None:
            return None
        now_s = (now - self.started).total_seconds()
        if not self.answers:
            self._taken_as_yes(now_s)
        return self.watch.at(now_s)

    def _taken_as_yes(self, until_s: float) -> None:
        while self._answered_s + ALONE_S <= until_s:
            self._answered_s += ALONE_S
            self.watch.answered(self._answered_s, coming_out=True)
