"""The fullest boat there can be: one kind of engine, every fitting, and every step's parts off her, all read for years."""

from datetime import timedelta
from uuid import uuid4

from tests.conftest import entry
from yardwright.fleet.models import Boat
from yardwright.fleet.queries import barrier
from yardwright.procedures.fittings import barriers_of, fittings, stands_open
from yardwright.procedures.quantities import Values, quantities
from yardwright.procedures.readings import Reading
from yardwright.procedures.step import Has, Season
from yardwright.procedures.steps import ENGINES, book, steps_for
from yardwright.season.model import Limit
from yardwright.work import services
from yardwright.yard.models import Person


def fill(boat: Boat, by: Person, engine: Has = Has.STERNDRIVE) -> None:
    """Whatever the procedures can make of one boat, laid up."""
    has = frozenset(Has) - ENGINES | {engine}
    boat.has = sorted(has)
    boat.save()
    ways = [barrier(way) for way in boat.ways_in.all()]
    for one in fittings():
        hers = barriers_of(one, has, ways)
        services.keep_fitting(entry(by, timedelta(hours=2)), boat, one.aboard, hers)
        ways += hers
    kinds = book().kinds
    for step in steps_for(has, Season.FALL):
        opens = [kinds[code] for code in step.opens]
        lies = {kind.code: f"tray 4, bag {kind.code}" for kind in opens}
        at = {k.code: stands_open(k.code, ways) or ways[0].name for k in opens if k.barrier}
        services.do_step(entry(by, timedelta(hours=1)), boat, step, lies, at)
    for code, of in quantities().items():
        limit = Limit(
            of.unit, "Teal's own book", "12", lower=4.0, thin=0.5, quantity=code, boat="Teal"
        )
        services.file_limit(uuid4(), by, limit)
        values = (5.0,) if of.values == Values.ONE else (5.0, 5.2)
        for years in (3, 2, 1):
            then = entry(by, timedelta(days=365 * years))
            services.read(
                then, boat, Reading(code, values, of.unit, then.done_at, by.name, None), "5"
            )
