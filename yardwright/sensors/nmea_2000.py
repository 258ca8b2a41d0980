"""Messages of NMEA 2000: engine, battery, fluid level, temperature, from text logs and gateways."""

import logging
import re
from collections.abc import Iterator, Sequence
from datetime import UTC, datetime
from typing import Any

from yardwright.sensors.library import library
from yardwright.sensors.reading import Reading, Warned, Wrong, one_of_several

FRAMES = re.compile(
    r"\(\d+\.\d+\) \w+ [0-9A-Fa-f]{8}#.*"  # a candump log
    r"|\d{4}-\d\d-\d\d[T-][\d:.]+Z?,\d,\d+,.*"  # comma separated, one message or frame a line
    r"|\d\d:\d\d:\d\d\.\d+ [RT] [0-9A-Fa-f]{8} .*"  # a gateway's raw frames: time of day alone
)
# A frame of 127489, which alone of the six needs several: its sender, its place in the message
PART = re.compile(r"\b[0-9A-F]{2}F201([0-9A-F]{2})[# ]([0-9A-F]{2})", re.IGNORECASE)
DATED = re.compile(r"\(|\d{4}-")
SENTENCES = ("$PCDIN,", "$MXPGN,", "!PDGY,")  # NMEA 2000 within a sentence
INTO = {  # the library's unit -> ours, by how much, and what more
    "K": ("°C", 1.0, -273.15),
    "Pa": ("kPa", 0.001, 0.0),
    "V": ("V", 1.0, 0.0),
    "A": ("A", 1.0, 0.0),
    "L/h": ("L/min", 1 / 60, 0.0),
    "%": ("%", 1.0, 0.0),
    "rpm": ("rpm", 1.0, 0.0),
}
# Message -> what its readings are named after, and its fields with their names here
TOLD = {
    127488: ("engine_{instance}", {"speed": "speed"}),
    127489: (
        "engine_{instance}",
        {
            "temperature": "temperature",
            "oilTemperature": "oil_temperature",
            "oilPressure": "oil_pressure",
            "coolantPressure": "coolant_pressure",
            "fuelPressure": "fuel_pressure",
            "alternatorPotential": "alternator",
            "fuelRate": "fuel_rate",
        },
    ),
    127508: (
        "battery_{instance}",
        {"voltage": "voltage", "current": "current", "temperature": "temperature"},
    ),
    127505: ("{type}_{instance}", {"level": "level"}),
    130312: ("{source}_{instance}", {"actualTemperature": ""}),
    130316: ("{source}_{instance}", {"temperature": ""}),
}


WARNS = ("discreteStatus1", "discreteStatus2")  # an engine's own lamps


def is_nmea_2000(line: str) -> bool:
    """Whether a line is written as NMEA 2000 is logged.

    Parameters
    ----------
    line : str
        Any line.

    Returns
    -------
    bool
        Whether it is for `Network`.
    """
    return line.startswith(SENTENCES) or FRAMES.fullmatch(line) is not None


class Network:
    """Puts long messages together and tells the six kinds that are read here."""

    def __init__(self) -> None:
        decoder = library("nmea2000.decoder")
        logging.getLogger("nmea2000").setLevel(logging.ERROR)
        self._make = decoder.NMEA2000Decoder
        self._by_form: dict[str, Any] = {}
        self._begun: set[str] = set()  # senders of which a message is still coming
        codec = library("nmea2000._canboat")
        self._wrong = (
            ValueError,
            LookupError,
            OverflowError,
            decoder.InvalidFrameError,
            codec.DecodeError,
        )

    def hear(self, at: datetime | None, line: str) -> Sequence[Reading | Warned | Wrong]:
        """What one line tells; empty while a message is still coming, or is not of the six.

        Parameters
        ----------
        at : datetime or None
            When the line came; a dated log has its own times.
        line : str
            As `is_nmea_2000` says.

        Returns
        -------
        sequence of Reading, Warned or Wrong
            Without the fields that the sender marks as not available.

        Raises
        ------
        ValueError
            The line can't be decoded, or tells what no sensor gives; or the message before it
            never came to its end.
        """
        form = line[:1] if line[:1] in "($!" else "," if "," in line else " "
        if form not in self._by_form:  # the library keeps to the form it saw first
            self._by_form[form] = self._make(include_pgns=[*TOLD])
        try:
            message = self._by_form[form].decode(line)
        except self._wrong as wrong:
            raise ValueError(f"NMEA 2000 that can't be decoded: {wrong}") from wrong
        if self._loses(line, whole=message is not None):
            raise ValueError("NMEA 2000: a frame before it was lost, and its message with it.")
        if message is None:
            return ()
        if DATED.match(line):
            at = message.timestamp.replace(tzinfo=UTC)
        return tuple(_readings(at, message))

    def _loses(self, line: str, *, whole: bool) -> bool:
        """Whether a sender begins anew with its last message unfinished: the library says nothing."""
        part = PART.search(line)
        if part is None:
            return False
        sender, begins = part[1], int(part[2], 16) & 0x1F == 0
        lost = begins and sender in self._begun
        if begins:
            self._begun.add(sender)
        if whole:
            self._begun.discard(sender)
        return lost


def _readings(at: datetime | None, message: Any) -> Iterator[Reading | Warned | Wrong]:  # theirs
    head, fields = TOLD[message.PGN]
    by_id = {one.id: one for one in message.fields}
    named = {
        key: _word(by_id[key].raw_value if key == "instance" else by_id[key].value)
        for key in ("instance", "type", "source")
        if key in by_id
    }
    for key, name in fields.items():
        one = by_id.get(key)
        if one is not None and one.value is not None and one.unit_of_measurement in INTO:
            unit, factor, more = INTO[one.unit_of_measurement]
            point = "_".join(part for part in (head.format(**named), name) if part)
            yield one_of_several(at, point, one.value * factor + more, unit)
    warns = [str(by_id[key].value) for key in WARNS if key in by_id and by_id[key].value]
    if warns:
        yield Warned(at, head.format(**named), ", ".join(warns))


def _word(value: object) -> str:
    return re.sub(r"\W+", "_", str(value).casefold()).strip("_")
