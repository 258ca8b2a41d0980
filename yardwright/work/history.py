"""What the yard's own facts say of each kind of job. Nothing here writes.

It is the kind of job that is counted, never who did it.
"""

from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping
from typing import NamedTuple
from uuid import UUID

from django.db.models import Count, Q, QuerySet

from yardwright.procedures.steps import book
from yardwright.season.model import History
from yardwright.work.models import Fact, Kind
from yardwright.work.queries import standing
from yardwright.yard import clock

# What a season file says is done has no words it was done by: the file's own history counts it.
COUNTS = Q(body__of_kind="step") & ~Q(body__edition="") | Q(
    body__of_kind="work", body__trade__gt=""
)


class Job(NamedTuple):
    """A kind of job: a step by its code, other work by its name and trade."""

    what: str
    trade: str = ""


def history() -> tuple[History, ...]:
    """Each kind of job that was done here or that a season file told of, in the order of names.

    A step's minutes stand beside those that the book as it is now would plan for that boat.
    """
    usual = {step.code: step.minutes for step in book().steps}
    jobs: dict[Job, int] = defaultdict(int)
    took: dict[Job, list[tuple[int, int]]] = defaultdict(list)
    found: dict[Job, list[int]] = defaultdict(list)
    for fact in standing().filter(kind=Kind.HISTORY).order_by("received_at", "pk"):
        kind = Job(fact.what, fact.body["trade"])
        jobs[kind] += fact.body["jobs"]
        pairs = ((m, _by_now(fact, planned, usual)) for m, planned in fact.body["took_min"])
        took[kind] += pairs
        found[kind] += fact.body["found_min"]
    for what, trade, many in _done().values_list("what", "body__trade").annotate(Count("pk")):
        jobs[Job(what, trade or "")] += many
    for fact in _done().filter(body__has_key="took_min").order_by("done_at", "pk"):
        minutes = fact.body["took_min"]
        planned = fact.body.get("planned_min", usual.get(fact.what, minutes))
        took[_job(fact)].append((minutes, _by_now(fact, planned, usual)))
    for fact, minutes in _found_on():
        found[_job(fact)].append(minutes)
    return tuple(
        History(
            kind.what,
            jobs[kind],
            kind.trade,
            tuple(took[kind]),
            tuple(found[kind]),
        )
        for kind in sorted(jobs)
        if kind.trade or kind.what in usual
    )


def _by_now(fact: Fact, planned_min: int, usual: Mapping[str, int]) -> int:
    """What was planned, as the book would plan it now; other work stays as it was planned."""
    then = fact.body.get("usual_min")
    now = usual.get(fact.what)
    return planned_min if then is None or now is None else max(1, round(planned_min * now / then))


def _done() -> QuerySet[Fact]:
    return standing().filter(COUNTS, kind=Kind.DONE).order_by()


def _job(fact: Fact) -> Job:
    return Job(fact.what, fact.body.get("trade", ""))


def _found_on() -> Iterator[tuple[Fact, int]]:
    """The jobs on which work was found, and its minutes.

    What is found belongs to the job that whoever found it did next on her that day, else to the
    last one before; what was found on no job is of none.
    """
    minutes: Counter[UUID | None] = Counter()
    came = standing().filter(kind=Kind.CAME, body__has_key="minutes", of__isnull=False)
    for finding_pk, body in came.values_list("of", "body"):
        minutes[finding_pk] += body["minutes"]
    findings = list(standing().filter(kind=Kind.FOUND, pk__in=[*minutes]))
    boats = {finding.boat_id for finding in findings}
    done = list(_done().filter(boat__in=boats).order_by("done_at", "pk"))
    on: dict[int, list[int]] = defaultdict(list)
    for finding in findings:
        near = [n for n, one in enumerate(done) if _same_day(one, finding)]
        after = [n for n in near if done[n].done_at >= finding.done_at]
        if near:
            on[(after or near[-1:])[0]].append(minutes[finding.pk])
    return ((done[n], sum(each)) for n, each in on.items())


def _same_day(done: Fact, finding: Fact) -> bool:
    if (done.boat_id, done.by_id) != (finding.boat_id, finding.by_id):
        return False
    days = {one.done_at.astimezone(clock.zone()).date() for one in (done, finding)}
    return len(days) == 1
