"""Odds told against promises kept: by hand, from a book, and for forecasters that are made up."""

from random import Random

import pytest

from yardwright.plan.calibration import Told, calibration


def told(percent: int, kept: int, missed: int) -> list[Told]:
    return [Told(percent / 100, n < kept) for n in range(kept + missed)]


def test_bands_counts_and_brier_by_hand() -> None:
    # 0.8: 3 kept of 4: (3 x 0.04 + 0.64) = 0.76; 0.6: 1 of 2: 0.16 + 0.36 = 0.52; sum 1.28 of 6.
    found = calibration([*told(80, 3, 1), *told(60, 1, 1)])
    assert [(b.percent, b.told, b.kept) for b in found.bands] == [(60, 2, 1), (80, 4, 3)]
    assert found.brier == pytest.approx(1.28 / 6)
    assert found.reference == pytest.approx(4 / 6 * 2 / 6)  # 0.25 were it half


def test_an_interval_from_a_paper() -> None:
    # Newcombe, Two-sided confidence intervals for the single proportion, Statistics in Medicine
    # 17, 1998, table I: 15 of 148 by Wilson's score without correction: 0.0624 to 0.1605.
    (band,) = calibration(told(80, 15, 133)).bands
    assert (round(band.low, 4), round(band.high, 4)) == (0.0624, 0.1605)


@pytest.mark.parametrize(
    ("odds", "percent"),
    [(0.0, 0), (0.04, 0), (0.05, 5), (0.7999999999, 80), (0.849, 80), (1.0, 95)],
)
def test_bands_are_as_odds_are_spoken(odds: float, percent: int) -> None:
    assert [band.percent for band in calibration([Told(odds, kept=True)]).bands] == [percent]


def told_by(dice: Random, count: int, boast: float) -> list[Told]:
    """True odds anywhere between 0.5 and 0.95; told ``boast`` higher."""
    true = [dice.uniform(0.5, 0.95) for _ in range(count)]
    return [Told(min(1.0, odds + boast), dice.random() < odds) for odds in true]


def test_one_who_tells_the_truth() -> None:
    # The share of bands whose interval misses is 1 in 20 in the mean; 20 seasons of 9 bands.
    dice = Random(1)  # noqa: S311 - no secret
    seasons = [calibration(told_by(dice, 1000, 0.0)) for _ in range(20)]
    wrong = sum(band.true is False for one in seasons for band in one.bands)
    assert wrong <= 20  # 9 expected of 180; more than 20 come once in 2,000 times
    assert all(one.brier < one.reference for one in seasons)
    assert sum("too much" in one.sentence for one in seasons) <= 3


def test_one_who_boasts_and_one_who_is_shy() -> None:
    dice = Random(2)  # noqa: S311 - no secret
    boasts, shy = (calibration(told_by(dice, 300, by)) for by in (0.12, -0.12))
    assert boasts.sentence.endswith("we promise too much. Tell later days, or lower odds.")
    assert shy.sentence.endswith("we are better than we say. Earlier days can be told.")


def test_true_in_all_but_not_in_a_band() -> None:
    found = calibration([*told(80, 12, 12), *told(60, 18, 2)])
    assert found.sentence == (
        "Of 44 promises told at 71 % in the mean, 30 were kept (68 %): true in all, but not of "
        "those told at 80 %, of which 12 of 24 were kept."
    )


def test_too_few_to_say() -> None:
    assert calibration([]).sentence == (
        "0 promises told with odds so far: too few to say how true they are; 10 say a little."
    )
    assert calibration(told(80, 1, 0)).sentence.startswith("1 promise told with odds so far")
    assert calibration(told(80, 0, 9)).bands[0].true is None


def test_odds_are_a_chance() -> None:
    with pytest.raises(ValueError, match="Told at odds of 80; give 0 to 1"):
        Told(80, kept=True)
