"""Days after which safety gear no longer counts and a spent battery must have gone."""

from calendar import monthrange
from datetime import date

from yardwright import refdata

MONTHS_A_YEAR = 12


def extinguisher_ends(year: int, made: date | None = None, by: str = "extinguisher_life") -> date:
    """Last day a throw-away extinguisher may be used.

    Parameters
    ----------
    year : int
        The year stamped on it. 1980 to 2100.
    made : date or None
        The whole date, where it is stamped; within that year.
    by : str
        The row: the label's twelve years from the day, or the Coast Guard's end of the year.

    Returns
    -------
    date
        With a year alone both rules say 31 December of the twelfth year.

    Raises
    ------
    ValueError
        A year outside the range above, or a date of another year.

    References
    ----------
    ``refdata/papers.toml``: both rules.
    """
    _check_year(year)
    if made is not None and made.year != year:
        raise ValueError(f"made {made:%Y-%m-%d}, but the year is {year}; give the same year.")
    life = int(refdata.table("papers")[refdata.rival("papers", "extinguisher_life", by)].value)
    if made is None or by != "extinguisher_life":
        return date(year + life, 12, 31)
    return _later(made, life * MONTHS_A_YEAR)


def flare_ends_at_latest(year: int, month: int) -> date:
    """The last day that a flare's mark can allow.

    Parameters
    ----------
    year, month : int
        When it was made. 1980 to 2100, 1 to 12.

    Returns
    -------
    date
        Last day of the month 42 months on. The mark on the flare itself may say less.

    Raises
    ------
    ValueError
        No such month.

    References
    ----------
    ``refdata/papers.toml``: 46 CFR 160.021-5 and its sisters.
    """
    life = int(refdata.table("papers")["flare_life"].value)
    return end_of_month(*_month_later(year, month, life))


def end_of_month(year: int, month: int) -> date:
    """Last day of a month.

    Parameters
    ----------
    year, month : int
        1980 to 2112, 1 to 12.

    Returns
    -------
    date
        Its last day.

    Raises
    ------
    ValueError
        No such month.
    """
    _check_month(month)
    return date(year, month, monthrange(year, month)[1])


def battery_leaves_by(set_aside: date) -> date:
    """Last day a spent battery may be on the ground.

    Parameters
    ----------
    set_aside : date
        The day it became waste.

    Returns
    -------
    date
        A year on; for 29 February the 28th.

    References
    ----------
    ``refdata/waste.toml``: 40 CFR 273.15.
    """
    years = int(refdata.table("waste")["battery_life"].value)
    return _later(set_aside, years * MONTHS_A_YEAR)


def _later(day: date, months: int) -> date:
    year, month = _month_later(day.year, day.month, months)
    return date(year, month, min(day.day, monthrange(year, month)[1]))


def _month_later(year: int, month: int, months: int) -> tuple[int, int]:
    _check_year(year)
    _check_month(month)
    more, left = divmod(month - 1 + months, MONTHS_A_YEAR)
    return year + more, left + 1


def _check_year(year: int) -> None:
    if not 1980 <= year <= 2100:
        raise ValueError(f"year is {year}; give 1980 to 2100.")


def _check_month(month: int) -> None:
    if not 1 <= month <= MONTHS_A_YEAR:
        raise ValueError(f"month is {month}; give 1 to 12.")
