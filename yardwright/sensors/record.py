"""A recording is plain lines, as a logger writes them; what it says can be heard again."""

import gzip
from collections.abc import Iterator
from pathlib import Path
from typing import TextIO, cast

from yardwright.sensors.reading import Heard, Reading, Start, Stopped, Warned, Water, Wrong


def line_of(one: Heard) -> str:
    """What was heard as a line; empty for what is not kept.

    Parameters
    ----------
    one : Reading, Start, Stopped, Water, Warned or Wrong
        With its time.

    Returns
    -------
    str
        Such as ``2031-05-06T09:30:00-04:00 head_port 64.5 °C``.
    """
    words = ""
    match one:
        case Reading():
            words = f"{one.point} {one.value:.10g} {one.unit}"
        case Start():
            words = "start"
        case Stopped():
            words = "stopped"
        case Water():
            words = f"water {'yes' if one.coming_out else 'no'}"
        case Warned():
            words = f"{one.point} warns: {one.words}"
        case Wrong():
            pass
    if one.at is None or not words:
        return ""
    spec = "milliseconds" if one.at.microsecond else "seconds"
    return f"{one.at.isoformat(timespec=spec)} {words}"


def new(path: Path) -> TextIO:
    """A file to record to; ``.gz`` is packed.

    Parameters
    ----------
    path : Path
        Must not be there yet.

    Returns
    -------
    file
        Open for writing.

    Raises
    ------
    ValueError
        It is there already, or can't be made.
    """
    try:
        if path.suffix == ".gz":
            return cast("TextIO", gzip.open(path, "xt", encoding="utf-8"))
        return path.open("x", encoding="utf-8")
    except FileExistsError:
        raise ValueError(f"{path} is there already; name another file.") from None
    except OSError as wrong:
        raise ValueError(f"{path} can't be written: {wrong.strerror}.") from wrong


def lines_in(path: Path) -> Iterator[str]:
    """The lines of a file, packed or not, up to where it breaks off.

    Parameters
    ----------
    path : Path
        A recording or the log of a sensor.

    Yields
    ------
    str
        One line, however its letters are broken.

    Raises
    ------
    ValueError
        There is no such file, or it is no text and not packed as ``.gz`` is.
    """
    opened = gzip.open if path.suffix == ".gz" else open
    try:
        with opened(path, "rt", encoding="utf-8", errors="replace") as file:
            yield from file
    except EOFError:  # the power failed while it was written: what is there counts
        return
    except gzip.BadGzipFile as wrong:
        raise ValueError(f"{path} is not packed as .gz is: {wrong}.") from wrong
    except OSError as wrong:
        raise ValueError(f"{path} can't be read: {wrong.strerror}.") from wrong
