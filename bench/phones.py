"""200 phones with 50 entries each, over a link that loses a fifth, to a server killed five times."""

import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

from tests.web.storm import Storm, rage, yard

FULL = Storm(phones=200, entries=50, kills=5)


def phones() -> Iterator[str]:
    with tempfile.TemporaryDirectory() as scratch:
        yield f"phones: filling {FULL.phones} boats into a scratch yard …"
        with yard(Path(scratch) / "yard", boats=FULL.phones) as served:
            start = time.monotonic()
            told = rage(FULL, served)
            took_min = (time.monotonic() - start) / 60
    yield f"{len(told.acknowledged)} entries acknowledged, each held once, in {took_min:.1f} min"
    yield ", ".join(f"{count} {what}" for what, count in sorted(told.count.items()))
    yield from told.wrong or ["nothing lost, nothing twice"]
