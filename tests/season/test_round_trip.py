"""A season written and read again is the same season, whatever is in it."""

from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from yardwright.procedures import readings
from yardwright.procedures.going_in import State
from yardwright.procedures.put_backs import Before, Harm, Proof, PutBack, SignOff, Undone
from yardwright.procedures.readings import Reading
from yardwright.procedures.step import Has
from yardwright.procedures.ways_in import Barrier, BarrierKind, Disturbance, Disturbed, Look
from yardwright.season.model import (
    Boat,
    History,
    Hold,
    Instrument,
    Lift,
    Limit,
    Looks,
    OnDay,
    Owner,
    Part,
    Person,
    Place,
    Promise,
    Right,
    Season,
    Water,
    Weekday,
    WindLimit,
    Work,
    Yard,
)
from yardwright.season.read import read, read_file
from yardwright.season.write import write
from yardwright.season.zone import shown
from yardwright.tides.sill import Sill
from yardwright.tides.water import Extreme, Turn

DOCS = Path(__file__).parents[2] / "docs"
ZONE = ZoneInfo("America/New_York")

# Letters of any script, quotes, backslashes, brackets: what a TOML writer could trip over.
text = st.text(min_size=1, max_size=12).filter(lambda t: t.strip())
perhaps = st.none
moments = st.datetimes(  # plain, as the strategy wants them
    datetime(2030, 9, 1),  # noqa: DTZ001
    datetime(2031, 11, 30),  # noqa: DTZ001
    timezones=st.just(UTC),
).map(lambda at: shown(at.replace(second=0, microsecond=0), ZONE))
metres = st.integers(1, 499).map(lambda cm: cm / 100)
days = st.dates(date(2031, 4, 1), date(2031, 6, 30))


def unique(values: st.SearchStrategy[str], most: int = 3) -> st.SearchStrategy[list[str]]:
    return st.lists(values, max_size=most, unique=True)


@st.composite
def waters(draw: st.DrawFn) -> Water:
    first = datetime(2031, 3, 30, 0, 40, tzinfo=UTC)
    heights = draw(st.lists(st.integers(1, 80), min_size=2, max_size=6))
    table = tuple(
        Extreme(
            first + n * timedelta(hours=6, minutes=10),
            (100 + cm if n % 2 else -cm) / 100,
            Turn.HW if n % 2 else Turn.LW,
        )
        for n, cm in enumerate(heights)
    )
    epoch = draw(text)
    sill = Sill(-draw(metres), "chart datum", epoch, draw(days), draw(text))
    return Water("chart datum", epoch, sill, source=draw(text), table=table)


@st.composite
def undone_things(draw: st.DrawFn, fittings: list[str]) -> Undone:
    put_back = st.builds(PutBack, moments, text, st.sampled_from(Proof), text)
    return Undone(
        what=draw(text),
        harm=draw(st.sampled_from(Harm)),
        if_forgotten=draw(text),
        before=draw(st.sampled_from(Before)),
        proof=draw(st.sampled_from(Proof)),
        at=draw(moments),
        by=draw(text),
        lies=draw(st.just("") | text),
        fitting=draw(st.sampled_from(["", *fittings])),
        second=draw(st.booleans()),
        put_back=draw(perhaps() | put_back),
        signed_off=draw(perhaps() | st.builds(SignOff, moments, text, text)),
    )


@st.composite
def boats(draw: st.DrawFn, name: str, trades: list[str], parts: list[str]) -> Boat:
    fittings = draw(unique(text))
    millimetres = perhaps() | st.integers(1, 5000).map(lambda tenth: tenth / 10_000)
    jobs = draw(unique(text)) if trades else []
    instrument = st.builds(readings.Instrument, text, st.just("°C"), perhaps() | days, st.just(1.5))
    return Boat(
        name=name,
        state=draw(st.sampled_from(State)),
        hull_number=name + "-hull",
        owner=draw(perhaps() | st.builds(Owner, text, text)),
        has=draw(st.frozensets(st.sampled_from(Has), max_size=4)),
        draft_m=draw(perhaps() | metres),
        weight_kg=draw(perhaps() | st.floats(1, 1e5)),
        slings_m=draw(perhaps() | st.just((1.2, 5.2))),
        promise=draw(st.builds(Promise, perhaps() | days, perhaps() | days, perhaps() | days)),
        ways_in=tuple(
            Barrier(f, draw(st.sampled_from(BarrierKind)), "sea", "bilge", draw(millimetres))
            for f in fittings
        ),
        work=tuple(
            Work(
                what,
                draw(st.sampled_from(trades)),
                draw(st.integers(1, 600)),
                tuple(jobs[:n]),
                draw(st.sampled_from(["", *parts])),
                **draw(how()),
            )
            for n, what in enumerate(jobs)
        ),
        undone=tuple(draw(st.lists(undone_things(fittings), max_size=2))),
        looks=tuple(
            draw(st.lists(st.builds(Look, text, st.booleans(), moments, text, text), max_size=2))
        ),
        disturbed=tuple(
            draw(
                st.lists(
                    st.builds(
                        Disturbed,
                        st.sampled_from(Disturbance),
                        moments,
                        st.sampled_from(["", *fittings]),
                    ),
                    max_size=2,
                )
            )
        ),
        readings=tuple(
            draw(
                st.lists(
                    st.builds(
                        Reading,
                        st.just("head_temperature"),
                        st.tuples(st.floats(-40, 200), st.floats(-40, 200)),
                        st.just("°C"),
                        moments,
                        text,
                        perhaps() | instrument,
                        st.dictionaries(text, st.booleans() | st.floats(0, 9) | text, max_size=2),
                    ),
                    max_size=1,
                )
            )
        ),
    )


@st.composite
def how(draw: st.DrawFn) -> dict[str, Any]:
    """Of a piece of work: afloat, or with paint that dries and must not stand too long."""
    asked = {name: draw(st.booleans()) for name in ("second_look", "after_frost", "needs_yes")}
    if draw(st.booleans()):
        return asked | {"afloat": False}
    return asked | {
        "dry_hours": draw(st.integers(0, 96)) / 4,
        "within_days": draw(perhaps() | st.integers(2, 60)),
    }


def hours_of_single_days() -> st.SearchStrategy[tuple[OnDay, ...]]:
    one = st.builds(OnDay, days, st.just(time(8)), st.just(time(10)), st.just("") | text)
    return st.lists(one, max_size=2).map(tuple)


@st.composite
def seasons(draw: st.DrawFn) -> Season:
    trades, parts, names = draw(unique(text)), draw(unique(text)), draw(unique(text, 4))
    noon = datetime(2031, 5, 7, 12, tzinfo=ZONE)
    hold = (Hold(noon, noon + timedelta(hours=3), draw(text)),)
    people = [
        Person(
            f"person {n}",
            (trade,),
            ((time(7), time(12)), (time(12, 30), time(15, 30))),
            tuple(draw(st.sets(st.sampled_from(Weekday)))),
            tuple(draw(st.lists(days, max_size=2))),
            draw(st.frozensets(st.sampled_from(Right))),
            draw(st.booleans()),
            overtime=((time(15, 30), time(17)),),
            learns=(f"{trade} too",),
            may_watch=draw(st.integers(0, 3)),
            of_age_on=draw(st.none() | days),
            away=draw(hours_of_single_days()),
            longer=draw(hours_of_single_days()),
        )
        for n, trade in enumerate(trades)
    ]
    return Season(
        version=1,
        yard=Yard(draw(text), "America/New_York", date(2031, 4, 1), date(2031, 6, 30), 0.1, 0.25),
        water=draw(waters()),
        lifts=(
            Lift(
                "Lift",
                draw(text),
                15000.0,
                8000.5,
                time(6),
                time(16),
                30,
                30,
                carry_min=20,
                holds=hold,
                beam_m=draw(perhaps() | st.floats(0.1, 15)),
                draft_m=draw(perhaps() | st.floats(0.1, 5)),
                firm_ground=draw(st.booleans()),
                run_by=tuple(person.name for person in people if draw(st.booleans())),
                wind_limit=draw(perhaps() | st.builds(WindLimit, st.floats(0.1, 40), text, text)),
                longer=draw(hours_of_single_days()),
            ),
        ),
        people=tuple(people),
        places=(Place("Row", "row", 9, soft=True, firm_from=draw(perhaps() | days)),),
        parts=tuple(
            Part(name, draw(perhaps() | moments), draw(perhaps() | moments)) for name in parts
        ),
        history=tuple(
            History(
                draw(text),
                draw(st.integers(2, 99)),
                trade,
                tuple(
                    draw(st.lists(st.tuples(st.integers(1, 2000), st.integers(1, 900)), max_size=2))
                ),
                tuple(draw(st.lists(st.integers(1, 900), max_size=2))),
            )
            for trade in trades
        ),
        limits=(
            Limit(
                quantity="head_temperature",
                unit="°C",
                source=draw(text),
                page=draw(text),
                upper=draw(st.floats(1, 200)),
                needs=draw(st.dictionaries(text, st.floats(0, 9), max_size=2)),
            ),
        ),
        instruments=(
            Instrument(name="gun", unit="°C", checked_until=draw(perhaps() | days), u=1.5),
        ),
        boats=tuple(draw(boats(name, trades, parts)) for name in names),
        looks=draw(perhaps() | st.just(Looks(240, 3, ((time(6), time(20)),), (Weekday.SAT,)))),
    )


@settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
@given(seasons())
def test_what_is_written_is_read_again(season: Season) -> None:
    assert read(write(season)) == season


@pytest.mark.parametrize("file", sorted(DOCS.glob("*.toml")), ids=lambda file: file.name)
def test_the_examples_come_back(file: Path) -> None:
    season = read_file(file)
    assert read(write(season)) == season
    assert write(read(write(season))) == write(season)


def test_a_person_can_read_what_was_written() -> None:
    written = write(read_file(DOCS / "three-days.toml"))
    assert 'trades = ["mechanic"]\n' in written
    assert "hours = [[07:00:00, 12:00:00], [12:30:00, 15:30:00]]\n" in written
    assert "rating_kg = 15000\n" in written
    assert "arrives = 2031-05-06 07:30:00" in written


def test_the_night_the_clock_goes_back_keeps_both_its_hours() -> None:
    season = read_file(DOCS / "three-days.toml")
    first = datetime(2031, 11, 2, 5, 30, tzinfo=UTC)  # 01:30 summer time; again an hour later
    for at in (first, first + timedelta(hours=1)):
        late = Season(
            **{f: getattr(season, f) for f in Season.__slots__}
            | {"parts": (*season.parts, Part("gasket", at, at))}
        )
        gasket = read(write(late)).parts[-1]
        assert (gasket.arrives, gasket.came) == (at, at)
