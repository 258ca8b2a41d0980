"""What each sensor at a boat last said, in the yard's folder: `listen` writes it, her page asks."""

import json
import os
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from yardwright.sensors.reading import Reading

HEARD = "heard"


@dataclass(frozen=True, slots=True)
class Latest:
    """The newest temperature of each point, as ``(°C, when it came)``."""

    home: Path
    tag: str

    @property
    def path(self) -> Path:
        """Her file."""
        return self.home / HEARD / f"{self.tag.upper()}.json"

    def put(self, one: Reading, now: datetime) -> None:
        """A temperature in place of the point's last; whoever reads meanwhile sees the old or new.

        Parameters
        ----------
        one : Reading
            What is no temperature is left out.
        now : datetime
            When it came, by the clock of this machine.
        """
        if one.unit != "°C":
            return
        told = self.all() | {one.point.casefold(): (one.value, now)}
        self.path.parent.mkdir(mode=0o700, exist_ok=True)
        beside = self.path.with_suffix(f".{os.getpid()}")  # another listener writes its own
        plain = {point: [temp_c, at.isoformat()] for point, (temp_c, at) in told.items()}
        beside.write_text(json.dumps(plain), encoding="utf-8")
        beside.replace(self.path)

    def all(self) -> dict[str, tuple[float, datetime]]:
        """By point; empty where nobody listens at her.

        Returns
        -------
        dict of str to (float, datetime)
            Also what is long past: whoever asks looks how old it is.
        """
        try:
            plain = json.loads(self.path.read_text(encoding="utf-8"))
        except FileNotFoundError:
            return {}
        return {
            point: (temp_c, datetime.fromisoformat(at)) for point, (temp_c, at) in plain.items()
        }
