"""How far the watch over each boat in the water is. Nothing here writes."""

from yardwright.fleet import queries as fleet
from yardwright.launch.queries import MOVES
from yardwright.procedures.going_in import State
from yardwright.season.new_in_water import Watch, watch_of
from yardwright.work import queries as work
from yardwright.work.models import Kind
from yardwright.yard import clock


def watches() -> dict[str, Watch]:
    """Of every boat that is watched in the water, by her name."""
    there = [pk for pk, at in work.where_all().items() if at.state == State.IN_THE_WATER]
    if not there:
        return {}
    boats = work.values(fleet.boats().filter(pk__in=there), (*MOVES, Kind.LOOKED))
    found = {boat.name: watch_of(boat, clock.now(), clock.zone()) for boat in boats}
    return {name: watch for name, watch in found.items() if watch}
