"""Local times: what the clock on the yard's wall says, and which moment that is."""

from datetime import date, datetime, time, timezone
from zoneinfo import ZoneInfo

YEARS = range(1900, 2200)  # any other is a slip of the pen


def moment(wall: datetime, zone: ZoneInfo) -> datetime:
    """Find the one moment at which the yard's clock shows this.

    Parameters
    ----------
    wall : datetime
        Without an offset: as the clock on the wall. With one: that moment, whatever the zone.
    zone : ZoneInfo
        The yard's own.

    Returns
    -------
    datetime
        The same wall time with its offset fixed, so that minutes between two moments are true
        minutes also over the night the clock changes.

    Raises
    ------
    ValueError
        The clock jumps over this time, or shows it twice; or its year is none of ``YEARS``.
    """
    if wall.year not in YEARS:
        raise ValueError(
            f"the year is {wall.year:04}; give one from {YEARS[0]} to {YEARS[-1]}, such as 2031."
        )
    if wall.tzinfo is not None:
        return shown(wall, zone)
    first, second = (_fixed(wall.replace(tzinfo=zone, fold=fold)) for fold in (0, 1))
    if first.astimezone(zone).replace(tzinfo=None) != wall:
        raise ValueError(
            f"{wall:%Y-%m-%d %H:%M} does not exist, the clock goes forward over it that night; "
            f"write {first.astimezone(zone):%H:%M} or a time before the jump."
        )
    if first != second:
        raise ValueError(
            f"{wall:%Y-%m-%d %H:%M} comes twice, the clock goes back that night; write "
            f"{first.isoformat(sep=' ')} for the first or {second.isoformat(sep=' ')} for the second."
        )
    return first


def shown(at: datetime, zone: ZoneInfo) -> datetime:
    """Show a moment as the yard's clock does, its offset fixed."""
    return _fixed(at.astimezone(zone))


def midnight(day: date, zone: ZoneInfo) -> datetime:
    """The moment a calendar day begins at the yard."""
    return _fixed(datetime.combine(day, time(), zone))


def _fixed(at: datetime) -> datetime:
    offset = at.utcoffset()
    if offset is None:
        raise ValueError(f"{at:%Y-%m-%d %H:%M} has no zone; give the yard's.")
    return at.replace(tzinfo=timezone(offset), fold=0)


def said_day(day: date, of: date | None = None) -> str:
    """As a day is said: ``Tue 6 May``; with its year where that is not the one of another day."""
    year = f" {day.year}" if of and day.year != of.year else ""
    return f"{day:%a} {day.day} {day:%b}{year}"
