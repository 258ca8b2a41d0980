"""Verdicts: what a reading says, in one of six words, with its reasons.

Seven rules, and all of them run; the worst word counts and every reason is shown:

1. A condition is not met, the instrument is past its check, or how far off it can be is not
   known: *Can't say*.
2. Within the limits with a chance of 0.05 or less: *Stop*.
3. With less than 0.95, or 0.99 for what can sink, burn or hurt: *Can't say*, and what would decide.
4. Out of its own bounds against its twin, the others beside it, or its last years: *Look again*.
5. No limit: *No limit on file*, never green.
6. The margin is under the thin margin on file, or the trend is through the limit within a season:
   *Thin*.
7. Else: *Good*.

The chance is that of a true value spread normally about the reading (JCGM 106:2012); of lowest
over highest, that of all cylinders' true values together (JCGM 101:2008).

The trend is the middle of the slopes of all pairs of years, three years at least, and has an
uncertainty of its own, which is told with it. *Within a season* means: today's value and one more
year of it are through the limit. Where five years or more leave no doubt that it is on its way to
the limit (its whole 95 % interval goes there), the steep end of the interval counts: a decline
that is proven is taken at its worst, which costs one look. Where they leave a doubt, or are too
few to have such an interval, the middle counts: or else the noise of any gauge would make every
narrow margin thin.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass, field
from datetime import datetime
from enum import StrEnum
from functools import partial
from math import floor, log10, sqrt

from yardwright.calc.metrology import Slope
from yardwright.calc.units import say
from yardwright.procedures.case import EVEN, STOP_AT, Case, case_of, method_u
from yardwright.procedures.quantities import Quantity
from yardwright.procedures.readings import Limit, Reading

RULES_VERSION = 2


class Verdict(StrEnum):
    """The six words, worst first."""

    STOP = "Stop"
    CANT_SAY = "Can't say"
    LOOK_AGAIN = "Look again"
    NO_LIMIT = "No limit on file"
    THIN = "Thin"
    GOOD = "Good"

    @property
    def rank(self) -> int:
        """0 for the worst."""
        return _RANKS[self]


_RANKS = {verdict: rank for rank, verdict in enumerate(Verdict)}


class Rule(StrEnum):
    """Which rule speaks."""

    COUNTS = "does the reading count"
    OUTSIDE = "outside the limit"
    NOT_SURE = "sure enough"
    BOUNDS = "its own bounds"
    NO_LIMIT = "a limit on file"
    THIN = "margin and trend"
    GOOD = "nothing against it"


class Clearing(StrEnum):
    """Who clears what holds the boat."""

    REPAIR = "only a repair and a new reading by another person"
    REASON = "someone who may, with a reason"


@dataclass(frozen=True, slots=True)
class Reason:
    """One thing a rule found. ``about`` is empty where a quantity is judged by one thing only.

    Its words are made when they are asked for: a whole yard is judged by the numbers alone.
    """

    rule: Rule
    verdict: Verdict
    tells: Callable[[], str] = field(repr=False, compare=False)
    about: str = ""
    p: float | None = None
    decides: Callable[[], float] | None = field(default=None, repr=False, compare=False)

    @property
    def words(self) -> str:
        """The sentence."""
        return self.tells()

    @property
    def deciding_u(self) -> float | None:
        """The standard uncertainty that would decide it; None where that is not what is missing."""
        return self.decides() if self.decides else None

    def record(self) -> dict[str, object]:
        """Return it as plain values."""
        return {
            "rule": self.rule,
            "verdict": self.verdict,
            "words": self.words,
            "about": self.about,
            "p": self.p,
            "deciding_u": self.deciding_u,
        }


@dataclass(frozen=True, slots=True)
class Judgement:
    """The verdict and all that it was judged by, in the reading's unit; it is never changed.

    ``p`` is the least chance of being within a limit, ``u`` the uncertainty of each value, the
    limit's own included; None is *not known*.
    """

    verdict: Verdict
    reasons: tuple[Reason, ...]
    unit: str
    p: float | None
    u: tuple[float, ...] | None
    limit: Limit | None
    rules_version: int = RULES_VERSION

    @property
    def deciding_u(self) -> float | None:
        """The standard uncertainty that would decide what is not sure; None where all is."""
        each = (reason.deciding_u for reason in self.reasons)
        return min((u for u in each if u is not None), default=None)

    def about(self, what: str) -> Verdict:
        """Return the verdict on one of the things judged, such as ``even`` or ``pressure``."""
        return min((r for r in self.reasons if r.about in ("", what)), key=_rank).verdict

    def record(self) -> dict[str, object]:
        """Return it as plain values, to be kept beside the reading."""
        return {
            "verdict": self.verdict,
            "reasons": [reason.record() for reason in self.reasons],
            "unit": self.unit,
            "p": self.p,
            "u": self.u,
            "limit": None if self.limit is None else asdict(self.limit),
            "rules_version": self.rules_version,
            "deciding_u": self.deciding_u,
        }


def judge(
    quantity: Quantity,
    reading: Reading,
    limit: Limit | None,
    twin: Reading | None = None,
    last_years: Sequence[Reading] = (),
) -> Judgement:
    """Judge one reading.

    Parameters
    ----------
    quantity : Quantity
        What was measured.
    reading : Reading
        The reading, in any unit of the quantity's kind; the sentences speak in that unit.
    limit : Limit or None
        What is on file for this boat. None: nothing is. Where the quantity has a table and
        neither a lower nor an upper limit is on file, the table gives it.
    twin : Reading or None
        The same on the other engine or battery, place by place.
    last_years : sequence of Reading
        The same on this boat in earlier years; of each year the latest counts, and only readings
        with as many values as this one.

    Returns
    -------
    Judgement
        The worst verdict of all rules, and every reason.

    Raises
    ------
    ValueError
        Readings of another quantity or kind of unit, a number of values that does not fit, an
        answer of the wrong kind.
    """
    case = case_of(quantity, reading, limit, twin, last_years)
    reasons = [reason for rule in RULES for reason in rule(case)]
    reasons.extend(_good(case, reasons))
    reasons.sort(key=_rank)  # the worst speaks first
    return Judgement(
        verdict=reasons[0].verdict,
        reasons=tuple(reasons),
        unit=reading.unit,
        p=case.least_chance,
        u=case.u,
        limit=case.limit,
    )


def holds(verdict: Verdict, quantity: Quantity) -> bool:
    """Stop, Can't say and Look again hold the boat; so does no limit on what can sink, burn or hurt.

    Parameters
    ----------
    verdict : Verdict
        What was found.
    quantity : Quantity
        What was measured.

    Returns
    -------
    bool
        Whether she waits for it.
    """
    return verdict.rank <= Verdict.LOOK_AGAIN.rank or (
        verdict == Verdict.NO_LIMIT and quantity.grave
    )


def who_may_clear(verdict: Verdict, quantity: Quantity) -> Clearing | None:
    """A Stop on ways in, fuel, lifting and steering is cleared by repair and another's reading only.

    Parameters
    ----------
    verdict : Verdict
        What was found.
    quantity : Quantity
        What was measured.

    Returns
    -------
    Clearing or None
        None where it holds nothing.
    """
    if not holds(verdict, quantity):
        return None
    strict = verdict == Verdict.STOP and quantity.strict
    return Clearing.REPAIR if strict else Clearing.REASON


def cleared_by_repair(
    quantity: Quantity,
    repaired_at: datetime,
    repaired_by: str,
    reading: Reading,
    verdict: Verdict,
) -> str:
    """Say why a repair and a new reading do not clear a Stop; empty if they do.

    Parameters
    ----------
    quantity : Quantity
        What was stopped.
    repaired_at : datetime
        When it was repaired.
    repaired_by : str
        By whom.
    reading : Reading
        The new one.
    verdict : Verdict
        What it says. One that holds her clears no Stop, whoever let it pass.

    Returns
    -------
    str
        A sentence with what to do, or nothing.
    """
    if reading.at <= repaired_at:
        return "That reading is from before the repair. Read it again."
    if quantity.strict and reading.by == repaired_by:
        return f"{repaired_by} repaired it. Let someone else read it."
    if holds(verdict, quantity):
        return f"The new reading says {verdict}."
    return ""


def _counts(case: Case) -> Iterator[Reason]:
    """A condition is not met, or the instrument is past its check or unknown: Can't say."""
    for words in case.lacks:
        yield Reason(Rule.COUNTS, Verdict.CANT_SAY, partial(str, words))


def _outside(case: Case) -> Iterator[Reason]:
    """Within the limits with a chance of 0.05 or less: Stop."""
    for place, p in enumerate(case.chances):
        if p <= STOP_AT:
            yield Reason(
                Rule.OUTSIDE,
                Verdict.STOP,
                partial(_against_limit, case, place),
                case.about_value,
                p,
            )
    if case.even_chance is not None and case.even_chance <= STOP_AT:
        yield Reason(Rule.OUTSIDE, Verdict.STOP, partial(_even, case), EVEN, case.even_chance)


def _not_sure(case: Case) -> Iterator[Reason]:
    """Within the limits with less than the chance that is asked for: Can't say.

    Where nobody knows how far off the reading can be, it says what would decide all the same.
    """
    reason = partial(Reason, Rule.NOT_SURE, Verdict.CANT_SAY)
    for place, p in enumerate(case.chances):
        if STOP_AT < p < case.sure:
            tells, decides = partial(_unsure, case, place), partial(case.deciding_u, place)
            yield reason(tells, case.about_value, p, decides)
    if case.u is None and case.limit is not None and case.limit.has_value:
        place = min(range(len(case.values)), key=case.limit_is_near)
        tells, decides = partial(_unsure, case, place), partial(case.deciding_u, place)
        yield reason(tells, case.about_value, None, decides)
    p_even = case.even_chance
    if p_even is not None and STOP_AT < p_even < case.sure:
        yield reason(partial(_even_unsure, case), EVEN, p_even, case.even_deciding_u)


AGAINST: Mapping[str, tuple[str, Callable[[Case, int], float | None]]] = {
    "twin": ("its twin", Case.twins),
    "others": ("the others", Case.others),
    "spread": ("the highest", Case.highest),
    "years": ("its last years", Case.last_years),
}


def _bounds(case: Case) -> Iterator[Reason]:
    """Out of its own bounds against its twin, the others or its last years: Look again."""
    for name, (words, against) in AGAINST.items():
        bound = case.bound(name)
        if bound is None:
            continue
        for place, value in enumerate(case.values):
            other = against(case, place)
            if other is not None and round(abs(value - other), 9) > bound:
                tells = partial(_astray, case, place, other, bound, words)
                yield Reason(Rule.BOUNDS, Verdict.LOOK_AGAIN, tells)


def _no_limit(case: Case) -> Iterator[Reason]:
    """No limit, and none by a table: No limit on file, never green."""
    has_value = case.limit is not None and case.limit.has_value
    if not has_value and case.quantity.table is None:
        yield _not_on_file(case, case.about_value)
    if case.has_even and not case.least_share:
        yield _not_on_file(case, EVEN)


def _not_on_file(case: Case, about: str) -> Reason:
    return Reason(Rule.NO_LIMIT, Verdict.NO_LIMIT, partial(_missing, case, about), about)


def _thin(case: Case) -> Iterator[Reason]:
    """The margin is under the thin margin on file, or the trend is through the limit in a season."""
    limit = case.limit
    if limit is None or not limit.has_value:
        return
    for place, value in enumerate(case.values):
        margin = limit.margin(value)
        if margin < 0:
            continue
        if limit.thin is not None and margin < limit.thin:
            tells = partial(_narrow, case, place, margin, limit.thin)
            yield Reason(Rule.THIN, Verdict.THIN, tells, case.about_value)
        if case.may_cross(place):
            change = case.change_a_year(place)
            if change is not None and limit.margin(value + pace(limit, value, change)) < 0:
                tells = partial(_on_its_way, case, place, change)
                yield Reason(Rule.THIN, Verdict.THIN, tells, case.about_value)


def pace(limit: Limit, value: float, change: Slope) -> float:
    """Say what one more year brings: the steep end of a decline that is proven, else the middle.

    Parameters
    ----------
    limit : Limit
        With a value, in the unit of the others.
    value : float
        Today's.
    change : Slope
        Of its years, today's with them.

    Returns
    -------
    float
        The change of a year to be reckoned with.
    """
    ends = (change.low, change.high)
    nearer = all(limit.margin(value + end) < limit.margin(value) for end in ends)
    proven = change.sure and change.low * change.high > 0 and nearer
    return min(ends, key=lambda end: limit.margin(value + end)) if proven else change.middle


RULES = (_counts, _outside, _not_sure, _bounds, _no_limit, _thin)


def _good(case: Case, against: Sequence[Reason]) -> Iterator[Reason]:
    """Nothing against it: Good."""
    taken = {reason.about for reason in against}
    if "" in taken:
        return
    if case.about_value not in taken:
        place = min(range(len(case.values)), key=case.nearness)
        tells = partial(_against_limit, case, place)
        yield Reason(Rule.GOOD, Verdict.GOOD, tells, case.about_value, case.chances[place])
    if case.has_even and EVEN not in taken:
        yield Reason(Rule.GOOD, Verdict.GOOD, partial(_even, case), EVEN, case.even_chance)


def _rank(reason: Reason) -> int:
    return _RANKS[reason.verdict]


def _against_limit(case: Case, place: int) -> str:
    return f"{_told(case, place)}. The limit is {_limit(case)}."


def _unsure(case: Case, place: int) -> str:
    return f"{_against_limit(case, place)} {_needs(case, case.deciding_u(place))}"


def _even_unsure(case: Case) -> str:
    return f"{_even(case)} {_even_needs(case, case.even_deciding_u())}"


def _astray(case: Case, place: int, other: float, bound: float, words: str) -> str:
    value = case.values[place]
    by = f"{_say(case, abs(value - other))} {'over' if value > other else 'under'} {words}"
    return f"{_told(case, place)}, {by}; {_say(case, bound)} is the most."


def _missing(case: Case, about: str) -> str:
    what = {EVEN: ", lowest over highest", "": ""}.get(about, f", {about}")
    return f"{case.quantity.name}{what}: no limit on file. Enter the manual's value and its page."


def _narrow(case: Case, place: int, margin: float, thin: float) -> str:
    spare = f"{_say(case, margin)} within the limit, {_limit(case)}"
    return f"{_told(case, place)}, {spare}; {_say(case, thin)} is wanted."


def _on_its_way(case: Case, place: int, change: Slope) -> str:
    pace = f"{say(abs(change.middle), case.reading.unit)} {'more' if change.middle > 0 else 'less'} each year"
    each = f"{_by(case, change.low)} to {_by(case, change.high)}"
    how = f"95 % sure: {each}" if change.sure else f"from one pair of years to another: {each}"
    return f"{_told(case, place)}, {pace} ({how}): through the limit within a season."


def _by(case: Case, change: float) -> str:
    return f"{'+' if change > 0 else ''}{say(change, case.reading.unit)}"


def _say(case: Case, value: float) -> str:
    return say(value, case.reading.unit, 4)


def _told(case: Case, place: int) -> str:
    """Say a value with its place and side: ``Point 4, port: 74 °C``."""
    named = ", ".join(filter(None, (case.quantity.place(place + 1), case.reading.where)))
    return f"{named}: {_say(case, case.values[place])}".removeprefix(": ")


def _limit(case: Case) -> str:
    lower, upper = (case.limit.lower, case.limit.upper) if case.limit else (None, None)
    if lower is not None and upper is not None:
        return f"{_say(case, lower)} to {_say(case, upper)}"
    at_least = f"at least {_say(case, lower)}" if lower is not None else ""
    return at_least or (f"at most {_say(case, upper)}" if upper is not None else "not on file")


def _even(case: Case) -> str:
    low, high = min(case.values), max(case.values)
    told = f"{_told(case, case.values.index(low))}, {low / high:.3f} of the highest"
    return f"{told}, {_say(case, high)}; {case.least_share:.2f} is the least."


def _needs(case: Case, decides: float) -> str:
    besides = case.limit.u if case.limit else 0.0
    if 0 < decides <= besides:
        of = case.quantity
        closer = " Measure the temperature closer." if of.table or of.moves else ""
        known = say(float(f"{besides:.2g}"), case.reading.unit)
        return f"Not sure enough: the limit itself is known to {known} only.{closer}"
    return _even_needs(case, sqrt(decides**2 - besides**2) if decides else 0.0)


def _even_needs(case: Case, decides: float) -> str:
    """Say what would decide: the tool's part of it, rounded down to two digits."""
    tool, besides = case.quantity.tool, method_u(case.quantity, case.reading.unit)
    if decides == 0:
        return f"Not sure enough: it stands on the limit itself, and no {tool} decides that."
    if decides <= besides:
        return f"Not sure enough, and no {tool} decides it: this way of measuring is too coarse."
    tool_u = sqrt(decides**2 - besides**2)
    digit = 10.0 ** (floor(log10(tool_u)) - 1)
    return f"Not sure enough: needs a {tool} good to {_say(case, floor(tool_u / digit) * digit)}."
