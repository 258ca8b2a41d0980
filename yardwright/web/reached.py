"""By what names and how a yard is served: plain, by its own authority, or by a given certificate."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from yardwright.web.authority import Certificate, server_certificate, spoken_for
from yardwright.yard.refused import Refused

ALWAYS = ("localhost", "127.0.0.1")


@dataclass(frozen=True, slots=True)
class Reached:
    """``names`` are what phones type; ``given`` a certificate with its key, as files."""

    on: str
    port: int
    names: tuple[str, ...]
    own_authority: bool
    given: tuple[Path, Path] | None

    def __post_init__(self) -> None:
        if self.secure and not self.names:
            raise Refused(
                "https is for a name, and none was given.",
                "Say what phones will type: --name heron.local, or --name 192.168.1.20.",
            )
        for name in self.names if self.own_authority else ():
            spoken_for(name)
        for file in self.given or ():
            if not file.is_file():
                raise Refused(f"{file} is not there.", "Name the certificate's and its key's file.")

    @property
    def secure(self) -> bool:
        return self.own_authority or self.given is not None

    @property
    def address(self) -> str:
        scheme = "https" if self.secure else "http"
        return f"{scheme}://{self.names[0] if self.names else self.on}:{self.port}/"

    @property
    def gives_authority_at(self) -> str:
        """Where a phone fetches the authority, by plain http, since it trusts no other yet."""
        return f"http://{self.names[0]}:{self.port + 1}/" if self.own_authority else ""

    def environment(self) -> dict[str, str]:
        """What the settings read, in this process and in the server's."""
        told = {}
        if self.names:
            told["YARDWRIGHT_HOSTS"] = ",".join(dict.fromkeys([*self.names, *ALWAYS]))
        if self.secure:
            told["YARDWRIGHT_HTTPS"] = "1"
        if self.own_authority:
            told["YARDWRIGHT_GIVES_AUTHORITY_AT"] = self.gives_authority_at
        return told

    def certificate(self, home: Path) -> Certificate | None:
        """None for plain http."""
        if self.own_authority:
            return server_certificate(home, self.names, datetime.now(UTC))
        return Certificate(*self.given) if self.given else None

    @contextmanager
    def giving_authority(self, home: Path) -> Iterator[None]:
        """Hand the authority to phones as long as the yard is served."""
        if not self.own_authority:
            yield
            return
        from yardwright.web.phones import give_authority

        giver = give_authority(home, self.on, self.port + 1, self.address)
        try:
            yield
        finally:
            giver.shutdown()
            giver.server_close()
