"""The watch over a hose run against made-up engines: how late it is, and how often it cries for nothing."""

from collections.abc import Callable, Iterator
from functools import partial
from math import exp

import numpy as np
from numpy.typing import NDArray

from yardwright.procedures.hose_watch import Rules, Watch
from yardwright.procedures.water_order import Supply

Temps = NDArray[np.float64]
Trace = Callable[[float, float], float]
SEEDS, FAULT_S, ENDS_S = 200, 380.0, 900
TAUS_S, NOISES_C, STEPS_S = (120, 180, 300), (0.3, 0.8, 1.5), (5, 15, 30)
RUNNING_C, LIMIT_C = 70.0, 80.0
SLOPE_C_MIN = 10.0  # a plain rule: so steep over a minute is an alarm


def healthy(t: float, tau_s: float, ends_c: float = RUNNING_C) -> float:
    return ends_c - (ends_c - 20) * exp(-t / tau_s)


def rising(t: float, tau_s: float, c_min: float) -> float:
    return healthy(min(t, FAULT_S), tau_s) + max(0.0, t - FAULT_S) * c_min / 60


def shut(t: float, tau_s: float) -> float:
    """No thermostat opens: the same first minutes, and on to 95 degC."""
    return 20 + 75 * (1 - exp(-t / (1.5 * tau_s)))


def dips(t: float, tau_s: float) -> float:
    return healthy(t, tau_s) - 8 * exp(-(((t - FAULT_S - 20) / 15) ** 2))


def cold(t: float, tau_s: float) -> float:
    return healthy(t, tau_s, 55)


def dead(t: float, tau_s: float) -> float:
    return healthy(min(t, FAULT_S), tau_s)


FAULTS: dict[str, tuple[Trace, float]] = {
    "hose off, +20 °C a minute": (partial(rising, c_min=20), FAULT_S),
    "hose kinked slowly, +3 °C a minute": (partial(rising, c_min=3), FAULT_S),
    "thermostat shut": (shut, 0.0),
}
SOUND: dict[str, Trace] = {"healthy": healthy, "thermostat dips": dips, "cold hose water": cold}


def hose() -> Iterator[str]:
    """Rows of a table: each trace, reading interval and noise; the watch, the limit, the slope."""
    yield "| trace | read each | strays by | the watch | the limit alone | a slope |"
    yield "|---|---|---|---|---|---|"
    for name, (trace, since_s) in FAULTS.items():
        yield from _rows(name, partial(_late, trace=trace, since_s=since_s))
    yield from _rows("one point of four climbs, +6 °C a minute", _one)
    yield from _rows("sensor dead", _dead)
    for name, sound in SOUND.items():
        yield from _rows(f"{name} (no fault)", partial(_cries, trace=sound))


def _rows(name: str, told: Callable[[Temps, float], list[str]]) -> Iterator[str]:
    for step_s in STEPS_S:
        times = np.arange(step_s, ENDS_S + 1, step_s, dtype=float)
        for noise_c in NOISES_C:
            cells = " | ".join(told(times, noise_c))
            yield f"| {name} | {step_s} s | {noise_c} °C | {cells} |"


def _runs(times: Temps, noise_c: float, trace: Trace, points: int = 1) -> Iterator[Temps]:
    """Temperatures of each engine and seed, (points, times)."""
    for tau_s in TAUS_S:
        dice = np.random.default_rng(tau_s)
        true = np.array([trace(t, tau_s) for t in times.tolist()])
        for _ in range(SEEDS // len(TAUS_S) + 1):
            yield true + dice.normal(0, noise_c, (points, len(times)))


def _late(times: Temps, noise_c: float, trace: Trace, since_s: float) -> list[str]:
    found = [
        (_watched(times, temps), _limit(times, temps), _slope(times, temps))
        for temps in _runs(times, noise_c, trace)
    ]
    return [_delay([one[n] for one in found], since_s) for n in range(3)]


def _delay(at: list[float | None], since_s: float) -> str:
    """Median and 95 % of the delay; of 1,000 runs those missed, and those that cried before."""
    after = sorted(one - since_s for one in at if one is not None and one > since_s)
    early = sum(one is not None and one <= since_s for one in at)
    said = [
        f"{after[len(after) // 2]:.0f} s, 95 % by {after[int(0.95 * (len(after) - 1))]:.0f} s"
        if after
        else "never in time"
    ]
    if missed := sum(one is None for one in at):
        said.append(f"{1000 * missed // len(at)} missed")
    if early:
        said.append(f"{1000 * early // len(at)} false before")
    return "; ".join(said)


def _cries(times: Temps, noise_c: float, trace: Trace) -> list[str]:
    runs = [*_runs(times, noise_c, trace)]
    return [
        f"{1000 * sum(rule(times, temps) is not None for temps in runs) // len(runs)} false"
        for rule in (_watched, _limit, _slope)
    ]


def _one(times: Temps, noise_c: float) -> list[str]:
    """The fourth climbs away from 380 s on by 6 °C a minute."""
    found = []
    for temps in _runs(times, noise_c, healthy, points=4):
        temps[3] += np.maximum(0, times - FAULT_S) / 10
        found.append((_watched(times, temps), _limit(times, temps), _slope(times, temps[3:])))
    return [_delay([one[n] for one in found], FAULT_S) for n in range(3)]


def _dead(times: Temps, noise_c: float) -> list[str]:
    """From 380 s on it shows what it showed: said, no alarm, and no plateau."""
    said: list[float] = []
    wrong = 0
    runs = [*_runs(times, noise_c, dead)]
    for temps in runs:
        temps[0, times > FAULT_S] = temps[0, times <= FAULT_S][-1]
        watch = _begun()
        for at_s, temp_c in zip(times.tolist(), np.round(temps[0], 1).tolist(), strict=True):
            watch.answered_s = at_s
            watch.read(at_s, "head 0", temp_c)
            if at_s > FAULT_S and watch.at(at_s).cant_tell:
                said.append(at_s - FAULT_S)
                break
        wrong += watch.ended is not None or watch.alarm is not None
    middle = f"said after {sorted(said)[len(said) // 2]:.0f} s" if said else "never said"
    told = (
        f"{middle}, in {1000 * len(said) // len(runs)}; {1000 * wrong // len(runs)} ended or false"
    )
    return [told, "says nothing", "says nothing"]


def _begun(points: int = 1) -> Watch:
    names = tuple(f"head {n}" for n in range(points))
    running_c, limit_c = dict.fromkeys(names, RUNNING_C), dict.fromkeys(names, LIMIT_C)
    watch = Watch(Rules(Supply.MUFFS, names, running_c, limit_c))
    watch.water_at_outlet(1)
    return watch


def _watched(times: Temps, temps: Temps) -> float | None:
    watch = _begun(len(temps))
    for column, at_s in enumerate(times.tolist()):
        watch.answered_s = at_s  # somebody answers: only the heat counts here
        for n, point in enumerate(watch.rules.points):
            watch.read(at_s, point, float(temps[n, column]))
        if watch.alarm:
            break
    return watch.alarm.at_s if watch.alarm else None


def _limit(times: Temps, temps: Temps) -> float | None:
    over = (temps >= LIMIT_C).any(axis=0)
    return float(times[over.argmax()]) if over.any() else None


def _slope(times: Temps, temps: Temps) -> float | None:
    """Steeper than so much over a minute."""
    back = max(1, round(60 / (times[1] - times[0])))
    steep = (temps[:, back:] - temps[:, :-back] >= SLOPE_C_MIN).any(axis=0)
    return float(times[back:][steep.argmax()]) if steep.any() else None
