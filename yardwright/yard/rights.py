"""Who may do what: asked by every service, never by a page alone."""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar

from yardwright.season.model import Right
from yardwright.yard.models import Person
from yardwright.yard.refused import Refused

_VOUCHES: ContextVar[Person | None] = ContextVar("vouches", default=None)


@contextmanager
def vouched_by(person: Person) -> Iterator[None]:
    """Someone who may answers for another's deed: it was done, whoever has the right today."""
    token = _VOUCHES.set(person)
    try:
        yield
    finally:
        _VOUCHES.reset(token)


def may(person: Person, right: Right) -> bool:
    return person.works_here and right in person.rights


def need(person: Person, right: Right) -> None:
    """Refuse, with whom to ask, unless this person may."""
    vouches = _VOUCHES.get()
    if may(person, right) or (vouches is not None and may(vouches, right)):
        return
    able = [other.name for other in Person.objects.filter(works_here=True) if may(other, right)]
    ask = f"Ask {' or '.join(able)}." if able else "Nobody here may; the manager gives rights."
    raise Refused(f"{person} may not {right}.", ask)
