"""Questions from the book and the facts: one right answer each, and where it stands."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from yardwright import refdata
from yardwright.calc.units import say
from yardwright.procedures.questions import PROOFS, About, Question, question_set
from yardwright.procedures.steps import book

SEEDS = st.integers(0, 1 << 30)


def all_of(about: About, seed: int = 1) -> tuple[Question, ...]:
    return question_set(seed, 10_000, about)


def test_there_are_questions_of_every_sort() -> None:
    for about in About:
        assert len(all_of(about)) >= 40, about


@given(SEEDS)
@settings(max_examples=15, deadline=None)
def test_the_same_seed_gives_the_same_set(seed: int) -> None:
    some = question_set(seed)
    assert some == question_set(seed)
    assert len(some) == 10
    assert len({one.key for one in some}) == 10
    assert {one.about for one in some} == set(About)


@pytest.mark.parametrize("about", About)
@given(seed=SEEDS)
@settings(max_examples=3, deadline=None)
def test_each_has_choices_that_differ_a_reason_and_a_source(about: About, seed: int) -> None:
    for one in question_set(seed, 60, about):
        assert 2 <= len(one.choices) <= 4
        assert len({choice.lower() for choice in one.choices}) == len(one.choices)
        assert 0 <= one.right < len(one.choices)
        assert one.asks.endswith("?")
        assert one.why
        assert one.source.endswith(")")  # its trust


def test_no_wrong_answer_is_right_too() -> None:
    steps = {step.code: step for step in book().steps}
    by_title = {step.title: step for step in steps.values()}
    for one in all_of(About.FIRST):
        right, *later = sorted(one.choices, key=lambda title: title != one.choices[one.right])
        for title in later:  # each of them waits for the right one, through others or not
            waits, seen = {by_title[title].code}, set()
            while waits:
                code = waits.pop()
                seen.add(code)
                waits |= set(steps[code].after) - seen
            assert by_title[right].code in seen
    kinds = book().kinds
    for one in all_of(About.FORGOTTEN):
        kind = kinds[one.key.split()[1]]
        assert one.choices[one.right] == kind.if_forgotten
        told = {other.if_forgotten: other for other in kinds.values() if other.harm == kind.harm}
        assert not set(one.choices) - {kind.if_forgotten} & set(told)
    for one in all_of(About.PROOF):
        kind = kinds[one.key.split()[1]]
        assert one.choices[one.right].startswith(PROOFS[kind.proof])
        assert one.choices[one.right].endswith("second person") is kind.second
    for one in all_of(About.CAUTION):
        step = steps[one.key.split()[1]]
        assert one.choices[one.right] == step.caution
        for choice in one.choices:
            others = [s for s in steps.values() if s.caution == choice and s.code != step.code]
            assert all(not set(s.hazards) & set(step.hazards) for s in others)


def test_a_number_is_the_fact_s_own() -> None:
    for one in all_of(About.NUMBER):
        name, code = one.key.split("/")
        row = refdata.table(name)[code]
        assert one.choices[one.right] == say(row.value, row.unit)
        assert one.source.startswith(row.source)
        assert row.trust in one.source
