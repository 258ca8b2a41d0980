from django.http import HttpRequest

from yardwright import PRODUCT
from yardwright.yard import clock


def around_every_page(request: HttpRequest) -> dict[str, object]:
    """What the base template shows: product, yard, and who is logged in."""
    user = getattr(request, "user", None)  # none yet where a request is refused at the door
    person = getattr(user, "person", None)
    return {"product": PRODUCT, "yard": clock.remembered(), "person": person}
