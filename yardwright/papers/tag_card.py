"""Cards to hang on boats: her name, her tag in large letters, the square code to her page at hand."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from yardwright.papers.paper import Paper, printed, square_code


@dataclass(frozen=True, slots=True)
class TagCard:
    """One card: the boat's name, her tag, and where the square code leads."""

    name: str
    tag: str
    address: str


def tag_cards(yard: str, cards: Sequence[TagCard], day: date, paper: Paper) -> bytes:
    """Print cards to cut out: one alone large, several eight to a page.

    Raises
    ------
    MissingLetterError
        A name has a letter that none of the faces has.
    ValueError
        There is no card to print.
    """
    if not cards:
        raise ValueError("There is no card to print; give at least one boat.")
    title = f"Tag: {cards[0].name}" if len(cards) == 1 else "Tags"
    content = {
        "title": title,
        "yard": yard,
        "cards": [
            {"name": one.name, "tag": one.tag, "code": square_code(one.address), "to": one.address}
            for one in cards
        ],
    }
    return printed("tag_card.typ", content, day, paper)
