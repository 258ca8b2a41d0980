"""The watch over a hose run: asks about the water, follows each temperature, says stop in time."""

import re
from bisect import bisect_left, bisect_right
from collections import deque
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from itertools import pairwise
from math import exp, isfinite, sqrt
from statistics import median

from yardwright import refdata
from yardwright.procedures.water_order import Supply

TABLE = refdata.table("hose_run")


def _value(name: str) -> float:
    return float(TABLE[name].value)


OUTLET_S = float(refdata.table("starting")["water_seen_after_start_s"].value)
ASK_S, ASK_LATER_S = _value("ask_every_s"), _value("ask_later_every_s")
OFTEN_S, LATE_S = _value("ask_often_for_s"), _value("answer_late_s")
FLAT_C, FLAT_S = _value("plateau_change_c"), _value("plateau_time_s")
APART_C, OVER_C = _value("points_apart_c"), _value("over_running_c")
BY_HAND_S = _value("by_hand_after_s")
RUNS, RUNS_Z = int(_value("kept_runs")), _value("kept_runs_sd")
COLDEST_C, HOTTEST_C = -20.0, 150.0  # beyond these no point of an engine is read
TAU_S, BACK_S = 400.0, 180.0  # a warm-up taken slower than it is cries less: fitted to so much
SURE, CARE, FEW, SPAN_S = 5.0, 1.0, 5, 60.0  # sum of deviations that is too much, less this each
OUT = 3.0  # a reading so many deviations off is kept out of what is expected
NOISE_C, NOISE_OF = 1.0, 4  # what a gauge strays by at first, as if seen in so many readings
DIP_S = 90.0  # so long colder than expected: expected anew from there
MEAN_S = 45.0  # readings so near are one temperature
# the same figure so often, by a gauge that showed finer steps or never another one, tells nothing
STUCK, FINE_C = 8, 0.5
SILENT = 3.0  # intervals without a reading
SILENT_S = 90.0
NUMBERS = (
    *("OUTLET_S", "ASK_S", "ASK_LATER_S", "OFTEN_S", "LATE_S", "BY_HAND_S"),
    *("FLAT_C", "FLAT_S", "APART_C", "OVER_C", "RUNS", "RUNS_Z", "COLDEST_C", "HOTTEST_C"),
    *("TAU_S", "BACK_S", "SURE", "CARE", "FEW", "SPAN_S", "OUT", "NOISE_C", "NOISE_OF", "DIP_S"),
    *("MEAN_S", "STUCK", "FINE_C", "SILENT", "SILENT_S"),
)  # all that the phone's own watch goes by


class Why(StrEnum):
    """For what the watch says stop."""

    NO_WATER = "no water at the outlet"
    WATER_STOPPED = "the water stopped"
    NO_ANSWER = "nobody answered"
    OVER_LIMIT = "over its limit"
    OVER_RUNNING = "over its running temperature"
    LEFT_WARM_UP = "it leaves the healthy warm-up"
    UNLIKE_ITS_RUNS = "unlike the yard's own runs"
    DRIFTING = "one point climbs away from the others"


class Ended(StrEnum):
    """How a run ends, once the engine is stopped."""

    PLATEAU = "ran, warm and steady"
    BY_HAND = "ran, water steady, thermostat not seen open"  # Can't say


LARGE: Mapping[Why, str] = {
    Why.NO_WATER: "STOP. No water.",
    Why.WATER_STOPPED: "STOP. No water.",
    Why.NO_ANSWER: "STOP. No answer.",
    Why.OVER_LIMIT: "STOP. Too hot.",
    Why.OVER_RUNNING: "STOP. Too hot.",
    Why.LEFT_WARM_UP: "STOP. Heat climbs.",
    Why.UNLIKE_ITS_RUNS: "STOP. Too hot.",
    Why.DRIFTING: "STOP. Uneven heat.",
}  # what fills the screen: at most three words, read from the stop
THEN: Mapping[Supply, str] = {
    Supply.MUFFS: "Tap off once she stands still. Hands off, caps stay on, let her cool by herself;"
    " no second start until a mechanic found why. When cold: muffs, intakes, impeller.",
    Supply.BUCKET: "Shut the water with the stop. Hands off, caps stay on, let her cool by herself;"
    " no second start until a mechanic found why. When cold: hose, strainer, impeller.",
    Supply.AFLOAT: "Look in the bilge: where water comes in, shut the seacock, pump, call the"
    " lift. Hands off the engine, caps stay on, let her cool by herself; no second start until a"
    " mechanic found why. When cold: seacock or lower unit, strainer, impeller.",
}
ENDS: Mapping[Supply, str] = {
    Supply.MUFFS: "Tap off once she stands still.",
    Supply.BUCKET: "Shut the water as she stops.",
    Supply.AFLOAT: "Look in the bilge once more.",
}


@dataclass(frozen=True, slots=True)
class Alarm:
    """Stop the engine: when, for what, and where."""

    why: Why
    at_s: float
    point: str = ""
    temp_c: float | None = None


def sort_of(point: str) -> str:
    """What is read at a point: its name without side and number, such as head for head port 2.

    Points of one sort should be as warm as each other, and are compared; others never are.
    """
    return " ".join(word for word in _WORD.findall(point.lower()) if word not in _SIDES)


def is_head(point: str) -> bool:
    """Whether the limit and the thermostat of her heads are meant: it names a head, or nothing."""
    words = sort_of(point).split()
    return not words or not _HEADS.isdisjoint(words)


_WORD = re.compile(r"[^\W\d_]+")
_SIDES = frozenset({"port", "starboard", "stbd", "sb", "p", "s", "left", "right"})
_HEADS = frozenset({"head", "heads", "cylinder", "cylinders", "cyl", "thermostat"})
Course = tuple[tuple[float, float], ...]  # (seconds, °C), in the order of time


@dataclass(frozen=True, slots=True)
class Rules:
    """What is on file for this run.

    ``running_c`` says at which temperature the engine runs at the points where its thermostat
    shows, ``limit_c`` what a point must not reach; both are the maker's or the yard's, absent
    where nothing is on file. ``kept`` are the yard's own healthy runs of this engine, by the
    sort of point.
    """

    supply: Supply
    points: tuple[str, ...]
    running_c: Mapping[str, float] = field(default_factory=dict)
    limit_c: Mapping[str, float] = field(default_factory=dict)
    kept: Mapping[str, tuple[Course, ...]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        if not self.points:
            raise ValueError("No point to read; name at least one, such as head, port.")
        for name, temp_c in (*self.running_c.items(), *self.limit_c.items()):
            if name not in self.points:
                raise ValueError(f"No point {name!r}; this run reads {', '.join(self.points)}.")
            if not 30 <= temp_c <= HOTTEST_C:
                raise ValueError(f"{name}: {temp_c:g} °C; give 30 to {HOTTEST_C:.0f} °C.")


@dataclass(frozen=True, slots=True)
class Standing:
    """How a run stands at a moment.

    ``ask_since_s``: a question is open since then. ``next_ask_s``: when the next comes.
    ``ended``: how it ends if the engine is stopped now; until it is, the watch goes on.
    ``cant_tell``: points whose gauge says nothing any more, each with why.
    """

    alarm: Alarm | None
    ask_since_s: float | None
    next_ask_s: float | None
    ended: Ended | None
    may_end_by_hand: bool
    cant_tell: Mapping[str, str]


class Watch:
    """One run, fed in the order of time; times are seconds since the engine's start."""

    def __init__(self, rules: Rules) -> None:
        self.rules = rules
        self.outlet_s: float | None = None
        self.answered_s = 0.0
        self.alarm: Alarm | None = None
        self.ended: Ended | None = None
        self.stopped_s: float | None = None
        self.points = {name: _Point() for name in rules.points}

    def water_at_outlet(self, at_s: float) -> None:
        """Water is seen at the telltale or exhaust."""
        self._up_to(at_s)
        if self.outlet_s is None:
            self.outlet_s = at_s
            self.answered_s = max(self.answered_s, at_s)

    def answered(self, at_s: float, *, coming_out: bool) -> None:
        """Somebody answers whether water is still coming out."""
        self._up_to(at_s)
        if not coming_out:
            self._stop(Alarm(Why.WATER_STOPPED, at_s))
        elif self.outlet_s is None:
            self.water_at_outlet(at_s)
        else:
            self.answered_s = at_s

    def read(self, at_s: float, point: str, temp_c: float) -> None:
        """A temperature at a named point.

        Raises
        ------
        ValueError
            No such point, or no temperature of an engine.
        """
        if point not in self.points:
            raise ValueError(f"No point {point!r}; this run reads {', '.join(self.points)}.")
        if not (isfinite(temp_c) and COLDEST_C <= temp_c <= HOTTEST_C):
            raise ValueError(f"{temp_c} °C; an engine is {COLDEST_C:.0f} to {HOTTEST_C:.0f} °C.")
        self._up_to(at_s)
        here = self.points[point]
        left = here.take(at_s, temp_c)
        for why in (self._over(here, point, temp_c), Why.LEFT_WARM_UP if left else None):
            if why:
                self._stop(Alarm(why, at_s, point, temp_c))
        if self._unlike(here, point, at_s):
            self._stop(Alarm(Why.UNLIKE_ITS_RUNS, at_s, point, temp_c))
        if self._apart(point, at_s):
            self._stop(Alarm(Why.DRIFTING, at_s, point, temp_c))
        if self._goes_on and self._flat(at_s):
            self.ended = Ended.PLATEAU

    def end_by_hand(self, at_s: float) -> None:
        """It ran long enough, and no thermostat was seen to open.

        Raises
        ------
        ValueError
            It is too soon, or the watch said stop.
        """
        self._up_to(at_s)
        if self.alarm:
            raise ValueError(f"The watch said stop: {self.alarm.why}.")
        if at_s < BY_HAND_S or self.outlet_s is None:
            raise ValueError(f"Run {BY_HAND_S / 60:.0f} min first, with water seen.")
        self.ended = self.ended or Ended.BY_HAND

    def stopped(self, at_s: float) -> None:
        """The engine stands still: nothing is asked any more, and what is read is no alarm."""
        self._up_to(at_s)
        self.stopped_s = at_s if self.stopped_s is None else self.stopped_s

    @property
    def _goes_on(self) -> bool:
        return self.alarm is None and self.stopped_s is None

    def at(self, now_s: float) -> Standing:
        """How it stands now; asking is part of the watch, so ask at least each second."""
        self._up_to(now_s)
        due = self._due()
        seen = self._goes_on and self.outlet_s is not None
        asking = seen and now_s >= due
        return Standing(
            alarm=self.alarm,
            ask_since_s=due if asking else None,
            next_ask_s=due if seen and not asking else None,
            ended=self.ended,
            may_end_by_hand=seen and self.ended is None and now_s >= BY_HAND_S,
            cant_tell={
                name: why for name, one in self.points.items() if (why := one.cant_tell(now_s))
            },
        )

    def _up_to(self, now_s: float) -> None:
        """What was not seen or answered by now."""
        if self.outlet_s is None:
            if now_s > OUTLET_S:
                self._stop(Alarm(Why.NO_WATER, OUTLET_S))
        elif now_s >= self._due() + LATE_S:
            self._stop(Alarm(Why.NO_ANSWER, self._due() + LATE_S))

    def _due(self) -> float:
        """When the next question comes: on the half minute, after three minutes on the minute."""
        next_s = (self.answered_s // ASK_S + 1) * ASK_S
        if next_s > OFTEN_S:
            next_s = max((self.answered_s // ASK_LATER_S + 1) * ASK_LATER_S, OFTEN_S)
        return next_s

    def _stop(self, alarm: Alarm) -> None:
        if self._goes_on:
            self.alarm, self.ended = alarm, None

    def _over(self, here: "_Point", point: str, temp_c: float) -> Why | None:
        limit_c, running_c = self.rules.limit_c.get(point), self.rules.running_c.get(point)
        if limit_c is not None and temp_c >= limit_c:
            return Why.OVER_LIMIT
        last = here.temps[-2:]
        if running_c is not None and len(last) > 1 and sum(last) / 2 > running_c + OVER_C:
            return Why.OVER_RUNNING
        return None

    def _unlike(self, here: "_Point", point: str, at_s: float) -> bool:
        """Two readings in a row hotter than the yard's own runs were at that minute."""
        kept = self.rules.kept.get(sort_of(point), ())
        if len(kept) < RUNS or len(here.temps) < 2:
            return False
        return all(
            hotter_than(kept, when_s, temp_c)
            for when_s, temp_c in zip(here.times[-2:], here.temps[-2:], strict=True)
            if when_s <= at_s
        )

    def _apart(self, point: str, at_s: float) -> bool:
        """Twice in a row hotter than others of its sort, each compared at its own minute."""
        here, sort = self.points[point], sort_of(point)
        over = [
            mine_c - one.temps[-1]
            for name, one in self.points.items()
            if name != point
            and sort_of(name) == sort
            and one.temps
            and at_s - one.times[-1] <= 2 * MEAN_S
            if (mine_c := here.at(one.times[-1])) is not None
        ]
        here.apart = here.apart + 1 if over and sum(over) / len(over) >= APART_C else 0
        return here.apart > 1

    def _flat(self, at_s: float) -> bool:
        """Its running temperature wherever it shows, and all hardly changing for three minutes.

        Some head must be among those: a warm elbow proves no thermostat.
        """
        if not any(map(is_head, self.rules.running_c)):
            return False
        for name, one in self.points.items():
            if one.cant_tell(at_s):  # a dead gauge looks like a plateau
                return False
            now_c, before_c = one.mean(at_s), one.mean(at_s - FLAT_S)
            if now_c is None or before_c is None or abs(now_c - before_c) >= FLAT_C:
                return False
            if now_c < self.rules.running_c.get(name, now_c) - FLAT_C:
                return False
        return True


class _Point:
    """The readings at one point, and the warm-up fitted to the last of them."""

    def __init__(self) -> None:
        self.times: list[float] = []
        self.temps: list[float] = []
        self.fitted: deque[tuple[float, float, float]] = deque()  # time, exp(-t/tau), temperature
        self.sum = 0.0
        self.apart = 0
        self.cold_since_s: float | None = None

    def take(self, at_s: float, temp_c: float) -> bool:
        """One reading; whether it and those before it left the healthy warm-up."""
        self.times.append(at_s)
        self.temps.append(temp_c)
        off = self._off(at_s, temp_c)
        if off is None:
            self._fit(at_s, temp_c)
            return False
        self.sum = max(0.0, self.sum + off - CARE)
        if abs(off) <= OUT:
            self.cold_since_s = None
            self._fit(at_s, temp_c)
        elif off < 0:
            self._colder(at_s, temp_c)
        return self.sum > SURE

    def _colder(self, at_s: float, temp_c: float) -> None:
        """A thermostat that opens dips and comes back; what stays colder is the new warm-up."""
        if self.cold_since_s is None:
            self.cold_since_s = at_s
        elif at_s - self.cold_since_s > DIP_S:
            self.fitted.clear()
            self.cold_since_s = None
            self._fit(at_s, temp_c)

    def _fit(self, at_s: float, temp_c: float) -> None:
        self.fitted.append((at_s, exp(-at_s / TAU_S), temp_c))
        while self.fitted and at_s - self.fitted[0][0] > BACK_S:
            self.fitted.popleft()

    def _off(self, at_s: float, temp_c: float) -> float | None:
        """How many deviations a reading is above what the last minutes lead to expect."""
        kept = self.fitted
        if len(kept) < FEW or kept[-1][0] - kept[0][0] < SPAN_S:
            return None
        n = len(kept)
        mean_x = sum(x for _, x, _ in kept) / n
        mean_c = sum(c for _, _, c in kept) / n
        spread = sum((x - mean_x) ** 2 for _, x, _ in kept)
        slope = sum((x - mean_x) * (c - mean_c) for _, x, c in kept) / spread
        slope = min(slope, 0.0)  # a warm-up does not cool
        left = sum((c - mean_c - slope * (x - mean_x)) ** 2 for _, x, c in kept)
        noise_c = sqrt((left + NOISE_OF * NOISE_C**2) / (n - 2 + NOISE_OF))
        x = exp(-at_s / TAU_S) - mean_x
        sure = noise_c * sqrt(1 + 1 / n + x * x / spread)
        return (temp_c - mean_c - slope * x) / sure

    def mean(self, at_s: float) -> float | None:
        """The temperature around a moment: what was read just before it."""
        near = slice(bisect_right(self.times, at_s - self.near_s()), bisect_right(self.times, at_s))
        temps = self.temps[near]
        return sum(temps) / len(temps) if temps else None

    def at(self, at_s: float) -> float | None:
        """The temperature at a moment between two readings."""
        after = bisect_left(self.times, at_s)
        if after == len(self.times) or (after == 0 and self.times[0] != at_s):
            return None
        b_s, b_c = self.times[after], self.temps[after]
        if b_s == at_s:
            return b_c
        a_s, a_c = self.times[after - 1], self.temps[after - 1]
        return a_c + (b_c - a_c) * (at_s - a_s) / (b_s - a_s)

    def near_s(self) -> float:
        """How far back a reading is still the same temperature."""
        return max(MEAN_S, 1.01 * self._interval_s())

    def _interval_s(self) -> float:
        last = self.times[-10:]
        steps = [b - a for a, b in pairwise(last)]
        return median(steps) if steps else 0.0

    def cant_tell(self, now_s: float) -> str:
        """Why the gauge here tells nothing any more; empty while it does."""
        if len(self.times) < 2:
            return ""
        silent_s = now_s - self.times[-1]
        if silent_s > max(SILENT_S, SILENT * self._interval_s()):
            return f"nothing read for {silent_s:.0f} s"
        same = next(
            (n for n, one in enumerate(reversed(self.temps)) if one != self.temps[-1]),
            len(self.temps),
        )
        if same == len(self.temps):
            lasted_s = self.times[-1] - self.times[0]
            # sooner than a plateau: it would look like one
            never = same >= STUCK or lasted_s >= FLAT_S
            return f"it says {self.temps[-1]:.1f} °C since its first reading" if never else ""
        before = sorted(set(self.temps[-same - STUCK : -same]))
        steps = [b - a for a, b in pairwise(before)]
        if same >= STUCK and len(steps) >= STUCK // 2 and min(steps) < FINE_C:
            return f"it says {self.temps[-1]:.1f} °C {same} times in a row"
        return ""


def hotter_than(runs: Sequence[Iterable[tuple[float, float]]], at_s: float, temp_c: float) -> bool:
    """Whether it is hotter than the yard's own healthy runs were at that time.

    Parameters
    ----------
    runs : sequence of runs
        Each run as (seconds since the start, °C), in the order of time.
    at_s : float
        Time since the start. [s]
    temp_c : float
        What is read. [°C]

    Returns
    -------
    bool
        False where fewer runs than are needed were going on then: nothing is known.
    """
    there = [one for run in runs if (one := _at(list(run), at_s)) is not None]
    if len(there) < RUNS:
        return False
    mean_c = sum(there) / len(there)
    spread_c = sqrt(sum((one - mean_c) ** 2 for one in there) / (len(there) - 1))
    return temp_c > mean_c + RUNS_Z * max(spread_c, 1.0)


def _at(run: Sequence[tuple[float, float]], at_s: float) -> float | None:
    for (a_s, a_c), (b_s, b_c) in pairwise(run):
        if a_s <= at_s <= b_s:
            return a_c + (b_c - a_c) * (at_s - a_s) / (b_s - a_s) if b_s > a_s else b_c
    return None


def stop_words(alarm: Alarm, supply: Supply) -> str:
    """What the alarm says: stop first, then why, then what to do with the water."""
    where = f" ({alarm.point}" if alarm.point else ""
    temp = f", {alarm.temp_c:.0f} °C)" if alarm.temp_c is not None else (")" if where else "")
    return f"Stop the engine. {alarm.why.capitalize()}{where}{temp}. {THEN[supply]}"
