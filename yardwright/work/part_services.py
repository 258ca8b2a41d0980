"""What people say of the parts that are ordered: when they are due, and that they came."""

from datetime import datetime

from django.db import transaction

from yardwright.fleet import services as fleet
from yardwright.fleet.models import Part
from yardwright.season.model import Right
from yardwright.work import facts
from yardwright.work.facts import CLOCK_SLACK, Entry
from yardwright.work.models import Fact
from yardwright.work.parts import ordered_one
from yardwright.yard import clock
from yardwright.yard.models import Person
from yardwright.yard.refused import Refused
from yardwright.yard.rights import need


@transaction.atomic
def it_came(entry: Entry, part: Part) -> Fact:
    """Somebody says that a part is here; if it is not after all, that is struck out."""
    need(entry.by, Right.PROVE)
    if not Fact.objects.filter(pk=entry.uuid).exists():
        if entry.done_at > clock.now() + CLOCK_SLACK:
            raise Refused(
                f"{entry.done_at:%d %b %H:%M} is still to come.", "Say it when it is here."
            )
        if here := ordered_one(part).here:
            raise Refused(f"The {part} is here by what {here.by} said.", "Nothing more to do.")
    return facts.add_arrived(entry, part)


@transaction.atomic
def keep_part(by: Person, row: Part | None, name: str, arrives: datetime | None) -> Part:
    """Something ordered, and when it comes. What is here is not ordered anew under its name."""
    if row and row.arrives != arrives and (here := ordered_one(row).here):
        raise Refused(
            f"The {row} is here by what {here.by} said.",
            "If it is not, strike that out first; for one more, write a new part.",
        )
    return fleet.keep_part(by, row, name, arrives)
