"""The log: one line a request with its id; what broke with where, but never with a name."""

import logging
import traceback
from contextvars import ContextVar
from types import TracebackType
from typing import TypeAlias

request_id: ContextVar[str] = ContextVar("request_id", default="-")

Broken: TypeAlias = (
    tuple[type[BaseException], BaseException, TracebackType | None] | tuple[None, None, None]
)


class Lines(logging.Formatter):
    """An exception's words may hold what somebody typed, so only its kind and its place are kept."""

    def __init__(self) -> None:
        super().__init__("{asctime} {levelname} {name} {request_id} {message}", style="{")

    def format(self, record: logging.LogRecord) -> str:
        record.request_id = request_id.get()
        return super().format(record)

    def formatException(self, ei: Broken) -> str:  # noqa: N802  # Python's own name
        kind, _, place = ei
        return "".join([*traceback.format_tb(place), kind.__name__ if kind else ""])
