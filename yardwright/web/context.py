from django.http import HttpRequest

from yardwright import PRODUCT
from yardwright.season.model import Right
from yardwright.yard import clock
from yardwright.yard.rights import may


def around_every_page(request: HttpRequest) -> dict[str, object]:
    """What every page may show: product, yard, who is logged in, and whether they plan and ink."""
    user = getattr(request, "user", None)  # none yet where a request is refused at the door
    person = getattr(user, "person", None)
    may_ink = person is not None and may(person, Right.INK)
    return {
        "product": PRODUCT,
        "yard": clock.remembered(),
        "person": person,
        "may_ink": may_ink,
    }
