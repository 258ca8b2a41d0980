"""Who may do what: asked by every service, never by a page alone."""

from yardwright.season.model import Right
from yardwright.yard.models import Person
from yardwright.yard.refused import Refused


def may(person: Person, right: Right) -> bool:
    return person.works_here and right in person.rights


def need(person: Person, right: Right) -> None:
    """Refuse, with whom to ask, unless this person may."""
    if may(person, right):
        return
    able = [other.name for other in Person.objects.filter(works_here=True) if may(other, right)]
    ask = f"Ask {' or '.join(able)}." if able else "Nobody here may; the manager gives rights."
    raise Refused(f"{person} may not {right}.", ask)
