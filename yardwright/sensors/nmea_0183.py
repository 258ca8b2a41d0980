"""Sentences of NMEA 0183: transducers (XDR), revolutions (RPM) and water temperature (MTW)."""

import re
from collections.abc import Iterator, Sequence
from datetime import datetime
from typing import Protocol, cast

from yardwright.sensors.library import library
from yardwright.sensors.reading import Reading, Wrong, one_of_several, reading

OURS = re.compile(r"\$[A-Z]{2}(XDR|RPM|MTW),")
ENDS = re.compile(r"\*[0-9A-Fa-f]{2}$")
# Type of transducer and unit as the standard writes them -> our unit, and by how much
XDR = {
    ("C", "C"): ("°C", 1.0, 0.0),
    ("C", "K"): ("°C", 1.0, -273.15),
    ("P", "B"): ("kPa", 100.0, 0.0),
    ("P", "P"): ("kPa", 0.001, 0.0),
    ("R", "l"): ("L/min", 60.0, 0.0),
    ("T", "R"): ("rpm", 1.0, 0.0),
    ("U", "V"): ("V", 1.0, 0.0),
    ("I", "A"): ("A", 1.0, 0.0),
    ("E", "P"): ("%", 1.0, 0.0),
    ("V", "P"): ("%", 1.0, 0.0),
}


class Sentence(Protocol):
    """What the library makes of a sentence."""

    msgID: str  # noqa: N815  # the library's name
    payload: list[str]


def hear(at: datetime | None, line: str) -> Sequence[Reading | Wrong]:
    """What a sentence tells; others than the three tell nothing here.

    Parameters
    ----------
    at : datetime or None
        When the line came; the sentences have no time.
    line : str
        From its ``$`` on.

    Returns
    -------
    sequence of Reading or Wrong
        Points are named as the transducer is; water and engines by what they are.

    Raises
    ------
    ValueError
        The checksum is missing or wrong, or what it says is no reading.
    """
    if not ENDS.search(line):
        raise ValueError("a sentence without its checksum; have the sender add it.")
    one = _parsed(line)
    if not OURS.match(line):
        return ()
    kind = {"XDR": _transducers, "RPM": _revolutions, "MTW": _water}[one.msgID]
    return tuple(kind(at, one.payload))


def _parsed(line: str) -> Sentence:
    pynmeagps = library("pynmeagps")
    try:
        return cast("Sentence", pynmeagps.NMEAReader.parse(line, validate=pynmeagps.VALCKSUM))
    except (pynmeagps.NMEAParseError, pynmeagps.NMEAMessageError, pynmeagps.NMEATypeError) as wrong:
        raise ValueError(f"{line[:6]}: {wrong}") from wrong


def _transducers(at: datetime | None, words: Sequence[str]) -> Iterator[Reading | Wrong]:
    for kind, value, unit, name in zip(*(iter(words),) * 4, strict=False):
        if (kind, unit) in XDR and value:
            ours, factor, more = XDR[kind, unit]
            yield one_of_several(at, _named(name), _number(value) * factor + more, ours)


def _revolutions(at: datetime | None, words: Sequence[str]) -> Iterator[Reading]:
    source, number, speed, _, valid = words[:5]
    if valid == "A" and speed:
        kind = {"E": "engine", "S": "shaft"}.get(source, source)
        yield reading(at, f"{kind}_{number}_speed", _number(speed), "rpm")


def _water(at: datetime | None, words: Sequence[str]) -> Iterator[Reading]:
    if words[0]:
        yield reading(at, "water_temperature", _number(words[0]), "°C")


def _named(name: str) -> str:
    return re.sub(r"[^\w.:-]", "_", name) or "transducer"


def _number(word: str) -> float:
    try:
        return float(word)
    except ValueError:
        raise ValueError(f"{word[:20]!r} is no number.") from None
