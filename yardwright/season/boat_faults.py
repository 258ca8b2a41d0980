"""What can't be so about one boat, whatever the rest of the yard is."""

from collections.abc import Iterator
from graphlib import CycleError, TopologicalSorter

from yardwright.calc.units import kind_of
from yardwright.procedures.quantities import quantities
from yardwright.season.fault import Fault, not_among
from yardwright.season.lines import Path
from yardwright.season.model import Boat, Work

FT_M = 0.3048  # exact, by definition
DEEPEST_M = 5.0
MOST_DRY_HOURS = 60 * 24
MOST_WORK_MIN = 100_000


def boat_faults(boat: Boat, path: Path = ()) -> Iterator[Fault]:
    """Say what can't be so about one boat, whatever the rest of the yard is."""
    if boat.draft_m is not None and not 0 < boat.draft_m <= DEEPEST_M:
        what = in_feet(boat.draft_m) if boat.draft_m > 0 else "Measure it, or leave the line out."
        yield Fault(
            (*path, "draft_m"),
            f"{boat.draft_m:g} m is no draft; give up to {DEEPEST_M:g} m. {what}",
        )
    for key, value, most in (
        ("length_m", boat.length_m, 60.0),
        ("beam_m", boat.beam_m, 15.0),
        ("height_m", boat.height_m, 100.0),
        ("weight_kg", boat.weight_kg, 500_000.0),
        ("centre_m", boat.centre_m, 60.0),
    ):
        if value is not None and not 0 < value <= most:
            yield Fault(
                (*path, key), f"{value:g}; give more than 0, up to {most:g}, or leave the line out."
            )
    if boat.weight_within is not None and not 0 <= boat.weight_within < 1:
        yield Fault(
            (*path, "weight_within"), f"{boat.weight_within:g}; give a share, such as 0.1 for 10 %."
        )
    if boat.centre_within_m is not None and boat.centre_within_m < 0:
        yield Fault((*path, "centre_within_m"), f"{boat.centre_within_m:g} m; give 0 or more.")
    if boat.slings_m is not None and boat.slings_m[0] >= boat.slings_m[1]:
        yield Fault(
            (*path, "slings_m"), "give the aft sling first, then the forward, from the transom."
        )
    if not 0 <= boat.watch_min <= 7 * 1440:
        yield Fault((*path, "watch_min"), f"{boat.watch_min} minutes; give 0 to {7 * 1440}.")
    if boat.hands is not None and not 1 <= boat.hands <= 20:
        yield Fault((*path, "hands"), f"{boat.hands} jobs at once; give 1 to 20.")
    for place, reading in enumerate(boat.readings):
        yield from measured((*path, "readings", place), reading.quantity, reading.unit)
    yield from _late(boat, path)
    yield from _fittings(boat, path)
    yield from _work(boat, path)


def _late(boat: Boat, path: Path) -> Iterator[Fault]:
    for place, days in enumerate(boat.late_days):
        if not -365 <= days <= 365:
            yield Fault((*path, "late_days", place), f"{days} days; give -365 to 365.")


def _fittings(boat: Boat, path: Path) -> Iterator[Fault]:
    names = [barrier.name for barrier in boat.ways_in]
    for place, name in enumerate(names):
        if name in names[:place]:
            yield Fault(
                (*path, "ways_in", place, "name"), f"{name!r} is there already; give each its own."
            )
    for place, thing in enumerate(boat.undone):
        if thing.fitting and thing.is_open:  # what was closed may name a fitting taken out since
            yield from not_among(
                (*path, "undone", place, "fitting"), "way in", thing.fitting, names
            )


def _work(boat: Boat, path: Path) -> Iterator[Fault]:
    names = [work.what for work in boat.work]
    for place, work in enumerate(boat.work):
        if work.what in names[:place]:
            yield Fault(
                (*path, "work", place, "what"),
                f"{work.what!r} is there already; give each its own.",
            )
        if not 1 <= work.minutes <= MOST_WORK_MIN:
            says = f"{work.minutes}; give 1 to {MOST_WORK_MIN} minutes."
            yield Fault((*path, "work", place, "minutes"), says)
        for before in work.after:
            yield from not_among((*path, "work", place, "after"), "work on her", before, names)
        yield from _paint(work, (*path, "work", place))
        yield from _after_afloat(boat, work, (*path, "work", place, "after"))
    try:
        TopologicalSorter({work.what: work.after for work in boat.work}).prepare()
    except CycleError as ring:
        says = f"{' waits for '.join(reversed(ring.args[1]))}: a ring; let one begin."
        yield Fault((*path, "work"), says)


def _paint(work: Work, path: Path) -> Iterator[Fault]:
    if not 0 <= work.dry_hours <= MOST_DRY_HOURS:
        yield Fault((*path, "dry_hours"), f"{work.dry_hours:g}; give 0 to {MOST_DRY_HOURS} hours.")
    if work.within_days is not None and not work.dry_hours / 24 < work.within_days <= 400:
        yield Fault(
            (*path, "within_days"), f"{work.within_days}; give more than it dries, up to 400 days."
        )
    if work.afloat and (work.dry_hours or work.within_days is not None):
        yield Fault((*path, "afloat"), "paint dries before she goes in; do one of the two.")


def _after_afloat(boat: Boat, work: Work, path: Path) -> Iterator[Fault]:
    afloat = [one.what for one in boat.work if one.afloat and one.what in work.after]
    if afloat and not work.afloat:
        yield Fault(path, f"{afloat[0]} is done afloat, so this is too; say so, or take it out.")


def measured(path: Path, code: str, unit: str) -> Iterator[Fault]:
    """A quantity is one of ours, and the unit measures it."""
    if code not in quantities():
        yield from not_among((*path, "quantity"), "quantity", code, list(quantities()))
        return
    ours = quantities()[code].unit
    try:
        fits = kind_of(unit) == kind_of(ours)
    except ValueError as error:
        yield Fault((*path, "unit"), str(error))
        return
    if not fits:
        yield Fault(
            (*path, "unit"),
            f"{unit} does not measure {code}; write {ours}, or another of its kind.",
        )


def in_feet(draft_m: float) -> str:
    """What to write for a draft that was given in feet."""
    return f"If it is in feet, write {draft_m * FT_M:.2f}."
