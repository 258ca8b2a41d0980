"""What can't be so about one lift, whatever the rest of the yard is."""

from collections.abc import Iterator

from yardwright.season.boat_faults import DEEPEST_M
from yardwright.season.fault import Fault, measures, on_day_faults
from yardwright.season.lines import Path
from yardwright.season.model import Lift

STRONGEST_M_S = 40.0  # wind in which any lift lifts


def lift_faults(lift: Lift, path: Path = ()) -> Iterator[Fault]:
    """Say what can't be so about one lift."""
    if lift.opens >= lift.closes:
        yield Fault((*path, "closes"), f"{lift.closes} is not after {lift.opens}; end it later.")
    for key, rating in (
        ("rating_kg", lift.rating_kg),
        ("sling_rating_kg", lift.sling_rating_kg),
    ):
        if rating <= 0:
            yield Fault((*path, key), f"{rating:g} kg; read the plate and give more than 0.")
    widest, deepest = ("beam_m", lift.beam_m, 15.0), ("draft_m", lift.draft_m, DEEPEST_M)
    yield from measures(path, (widest, deepest))
    yield from _minutes(lift, path)
    yield from _wind_limit(lift, path)
    for number, hold in enumerate(lift.holds):
        if hold.starts >= hold.ends:
            says = f"{hold.starts:%Y-%m-%d %H:%M} to {hold.ends:%Y-%m-%d %H:%M} goes backwards; end it later."
            yield Fault((*path, "holds", number), says)
    yield from on_day_faults(lift.longer, (*path, "longer"))


def _minutes(lift: Lift, path: Path) -> Iterator[Fault]:
    for key, minutes in (("launch_min", lift.launch_min), ("aside_min", lift.aside_min)):
        if minutes is not None and not 1 <= minutes <= 1440:
            yield Fault((*path, key), f"{minutes} minutes; give 1 to 1440.")
    if not 0 <= lift.carry_min <= 1440:
        yield Fault((*path, "carry_min"), f"{lift.carry_min} minutes; give 0 to 1440.")
    for number, kind in enumerate(lift.by_kind):
        there = (*path, "by_kind", number)
        if kind.has in [one.has for one in lift.by_kind[:number]]:
            yield Fault(there, f"{kind.has} is there already; give each once.")
        if not 1 <= kind.launch_min <= 1440:
            yield Fault(there, f"{kind.launch_min} minutes for a launch; give 1 to 1440.")
        if not 0 <= kind.carry_min <= 1440:
            yield Fault(there, f"{kind.carry_min} minutes before it; give 0 to 1440.")


def _wind_limit(lift: Lift, path: Path) -> Iterator[Fault]:
    limit = lift.wind_limit
    if limit is None:
        return
    if not 0 < limit.m_s <= STRONGEST_M_S:
        says = f"{limit.m_s:g} m/s; give more than 0, up to {STRONGEST_M_S:g}, as the maker has it."
        yield Fault((*path, "wind_limit", "m_s"), says)
    if not limit.source.strip():
        yield Fault(
            (*path, "wind_limit", "source"), "is empty; say which book or plate it is from."
        )
    if not limit.page.strip():
        yield Fault((*path, "wind_limit", "page"), "is empty; say where in it the limit stands.")
