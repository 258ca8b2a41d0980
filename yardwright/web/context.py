from django.http import HttpRequest

from yardwright import PRODUCT
from yardwright.yard import clock


def around_every_page(request: HttpRequest) -> dict[str, object]:
    """What the base template shows: product, yard, and who is logged in."""
    person = getattr(request.user, "person", None) if request.user.is_authenticated else None
    return {"product": PRODUCT, "yard": clock.remembered(), "person": person}
