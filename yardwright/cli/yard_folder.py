"""Commands on a yard's folder: serve it, keep copies, take it out as a file or in from one.

Django is set up by these alone, on the folder they are given.
"""

import argparse
import socket
import sys
from collections.abc import Mapping, Sequence
from contextlib import closing, suppress
from datetime import UTC, datetime
from errno import EADDRINUSE
from getpass import getpass
from pathlib import Path
from typing import TYPE_CHECKING

from yardwright.calc.counting import count
from yardwright.cli.answers import YES, Add, tell
from yardwright.yard.refused import Refused

if TYPE_CHECKING:
    from yardwright.season.model import Season
    from yardwright.web.authority import Certificate
    from yardwright.web.reached import Reached

HERE, PORT = "127.0.0.1", 8000


def demo(args: argparse.Namespace) -> int:
    """Make the demo yard Heron Slip, plan its spring and serve it; a second time, serve it again."""
    from yardwright.web import home as folder
    from yardwright.web import serve as web

    home = args.home.resolve()
    if not args.no_serve:
        _need_free(args.port)
    if home.is_dir() and any(home.iterdir()) and not (home / folder.DATABASE).exists():
        raise Refused(f"{home} is not empty.", "Make the demo in an empty folder: --home.")
    web.open_home(home, demo=True)
    from yardwright.demo import opening
    from yardwright.work.queries import last_published
    from yardwright.yard.models import Yard

    if not Yard.objects.exists():
        _say("Making Heron Slip, an invented yard of sixty boats …")
        opening.load()
    if last_published() is None:
        _say(f"Planning its spring, {opening.PLAN_S:g} seconds …")
        opening.plan_and_publish()
    found = {
        "home": str(home),
        "address": None if args.no_serve else _address(HERE, args.port),
        "log_ins": [*opening.LOG_INS],
        "password": opening.PASSWORD,
    }
    lines = [f"Heron Slip is in {home}.", opening.log_ins()]
    if args.no_serve:
        tell(args, found, lines)
        return YES
    _serve(args, None, found, [*lines, _served(_address(HERE, args.port))])
    return YES


def serve(args: argparse.Namespace) -> int:
    """Serve the yard in a folder; in an empty one, ask first for what a yard can't start without."""
    from yardwright.web import serve as web

    home = args.home.resolve()
    ports = [args.port, args.port + 1] if args.https else [args.port]
    for port in ports:
        _need_free(port, args.address)
    reached = _reached(args)
    web.open_home(home, reached=reached)
    try:
        web.ask_what_is_missing(input, getpass)
    except EOFError:
        raise ValueError(
            "The first run asks for the yard's name and its manager's password; "
            "start it where someone can type."
        ) from None
    certificate = reached.certificate(home)
    found = {"home": str(home), "address": reached.address}
    lines = [_served(reached.address)]
    if reached.gives_authority_at:
        found["authority"] = reached.gives_authority_at
        lines.append(f"Once on each phone: {reached.gives_authority_at}")
    with reached.giving_authority(home):
        _serve(args, certificate, found, lines)
    return YES


def _reached(args: argparse.Namespace) -> "Reached":
    from yardwright.web.reached import Reached

    if bool(args.certificate) != bool(args.key):
        raise Refused("A certificate comes with its key.", "Give both: --certificate and --key.")
    if args.https and args.certificate:
        raise Refused(
            "Two certificates, the yard's own and the one given.", "Leave out one of them."
        )
    given = (args.certificate.resolve(), args.key.resolve()) if args.certificate else None
    return Reached(args.address, args.port, tuple(args.name), own_authority=args.https, given=given)


def keep(args: argparse.Namespace) -> int:
    """Keep a whole copy of the yard's database and of its photos, also while it is served."""
    from yardwright.web import home as folder
    from yardwright.web.photo_folder import copy_missing

    home = args.home.resolve()
    copy = folder.keep(home)
    photos, damaged = copy_missing(home, copy.parent)
    found = {"kept": str(copy), "photos": photos, "damaged": [*map(str, damaged)]}
    tell(args, found, [f"Kept: {copy}", *_photos(photos, "kept beside it"), *_damaged(damaged)])
    return YES


def bring_back(args: argparse.Namespace) -> int:
    """Put a kept copy in the database's place, with its photos; what stood there is kept first."""
    from yardwright.web import home as folder
    from yardwright.web.photo_folder import copy_missing

    home = args.home.resolve()
    before = folder.bring_back(home, args.copy.resolve())
    photos, damaged = copy_missing(args.copy.resolve().parent, home)
    lines = [f"Brought back: {args.copy}", f"What stood there before: {before}"]
    found = {"brought_back": str(args.copy), "before": str(before), "photos": photos}
    tell(
        args,
        found | {"damaged": [*map(str, damaged)]},
        [*lines, *_photos(photos, "brought back"), *_damaged(damaged)],
    )
    return YES


def _photos(copied: int, done: str) -> list[str]:
    return [f"{count(copied, 'photo')} {done}."] if copied else []


def _damaged(photos: Sequence[Path]) -> list[str]:
    return [f"Damaged, and left where it is: {photo}" for photo in photos]


def export(args: argparse.Namespace) -> int:
    """Write the yard as it stands now into a season file."""
    from yardwright.season.write import write
    from yardwright.web import home as folder
    from yardwright.web import serve as web

    if args.season.exists():
        raise Refused(f"{args.season} is there already.", "Name a new file.")
    if not (args.home / folder.DATABASE).exists():
        raise Refused(f"No yard in {args.home.resolve()}.", "Name the folder with --home.")
    web.open_home(args.home.resolve(), demo=None)
    from yardwright.work.exchange import the_season

    season = the_season()
    args.season.write_text(write(season), encoding="utf-8")
    found = {"season": str(args.season), "boats": len(season.boats)}
    tell(args, found, [f"{_boats(season)} written to {args.season}."])
    return YES


def import_(args: argparse.Namespace) -> int:
    """Fill an empty yard from a season file."""
    from yardwright.season.read import read_file
    from yardwright.web import serve as web

    season = read_file(args.season, datetime.now(UTC))
    by = args.by or _bringer(season)
    web.open_home(args.home.resolve())
    from yardwright.work.exchange import take_in

    take_in(season, by)
    home = args.home.resolve()
    lines = [
        f"{season.yard.name} is in {home}: {_boats(season)}, brought by {by}.",
        f"Next: yardwright serve --home {args.home}",
    ]
    tell(args, {"home": str(home), "boats": len(season.boats), "by": by}, lines)
    return YES


def _bringer(season: "Season") -> str:
    """Whoever may ink, else the first person in the file."""
    from yardwright.season.model import Right

    may = [person.name for person in season.people if Right.INK in person.rights]
    names = [*may, *(person.name for person in season.people)]
    if not names:
        raise ValueError("Nobody works in this yard; say with --by who brings the file.")
    return names[0]


def _boats(season: "Season") -> str:
    return count(len(season.boats), "boat")


def _address(address: str, port: int) -> str:
    return f"http://{address}:{port}/"


def _served(address: str) -> str:
    return f"Open {address} (Ctrl-C stops the server)."


def _say(line: str) -> None:
    """What takes a while is said on the side."""
    print(line, file=sys.stderr, flush=True)


def _need_free(port: int, address: str = HERE) -> None:
    with closing(socket.socket()) as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((address, port))
        except OSError as error:
            why = error.strerror
            if error.errno == EADDRINUSE:
                why = "something is served there already, such as another yard"
            raise Refused(
                f"Port {port} on {address} can't be had: {why}.",
                f"Give another: --port {port + 1}.",
            ) from error


def _serve(
    args: argparse.Namespace,
    certificate: "Certificate | None",
    found: Mapping[str, object],
    lines: Sequence[str],
) -> None:
    """Say where, then serve; from the first word on, Ctrl-C is how it is stopped.

    The port is asked for again: two yards made side by side would answer on it by turns.
    """
    from yardwright.web import serve as web

    address = getattr(args, "address", HERE)
    _need_free(args.port, address)
    with suppress(KeyboardInterrupt):
        tell(args, found, lines)
        web.serve(address, args.port, certificate)


def a_port(typed: str) -> int:
    """A port that a person may open."""
    if not typed.isascii() or not typed.isdigit() or not 1024 <= int(typed) <= 65535:
        raise argparse.ArgumentTypeError(f"{typed!r} is no port; give 1024 to 65535")
    return int(typed)


def add_commands(add: Add) -> None:
    """Say what each command takes."""
    subs = {command: add(command) for command in (demo, serve, keep, bring_back, export, import_)}
    for command, sub in subs.items():
        default = Path("heron-slip") if command is demo else Path()
        sub.add_argument(
            "--home", type=Path, default=default, metavar="DIR", help=f"the folder; {default}"
        )
    for command in (demo, serve):
        subs[command].add_argument("--port", type=a_port, default=PORT, help=f"{PORT}")
    subs[demo].add_argument("--no-serve", action="store_true", help="make it, but don't serve it")
    subs[serve].add_argument(
        "--address", default=HERE, help=f"{HERE}: this machine alone; 0.0.0.0: the yard's network"
    )
    subs[serve].add_argument(
        "--name", action="append", default=[], help="what phones type to reach it; may be repeated"
    )
    subs[serve].add_argument(
        "--https", action="store_true", help="by a certificate of the yard's own authority"
    )
    subs[serve].add_argument("--certificate", type=Path, help="https by one given to the name")
    subs[serve].add_argument("--key", type=Path, help="its key")
    subs[bring_back].add_argument("copy", type=Path, metavar="COPY", help="one from kept/")
    for command in (export, import_):
        subs[command].add_argument("season", type=Path, metavar="SEASON.toml")
    subs[import_].add_argument("--by", default="", help="who brings it; else the first who may ink")
