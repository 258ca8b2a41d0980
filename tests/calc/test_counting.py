"""One of a thing is said as one; none, two and more as many."""

import pytest

from yardwright.calc.counting import count, spelled


@pytest.mark.parametrize(
    ("number", "figures", "words"),
    [
        (0, "0 boats", "No boats"),
        (1, "1 boat", "One boat"),
        (2, "2 boats", "Two boats"),
        (9, "9 boats", "Nine boats"),
        (10, "10 boats", "10 boats"),
        (21, "21 boats", "21 boats"),
    ],
)
def test_one_boat_two_boats(number: int, figures: str, words: str) -> None:
    assert count(number, "boat") == figures
    assert spelled(number, "boat") == words


def test_what_is_not_made_many_by_an_s() -> None:
    assert count(1, "person", "people") == "1 person"
    assert count(2, "launch", "launches") == "2 launches"
    assert spelled(0, "promise is", "promises are") == "No promises are"
