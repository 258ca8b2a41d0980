"""How true spoken odds were: of the promises told at 80 %, how many were kept."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from math import floor

BAND = 5  # percent, as odds are spoken
ENOUGH = 10  # promises, before a band or all of them say anything
WHOLE = 100


@dataclass(frozen=True, slots=True)
class Told:
    """A promise as it was told, and what became of it."""

    odds: float
    kept: bool

    def __post_init__(self) -> None:
        if not 0 <= self.odds <= 1:
            raise ValueError(f"Told at odds of {self.odds}; give 0 to 1.")


@dataclass(frozen=True, slots=True)
class Band:
    """The promises told at these odds up to the next 5 %, and between what their true odds lie.

    ``low`` and ``high`` would give what was counted, 19 times in 20 (Wilson's interval).
    """

    percent: int
    told: int
    kept: int
    mean_odds: float
    low: float
    high: float

    @property
    def true(self) -> bool | None:
        """Whether what was told lies in that interval; None: too few to say."""
        return None if self.told < ENOUGH else self.low <= self.mean_odds <= self.high


@dataclass(frozen=True, slots=True)
class Calibration:
    """Every promise told, in bands, and two numbers for all.

    ``brier`` is the mean square of odds told minus what became of it (kept 1, missed 0), as in
    Brier, Verification of forecasts expressed in terms of probability, Monthly Weather Review 78,
    1950, halved for two outcomes; the smaller the better. ``reference`` is that of somebody who
    tells each owner the share that was kept of all, and nothing else.
    """

    bands: tuple[Band, ...]
    told: int
    kept: int
    mean_odds: float
    brier: float
    reference: float

    @property
    def low_high(self) -> tuple[float, float]:
        """Between what the share kept of all lies, 19 times in 20."""
        return wilson(self.kept, self.told)

    @property
    def beside_one_share(self) -> str:
        """Whether odds of each boat's own came nearer than one share; empty where too few were told."""
        if self.told < ENOUGH:
            return ""
        near = "less near" if self.brier < self.reference else "as near, or nearer,"
        return (
            f"Had every owner been told one and the same share, that kept of all, it would have come "
            f"{near} to what happened."
        )

    @property
    def sentence(self) -> str:
        """What it comes to, for somebody who tells days to owners."""
        if self.told < ENOUGH:
            many = f"{self.told} promise{'s' * (self.told != 1)} told with odds so far"
            return f"{many}: too few to say how true they are; {ENOUGH} say a little."
        said = (
            f"Of {self.told} promises told at {_percent(self.mean_odds)} in the mean, {self.kept} "
            f"were kept ({_percent(self.kept / self.told)})"
        )
        low, high = self.low_high
        if self.mean_odds > high:
            return f"{said}: we promise too much. Tell later days, or lower odds."
        if self.mean_odds < low:
            return f"{said}: we are better than we say. Earlier days can be told."
        if wrong := [band for band in self.bands if band.true is False]:
            first = max(wrong, key=lambda band: band.told)
            return (
                f"{said}: true in all, but not of those told at {first.percent} %, of which "
                f"{first.kept} of {first.told} were kept."
            )
        return f"{said}: what we say holds, as far as so many can tell."


def calibration(promises: Sequence[Told]) -> Calibration:
    """Compare the odds that were told with what became of the promises.

    Parameters
    ----------
    promises : sequence of Told
        All whose day has come, in any order.

    Returns
    -------
    Calibration
        Bands of 5 % from the lowest; those in which nothing was told are left out.
    """
    bands: defaultdict[int, list[Told]] = defaultdict(list)
    for one in promises:
        bands[min(BAND * floor(round(one.odds * WHOLE, 6) / BAND), WHOLE - BAND)].append(one)
    told, kept = len(promises), sum(one.kept for one in promises)
    share = kept / told if told else 0.0
    return Calibration(
        tuple(_band(percent, bands[percent]) for percent in sorted(bands)),
        told,
        kept,
        _mean([one.odds for one in promises]),
        _mean([(one.odds - one.kept) ** 2 for one in promises]),
        share * (1 - share),
    )


def _band(percent: int, promises: Sequence[Told]) -> Band:
    kept = sum(one.kept for one in promises)
    low, high = wilson(kept, len(promises))
    return Band(percent, len(promises), kept, _mean([one.odds for one in promises]), low, high)


def wilson(kept: int, told: int) -> tuple[float, float]:
    """The odds that would give what was counted, 19 times in 20 (Wilson's interval)."""
    if not told:
        return 0.0, 1.0
    from scipy.stats import binomtest  # it takes long to load: only for who asks

    found = binomtest(kept, told).proportion_ci(method="wilson")
    return float(found.low), float(found.high)


def _mean(numbers: Sequence[float]) -> float:
    return sum(numbers) / len(numbers) if numbers else 0.0


def _percent(share: float) -> str:
    return f"{share * WHOLE:.0f} %"
