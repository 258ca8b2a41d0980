"""Fall: blocked pairs of twenty yards stood in four ways, and the counter of moves aside."""

import csv
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path
from time import perf_counter

import numpy as np

from bench.moves import fewest_moves
from yardwright.plan.standing import Boat, Row, Standing, expected_day, one_by_one, stand

YARDS, BOATS, DEEP, SEASON = 20, 300, 6, (0.0, 84.0)
INSTANCES = Path(__file__).parents[1] / "tests/data/block_relocation/instances.csv"


class Yard:
    """300 boats in rows of six. Each owner has a habit of lateness, and is more or less sure.

    Three past years are known of each; one in seven gives no wish. They come in an order that
    has nothing to do with spring.
    """

    def __init__(self, seed: int) -> None:
        dice = np.random.default_rng(seed)
        wished = dice.triangular(10, 42, 75, BOATS).round()
        habit, unsure = dice.normal(3, 5, BOATS), np.exp(dice.normal(np.log(8), 0.5, BOATS))
        late = habit[:, None] + unsure[:, None] * dice.normal(size=(BOATS, 3))
        told = dice.random(BOATS) < 6 / 7
        self.wants_out = wished + habit + unsure * dice.normal(size=BOATS)
        self.wished = np.where(told, wished, np.mean(SEASON))
        self.comes = dice.permutation(BOATS)
        self.rows = [Row(f"row {n}", DEEP) for n in range(BOATS // DEEP)]
        self.boats = [
            Boat(
                f"boat {n}",
                expected_day(wished[n] if told[n] else None, late[n] if told[n] else (), SEASON),
            )
            for n in range(BOATS)
        ]

    def blocked(self, rows: Iterable[Sequence[int]]) -> int:
        """Pairs of a row in which the one behind did want out first, the aisle's boat named first."""
        day = self.wants_out
        return sum(
            int(day[behind] < day[front])
            for row in rows
            for place, behind in enumerate(row)
            for front in row[:place]
        )

    def in_rows(self, standing: Standing) -> list[list[int]]:
        number = {boat.name: n for n, boat in enumerate(self.boats)}
        order = sorted(standing, key=lambda name: standing[name].berth)
        return [[number[n] for n in order if standing[n].row == row.name] for row in self.rows]


def fall() -> Iterator[str]:
    """Each way's blocked pairs when spring has come, 20 yards and their mean."""
    yield "blocked pairs      arrival  wish, rows filled  wish, dealt  as they come  in advance"
    table, seconds = [], []
    for seed in range(YARDS):
        yard, begins = Yard(seed), perf_counter()
        advance = stand(yard.boats, yard.rows, {})
        between = perf_counter()
        come = [yard.boats[n] for n in yard.comes]
        as_they_come = one_by_one(come, yard.boats, yard.rows, {})
        online = {name: place for name, place in as_they_come if place}
        seconds.append((between - begins, (perf_counter() - between) / BOATS))
        wish = np.argsort(yard.wished, kind="stable")
        arrival = yard.comes.reshape(-1, DEEP)[:, ::-1]  # first come, innermost
        filled, dealt = wish.reshape(-1, DEEP), wish.reshape(DEEP, -1).T
        ways = [arrival.tolist(), filled.tolist(), dealt.tolist()]
        table.append(
            [yard.blocked(w) for w in (*ways, yard.in_rows(online), yard.in_rows(advance))]
        )
        yield _line(f"yard {seed}", table[-1])
    mean = np.mean(table, axis=0)
    yield _line("mean", mean)
    yield "of arrival's      " + "".join(f"{share:13.2f}" for share in mean / mean[0])
    whole, each = np.median(seconds, axis=0)
    yield f"a fleet in advance {whole:.2f} s, one boat as she comes {each:.3f} s"
    yield from _moves()


def _line(name: str, counts: Iterable[float]) -> str:
    return f"{name:<18}" + "".join(f"{count:13.1f}" for count in counts)


def _moves() -> Iterator[str]:
    begins, right, count = perf_counter(), 0, 0
    with INSTANCES.open() as lines:
        next(lines)  # the source
        for line in csv.DictReader(lines):
            stacks = line["stacks from bottom to top"].split(";")
            rows = [[int(turn) for turn in stack.split()] for stack in stacks]
            right += len(fewest_moves(rows, int(line["class"][0]) + 2)) == int(line["fewest"])
            count += 1
    yield f"moves aside: {right} of {count} published instances at their fewest, {perf_counter() - begins:.1f} s"
