"""Lines of each kind, as those who publish the kind print them."""

from datetime import UTC, datetime, timedelta, timezone

import pytest
from hypothesis import given
from hypothesis import strategies as st

from yardwright.sensors.line import Ear
from yardwright.sensors.reading import Heard, Reading, Start, Warned, Water, Wrong, reading
from yardwright.sensors.record import line_of
from yardwright.sensors.run import Listening

EAST = timezone(timedelta(hours=-4))
MORNING = datetime(2031, 5, 6, 9, 30, tzinfo=EAST)


def hear(*lines: str) -> list[Heard]:
    ear = Ear()
    return [one for line in lines for one in ear.hear(line)]


def values(*lines: str) -> dict[str, tuple[float, str]]:
    return {one.point: (one.value, one.unit) for one in hear(*lines) if isinstance(one, Reading)}


def test_a_line_of_our_own() -> None:
    assert hear("2031-05-06T09:30:00-04:00 head_port 64.5 C") == [
        Reading(MORNING, "head_port", 64.5, "°C")
    ]


@pytest.mark.parametrize(
    ("line", "value", "unit"),
    [
        ("head 212 F", 100, "°C"),  # where water boils
        ("oil 1 bar", 100, "kPa"),
        ("oil 30 inHg", 101.59, "kPa"),  # 1 inHg = 3.38639 kPa, NIST SP 811 Appendix B
        ("raw 1 gpm", 3.79, "L/min"),  # a US gallon is 3.785412 L, NIST SP 811 Appendix B
        ("house 12,7 V", 12.7, "V"),
        ("crank 900 rpm", 900, "rpm"),
        ("tank 55 %", 55, "%"),
    ],
)
def test_units_are_read_as_anywhere(line: str, value: float, unit: str) -> None:
    assert [*values(line).values()] == [(value, unit)]


def test_a_start_and_answers_about_the_water() -> None:
    assert hear("start", "water yes", "water no") == [
        Start(None),
        Water(None, coming_out=True),
        Water(None, coming_out=False),
    ]


@pytest.mark.parametrize(
    ("line", "told"),
    [
        # Printed as examples in "NMEA Revealed" (gpsd), and by makers of weather sensors.
        ("$INMTW,17.9,C*1B", {"water_temperature": (17.9, "°C")}),
        ("$IIXDR,C,19.52,C,TempAir*19", {"TempAir": (19.52, "°C")}),
        # 1.02481 bar = 102.481 kPa
        ("$IIXDR,P,1.02481,B,Barometer*29", {"Barometer": (102.48, "kPa")}),
        # Several in one sentence; 100700 Pa. The humidity (H) is none of ours.
        (
            "$IIXDR,C,24.24,C,ENV_OUTSIDE_T,P,100700,P,ENV_ATMOS_P,H,64.356,P,ENV_OUTSIDE_H*37",
            {"ENV_OUTSIDE_T": (24.24, "°C"), "ENV_ATMOS_P": (100.7, "kPa")},
        ),
        ("$IIRPM,E,1,2418.2,10.5,A*5F", {"engine_1_speed": (2418.2, "rpm")}),
        ("$SDMTW,,C*1A", {}),  # a sensor out of the water: empty
        ("$GPGGA,184353.07,1929.045,S,02410.506,E,1,04,2.6,100.00,M,-33.9,M,,0000*6D", {}),
    ],
)
def test_nmea_0183(line: str, told: dict[str, tuple[float, str]]) -> None:
    assert values(line) == told


@pytest.mark.parametrize("line", ["$INMTW,17.9,C*1C", "$INMTW,19.9,C*1B", "$INMTW,17.9,C"])
def test_a_sentence_that_was_garbled_on_its_way_is_refused(line: str) -> None:
    with pytest.raises(ValueError, match="checksum"):
        hear(line)


@pytest.mark.parametrize(
    ("line", "at", "told"),
    [
        # From the tests of canboatjs: 158300 Pa, 296.67 K, 13.82 V.
        (
            "2023-04-01T17:24:51.634Z,2,127489,16,255,26,00,2f,06,ff,ff,e3,73,66,05,ff,7f,58,02,00,"
            "00,ff,ff,ff,ff,ff,06,00,00,00,7f,7f",
            datetime(2023, 4, 1, 17, 24, 51, 634000, UTC),
            {
                "engine_0_temperature": (23.52, "°C"),
                "engine_0_oil_pressure": (158.3, "kPa"),
                "engine_0_alternator": (13.82, "V"),
            },
        ),
        # From the tests of canboatjs: 13.99 V, -10.4 A, 281.44 K.
        (
            "2015-01-15-16:14:00.409,6,127508,176,255,8,00,77,05,98,ff,f0,6d,12",
            datetime(2015, 1, 15, 16, 14, 0, 409000, UTC),
            {
                "battery_0_voltage": (13.99, "V"),
                "battery_0_current": (-10.4, "A"),
                "battery_0_temperature": (8.29, "°C"),
            },
        ),
        # From the tests of canboatjs: 281.65 K outside.
        (
            "2025-12-30T20:41:29.053Z,2,130316,103,255,8,ff,65,01,32,4c,04,ff,ff",
            datetime(2025, 12, 30, 20, 41, 29, 53000, UTC),
            {"outside_temperature_101": (8.5, "°C")},
        ),
        # By hand, from the published definitions: 0x2198 = 8600 quarter turns = 2150 rpm.
        (
            "(1502979132.106111) can0 09F20010#0098210C0000FFFF",
            datetime(2017, 8, 17, 14, 12, 12, 106111, UTC),
            {"engine_0_speed": (2150, "rpm")},
        ),
        # By hand: fluid 0 is fuel, tank 1 (0x01); 0x30D4 = 12500 of 250 a per cent = 50 %.
        (
            "2026-06-04-15:42:01.000,6,127505,23,255,8,01,d4,30,e8,03,00,00,ff",
            datetime(2026, 6, 4, 15, 42, 1, 0, UTC),
            {"fuel_1_level": (50, "%")},
        ),
        # By hand: source 0 is the sea; 0x7360 = 29536 hundredths of a kelvin = 22.21 °C.
        (
            "2026-06-04-15:42:01.000,5,130312,23,255,8,01,00,00,60,73,ff,ff,ff",
            datetime(2026, 6, 4, 15, 42, 1, 0, UTC),
            {"sea_temperature_0": (22.21, "°C")},
        ),
        # The same revolutions from a gateway that tells the time of day alone: when it came counts.
        (
            "17:33:21.107 R 09F20010 00 98 21 0C 00 00 FF FF",
            None,
            {"engine_0_speed": (2150, "rpm")},
        ),
    ],
)
def test_nmea_2000(line: str, at: datetime | None, told: dict[str, tuple[float, str]]) -> None:
    assert values(line) == told
    assert {one.at for one in hear(line)} == {at}


def test_an_engine_s_own_warning_is_heard() -> None:
    # From the tests of canboatjs: "Over Temperature", "Low Oil Pressure".
    (warned,) = (
        one
        for one in hear(
            "2023-04-01T17:24:51.634Z,2,127489,16,255,26,00,2f,06,ff,ff,e3,73,66,05,ff,7f,58,02,00,"
            "00,ff,ff,ff,ff,ff,06,00,00,00,7f,7f"
        )
        if isinstance(one, Warned)
    )
    assert (warned.point, warned.words) == ("engine_0", "Over Temperature, Low Oil Pressure")


def test_a_long_message_comes_in_several_frames() -> None:
    # The 26 bytes above in four frames, as ISO fast packets are numbered: 0x40 with the length,
    # then 0x41, 0x42, 0x43.
    frames = ("401A002F06FFFFE3", "417366 05FF7F5802", "420000FFFFFFFFFF", "43060000007F7FFF")
    lines = [f"(1680369891.634000) can0 09F20110#{one.replace(' ', '')}" for one in frames]
    ear = Ear()
    assert [len(ear.hear(line)) for line in lines] == [0, 0, 0, 4]


def test_a_message_that_lost_a_frame_is_counted() -> None:
    # The same four frames; the third of the first message never came.
    frames = ("401A002F06FFFFE3", "41736605FF7F5802", "420000FFFFFFFFFF", "43060000007F7FFF")
    lines = [f"(1680369891.634000) can0 09F20110#{one}" for one in frames]
    heard = Listening(every_s=0)
    told = [one for line in (*lines[:2], lines[3], *lines) for one in heard.hear(line, None)]
    assert (heard.lines, heard.wrong) == (7, 1)
    assert heard.wrong_first[0].startswith("Line 4 does not count: NMEA 2000: a frame before it")
    assert len(told) == 5  # what is wrong with line 4, and the four of the second message


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ("head_port", "tells nothing"),
        ("head_port 64.5", "no number with its unit"),
        ("head_port warm C", "no number with its unit"),
        ("head_port 64.5 kg", "no number with its unit"),
        ("head_port 1,234 C", "is that"),
        ("head_port 2000 C", "-60 to 1300 °C. Look at its wires"),
        ("head:port/x 20 C", "no name of a point"),
        ("2031-05-06T09:30:00 head_port 64.5 C", "names no offset"),
        ("2031-13-06T09:30:00Z head_port 64.5 C", "month"),
        ("2017-04-15T14:57:58.473Z,6,127508,17,255,8,zz", "can't be decoded"),
        ("x" * 1001, "1001 letters"),
    ],
)
def test_what_is_wrong_is_said(line: str, told: str) -> None:
    with pytest.raises(ValueError, match=told):
        hear(line)


def test_one_bad_value_does_not_lose_the_others_of_its_sentence() -> None:
    # $IIXDR,C,9999,C,a,C,20,C,b: the checksum by the XOR of its letters.
    heard = hear("$IIXDR,C,9999,C,a,C,20,C,b*4F")
    assert isinstance(heard[0], Wrong)
    assert heard[1:] == [Reading(None, "b", 20, "°C")]


KINDS = (
    "head_port 64.5 C",
    "$INMTW,17.9,C*1B",
    "$IIXDR,P,1.02481,B,Barometer*29",
    "(1502979132.106111) can0 09F20010#0098210C0000FFFF",
    "2015-01-15-16:14:00.409,6,127508,176,255,8,00,77,05,98,ff,f0,6d,12",
    "17:33:21.107 R 09F20010 00 98 21 0C 00 00 FF FF",
)


@given(st.lists(st.text(max_size=60)), st.data())
def test_garbage_never_ends_it_and_never_loses_a_good_line(
    garbage: list[str], data: st.DataObject
) -> None:
    listening = Listening(every_s=0)
    for line in garbage:
        [*listening.hear(line, MORNING)]
    for good in KINDS:
        at = data.draw(st.integers(0, len(good) - 1))
        broken = good[:at] + data.draw(st.text(max_size=5)) + good[at + 1 :]
        [*listening.hear(broken, MORNING)]
    heard = [*listening.hear("head_port 64.5 C", datetime(2999, 1, 1, tzinfo=UTC))]
    assert [one.value for one in heard if isinstance(one, Reading)] == [64.5]


@given(
    st.floats(-60, 1300),
    st.datetimes(datetime(2000, 1, 1), datetime(2100, 1, 1), timezones=st.just(EAST)),  # noqa: DTZ001
)
def test_what_is_kept_is_heard_again_as_it_was(value: float, at: datetime) -> None:
    at = at.replace(microsecond=at.microsecond // 1000 * 1000)
    one = reading(at, "head_port", value, "°C")
    assert hear(line_of(one)) == [one]
