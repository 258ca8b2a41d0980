"""Projects of the PSPLIB: jobs in order that share what there is of each resource.

The same kind of recipe as the yard's planner, on problems that are not ours: a list schedule with
shaken priorities and justification first, then the solver on all, then on a part at a time.

References
----------
R. Kolisch, A. Sprecher, "PSPLIB - A project scheduling library", European Journal of Operational
Research 96 (1996). V. Valls, F. Ballestin, S. Quintanilla, "Justification and RCPSP: a technique
that pays", European Journal of Operational Research 165 (2005).
"""

import csv
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from heapq import heappop, heappush
from pathlib import Path
from random import Random

DATA = Path(__file__).parents[1] / "tests" / "data" / "psplib"
Starts = tuple[int, ...]
FIELD = 8  # bits for an amount, up to 127


@dataclass(frozen=True)  # no slots: what follows from it is reckoned once
class Project:
    """Jobs from 0; the first and the last take no time. ``after`` has each job's successors."""

    duration: tuple[int, ...]
    demand: tuple[tuple[int, ...], ...]
    capacity: tuple[int, ...]
    after: tuple[tuple[int, ...], ...]

    @cached_property
    def before(self) -> tuple[tuple[int, ...], ...]:
        """Each job's predecessors."""
        jobs = range(len(self.duration))
        return tuple(tuple(i for i in jobs if j in self.after[i]) for j in jobs)

    @cached_property
    def reversed(self) -> "Project":
        """The same with time and the jobs' numbers running backwards."""
        last = len(self.duration) - 1
        after = tuple(tuple(last - i for i in before) for before in self.before[::-1])
        return Project(self.duration[::-1], self.demand[::-1], self.capacity, after)

    @cached_property
    def tail(self) -> tuple[int, ...]:
        """From each job's start to the end of the project, if every resource were enough."""
        tail = list(self.duration)
        for job in reversed(self.order):
            tail[job] += max((tail[j] for j in self.after[job]), default=0)
        return tuple(tail)

    @cached_property
    def order(self) -> tuple[int, ...]:
        """The jobs, none before its predecessors."""
        left = [len(before) for before in self.before]
        order = [job for job, count in enumerate(left) if not count]
        for job in order:
            for j in self.after[job]:
                left[j] -= 1
                if not left[j]:
                    order.append(j)
        return tuple(order)

    @cached_property
    def width(self) -> int:
        """Bits of one resource over all times; a job that waits for all others still ends in it."""
        return FIELD * (sum(self.duration) + max(self.duration) + 1)

    @cached_property
    def guard(self) -> int:
        """The highest bit of each field."""
        return _fields(self, [1 << FIELD - 1] * len(self.capacity), self.width // FIELD)

    @cached_property
    def all_free(self) -> int:
        """All there is of each resource at each time, with the guards."""
        return self.guard + _fields(self, self.capacity, self.width // FIELD)

    @cached_property
    def always(self) -> tuple[int, ...]:
        """What each job needs, at all times."""
        return tuple(_fields(self, need, self.width // FIELD) for need in self.demand)

    @cached_property
    def once(self) -> tuple[int, ...]:
        """What each job needs, as long as it takes, from the start."""
        pairs = zip(self.demand, self.duration, strict=True)
        return tuple(_fields(self, need, takes) for need, takes in pairs)

    @property
    def at_least(self) -> int:
        """No plan is shorter: the longest chain, and the work in each resource."""
        work = [
            -(-sum(d * need[k] for d, need in zip(self.duration, self.demand, strict=True)) // room)
            for k, room in enumerate(self.capacity)
        ]
        return max(self.tail[self.order[0]], *work)


def _fields(project: Project, amounts: Sequence[int], times: int) -> int:
    """These amounts, at so many times from the first on, in one number."""
    one_each = ((1 << FIELD * times) - 1) // ((1 << FIELD) - 1)
    return sum(amount * one_each << k * project.width for k, amount in enumerate(amounts))


@dataclass(frozen=True, slots=True)
class Instance:
    """A project, and what was known of its shortest plan in September 2024."""

    name: str
    project: Project
    at_least: int
    best_known: int

    @property
    def closed(self) -> bool:
        return self.at_least == self.best_known


def read(path: Path) -> Project:
    """Read a file in Patterson's form."""
    numbers = iter(map(int, path.read_text(encoding="utf-8").split()))
    jobs, resources = next(numbers), next(numbers)
    capacity = tuple(next(numbers) for _ in range(resources))
    duration, demand, after = [], [], []
    for _ in range(jobs):
        duration.append(next(numbers))
        demand.append(tuple(next(numbers) for _ in range(resources)))
        after.append(tuple(next(numbers) - 1 for _ in range(next(numbers))))
    return Project(tuple(duration), tuple(demand), capacity, tuple(after))


def instances() -> list[Instance]:
    """The twelve, in the order of their size."""
    with (DATA / "best_known.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    return [
        Instance(
            row["file"].removesuffix(".rcp"),
            read(DATA / row["file"]),
            int(row["lower_bound"]),
            int(row["best_known"]),
        )
        for row in rows
    ]


def length(project: Project, starts: Starts) -> int:
    """When the last job ends."""
    return max(start + d for start, d in zip(starts, project.duration, strict=True))


def faults(project: Project, starts: Starts) -> Iterator[str]:
    """What is wrong with a plan, by plain loops: the authority here."""
    if len(starts) != len(project.duration):
        yield f"{len(starts)} starts for {len(project.duration)} jobs"
        return
    for job, start in enumerate(starts):
        if start < 0:
            yield f"job {job} starts at {start}"
        for j in project.after[job]:
            if starts[j] < start + project.duration[job]:
                yield f"job {j} starts before job {job} ends"
    yield from _too_much_used(project, starts)


def _too_much_used(project: Project, starts: Starts) -> Iterator[str]:
    for time in range(length(project, starts)):
        for k, room in enumerate(project.capacity):
            used = 0
            for job, start in enumerate(starts):
                if start <= time < start + project.duration[job]:
                    used += project.demand[job][k]
            if used > room:
                yield f"resource {k} at {time}: {used} of {room}"


def list_schedule(project: Project, rank: Sequence[float]) -> Starts:
    """Each job at its first free time, the lowest rank first among those whose turn has come.

    What is free of every resource at every time stands in one long number, `FIELD` bits each, the
    highest of them set: less what a job needs, it stays set where there is enough.
    """
    free, guard, width = project.all_free, project.guard, project.width
    first_resource = (1 << width) - 1
    starts, earliest = [0] * len(project.duration), [0] * len(project.duration)
    left = [len(before) for before in project.before]
    ready = [(rank[job], job) for job, count in enumerate(left) if not count]
    while ready:
        _, job = heappop(ready)
        takes = project.duration[job]
        enough = (free - project.always[job]) & guard
        fits = enough & first_resource
        for k in range(1, len(project.capacity)):
            fits &= enough >> k * width
        fits >>= FIELD * earliest[job]
        run = 1
        while run < takes:  # as many in a row as it takes
            step = min(run, takes - run)
            fits &= fits >> FIELD * step
            run += step
        start = starts[job] = earliest[job] + (fits & -fits).bit_length() // FIELD - 1
        free -= project.once[job] << FIELD * start
        for j in project.after[job]:
            earliest[j] = max(earliest[j], start + takes)
            left[j] -= 1
            if not left[j]:
                heappush(ready, (rank[j], j))
    return tuple(starts)


def justified(project: Project, starts: Starts) -> Starts:
    """Pushed to the right in the order of its ends, then to the left again: never longer."""
    ends = [start + d for start, d in zip(starts, project.duration, strict=True)]
    right = list_schedule(project.reversed, [-end for end in ends[::-1]])
    right_ends = [start + d for start, d in zip(right, project.duration[::-1], strict=True)]
    return list_schedule(project, [-end for end in right_ends[::-1]])


def shaken(rank: Sequence[float], dice: Random, spread: float) -> list[float]:
    """The same order, but for some."""
    return [one + dice.gauss(0, spread) for one in rank]
