"""The process that does the yard's long work. ``yardwright serve`` starts it and it leaves with it."""

import os
import sys
import time
from typing import TYPE_CHECKING
from uuid import UUID, uuid4

import django

if TYPE_CHECKING:
    from yardwright.yard.jobs import Command
    from yardwright.yard.models import Job

SOLVE = "yardwright.launch.solve"
PAUSE_S = 0.5


def main() -> None:
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "yardwright.web.settings")
    django.setup()
    from yardwright.yard import jobs

    jobs.leave_with_parent()
    me = uuid4()
    while True:
        if not turn(me, command):
            time.sleep(PAUSE_S)


def command(job: "Job") -> list[str]:
    """What a process of its own is started with, to do one job."""
    return [sys.executable, "-m", SOLVE, str(job.pk)]


def turn(me: UUID, command: "Command") -> bool:
    """One job, if there is one; a database that is busy just now is asked again."""
    from django.db import OperationalError, connection

    from yardwright.launch.queries import AGAIN, PLAN
    from yardwright.yard import jobs

    try:
        return jobs.work_one(me, command, first=(AGAIN, PLAN))  # a plan before what goes by one
    except OperationalError:  # else the worker were gone, and nothing was ever planned again
        connection.close()
        return False


if __name__ == "__main__":
    main()
