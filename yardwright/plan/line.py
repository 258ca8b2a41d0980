"""The minutes in which anything can happen, one after another: on this line nights take no room."""

from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from operator import itemgetter
from typing import NamedTuple

from yardwright.plan.days import Interval, Minute
from yardwright.plan.hours import Stretches, both, either, spans
from yardwright.plan.problem import Clock, PersonId, Problem

Place = int  # on the line


class Hours(NamedTuple):
    """A person's hours on the line, without and with overtime."""

    plain: Clock
    long: Clock


class Piece(NamedTuple):
    """Starts from which a job lasts equally long; its overtime is ``extra`` + ``slope`` x start."""

    begins: Interval
    lasts: int
    extra: int = 0
    slope: int = 0


@dataclass(frozen=True, slots=True)
class Line:
    """The season with the minutes left out in which nobody works and no lift is open.

    Every job and launch begins in a minute that is kept and ends after one, so what comes before
    what, and what goes on at the same time, is the same here as on the clock.
    """

    clock: Clock
    hours: Mapping[PersonId, Hours] = field(repr=False)

    @property
    def end(self) -> Place:
        """Where the line ends."""
        return self.clock.worked[-1]

    def place(self, minute: Minute) -> Place:
        """Minutes of the line before a minute of the season."""
        return self.clock.worked_by(minute)

    def minute(self, place: Place) -> Minute:
        """The minute of the season that lies at a place."""
        return self.clock.minute_of(place)

    def ended(self, place: Place) -> Minute:
        """The minute of the season at which something is over that ends at a place."""
        return self.clock.minute_of(place - 1) + 1

    def on(self, stretches: Stretches) -> Stretches:
        """What of the stretches lies on the line."""
        kept = both(stretches, self.clock.opens)
        return either((self.place(a), self.place(a) + b - a) for a, b in kept)


def whole_line(problem: Problem) -> Line:
    """Every minute of the season."""
    return _line(problem, ((0, problem.days.end),))


def short_line(problem: Problem) -> Line:
    """The minutes in which somebody works, a lift is open or new boats are looked after."""
    opens = [span for person in problem.people for span in person.on.long.opens]
    opens += [span for lift in problem.lifts for span in lift.opens]
    opens += problem.looks.opens if problem.looks else ()
    return _line(problem, either(opens))


def _line(problem: Problem, opens: Stretches) -> Line:
    bare = Line(Clock(opens), {})
    hours = {
        p.id: Hours(Clock(bare.on(p.on.plain.opens)), Clock(bare.on(p.on.long.opens)))
        for p in problem.people
    }
    return Line(bare.clock, hours)


def begins(
    works: Clock, minutes: int, window: Interval, taken: Sequence[Interval]
) -> Iterator[Piece]:
    """Every start inside a window from which a job, rests counted, touches nothing taken."""
    low, high = window
    first = max(0, bisect_right(works.opens, (low, low)) - 1)
    last = bisect_left(works.opens, (high, high))
    upto = bisect_left(works.worked, works.worked[last] + minutes) + 1
    for (a, b), lasts in spans(works.opens[first:upto], minutes):
        if a < high and low < b:
            begin, end = max(a, low), min(b, high)
            at = bisect_right(taken, begin, key=itemgetter(1))
            while at < len(taken) and taken[at][0] < end + lasts - 1:
                if begin <= taken[at][0] - lasts:
                    yield Piece((begin, taken[at][0] - lasts + 1), lasts)
                begin, at = max(begin, taken[at][1]), at + 1
            if begin < end:
                yield Piece((begin, end), lasts)


def with_overtime(
    pieces: Iterator[Piece], plain: Clock, minutes: int, *, all_of: bool = False
) -> Iterator[Piece]:
    """The starts from which some of a job is overtime, cut where its share begins to change.

    With ``all_of`` the others too: somebody else's overtime may be in it.
    """
    edges = sorted(edge for span in plain.opens for edge in span)
    for piece in pieces:
        (low, high), lasts = piece.begins, piece.lasts
        cuts = {low, high, *_between(edges, low, high)}
        cuts |= {edge - lasts for edge in _between(edges, low + lasts, high + lasts)}
        turns = sorted(cuts)
        for a, b in pairwise(turns):
            at_a = minutes - plain.worked_by(a + lasts) + plain.worked_by(a)
            slope = 0
            if b > a + 1:
                slope = minutes - plain.worked_by(a + 1 + lasts) + plain.worked_by(a + 1) - at_a
            if at_a or slope or all_of:
                yield Piece((a, b), lasts, at_a - slope * a, slope)


def _between(edges: list[int], low: int, high: int) -> list[int]:
    return edges[bisect_right(edges, low) : bisect_left(edges, high)]
