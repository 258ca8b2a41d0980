"""A plan out of overtime: each thing as late as its boat's day allows, then as early as it goes."""

from yardwright.plan.alone import launch_begins
from yardwright.plan.asides import leaves
from yardwright.plan.days import Minute
from yardwright.plan.hours import last
from yardwright.plan.list_plan import pulled_forward
from yardwright.plan.parts import followers
from yardwright.plan.placing import Placing, Stuck
from yardwright.plan.problem import (
    Boat,
    Job,
    PersonId,
    Plan,
    Problem,
    Task,
    handed_over,
    overtime_min,
)
from yardwright.plan.slots import SLOT_MIN

PASSES = 4  # at most; after that hardly anything is won
LIFT_MIN = 5  # so much sooner another launch is tried where the lift is taken


def out_of_overtime(problem: Problem, plan: Plan, passes: int = PASSES) -> Plan:
    """The same with less overtime where there is any to spare, no boat handed over on a later day.

    What is put off to hours that nobody needed makes room for what others did in overtime. Then all
    goes to the front again in the order it has got by that.

    Parameters
    ----------
    problem : Problem
        What is asked.
    plan : Plan
        A plan that keeps every rule.
    passes : int
        How often at most; it is done sooner when nothing more is won.

    Returns
    -------
    Plan
        It keeps every rule; no launch that keeps its published minute has another.
    """
    before = _overtime_min(problem, plan)
    for _ in range(passes if before else 0):
        less = pulled_forward(problem, put_off(problem, plan))
        after = _overtime_min(problem, less)
        if after >= before:
            break
        plan, before = less, after
    return plan


def put_off(problem: Problem, plan: Plan) -> Plan:
    """The same with all as late as it may be: no boat later than her day, or than she is already.

    What can go later in nobody's overtime does so; the rest stays. A boat stays as she is where
    anything of her finds no room, where she is moved aside, and where somebody is watched on her.
    """
    putting_off = _PuttingOff(problem, plan)
    for boat in sorted(problem.going_in, key=lambda boat: (-plan.launches[boat.id], boat.id)):
        if boat.id not in plan.asides:
            putting_off.later(boat)
    return putting_off.placing.plan


def _overtime_min(problem: Problem, plan: Plan) -> int:
    return sum(overtime_min(problem, job) for job in plan.jobs.values())


class _PuttingOff:
    """A plan of which one boat after the other goes later, those behind before those in front."""

    def __init__(self, problem: Problem, plan: Plan) -> None:
        self.problem, self.plan = problem, plan
        self.after = followers(problem)
        self.placing = Placing(problem, frozenset(), {}, {})
        self.placing.keep(plan)

    def later(self, boat: Boat) -> None:
        """All of her that can be later, or nothing."""
        hers = self.problem.jobs[boat.id]
        if any(self.plan.jobs[task.id].watcher for task in hers):
            return
        self._take_out(boat)
        try:
            self._put_in(boat)
        except Stuck:
            self._take_out(boat)
            for task in hers:
                self.placing.book(task, self.plan.jobs[task.id])
            self.placing.take_launch(boat, self.plan.launches[boat.id])

    def _take_out(self, boat: Boat) -> None:
        for task in self.problem.jobs[boat.id]:
            if task.id in self.placing.jobs:
                self.placing.unbook(task)
        if boat.id in self.placing.launches:
            self.placing.free_launch(boat)

    def _put_in(self, boat: Boat) -> None:
        """From the end: her work afloat, her launch, her work ashore."""
        over = self._over(boat)
        for task in reversed(list(self.problem.afloat(boat.id))):
            over = min(over, self._job(task, over).start)
        at = self._launch(boat, min(over, self._over(boat) - boat.watch_min) - boat.launch_min)
        self.placing.take_launch(boat, at)
        for task in reversed(list(self.problem.ashore(boat.id))):
            job = self._job(task, at - max(boat.carry_min, task.dry_min))
            if task.within_min is not None and at - job.end > task.within_min:
                raise Stuck(boat.id)

    def _over(self, boat: Boat) -> Minute:
        """By when she is to be handed over."""
        days = self.problem.days
        day = days.day(handed_over(self.problem, self.plan, boat))
        return min(days.end, days.midnight(max(day, boat.promised or 0) + 1))

    def _job(self, task: Task, until: Minute) -> Job:
        """As late as it goes without overtime, or as it was."""
        placing = self.placing
        followed = (placing.jobs[key].start for key in self.after.get(task.id, ()))
        until = min([until, *followed])
        may_be = [job for job in (self._last(task, until), self._as_it_was(task, until)) if job]
        if not may_be:
            raise Stuck(task.boat)
        job = max(may_be, key=lambda one: (not one.overtime, one.start))
        placing.book(task, job)
        return job

    def _as_it_was(self, task: Task, until: Minute) -> Job | None:
        was = self.plan.jobs[task.id]
        free = self.placing.hands[was.person].is_free((was.start, was.end))
        free = free and not was.hands & self._others(task)
        return was if was.end <= until and free and not self._crowded(task, was) else None

    def _others(self, task: Task) -> set[PersonId]:
        """Who has a hand in what this job is a second look at, or the other way round."""
        apart = (self.placing.jobs.get(key) for key in self.problem.apart.get(task.id, ()))
        return {key for job in apart if job for key in job.hands}

    def _soonest(self, task: Task) -> Minute:
        """Not before what it comes after: on another boat as that is now, on hers as it was."""
        boat = self.problem.boat[task.boat]
        over = self.plan.launches[boat.id] + boat.launch_min if task.afloat else 0
        ahead = (self.placing.jobs.get(key, self.plan.jobs[key]) for key in task.after)
        return max([over, task.not_before, *(job.end for job in ahead)])

    def _last(self, task: Task, until: Minute) -> Job | None:
        """By whoever may begin it last, in their own hours; None: nobody can."""
        count = -(-task.minutes // SLOT_MIN)
        others = self._others(task)
        while True:
            lines = [
                (self.placing.hands[key].plain, key)
                for key in self.placing.may_do[task.trade][0]
                if key not in others
            ]
            found = [(line.last(count, until), line, key) for line, key in lines]
            spans = [(line.span(at, task.minutes), key) for at, line, key in found if at >= 0]
            (start, end), key = max(spans, key=lambda one: one[0], default=((0, 0), None))
            if key is None or start < self._soonest(task):
                return None
            job = Job(key, start, end)
            if not self._crowded(task, job):
                return job
            until = end - SLOT_MIN

    def _crowded(self, task: Task, job: Job) -> bool:
        return self.placing.too_many(self.problem.boat[task.boat], job) is not None

    def _launch(self, boat: Boat, until: Minute) -> Minute:
        """The last minute of hers for it, not sooner than it was."""
        was, placing = self.plan.launches[boat.id], self.placing
        behind = (leaves(self.problem, placing.plan, b.id) for b in self.problem.behind[boat.id])
        until = min([until, *(minute - boat.launch_min for minute in behind)])
        if was == boat.published:
            until = min(until, was)
        opens = launch_begins(self.problem, boat)
        at = last(opens, until)
        while at is not None and at >= was:
            if placing.has_lift(boat, at):
                return at
            at = last(opens, at - LIFT_MIN)
        if was <= until and placing.has_lift(boat, was):
            return was
        raise Stuck(boat.id)
