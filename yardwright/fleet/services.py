"""What people do to the yard's boats. One function each: check, then write, all or nothing."""

from uuid import UUID

from django.db import transaction

from yardwright.fleet import queries
from yardwright.fleet.models import Boat, Limit
from yardwright.season import model as season
from yardwright.yard import clock
from yardwright.yard.models import Person
from yardwright.yard.refused import Refused


@transaction.atomic
def file_limit(uuid: UUID, by: Person, filed: season.Limit) -> Limit:
    """File a limit with its source and page; one filed before stays, and stands behind it."""
    if not filed.page.strip():
        raise Refused("On which page?", "Give the page, so that anyone can lay it beside this.")
    held = Limit.objects.filter(pk=uuid).first()
    if held is not None:
        return held
    boat = Boat.objects.get(name=filed.boat) if filed.boat else None
    values = queries.limit_values(filed)
    limit = Limit(
        uuid=uuid,
        quantity=filed.quantity,
        engine=filed.engine,
        boat=boat,
        values=values,
        filed_by=by,
        filed_at=clock.now(),
    )
    limit.save()
    return limit
