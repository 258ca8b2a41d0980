"""Processes of our own that work side by side, and leave with the one that started them."""

import os
from collections.abc import Callable, Iterator
from concurrent.futures import ProcessPoolExecutor
from contextlib import contextmanager
from functools import partial
from multiprocessing import connection, get_context, parent_process
from threading import Thread
from typing import NoReturn

TWO = 2  # that many cores the yard's machine has at least


@contextmanager
def pool(
    processes: int = TWO, begins: Callable[[], None] | None = None
) -> Iterator[ProcessPoolExecutor]:
    """Processes that are left to themselves when no more is asked.

    Parameters
    ----------
    processes : int
        How many; each is started when there is work for it.
    begins : callable, optional
        What each does before its first work.
    """
    some = ProcessPoolExecutor(processes, get_context("spawn"), partial(_began, begins))
    try:
        yield some
    finally:
        some.shutdown(wait=False, cancel_futures=True)


def _began(begins: Callable[[], None] | None) -> None:
    Thread(target=_leave_with_parent, daemon=True).start()
    if begins:
        begins()


def _leave_with_parent() -> NoReturn:
    """One goes when the one that asks is killed; else it would wait for ever."""
    asks = parent_process()
    connection.wait([asks.sentinel] if asks else [])
    os._exit(9)
