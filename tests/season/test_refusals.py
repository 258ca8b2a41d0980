"""A bad day for data: each fault is one sentence with file, line, field and what to write."""

import re
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from yardwright.season.odd import questions
from yardwright.season.read import BadSeason, read, read_file, sentences

DOCS = Path(__file__).parents[2] / "docs"
THREE_DAYS = (DOCS / "three-days.toml").read_text(encoding="utf-8")
TEAL = (DOCS / "teal.toml").read_text(encoding="utf-8")


def line_of(text: str, words: str) -> int:
    return text[: text.index(words)].count("\n") + 1


def refused(text: str) -> tuple[str, ...]:
    with pytest.raises(BadSeason) as bad:
        read(text, "yard.toml")
    return bad.value.sentences


CASES = {
    "a comma": (
        "draft_m = 1.45",
        "draft_m = 1,45",
        "draft_m: 1,45 has a comma; write draft_m = 1.45.",
    ),
    "a comma that may be thousands": (
        "rating_kg = 15000",
        "rating_kg = 11,400",
        "rating_kg: 11,400 has a comma; write rating_kg = 11.400, or rating_kg = 11400 if thousands "
        "are meant.",
    ),
    "a comma in quotes": (
        "draft_m = 1.45",
        'draft_m = "5,2"',
        "Dunlin, draft_m: '5,2' is text; write 5.2, without quotes and with a point.",
    ),
    "draft 0": (
        "draft_m = 1.45",
        "draft_m = 0",
        "Dunlin, draft_m: 0 m is no draft; give up to 5 m. Measure it, or leave the line out.",
    ),
    "draft in feet": (
        "draft_m = 1.45",
        "draft_m = 5.5",
        "Dunlin, draft_m: 5.5 m is no draft; give up to 5 m. If it is in feet, write 1.68.",
    ),
    "two boats of one name": (
        'name = "Dunlin"',
        'name = "Plover"',
        "Plover, name: 'Plover' is there already; give each its own, such as 'Plover II'.",
    ),
    "a berth taken twice": (
        "berth = 2",
        "berth = 1",
        "Curlew, berth: North row, berth 1 is Dunlin's already; give another.",
    ),
    "a berth that is not there": (
        "berth = 2",
        "berth = 3",
        "Dunlin, berth: North row has berths 1 to 2, not 3.",
    ),
    "an unknown part": (
        'part = "kit"',
        'part = "kti"',
        "Curlew, engine, part: no part 'kti'; did you mean 'kit'?",
    ),
    "an unknown trade": (
        'what = "engine", trade = "mechanic", minutes = 180',
        'what = "engine", trade = "machanic", minutes = 180',
        "Dunlin, engine, trade: no person with the trade 'machanic'; did you mean 'mechanic'?",
    ),
    "an unknown key": (
        "margin_m = 0.25",
        "margin_m = 0.25\nsling_bite_m = 0.1",
        "yard, sling_bite_m: is not a key of this table; did you mean sling_bight_m?",
    ),
    "a word that is not known": (
        'state = "Fitting out"\ndraft_m = 1.45',
        'state = "Fiting out"\ndraft_m = 1.45',
        "Dunlin, state: 'Fiting out' is not known here; did you mean Fitting out?",
    ),
    "a missing key": (
        "launch_min = 30\n",
        "",
        "Travel lift, launch_min: is missing; add launch_min = 1.",
    ),
    "a clock without seconds": (
        "opens = 06:00:00",
        "opens = 06:00",
        "06:00 lacks its seconds; write 06:00:00.",
    ),
    "a number that is none": (
        "draft_m = 1.45",
        "draft_m = nan",
        "Dunlin, draft_m: nan is no number; leave the line out if it is not known.",
    ),
    "hours that go backwards": (
        'trades = ["mechanic"]\nhours = [[07:00:00, 12:00:00]',
        'trades = ["mechanic"]\nhours = [[12:00:00, 07:00:00]',
        "Ines, hours 1: 12:00 to 07:00 goes backwards; end it later on the same day.",
    ),
    "a season that ends before it begins": (
        "last_day = 2031-05-07",
        "last_day = 2031-05-04",
        "yard, last_day: the season has 0 days from 2031-05-05; end it 1 to 400 days on.",
    ),
    "a lift run by nobody here": (
        "aside_min = 30\n",
        'aside_min = 30\nrun_by = ["Tomas", "Inse"]\n',
        "Travel lift, run_by 2: no person 'Inse'; did you mean 'Ines'?",
    ),
    "a last frost of another year": (
        "last_day = 2031-05-07",
        "last_day = 2031-05-07\nlast_frost = 2030-05-06",
        "yard, last_frost: 2030-05-06 is in no year of the season, which begins 2031-05-05; give the "
        "last frost of this season, or leave it out: then it is not known.",
    ),
    "no such zone": (
        'zone = "America/New_York"',
        'zone = "Maine"',
        "yard, zone: 'Maine' is no time zone; write its IANA name, such as America/New_York.",
    ),
    "no version": (
        "version = 1",
        "",
        "version: is missing; write version = 1 on the first line.",
    ),
    "a newer version": (
        "version = 1",
        "version = 2",
        "version: 2 is newer than this Yardwright reads, 1; install the newer Yardwright.",
    ),
    "the hour that does not exist": (
        "arrives = 2031-05-06 07:30:00",
        "arrives = 2031-03-09 02:30:00",
        "kit, arrives: 2031-03-09 02:30 does not exist, the clock goes forward over it that night; "
        "write 03:30 or a time before the jump.",
    ),
    "the hour that comes twice": (
        "arrives = 2031-05-06 07:30:00",
        "arrives = 2031-11-02 01:30:00",
        "kit, arrives: 2031-11-02 01:30 comes twice, the clock goes back that night; write "
        "2031-11-02 01:30:00-04:00 for the first or 2031-11-02 01:30:00-05:00 for the second.",
    ),
    "the wrong chart datum": (
        'datum = "chart datum"\nepoch = "table of 2031"\nmeasured_on',
        'datum = "NAVD88"\nepoch = "table of 2031"\nmeasured_on',
        "water: the sill was measured from NAVD88, which this place does not hold; it holds chart "
        "datum. Measure the sill from one of those.",
    ),
    "a mix of epochs": (
        'epoch = "table of 2031"\nmeasured_on',
        'epoch = "table of 2012"\nmeasured_on',
        "water: the sill was measured from chart datum of table of 2012, but the water is reckoned "
        "from chart datum of table of 2031. Epochs are not mixed: measure the sill again from chart "
        "datum of table of 2031, or use water of table of 2012.",
    ),
    "a bare sill height": (
        'height_m = -1.00\ndatum = "chart datum"\n',
        "height_m = -1.00\n",
        'water, sill, datum: is missing; add datum = "text".',
    ),
    "a table that skips a tide": (
        '    {at = 2031-05-05 06:50:00, level_m = 1.45, turn = "HW"},\n',
        "",
        "water: Row 2 (LW 2031-05-05 17:00 UTC, 0.15 m) follows another LW; one between them is "
        "missing or misnamed.",
    ),
    "no water at all": (
        "    {at = ",
        "    # {at = ",
        "water: there is neither a station nor a table; give one of them.",
    ),
    "a key that is there twice": (
        "margin_m = 0.25",
        "margin_m = 0.25\nmargin_m = 0.30",
        "'margin_m = 0.30' stands there already; keep one of the two.",
    ),
    "text without quotes": (
        'name = "Heron Slip"',
        "name = Heron Slip",
        "Invalid value: 'name = Heron Slip'; write key = value, text in quotes.",
    ),
    "a table where one value belongs": (
        "margin_m = 0.25",
        "margin_m = [0.25]",
        "yard, margin_m: [0.25] is a list; write 1.5.",
    ),
    "work in a ring": (
        'what = "engine", trade = "mechanic", minutes = 180}',
        'what = "engine", trade = "mechanic", minutes = 180, after = ["engine"]}',
        "Dunlin, work: engine waits for engine: a ring; let one begin.",
    ),
}


@pytest.mark.parametrize(("right", "wrong", "says"), CASES.values(), ids=CASES.keys())
def test_what_is_wrong_is_said_with_its_line(right: str, wrong: str, says: str) -> None:
    assert right in THREE_DAYS
    found = refused(THREE_DAYS.replace(right, wrong))
    assert [sentence.partition(": ")[2] for sentence in found] == [says]


def test_a_table_that_is_missing_is_named_as_it_is_written() -> None:
    found = refused('version = 1\n[yard]\nzone = "UTC"\n')
    assert "yard.toml, line 1: water: is missing; add the table [water]." in found


def test_a_season_in_another_age_is_a_slip() -> None:
    text = THREE_DAYS.replace("first_day = 2031-05-05", "first_day = 9999-12-30")
    found = refused(text.replace("last_day = 2031-05-07", "last_day = 9999-12-31"))
    assert [said.partition(": ")[2] for said in found] == [
        f"yard, {key}: is in 9999; give a year from 1900 to 2199, such as 2031."
        for key in ("first_day", "last_day")
    ]


def test_the_line_is_the_one_to_mend() -> None:
    text = THREE_DAYS.replace("draft_m = 1.45", "draft_m = 0")
    (sentence,) = refused(text)
    assert sentence.startswith(f"yard.toml, line {line_of(text, 'draft_m = 0' + chr(10))}: ")


def test_in_a_list_of_lists_the_line_is_right_too() -> None:
    text = TEAL.replace(
        'proof = "run"\nat = 2030-11-05 10:00:00', 'proof = "sniffed"\nat = 2030-11-05 10:00:00'
    )
    (sentence,) = refused(text)
    assert sentence.startswith(f"yard.toml, line {line_of(text, 'sniffed')}: Teal, stop-switch")


def test_all_faults_are_told_at_once() -> None:
    text = (
        THREE_DAYS.replace("draft_m = 0.60", "draft_m = 0")
        .replace("draft_m = 1.45", 'draft_m = "deep"')
        .replace("margin_m = 0.25", 'margin = "some"')
    )
    found = refused(text)
    # the wrong key, the right one that is missing for it, and both drafts
    assert len(found) == 4
    lines = [int(sentence.split("line ")[1].split(":")[0]) for sentence in found]
    assert lines == sorted(lines)


def test_a_bad_zone_hides_no_other_fault() -> None:
    text = THREE_DAYS.replace("America/New_York", "Maine").replace("draft_m = 0.60", "draft_m = 0")
    assert [sentence.split(": ")[1].split(",")[0] for sentence in refused(text)] == [
        "yard",
        "Plover",
    ]


def test_of_a_newer_version_nothing_else_is_said() -> None:
    text = THREE_DAYS.replace("version = 1", "version = 2").replace("draft_m = 0.60", "depth = 0")
    assert len(refused(text)) == 1


def test_commas_are_all_told_at_once() -> None:
    text = THREE_DAYS.replace("draft_m = 0.60", "draft_m = 0,60").replace("1.45", "1,45", 1)
    assert len(refused(text.replace("draft_m = 1.75", "draft_m = 1,75"))) == 2


def test_a_station_far_away_is_refused_and_nearer_ones_are_named() -> None:
    # 8443970 is Boston, 42.35 N 71.05 W; the yard is said to stand at 44.90 N 66.98 W. By hand:
    # 2.55° north and 4.07° cos 43.6° east, at 111.2 km a degree: 434 km.
    text = TEAL.replace('"8418150"', '"8443970"').replace(
        "margin_m = 0.25", "margin_m = 0.25\nlatitude = 44.90\nlongitude = -66.98"
    )
    (sentence,) = refused(text)
    km = int(sentence.split("8443970 is ")[1].split(" km")[0])
    assert km == pytest.approx(434, abs=3)
    assert "km from the yard; choose a nearer one: 8410140 Eastport (" in sentence


def test_a_stations_datum_and_epoch_are_held_against_it() -> None:
    text = TEAL.replace(
        'datum = "MLLW"\nepoch = "1983-2001"\n\n', 'datum = "MLLW"\nepoch = "2002-2020"\n\n'
    )
    (sentence,) = refused(text)
    assert (
        "above MLLW of 2002-2020, but station 8418150 is reckoned from MLLW of 1983-2001"
        in sentence
    )


def odd(text: str) -> list[str]:
    return sentences(questions(read(text)), text, "yard.toml")


ODD_VALUES = [
    "0", "-1", "1e400", "nan", "5,2", '""', '"x"', "true", "[]", "[[]]", "{}", "[{}]", "{a = 1}",
    "2031-05-06", "07:30:00", "2031-03-09 02:30:00", "2031-05-06 07:30:00", "999999999999999999",
]  # fmt: skip


@settings(max_examples=300, deadline=None)
@given(st.sampled_from([THREE_DAYS, TEAL]), st.data())
def test_whatever_is_typed_is_read_or_refused_in_sentences(text: str, data: st.DataObject) -> None:
    lines = text.split("\n")
    number = data.draw(st.integers(0, len(lines) - 1))
    key = lines[number].partition("=")[0]
    mended = data.draw(
        st.sampled_from([[], [lines[number]] * 2, *([f"{key}= {odd}"] for odd in ODD_VALUES)])
    )
    try:
        season = read("\n".join([*lines[:number], *mended, *lines[number + 1 :]]), "yard.toml")
    except BadSeason as bad:
        for sentence in bad.sentences:
            assert re.fullmatch(r"yard\.toml, line \d+: .+[.?]", sentence), sentence
    else:
        questions(season)


def test_nothing_is_odd_about_the_examples() -> None:
    assert odd(THREE_DAYS) == odd(TEAL) == []


def test_a_promise_before_its_kit_is_asked_about_not_refused() -> None:
    text = THREE_DAYS.replace("arrives = 2031-05-06 07:30:00", "arrives = 2031-05-07 07:30:00")
    line = line_of(text, 'part = "kit"') - 2
    assert odd(text) == [
        f"yard.toml, line {line}: Curlew, promise: 06 May is promised, but the kit comes 07 May."
    ]


def test_a_draft_in_feet_that_could_be_metres_is_asked_about() -> None:
    (sentence,) = odd(TEAL.replace("draft_m = 0.55", "draft_m = 2.1"))
    assert sentence.endswith(
        "Teal, draft_m: 2.1 m is deep for 6.4 m of length. If it is in feet, write 0.64."
    )


def test_a_weight_from_a_sheet_in_pounds_is_asked_about() -> None:
    (sentence,) = odd(THREE_DAYS.replace("draft_m = 1.45", "draft_m = 1.45\nweight_kg = 25000"))
    # 25,000 lb by 0.45359237 kg, the pound's definition
    assert sentence.endswith("If it is in pounds, write 11340.")


def test_a_reading_that_looks_like_another_unit_is_asked_about() -> None:
    # A gauge in °F read as °C: 150 °C at the head would have boiled her.
    reading = """
[[boats.readings]]
quantity = "head_temperature"
values = [150, 152, 149, 151]
unit = "°C"
at = 2031-04-11 08:30:00
by = "Ines"
"""
    (sentence,) = odd(TEAL + reading)
    assert "Teal, readings 1, values: head_temperature is usually" in sentence
    assert sentence.endswith("is °C the right unit?")
    assert odd(TEAL + reading.replace('"°C"', '"°F"')) == []


def test_days_the_tide_table_does_not_know_are_asked_about() -> None:
    (sentence,) = odd(THREE_DAYS.replace("last_day = 2031-05-07", "last_day = 2031-05-20"))
    assert (
        "is known from 05 May to 07 May; on other days of the season nothing is launched"
        in sentence
    )


def test_a_file_that_is_not_there_or_not_text(tmp_path: Path) -> None:
    with pytest.raises(BadSeason, match=r"none\.toml can't be read \(No such file"):
        read_file(tmp_path / "none.toml")
    (tmp_path / "sheet.toml").write_bytes(b"\xd0\xcf\x11\xe0\xa1\xb1")
    with pytest.raises(BadSeason, match=r"sheet\.toml is not UTF-8 text; save it as UTF-8"):
        read_file(tmp_path / "sheet.toml")


CHOICE = """
[[chosen]]
what = "antifreeze/ethylene_glycol_freezes"
row = "ethylene_glycol_freezes_by_a_manual"
reason = "it is our engines' manual"
by = "Ines"
at = 2031-04-11 08:30:00
"""


def test_a_source_is_chosen_among_those_that_conflict() -> None:
    assert read(TEAL + CHOICE).chosen[0].row == "ethylene_glycol_freezes_by_a_manual"
    for right, wrong, told in (
        ("ethylene_glycol_freezes_by_a_manual", "water_freezes", "no source 'water_freezes'; "),
        ("antifreeze/ethylene", "antifreese/ethylene", "No reference table 'antifreese'."),
        (
            "antifreeze/ethylene_glycol",
            "antifreeze/glycol",
            "No row 'glycol_freezes' in antifreeze",
        ),
        ("it is our engines' manual", " ", "reason: is empty; say why"),
    ):
        (sentence,) = refused(TEAL + CHOICE.replace(right, wrong))
        assert told in sentence


HISTORY = """
[[history]]
what = "gelcoat"
jobs = 2
trade = "yard hand"
took_min = [[240, 120], [100, 120]]
found_min = [60]
"""


def test_a_history_is_read_or_refused_in_sentences() -> None:
    (kept,) = read(TEAL + HISTORY).history
    assert (kept.took_min, kept.found_min) == (((240, 120), (100, 120)), (60,))
    for right, wrong, told in (
        ("jobs = 2", "jobs = 1", "took_min: tells of 2 jobs, but there were 1."),
        ("jobs = 2", "jobs = 0", "jobs: 0 jobs; give 1 to 1000000."),
        ("[240, 120]", "[0, 120]", "0 min taken, 120 planned; give 1 to 100000 of each"),
        ("[240, 120]", "[100001, 120]", "100001 min taken"),
        ("[240, 120]", "[240, 0]", "0 planned"),
        ("[240, 120]", "[240]", "is a list; write [1, 1]"),
        ("found_min = [60]", "found_min = [0]", "0 min; give 1 to 100000."),
        ('trade = "yard hand"\n', "", "no step 'gelcoat'"),
        ("found_min = [60]", "found_min = [60]" + HISTORY, "'gelcoat' is there already"),
    ):
        assert any(told in said for said in refused(TEAL + HISTORY.replace(right, wrong))), told


OWN_STEPS = """
[[steps]]
code = "stern_plug_in"
reason = "we never do"
by = "Ines"
at = 2031-04-11 08:30:00
"""


def test_own_steps_that_would_leave_a_boat_undone_are_refused() -> None:
    with pytest.raises(BadSeason, match="but no spring step proves it on every boat"):
        read(TEAL + OWN_STEPS)
    assert read(TEAL + OWN_STEPS.replace("stern_plug_in", "walked_round")).steps[0].row is None
