"""Where lines come from as they are made: a serial cable, or the yard's network."""

import socket
from collections.abc import Iterator

from yardwright.sensors.library import library

WAIT_S = 10.0
LONGEST = 4096  # bytes without the end of a line: that is no text, and is let go as a bad line


def serial(port: str, baud: int) -> Iterator[str]:
    """Lines from a serial cable.

    Parameters
    ----------
    port : str
        Such as ``/dev/ttyUSB0`` or ``COM3``.
    baud : int
        Signs a second: 4800 for NMEA 0183, often.

    Yields
    ------
    str
        One line.

    Raises
    ------
    ValueError
        The port can't be opened, or broke off; or the library is missing.
    """
    pyserial = library("serial")
    try:
        with pyserial.serial_for_url(port, baudrate=baud, timeout=None) as cable:
            while piece := cable.read_until(b"\n", LONGEST):
                yield piece.decode("utf-8", "replace")
    except pyserial.SerialException as wrong:
        raise ValueError(f"{port}: {wrong}") from wrong


def tcp(host: str, port: int) -> Iterator[str]:
    """Lines from a gateway to which we connect, until it hangs up.

    Parameters
    ----------
    host, port : str, int
        Where it answers.

    Yields
    ------
    str
        One line.

    Raises
    ------
    ValueError
        Nobody answers there, or the connection broke off.
    """
    try:
        with socket.create_connection((host, port), WAIT_S) as made:
            made.settimeout(None)
            with made.makefile("rb") as read:
                while piece := read.readline(LONGEST):
                    yield piece.decode("utf-8", "replace")
    except OSError as wrong:
        raise ValueError(f"{host}:{port}: {wrong.strerror or wrong}.") from wrong


def udp(host: str, port: int) -> Iterator[str]:
    """Lines that are sent to us; ends never.

    Parameters
    ----------
    host, port : str, int
        Where we listen; an empty host is each of this machine's.

    Yields
    ------
    str
        One line.

    Raises
    ------
    ValueError
        We can't listen there.
    """
    try:
        with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as ours:
            ours.bind((host, port))
            while True:
                yield from ours.recv(65536).decode("utf-8", "replace").splitlines()
    except OSError as wrong:
        raise ValueError(f"{host}:{port}: {wrong.strerror or wrong}.") from wrong
