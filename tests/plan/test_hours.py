"""Stretches of time against counting minute by minute."""

from hypothesis import given
from hypothesis import strategies as st

from yardwright.plan.hours import (
    both,
    either,
    finish,
    first,
    last,
    later,
    outside,
    spans,
    starts,
    within,
)

END = 60
minutes = st.sets(st.integers(0, END - 1))


def stretches(inside: set[int]) -> tuple[tuple[int, int], ...]:
    begins = sorted(m for m in inside if m - 1 not in inside)
    ends = sorted(m + 1 for m in inside if m + 1 not in inside)
    return tuple(zip(begins, ends, strict=True))


@given(minutes, minutes)
def test_both_either_outside(one: set[int], other: set[int]) -> None:
    a, b = stretches(one), stretches(other)
    assert either(both(a, b)) == stretches(one & other)
    assert either([*a, *b]) == stretches(one | other)
    assert outside(a, END) == stretches(set(range(END)) - one)


@given(minutes, st.integers(0, END), st.integers(0, END))
def test_first_last_and_within(inside: set[int], ready: int, end: int) -> None:
    assert last(stretches(inside), ready) == max((m for m in inside if m <= ready), default=None)
    assert first(stretches(inside), ready) == min((m for m in inside if m >= ready), default=None)
    assert within(stretches(inside), ready, end) == stretches(inside & set(range(ready, end)))


@given(minutes, st.integers(1, 12))
def test_starts(inside: set[int], takes: int) -> None:
    fits = {m for m in inside if set(range(m, m + takes)) <= inside}
    found = {m for a, b in starts(stretches(inside), takes) for m in range(a, b)}
    assert found == fits


@given(minutes, st.integers(-9, 9))
def test_later(inside: set[int], by: int) -> None:
    assert later(stretches(inside), by) == stretches({minute + by for minute in inside})


@given(minutes, st.integers(1, 12))
def test_finish_and_spans(inside: set[int], takes: int) -> None:
    lengths = {m: length for (a, b), length in spans(stretches(inside), takes) for m in range(a, b)}
    for start in inside:
        ahead = sorted(m for m in inside if m >= start)
        end = ahead[takes - 1] + 1 if len(ahead) >= takes else None
        assert finish(stretches(inside), start, takes) == end
        assert lengths.pop(start, None) == (None if end is None else end - start)
    assert lengths == {}
