"""A plan that each turn may better: a few boats are taken out of it and put in again."""

from collections import defaultdict
from collections.abc import Callable, Collection, Sequence
from operator import add
from random import Random

from yardwright.plan.days import Minute
from yardwright.plan.hours import EVER
from yardwright.plan.list_plan import by_promise
from yardwright.plan.placing import Placing, Stuck
from yardwright.plan.problem import BoatId, Plan, Problem, Task, days_late, overtime_min

MOST = 3  # boats that are taken out beside the one in need
BEFORE_MIN, AFTER_MIN = 3 * 1440, 10 * 1440  # around a job of hers, at most
NOISE_DAYS = 4  # of the order in which they are put in
LATE_FIRST = 0.5  # share of the turns for a boat that is late, where one is

Price = tuple[int, int, int, int]


class Turns:
    """A plan, and the boats of which the turns have changed anything.

    No turn makes it later than it was, moves more that is published, or costs more overtime.
    """

    def __init__(self, problem: Problem, plan: Plan, dice: Random) -> None:
        self.problem, self.dice = problem, dice
        self.rank = by_promise(problem)
        self.of_trade: defaultdict[str, list[Task]] = defaultdict(list)
        for task in problem.tasks:
            self.of_trade[task.trade].append(task)
        self.placing = Placing(problem, frozenset(), {}, dict.fromkeys(problem.boat, 0))
        self.placing.keep(plan)
        self.touched: set[BoatId] = set()
        self.late, self.extra = self._in_need()

    @property
    def plan(self) -> Plan:
        """As good as it is so far."""
        return self.placing.plan

    def turn(self) -> bool:
        """For a boat that is late, or worked on in overtime; whether it is kept."""
        late, extra = self.late, self.extra
        needy = late if late and (not extra or self.dice.random() < LATE_FIRST) else extra
        if not needy:
            return False
        some = sorted(self._taken_out(self.dice.choice(needy)))
        before, noise = self.placing, {key: self.dice.gauss(0, NOISE_DAYS) for key in some}
        some.sort(key=lambda key: self.rank[key] + noise[key])
        found = put_in_again(before, some, self._price)
        if found is None:
            return False
        self.placing, touched = found
        self.touched |= touched
        self.late, self.extra = self._in_need()
        return True

    def _in_need(self) -> tuple[list[BoatId], list[BoatId]]:
        """Boats that are late, and those worked on in overtime, once for each such job."""
        plan, problem = self.plan, self.problem
        late = [boat.id for boat in problem.going_in if days_late(problem, plan, boat)]
        extra = [problem.task[key].boat for key, job in plan.jobs.items() if job.overtime]
        return late, extra

    def _taken_out(self, needy: BoatId) -> set[BoatId]:
        """She, and some on whom such work is done about then as she waits for."""
        jobs, hers = self.placing.jobs, self.problem.jobs[needy]
        if not hers:
            return {needy}
        task = self.dice.choice([one for one in hers if jobs[one.id].overtime] or list(hers))
        low = jobs[task.id].start - self.dice.uniform(0, BEFORE_MIN)
        high = jobs[task.id].end + self.dice.uniform(0, AFTER_MIN)
        rivals = self.of_trade[task.trade]
        near = {t.boat for t in rivals if jobs[t.id].end > low and jobs[t.id].start < high}
        others = sorted(near - {needy})
        return {needy, *self.dice.sample(others, min(len(others), self.dice.randint(1, MOST)))}

    def _price(self, plan: Plan, some: Collection[BoatId]) -> Price:
        ink, pencil, moved, extra_min = 0, 0, 0, 0
        for boat in (self.problem.boat[key] for key in some):
            if boat.goes_in:
                days = days_late(self.problem, plan, boat)
                ink, pencil = (ink, pencil + days) if boat.ink is None else (ink + days, pencil)
                moved += boat.published not in (None, plan.launches[boat.id])
            jobs = (plan.jobs[task.id] for task in self.problem.jobs[boat.id])
            extra_min += sum(overtime_min(self.problem, job) for job in jobs)
        return ink, pencil, moved, extra_min


def put_in_again(
    placing: Placing,
    boats: Sequence[BoatId],
    price: Callable[[Plan, Collection[BoatId]], tuple[int, ...]],
    now: Minute = 0,
) -> tuple[Placing, set[BoatId]] | None:
    """Take some boats out of a plan and put them in again, one after another.

    Parameters
    ----------
    placing : Placing
        The plan; it stays as it is.
    boats : sequence of BoatId
        In this order.
    price : callable
        What some boats cost in a plan, the first figure before all others; that of all is the
        sum of each.
    now : int
        What began before stays, and nobody who has been fetched is taken out. [min]

    Returns
    -------
    tuple of Placing and set of BoatId, or None
        Another plan that is not dearer, and these boats with those behind them whose launch had
        to wait. None: one finds no room in this order, or it is dearer, which is often seen
        before all are in.
    """
    problem = placing.problem
    jobs = (task.id for key in boats for task in problem.jobs[key])
    ahead = (key for key in jobs if placing.jobs[key].start >= now)
    other = placing.without(ahead, (key for key in boats if waits(placing, key, now)))
    did = price(placing.plan, boats)
    spent = (0,) * len(did)
    try:
        for key in boats:
            other.place(problem.boat[key])
            spent = tuple(map(add, spent, price(other.plan, [key])))
            if spent > did:
                return None
        other, touched = _let_out(other, boats, now)
    except Stuck:
        return None
    return None if price(other.plan, touched) > price(placing.plan, touched) else (other, touched)


def waits(placing: Placing, boat: BoatId, now: Minute) -> bool:
    """Whether she goes in, and has not been fetched yet."""
    return placing.launches.get(boat, -1) - placing.problem.boat[boat].carry_min >= now


def _let_out(
    placing: Placing, boats: Collection[BoatId], now: Minute
) -> tuple[Placing, set[BoatId]]:
    """The launches of those who would leave before a boat in front of them go in again."""
    problem, touched = placing.problem, set(boats)
    for front in sorted(boats):
        if front in placing.asides or front not in placing.launches:
            continue
        over = placing.launches[front] + problem.boat[front].launch_min
        for boat in problem.behind[front]:
            if placing.asides.get(boat.id, over) < over:
                raise Stuck(boat.id)
            at = placing.launches.get(boat.id, EVER) - boat.carry_min
            if at < over and boat.id not in placing.asides:
                if at < now:
                    raise Stuck(boat.id)
                afloat = [task.id for task in problem.afloat(boat.id)]
                placing = placing.without(afloat, [boat.id])
                placing.place(boat)
                touched.add(boat.id)
                over = placing.launches[boat.id] + boat.launch_min
    return placing, touched
