"""What is said on the phone. Story A5 gives the sentence."""

import numpy as np
import pytest

from tests.plan.test_odds import TERN, afloat_any_time, waits_for_a_kit, yard
from yardwright.plan.chance import Away
from yardwright.plan.odds import Odds
from yardwright.plan.spoken import phone_sentence, spoken

DAYS = yard([afloat_any_time(TERN)], [], []).days


@pytest.mark.parametrize(
    ("odds", "said"),
    [
        (0.0, "less than 5 % sure"),
        (0.049, "less than 5 % sure"),
        (0.05, "5 % sure"),
        (0.3, "30 % sure"),
        (0.799, "75 % sure"),
        (0.8, "80 % sure"),
        (0.949, "90 % sure"),
        (0.95, "95 % sure"),
        (0.951, "better than 95 %"),
        (1.0, "better than 95 %"),
    ],
)
def test_odds_are_said_rounded_down_and_never_as_certain(odds: float, said: str) -> None:
    assert spoken(odds) == said


def test_no_chance_is_refused() -> None:
    with pytest.raises(ValueError, match="0 to 1"):
        spoken(1.01)


def test_the_sentence_of_story_a5() -> None:
    sentence = phone_sentence(DAYS, waits_for_a_kit(Away(0.06)), TERN, "a kit due Thursday")
    assert sentence == (
        "Fri 9 May, 75 % sure; by Tue 13 May, better than 95 %. She waits for a kit due Thursday."
    )


def seen(*day: int) -> Odds:
    """In so many thousand seasons on each of these days."""
    return Odds((TERN,), np.tile(np.array([day], dtype=np.int32), 1000))


@pytest.mark.parametrize(
    ("found", "sentence"),
    [
        (seen(3, 3), "Thu 8 May, better than 95 %."),
        (seen(3, 12), "Thu 8 May, 50 % sure, and not surer."),
        (
            seen(3, 3, 5, 12),
            "Thu 8 May, 50 % sure; by Sat 10 May, 75 % sure, and not surer this season.",
        ),
        (seen(3, 12, 12), "Nobody can name a day yet: none is as likely as not."),
    ],
)
def test_what_is_not_sure_is_not_said_as_sure(found: Odds, sentence: str) -> None:
    assert phone_sentence(DAYS, found, TERN) == sentence


def test_the_day_that_was_told_is_spoken_of_first() -> None:
    found = seen(3, 3, 5, 12)
    said = "Thu 8 May, 50 % sure; by Sat 10 May, 75 % sure, and not surer this season."
    assert phone_sentence(DAYS, found, TERN, promised=2) == (
        f"You were told Wed 7 May; that is now less than 5 % sure. {said}"
    )
    assert phone_sentence(DAYS, found, TERN, promised=5) == said


def test_better_than_95_is_said_only_where_so_many_seasons_show_it() -> None:
    # 96 of 100: between 90.2 and 98.4 %, 19 times in 20 (Wilson's interval, by hand).
    few = Odds((TERN,), np.array([[3] * 96 + [12] * 4], dtype=np.int32))
    assert phone_sentence(DAYS, few, TERN) == "Thu 8 May, 95 % sure."
    many = Odds((TERN,), np.array([([3] * 96 + [12] * 4) * 100], dtype=np.int32))
    assert phone_sentence(DAYS, many, TERN) == "Thu 8 May, better than 95 %."
