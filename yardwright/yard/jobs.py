"""Long work without a broker: one table, a lease that must be renewed, progress, and a stop.

A worker that is killed leaves its lease to run out; then another takes the job. A worker that lost
its lease can write nothing. The work itself runs in a process of its own: asked to stop, it ends
with the best it has; what doesn't end soon is ended.
"""

import json
import os
import selectors
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Collection, Iterator
from contextlib import suppress
from datetime import timedelta
from math import inf
from typing import NoReturn
from uuid import UUID

from django.db import connection, transaction
from django.db.models import Case, F, Q, QuerySet, When
from django.utils import timezone

from yardwright.yard.models import Job, Person

LEASE = timedelta(seconds=5)
RENEW_S = 0.7
ENDS_S = 12.0  # work that was asked to stop may take so long to end with the best it has
ATTEMPTS = 3
OPEN = (Job.State.READY, Job.State.RUNNING)

_STOP = threading.Event()  # in a child

Command = Callable[[Job], list[str]]


def ask(what: str, question: dict[str, object], by: Person) -> Job:
    """Ask for long work. The same question while it is being worked on is the same job."""
    with transaction.atomic():
        same = Job.objects.filter(what=what, question=question, state__in=OPEN).first()
        return same or Job.objects.create(what=what, question=question, asked_by=by)


def stop(job: Job) -> None:
    """A person has seen enough."""
    Job.objects.filter(pk=job.pk, state=Job.State.READY).update(state=Job.State.STOPPED)
    Job.objects.filter(pk=job.pk, state=Job.State.RUNNING).update(stop_asked=True)


def take(holder: UUID, first: Collection[str] = ()) -> Job | None:
    """The oldest job that nobody holds; those of the kinds ``first`` go before all others."""
    now = timezone.now()
    with transaction.atomic():
        lost = Q(state=Job.State.RUNNING, lease_until__lt=now)
        waiting = Job.objects.filter(Q(state=Job.State.READY) | lost)
        given_up = waiting.filter(attempt__gte=ATTEMPTS)
        given_up.update(state=Job.State.FAILED, said=f"Given up after {ATTEMPTS} attempts.")
        if connection.features.has_select_for_update_skip_locked:
            waiting = waiting.select_for_update(skip_locked=True)
        in_turn = Case(When(what__in=first, then=0), default=1)
        job = waiting.order_by(in_turn, "asked_at").first()
        if job is None:
            return None
        Job.objects.filter(pk=job.pk).update(
            state=Job.State.RUNNING,
            holder=holder,
            attempt=F("attempt") + 1,
            lease_until=now + LEASE,
            share=0,
        )
        job.refresh_from_db()
    return job


def ahead_of(job: Job) -> Job | None:
    """What runs while a job waits."""
    if job.state != Job.State.READY:
        return None
    return Job.objects.filter(state=Job.State.RUNNING).select_related("asked_by").first()


def work_one(holder: UUID, command: Command, first: Collection[str] = ()) -> bool:
    """Do one job, if there is one; say whether there was. ``first`` as for ``take``."""
    job = take(holder, first)
    if job is None:
        return False
    mine = Job.objects.filter(
        pk=job.pk, holder=holder, attempt=job.attempt, state=Job.State.RUNNING
    )
    with subprocess.Popen(  # noqa: S603  # our own module, see the worker
        command(job), stdin=subprocess.PIPE, stdout=subprocess.PIPE
    ) as child:
        try:
            answer, kept = _listen(child, mine)
        finally:
            if child.poll() is None:
                child.terminate()
    if kept:
        _finish(mine, job, answer, child.returncode)
    return True


def _listen(child: "subprocess.Popen[bytes]", mine: QuerySet[Job]) -> tuple[object, bool]:
    """Pass on what the child says; False when the job is no longer ours, or was stopped."""
    answer: object = None
    last: dict[str, object] = {}
    renewed, stop_s = 0.0, inf
    for line in _lines(child):
        if line:
            said = json.loads(line)
            if "answer" in said:
                answer = last["answer"] = said["answer"]
            else:
                last |= {"share": said["share"], "said": said["said"][:300]}
        if time.monotonic() - renewed > RENEW_S:  # one write a RENEW_S, however chatty the child
            renewed = time.monotonic()
            if not mine.update(lease_until=timezone.now() + LEASE, **last):
                return None, False
            last = {}
            if stop_s == inf and mine.filter(stop_asked=True).exists():
                stop_s = time.monotonic()
                _ask_to_stop(child)
            if time.monotonic() - stop_s > ENDS_S:
                _stopped(mine)
                return None, False
    return answer, True


def _ask_to_stop(child: "subprocess.Popen[bytes]") -> None:
    assert child.stdin is not None  # noqa: S101  # asked for when it was started
    with suppress(BrokenPipeError):  # it has ended meanwhile
        child.stdin.write(b".")
        child.stdin.flush()


def _stopped(mine: QuerySet[Job]) -> int:
    return mine.filter(stop_asked=True).update(state=Job.State.STOPPED, said="Stopped.")


def _lines(child: "subprocess.Popen[bytes]") -> Iterator[bytes]:
    """Whole lines as they come, and an empty one each half second without."""
    assert child.stdout is not None  # noqa: S101  # asked for when it was started
    rest = b""
    with selectors.DefaultSelector() as ready:
        ready.register(child.stdout, selectors.EVENT_READ)
        while True:
            if not ready.select(timeout=0.5):
                yield b""
                continue
            got = os.read(child.stdout.fileno(), 65536)  # readline would hide lines from select
            if not got:
                return
            *lines, rest = (rest + got).split(b"\n")
            yield from lines


def _finish(mine: QuerySet[Job], job: Job, answer: object, code: int) -> None:
    if answer is not None and code == 0:
        mine.update(state=Job.State.DONE, answer=answer, share=1)
        return
    if _stopped(mine):
        return
    again = job.attempt < ATTEMPTS
    state = Job.State.READY if again else Job.State.FAILED
    mine.update(state=state, said=f"The work ended early (code {code}).")


def leave_with_parent() -> None:
    """In a child or worker, first of all: when whoever started it is gone, go too."""

    def wait() -> NoReturn:
        while os.read(0, 1):  # not sys.stdin: reading that in a thread aborts a normal exit
            _STOP.set()
        os._exit(9)

    threading.Thread(target=wait, daemon=True).start()


def stop_asked() -> bool:
    """In the child: whether it is to end with the best it has."""
    return _STOP.is_set()


def tell(share: float, said: str) -> None:
    """From the child: how far it is (0 to 1), in words."""
    sys.stdout.write(json.dumps({"share": share, "said": said}) + "\n")
    sys.stdout.flush()


def tell_answer(answer: object) -> None:
    """From the child: what it found, the best so far each time; it is kept also where it is stopped."""
    sys.stdout.write(json.dumps({"answer": answer}) + "\n")
    sys.stdout.flush()
