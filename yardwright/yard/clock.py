"""The yard's one clock: its own zone, its own now (real, or set for the demo)."""

from contextvars import ContextVar
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from django.utils import timezone

from yardwright.yard.models import Yard

_yard: ContextVar[Yard | None] = ContextVar("yard", default=None)


def the_yard() -> Yard:
    """The one yard; asked of the database once a request."""
    return _yard.get() or Yard.objects.get()


def remembered() -> Yard | None:
    """The yard of this request, or None before the first run."""
    return _yard.get()


def remember(yard: Yard | None) -> None:
    """Keep the yard for this request (None: forget it)."""
    _yard.set(yard)


def zone() -> ZoneInfo:
    return ZoneInfo(the_yard().zone)


def now() -> datetime:
    """Now, in the yard's zone. Sessions and leases keep the real clock instead."""
    yard = the_yard()
    ahead = timedelta(seconds=yard.clock_ahead_s)
    return (timezone.now() + ahead).astimezone(ZoneInfo(yard.zone))


def today() -> date:
    return now().date()
