"""Where what a saver asks for is told to the yard, so that the plan can go by it."""

from typing import NamedTuple

from django.urls import reverse

from yardwright.plan.changes import Kind


class Entered(NamedTuple):
    """Where a change is told to the yard: words, a link, and words."""

    before: str
    link: str = ""
    where: str = ""
    after: str = ""
    replans: bool = True


def entered(kind: str, tag: str | None) -> Entered:
    """Where a change of a kind is told, and whether the plan is to be changed for it then."""
    match Kind[kind.upper()]:
        case Kind.LIFT:
            where = reverse("tell", args=["longer"])
            return Entered("Enter it under", f"{where}#tell-longer", "The lift stays open longer")
        case Kind.LONGER:
            where = reverse("tell", args=["stays"])
            link = f"{where}#tell-stays"
            return Entered("Enter it under", link, "Somebody stays longer", ", a day at a time")
        case Kind.FETCHED:
            return Entered("Say when it comes on", reverse("parts"), "Parts")
        case Kind.BORROWED:
            after = " with the trade, no weekdays, and these hours as longer on single days"
            return Entered("Enter", reverse("new-person"), "somebody new", after)
        case Kind.OWNER:
            link = reverse("ink", args=[tag]) if tag else ""
            asked = "Ask; once the owner has agreed, enter the new day on"
            return Entered(asked, link, "her Ink page", replans=False)
        case Kind.ANEW:
            return Entered(
                "There is nothing to enter;",
                reverse("spring"),
                "plan the spring anew",
                replans=False,
            )
        case Kind.ELSEWHERE:
            says = (
                "It can’t be entered, since the plan knows our own lifts alone: arrange it and "
                "keep it by hand"
            )
            return Entered(says, replans=False)
