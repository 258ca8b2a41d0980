"""Hull numbers against what the law, the Coast Guard's guideline and reprints of the old forms say."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from yardwright.calc.hull_number import (
    Layout,
    read_hull_number,
    read_state_number,
)


@pytest.mark.parametrize(
    ("written", "month", "year", "model_year"),
    [
        # Owners' forum on the present form: C585 March 1985, K485 November 1984, H485 August 1984,
        # all model 1985. A title service's chart: ABC 12345 A 7 88, January 1987, model 1988.
        ("ABC12345C585", 3, 1985, 1985),
        ("ABC12345K485", 11, 1984, 1985),
        ("ABC12345H485", 8, 1984, 1985),
        ("ABC12345A788", 1, 1987, 1988),
        # A builder's page: TNRD1234H394 (its own code left out), August 1993, model 1994;
        # ABC12345A900, January 1999, model 2000.
        ("ABCD1234H394", 8, 1993, 1994),
        ("ABC12345A900", 1, 1999, 2000),
        # By 33 CFR 181.25 and the figure of the year: January 2026, December 2025.
        ("ZZA12345A626", 1, 2026, 2026),
        ("ZZAK98H7L526", 12, 2025, 2026),
        ("ZZA12345A930", 1, 2029, 2030),
    ],
)
def test_the_present_form(written: str, month: int, year: int, model_year: int) -> None:
    found = read_hull_number(written)
    assert (found.month, found.year, found.model_year) == (month, year, model_year)
    assert found.layout == Layout.PRESENT
    assert (found.faults, found.asks) == ((), ())
    assert found.maker == written[:3]
    assert found.serial == written[3:8]


@pytest.mark.parametrize(
    ("written", "month", "year", "model_year"),
    [
        # A mail archive of 2015: M80K June 1980, M84D November 1983. A forum: M82H March 1982.
        # A title service's chart: M75A August (1974, of model year 1975).
        ("ABC12345M80K", 6, 1980, 1980),
        ("ABC12345M84D", 11, 1983, 1984),
        ("ABC12345M82H", 3, 1982, 1982),
        ("ABC12345M75A", 8, 1974, 1975),
        # A boat magazine's reprint: M73E December; F January, L July of the model year itself.
        ("ABC12345M73E", 12, 1972, 1973),
        ("ABC12345M80F", 1, 1980, 1980),
        ("ABC12345M84L", 7, 1984, 1984),
    ],
)
def test_the_old_form_with_an_m(written: str, month: int, year: int, model_year: int) -> None:
    found = read_hull_number(written)
    assert (found.month, found.year, found.model_year) == (month, year, model_year)
    assert found.layout == Layout.MODEL_YEAR
    assert (found.faults, found.asks) == ((), ())


@pytest.mark.parametrize(
    ("written", "month", "year"),
    # A boat magazine's reprint: ABC 12345 1272 is December 1972; a chart: 12 75, December 1975.
    [("ABC123451272", 12, 1972), ("ABC123451275", 12, 1975), ("ABC123450784", 7, 1984)],
)
def test_the_old_form_of_four_figures(written: str, month: int, year: int) -> None:
    found = read_hull_number(written)
    assert (found.month, found.year, found.model_year) == (month, year, None)
    assert found.layout == Layout.STRAIGHT_YEAR
    assert (found.faults, found.asks) == ((), ())


@pytest.mark.parametrize(
    ("written", "place", "told"),
    [
        # 33 CFR 181.25(b): never I, O, Q in 4 to 8; (c): A to L; figures in 10 to 12.
        ("ZZAI2345A626", 4, "I is never used here; it looks like 1."),
        ("ZZA1O345A626", 5, "O is never used here; it looks like 0."),
        ("ZZA1234QA626", 8, "Q is never used here; it looks like 0."),
        ("ZZA12345M626", 9, "M is no month; A is January, L is December."),
        ("ZZA12345Z626", 9, "Z is no month; A is January, L is December; it looks like 2."),
        ("ZZA12345AO26", 10, "O stands where a figure belongs; it looks like 0."),
        ("ZZA12345A6I6", 11, "I stands where a figure belongs; it looks like 1."),
        ("ZZA12345A62B", 12, "B stands where a figure belongs; it looks like 8."),
        ("ZZA12345A62X", 12, "X stands where a figure belongs."),
        (
            "ZZA123451626",
            9,
            "16 in places 9 and 10 is no month. A 1 at place 9 may be the letter I",
        ),
        ("ZZA123450082", 9, "00 in places 9 and 10 is no month."),
        ("ZZA12*45A626", 6, "* is neither a letter nor a figure."),
    ],
)
def test_a_fault_is_shown_with_its_place(written: str, place: int, told: str) -> None:
    found = read_hull_number(written)
    (fault,) = found.faults
    assert fault.place == place
    assert fault.words.startswith(told)
    assert fault.told.startswith(f"Place {place}: {told}")
    assert found.letters == written
    assert (found.month, found.year, found.model_year) == (None, None, None)


def test_all_faults_at_once() -> None:
    found = read_hull_number("ZZAI2O45AQ26")
    assert [fault.place for fault in found.faults] == [4, 6, 10]


def test_the_makers_code_may_hold_what_the_serial_may_not() -> None:
    # 33 CFR 181.25(a) forbids no letter in the first three.
    assert read_hull_number("OIQ12345A626").faults == ()


@pytest.mark.parametrize("written", ["ABC1234", "ABC123456A626", "ABC12345A6266X6"])
def test_a_number_of_another_length(written: str) -> None:
    (fault,) = read_hull_number(written).faults
    assert fault.place == 0
    assert fault.told.startswith(f"{len(written)} characters; a hull number has 12")


@pytest.mark.parametrize(
    ("written", "told"),
    [
        # The figure of the year fits no year near the model year; the printed example of ISO 10087
        # in an encyclopaedia, A3 99, is such a one.
        ("ZZA12345A126", "ends in 1 is not within 2 before and 1 after model year 2026"),
        ("GB-ABC00042-A3-99", "ends in 3 is not within 2 before and 1 after model year 1999"),
        ("ZZA12345A323", ""),
        ("ZZA12345A123", ""),
        ("ZZA12345A023", "ends in 0 is not within"),
        ("ZZA12345A423", ""),
        ("ZZA12345A523", "ends in 5 is not within"),
        # The present form began in August 1984; 72 to 83 can't be its model years.
        ("ZZA12345A080", "Model year 80: the present form began with 84"),
        ("ZZA12345A383", "Model year 83"),
        ("ZZA12345A272", "Model year 72"),
        ("ZZA12345A171", ""),
        ("ZZA12345G484", "07/1984 is not in the time of the present form"),
        ("ZZA12345H484", ""),
        # The old forms: November 1972 to July 1984.
        ("ABC123451072", "10/1972 is not in the time of the old form that ends in four figures"),
        ("ABC123451172", ""),
        ("ABC123450884", "08/1984 is not in the time"),
        ("ABC12345M73C", "10/1972 is not in the time of the old form with an M"),
        ("ABC12345M73D", ""),
        ("ABC12345M85A", "08/1984 is not in the time"),
        ("AB112345A626", "Place 3: 1 is a figure"),
    ],
)
def test_what_the_number_alone_does_not_say_is_asked(written: str, told: str) -> None:
    found = read_hull_number(written)
    assert found.faults == ()
    assert [told in ask for ask in found.asks] == ([True] if told else [])


def test_the_country_in_front_is_no_part_of_the_twelve() -> None:
    # The Coast Guard's guideline of June 2018: the characters US- may stand before the number.
    found = read_hull_number("US-ZZA12345A626")
    assert (found.country, found.letters, found.year) == ("US", "ZZA12345A626", 2026)
    assert found.notes == ()
    assert read_hull_number("USZZA12345A626").country == "US"
    assert read_hull_number("12ZZA12345A626").faults[0].place == 0
    assert read_hull_number("US-CAZZA12345A626").faults[0].words.startswith("14 characters")


@pytest.mark.parametrize("written", ["zza 12345 a6 26", " ZZA-12345-A626 ", "ZZA/12345A626"])
def test_blanks_and_hyphens_are_set_aside_and_told(written: str) -> None:
    found = read_hull_number(written)
    assert (found.letters, found.faults) == ("ZZA12345A626", ())
    assert "set aside" in found.notes[0]


@pytest.mark.parametrize(
    ("written", "outside"),
    # 33 CFR 175.3: a model year is June to July of the next year.
    [
        ("ABC12345A900", True),
        ("ABC12345F525", False),
        ("ABC12345F425", False),
        ("ABC12345E425", True),
        ("ABC12345G525", False),
        ("ABC12345H525", True),
    ],
)
def test_outside_the_months_of_its_model_year_is_noted(written: str, outside: bool) -> None:
    found = read_hull_number(written)
    assert bool(found.notes) is outside
    if outside:
        assert "Begun outside the months" in found.notes[0]


@pytest.mark.parametrize("read", [read_hull_number, read_state_number])
@pytest.mark.parametrize("written", ["", "  "])
def test_nothing_is_no_number(read: object, written: str) -> None:
    assert callable(read)
    with pytest.raises(ValueError, match="no number was given"):
        read(written)


letters = st.text("ABCDEFGHJKLMNPRSTUVWXYZ0123456789", min_size=5, max_size=5)


@given(
    serial=letters,
    month=st.integers(1, 12),
    model=st.integers(1986, 2071),
    off=st.integers(-2, 1),
)
def test_whatever_is_stamped_by_the_law_is_read_back(
    serial: str, month: int, model: int, off: int
) -> None:
    year = model + off
    written = f"ABC{serial}{'ABCDEFGHIJKL'[month - 1]}{year % 10}{model % 100:02d}"
    found = read_hull_number(written)
    if (year, month) >= (1984, 8):
        assert (found.month, found.year, found.model_year) == (month, year, model)
        assert (found.faults, found.asks) == ((), ())


@pytest.mark.parametrize(
    ("written", "shown"),
    [
        # 33 CFR 174.23: NH 1234 BD, WN 567 EFG; 173.27: DC-5678-EF.
        ("NH 1234 BD", "NH 1234 BD"),
        ("wn 567 efg", "WN 567 EFG"),
        ("DC-5678-EF", "DC 5678 EF"),
        ("NH1A", "NH 1 A"),
    ],
)
def test_a_state_number(written: str, shown: str) -> None:
    found = read_state_number(written)
    assert (found.shown, found.faults) == (shown, ())


@pytest.mark.parametrize(
    ("written", "place", "told"),
    [
        ("NH 1234 BO", 8, "O is never used here; it looks like 0."),
        ("NH 123 IBC", 6, "I is never used here; it looks like 1."),
        ("NH 12 QA", 5, "Q is never used here; it looks like 0."),
        ("NH 1234 BCD", 0, "4 figures and 3 letters"),
        ("NH 12345 B", 0, "5 figures and 1 letters"),
        ("NH 123 ABCD", 0, "3 figures and 4 letters"),
        ("NH 1234 B0", 0, "Two letters of the state"),
        ("N 1234 BD", 0, "Two letters of the state"),
        ("NHX 1234 BD", 0, "Two letters of the state"),
        ("NH 1234", 0, "Two letters of the state"),
    ],
)
def test_a_state_number_written_wrong(written: str, place: int, told: str) -> None:
    (fault,) = read_state_number(written).faults
    assert fault.place == place
    assert fault.words.startswith(told)
