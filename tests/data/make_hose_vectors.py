"""Make the hose runs that the server's watch and the phone's must follow alike.

``python -m tests.data.make_hose_vectors`` writes the file anew: do so when a rule of the watch
changes, and look at what became another.
"""

import json
from collections.abc import Callable, Iterator, Mapping
from math import exp
from pathlib import Path
from random import Random
from typing import Any

from yardwright.procedures.hose_watch import Rules, Standing, Watch, stop_words
from yardwright.procedures.water_order import Supply

KEPT = Path(__file__).parent / "hose_vectors.json"
MADE_BY = {"made_by": "python -m tests.data.make_hose_vectors"}
RUNS, MORE = 84, 5  # deeds after the last that changed anything
Plain = dict[str, Any]


def healthy(at_s: float, tau_s: float) -> float:
    return 70 - 50 * exp(-at_s / tau_s)


TRACES: Mapping[str, Callable[[float, float], float]] = {
    "healthy": healthy,
    "slips": lambda t, tau: healthy(min(t, 380), tau) + max(0, t - 380) / 3,
    "kinks": lambda t, tau: healthy(min(t, 380), tau) + max(0, t - 380) / 20,
    "dips": lambda t, tau: healthy(t, tau) - 8 * exp(-(((t - 400) / 15) ** 2)),
    "cools": lambda t, tau: healthy(t, tau) - (12 if t > 300 else 0),
    "cold": lambda t, tau: healthy(t, tau) - 15,
    "shut": lambda t, tau: 20 + 75 * (1 - exp(-t / (1.5 * tau))),
    "stuck": lambda t, tau: healthy(min(t, 400), tau),
    "never moves": lambda t, tau: 70.0,
}


def runs() -> Iterator[Plain]:
    """Rules and deeds, each deed as [seconds, what, …]."""
    dice = Random(20310505)  # noqa: S311 - no secret
    for number in range(RUNS):
        kind = [*TRACES][number % len(TRACES)]
        points = ["head"] if dice.random() < 0.6 else ["head port", "head starboard", "elbow"]
        tau_s, step_s = (
            dice.choice([120, 180, 300]),
            dice.choice([5 if len(points) == 1 else 15, 15, 15, 30, 60]),
        )
        kept = [
            [[t, round(healthy(t, 180) + dice.gauss(0, 1), 2)] for t in range(0, 900, 60)]
            for _ in range(dice.choice([0, 0, 4, 6]))
        ]
        rules = {
            "supply": dice.choice(list(Supply)).value,
            "points": points,
            "running_c": dice.choice([dict.fromkeys(points[:2], 70), {points[0]: 70}, {}]),
            "limit_c": dice.choice([{}, dict.fromkeys(points, 80), {points[-1]: 75}]),
            "kept": {"head": kept},
        }
        deeds = sorted(_deeds(dice, kind, points, tau_s, step_s), key=lambda deed: deed[0])
        yield {"kind": kind, "rules": rules, "deeds": deeds}


def _deeds(
    dice: Random, kind: str, points: list[str], tau_s: int, step_s: int
) -> Iterator[list[Any]]:
    yield [dice.choice([8, 8, 8, 29, 31, 40]), "water"]
    noise_c, hot = dice.choice([0, 0.3, 0.8]), dice.choice([None, None, "head starboard"])
    stops_s = dice.choice([2000, 2000, 500])
    for at_s in range(5, 1000, 5):
        if at_s % 30 == 5 and 30 < at_s < stops_s:
            yield [at_s, "yes"]
        if at_s == 700 and dice.random() < 0.2:
            yield [at_s, "no"]
        if at_s % step_s == 0:
            for name in points:
                still = kind == "never moves" or (kind == "stuck" and at_s > 400)
                noise = 0 if still else dice.gauss(0, noise_c)
                climbs = max(0, at_s - 300) / 12 if name == hot else 0
                temp_c = TRACES[kind](at_s, tau_s) + noise + climbs
                yield [at_s, name, round(min(temp_c, 140.0), 2)]
    yield [1000, "by hand"]
    yield [1010, "stopped"]
    yield [1015, points[0], 140.0]


def said(run: Mapping[str, Any]) -> list[Plain]:
    """How it stands after each deed that changed something."""
    rules = run["rules"]
    supply = Supply(rules["supply"])
    kept = {
        sort: tuple(tuple((t, c) for t, c in one) for one in courses)
        for sort, courses in rules["kept"].items()
    }
    watch = Watch(Rules(supply, tuple(rules["points"]), rules["running_c"], rules["limit_c"], kept))
    told: list[Plain] = []
    for number, (at_s, what, *temp) in enumerate(run["deeds"]):
        match what:
            case "water":
                watch.water_at_outlet(at_s)
            case "yes" | "no":
                watch.answered(at_s, coming_out=what == "yes")
            case "by hand":
                if watch.at(at_s).may_end_by_hand:
                    watch.end_by_hand(at_s)
            case "stopped":
                watch.stopped(at_s)
            case point:
                watch.read(at_s, point, *temp)
        standing = _plain(watch.at(at_s), supply)
        if not told or told[-1]["standing"] != standing:
            told.append({"after": number, "standing": standing})
    return told


def _plain(one: Standing, supply: Supply) -> Plain:
    alarm = one.alarm
    return {
        "alarm": alarm and [alarm.why.value, alarm.at_s, alarm.point, alarm.temp_c],
        "words": alarm and stop_words(alarm, supply),
        "ask_since_s": one.ask_since_s,
        "next_ask_s": one.next_ask_s,
        "ended": one.ended and one.ended.value,
        "may_end_by_hand": one.may_end_by_hand,
        "cant_tell": dict(one.cant_tell),
    }


def _short(run: Plain) -> Plain:
    return {**run, "deeds": run["deeds"][: run["says"][-1]["after"] + 1 + MORE]}


def main() -> None:
    rows = [_short({**run, "says": said(run)}) for run in runs()]
    lines = ",\n".join(json.dumps(row, ensure_ascii=False) for row in [MADE_BY, *rows])
    KEPT.write_text(f"[\n{lines}\n]\n", encoding="utf-8")


if __name__ == "__main__":
    main()
