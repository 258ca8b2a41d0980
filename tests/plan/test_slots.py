"""Half hours of one person: what is found is the first that fits, as trying them all finds it."""

from hypothesis import given, settings
from hypothesis import strategies as st

from tests.plan.yards import at, daily
from yardwright.plan.days import Interval
from yardwright.plan.problem import Clock, Person, PersonId
from yardwright.plan.slots import SLOT_MIN, Hands

INES = Person(
    PersonId("ines"),
    "Ines",
    frozenset({"mechanic"}),
    daily(4, "07:00-12:00", "12:30-15:30"),
    daily(4, "15:30-17:30"),
)


def by_trying(clock: Clock, minutes: int, ready: int, taken: list[Interval]) -> Interval | None:
    for opens, shuts in clock.opens:
        for start in range(opens, shuts, SLOT_MIN):
            worked = clock.worked_by(start)
            if start < ready or worked + minutes > clock.worked[-1]:
                continue
            end = clock.minute_of(worked + minutes - 1) + 1
            if not any(a < end and start < b for a, b in taken):
                return start, end
    return None


@settings(max_examples=150, deadline=None)
@given(st.lists(st.tuples(st.integers(1, 20), st.integers(0, 4 * 1440), st.booleans()), max_size=9))
def test_the_first_that_fits_is_found(asked: list[tuple[int, int, bool]]) -> None:
    hands, taken = Hands(INES), list[Interval]()
    for count, ready, overtime in asked:
        minutes = count * SLOT_MIN
        plain = by_trying(INES.on.plain, minutes, ready, taken)
        longer = by_trying(INES.on.long, minutes, ready, taken) if overtime else None
        both = [span for span in (plain, longer) if span]
        found = hands.first(count, ready, overtime=overtime)
        assert (found is None) == (not both)
        if found:
            job = hands.job(found, minutes)
            assert job.end == min(end for _, end in both)
            assert (job.start, job.end) in both
            taken.append((job.start, job.end))
            hands.take(taken[-1])
    for span in taken:
        hands.give_back(span)
    assert hands.plain.free == (1 << len(hands.plain.begins)) - 1
    assert hands.long.free == (1 << len(hands.long.begins)) - 1


def test_a_job_rests_over_night_but_not_over_another() -> None:
    # By hand: from 14:00 three hours end at 08:30 the next day, unless there is a job that evening.
    hands = Hands(INES)
    found = hands.first(6, at(0, "14:00"), overtime=False)
    assert found is not None
    assert hands.job(found, 180).end == at(1, "08:30")
    hands.take((at(0, "16:00"), at(0, "17:00")))
    found = hands.first(6, at(0, "14:00"), overtime=False)
    assert found is not None
    assert hands.job(found, 180).start == at(1, "07:00")
    hands.give_back((at(0, "16:00"), at(0, "17:00")))
    found = hands.first(6, at(0, "14:00"), overtime=False)
    assert found is not None
    assert hands.job(found, 180).start == at(0, "14:00")


def test_what_is_given_back_frees_no_half_hour_that_another_touches() -> None:
    # Two jobs in one half hour, 9:00 to 9:30: the first ends at 9:10, the second begins there.
    hands = Hands(INES)
    hands.take((at(0, "08:30"), at(0, "09:10")))
    hands.take((at(0, "09:10"), at(0, "10:00")))
    other = hands.copy()
    hands.give_back((at(0, "08:30"), at(0, "09:10")))
    found = hands.first(2, at(0, "08:30"), overtime=False)
    assert found is not None
    assert hands.job(found, 60).start == at(0, "10:00")
    other.give_back((at(0, "09:10"), at(0, "10:00")))
    found = other.first(2, at(0, "08:30"), overtime=False)
    assert found is not None
    assert other.job(found, 60).start == at(0, "09:30")
