"""A day of a boat's NMEA 2000 network, written from the published definitions of its messages."""

import time
from collections.abc import Iterator
from math import exp, sin
from pathlib import Path
from random import Random
from struct import pack
from tempfile import TemporaryDirectory

from yardwright.procedures.hose_watch import Rules
from yardwright.procedures.water_order import Supply
from yardwright.sensors.record import line_of, lines_in, new
from yardwright.sensors.run import Listening, Run

HOUR_S, DAY_S = 3600, 86400
BEGAN_S = 1_935_840_000
HEAD = "engine_0_temperature"


def listening() -> Iterator[str]:
    """How much faster than it was an hour is decoded and watched, and how big a day's record is."""
    frames = [*network(HOUR_S)]
    run = Run(Rules(Supply.MUFFS, (HEAD,), {HEAD: 70.0}, {HEAD: 95.0}), answers=False)
    heard = Listening(limit_c=run.rules.limit_c)
    list(Listening().hear(frames[0], None))  # the decoder is loaded
    began = time.perf_counter()
    for line in frames:
        for one in heard.hear(line, None):
            run.take(one)
    took_s = time.perf_counter() - began
    watched = run.watch.ended or (run.watch.alarm and run.watch.alarm.why)
    yield (
        f"An hour of NMEA 2000, {len(frames)} frames: decoded and watched in {took_s:.1f} s, "
        f"{HOUR_S / took_s:.0f} times as fast as it was; {heard.wrong} wrong; {watched}."
    )
    with TemporaryDirectory() as folder:
        path = Path(folder) / "day.txt.gz"
        day = Listening()
        with new(path) as file:
            for line in network(DAY_S):
                file.writelines(f"{line_of(one)}\n" for one in day.hear(line, None))
        lines = sum(1 for _ in lines_in(path))
        size = path.stat().st_size
    yield f"A day's recording, {lines} lines of {len(day.seen)} points: {size / 1e6:.2f} MB."


def network(until_s: int) -> Iterator[str]:
    """A candump log at the rates that the definitions give, with noise as of real sensors."""
    random = Random(7)  # noqa: S311  # noise, no secret
    for step in range(until_s * 10):
        at_s = step / 10
        stamp = f"({BEGAN_S + at_s:.6f}) can0"
        warm = 70 - 50 * exp(-at_s / 180)
        rpm = 900 + 20 * sin(at_s / 7) + random.gauss(0, 4)
        yield f"{stamp} 09F20010#{pack('<BHHbH', 0, int(rpm * 4), 0xFFFF, 0x7F, 0xFFFF).hex()}"
        if step % 5 == 0:
            yield from dynamic(stamp, step // 5 % 8, warm + random.gauss(0, 0.3), random)
        if step % 15 == 0:
            volts = pack("<BhhHB", 0, int(1380 + random.gauss(0, 2)), int(random.gauss(85, 5)),
                         int((20 + warm / 10 + 273.15) * 100), 255)  # fmt: skip
            yield f"{stamp} 19F21411#{volts.hex()}"
        if step % 20 == 0:
            sea = pack("<BBBHHB", 255, 0, 0, int((12 + random.gauss(0, 0.05) + 273.15) * 100),
                       0xFFFF, 255)  # fmt: skip
            yield f"{stamp} 15FD0812#{sea.hex()}"
        if step % 25 == 0:
            level = pack("<BhIB", 0, int(12500 - at_s / 10 + random.gauss(0, 40)), 2000, 255)
            yield f"{stamp} 19F21113#{level.hex()}"


def dynamic(stamp: str, number: int, temp_c: float, random: Random) -> Iterator[str]:
    """Engine parameters, dynamic: 26 bytes in four frames."""
    body = pack(
        "<BHHHhhIHHBHHbb",
        0,
        int(3500 + random.gauss(0, 20)),  # oil, hundreds of Pa
        int((temp_c + 8 + 273.15) * 10),
        int((temp_c + 273.15) * 100),
        int(1400 + random.gauss(0, 2)),
        int(45 + random.gauss(0, 1)),
        3_600_000,
        int(900 + random.gauss(0, 5)),
        0xFFFF,
        255,
        0,
        0,
        20,
        30,
    )
    parts = [bytes([26]) + body[:6], body[6:13], body[13:20], body[20:] + b"\xff"]
    for place, part in enumerate(parts):
        yield f"{stamp} 09F20110#{bytes([number << 5 | place]).hex()}{part.hex()}"
