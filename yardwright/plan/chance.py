"""What may come otherwise than planned: parts, minutes, people, wind, and what is found."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from math import exp, log, prod, sqrt

from yardwright import refdata
from yardwright.plan.days import Minute
from yardwright.plan.problem import PersonId, TaskId

USUAL_SD = refdata.table("promises")["job_strays"].value / 100
THIN = 5  # so many jobs of a yard's own weigh as much as what is usual elsewhere
SELDOM = 20  # so many, for what is found on one job in a hundred


@dataclass(frozen=True, slots=True)
class Arrival:
    """When a part comes: these minutes with these odds; ``of`` is its name.

    Jobs that wait for parts of one name wait for the same one: it comes once, for all of them.
    """

    minutes: tuple[Minute, ...]
    odds: tuple[float, ...]
    of: str = ""

    def __post_init__(self) -> None:
        if not self.minutes or len(self.minutes) != len(self.odds):
            raise ValueError("An arrival needs a chance for each of its times, at least one.")
        if min(self.odds) < 0 or abs(sum(self.odds) - 1) > 1e-9:
            raise ValueError(f"The chances of an arrival add up to {sum(self.odds):g}; make it 1.")


@dataclass(frozen=True, slots=True)
class Spread:
    """How a job's minutes stray: the logarithm of taken over planned is normal."""

    log_mean: float = 0.0
    log_sd: float = USUAL_SD

    def __post_init__(self) -> None:
        if not -6 <= self.log_mean <= 2 or not 0 <= self.log_sd <= 3:
            raise ValueError(
                f"Jobs that take {exp(self.log_mean):.2f} times their minutes, spread "
                f"{self.log_sd:.2f}; give a mean of -6 to 2 and a spread of 0 to 3."
            )


@dataclass(frozen=True, slots=True)
class Away:
    """How often somebody is away: a share of days, and for how many at a time in the mean.

    ``spell_days`` not given: each day by itself, whatever the day before.
    """

    share: float
    spell_days: float | None = None

    def __post_init__(self) -> None:
        if not 0 <= self.share < 1:
            raise ValueError(f"Away on a share of {self.share} of days; give 0 to below 1.")
        if self.spell_days is not None and self.spell_days < 1 / (1 - self.share) - 1e-12:
            raise ValueError(
                f"Away {self.spell_days} days at a time; give at least {1 / (1 - self.share):.2f}."
            )

    @property
    def stays(self) -> float:
        """The chance to be away on the day after a day away."""
        return self.share if self.spell_days is None else 1 - 1 / self.spell_days

    @property
    def begins(self) -> float:
        """The chance to be away on the day after a day at work."""
        return self.share * (1 - self.stays) / (1 - self.share)


@dataclass(frozen=True, slots=True)
class Found:
    """Work that is found on a job: how likely, and how many minutes more."""

    chance: float
    minutes: int

    def __post_init__(self) -> None:
        if not 0 <= self.chance <= 1 or not 0 <= self.minutes <= 100_000:
            raise ValueError(
                f"Found work: chance {self.chance}, {self.minutes} min; give 0 to 1 and minutes."
            )


@dataclass(frozen=True, slots=True)
class Uncertain:
    """All that may come otherwise; what is not named here comes as planned.

    ``wind`` is the chance of a day on which no boat is lifted.
    """

    arrivals: Mapping[TaskId, Arrival] = field(default_factory=dict)
    spreads: Mapping[TaskId, Spread] = field(default_factory=dict)
    found: Mapping[TaskId, Found] = field(default_factory=dict)
    away: Mapping[PersonId, Away] = field(default_factory=dict)
    wind: float = 0.0

    def __post_init__(self) -> None:
        if not 0 <= self.wind < 1:
            raise ValueError(f"Wind on a share of {self.wind} of days; give 0 to below 1.")


NOTHING = Found(0.0, 0)


def learned(taken_over_usual: Sequence[float], usual: Spread | None = None) -> Spread:
    """How a kind of job strays in this yard, drawn towards the usual where history is thin.

    Parameters
    ----------
    taken_over_usual : sequence of float
        Minutes each such job took over its usual minutes; above 0.
    usual : Spread, optional
        How such jobs stray elsewhere. Left out: nothing longer, nothing shorter, ``USUAL_SD``.

    Returns
    -------
    Spread
        With no history the usual. Each job then weighs one, the usual ``THIN`` (the posterior
        mean of a normal mean and variance with a conjugate prior: Gelman and others, Bayesian
        Data Analysis, section 3.3).
    """
    if any(ratio <= 0 for ratio in taken_over_usual):
        raise ValueError("A job took no time at all; leave it out or correct its minutes.")
    logs, usual = [log(ratio) for ratio in taken_over_usual], usual or Spread()
    n = len(logs)
    mean = (sum(logs) + THIN * usual.log_mean) / (n + THIN)
    own = sum(logs) / n if n else 0.0
    strays = sum((one - own) ** 2 for one in logs)
    strays += n * THIN / (n + THIN) * (own - usual.log_mean) ** 2
    return Spread(mean, sqrt((THIN * usual.log_sd**2 + strays) / (THIN + n)))


def learned_found(jobs: int, found_min: Sequence[int], usual: Found) -> Found:
    """What is found on a kind of job in this yard, drawn towards the usual where history is thin.

    Parameters
    ----------
    jobs : int
        How many such jobs were done.
    found_min : sequence of int
        Of those on which work was found, its minutes; no more than there were jobs.
    usual : Found
        What is found elsewhere; it weighs as much as ``SELDOM`` jobs, its minutes as ``THIN``
        findings.

    Returns
    -------
    Found
        Its chance is the posterior mean of a share with a conjugate prior (Bayesian Data
        Analysis, section 2.4).
    """
    n = len(found_min)
    if n > jobs:
        raise ValueError(f"Work was found on {n} jobs of {jobs}; count the jobs anew.")
    return Found(
        (n + SELDOM * usual.chance) / (jobs + SELDOM),
        round((sum(found_min) + THIN * usual.minutes) / (n + THIN)),
    )


def strays_together(parts: Sequence[tuple[float, Spread]]) -> Spread:
    """How a job of several parts strays, each with its minutes, where all of them stray alike.

    They are done on one boat by one person: a bad day for one is a bad day for all. So what is
    longer by one part is not made up by another, which is the careful side.
    """
    middles = [minutes * exp(spread.log_mean) for minutes, spread in parts]
    strays = sum(m * spread.log_sd for m, (_, spread) in zip(middles, parts, strict=True))
    middle = sum(middles)
    return Spread(log(middle / sum(minutes for minutes, _ in parts)), strays / middle)


def found_on_any(parts: Sequence[Found]) -> Found:
    """What is found on a job of several parts, each by itself: at least one, and the mean of it."""
    chance = 1 - prod(1 - one.chance for one in parts)
    mean_min = sum(one.chance * one.minutes for one in parts)
    return Found(chance, round(mean_min / chance)) if chance else NOTHING
