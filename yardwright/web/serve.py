"""Start the yard: migrate after a copy was kept, ask what the first run needs, then serve."""

import os
import subprocess
import sys
from collections.abc import Callable
from datetime import date, datetime
from difflib import get_close_matches
from pathlib import Path
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo, available_timezones

from yardwright.tides.sill import WEATHER_MARGIN_M
from yardwright.web import home as folder
from yardwright.yard.refused import Refused

if TYPE_CHECKING:
    from yardwright.web.authority import Certificate
    from yardwright.web.reached import Reached

Ask = Callable[[str], str]
SLING_BIGHT_M = 0.10  # a first guess; the yard measures its own


def open_home(home: Path, *, demo: bool | None = False, reached: "Reached | None" = None) -> None:
    """Set Django up on a yard's folder: its key, its database brought up to date.

    ``reached`` says by what names and how it will be served. ``demo`` None takes either kind of yard: to read it, not to serve it.

    Raises
    ------
    Refused
        The demo yard in a real yard's place, or the other way round.
    """
    os.umask(0o077)  # owners and their phones: what is made here is read by nobody else
    folder.make_key(home)
    os.environ["YARDWRIGHT_HOME"] = str(home)
    os.environ["YARDWRIGHT_SERVES"] = "1"
    if reached is not None:
        os.environ.update(reached.environment())
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "yardwright.web.settings")
    import django

    django.setup()
    _migrate(home)
    from yardwright.yard.models import Yard

    yard = Yard.objects.first()
    if yard is not None and demo is not None and yard.is_demo != demo:
        if demo:
            raise Refused(f"{home} holds a real yard.", "Make the demo in another folder: --home.")
        raise Refused(
            f"{home} holds the demo yard, whose log-ins everybody knows.",
            "Start serve in another, empty folder.",
        )


def _migrate(home: Path) -> None:
    """Keep a copy first, if there is anything to bring up to date."""
    from django.core.management import call_command
    from django.db import connection
    from django.db.migrations.executor import MigrationExecutor

    executor = MigrationExecutor(connection)
    ahead = executor.migration_plan(executor.loader.graph.leaf_nodes())
    if not ahead:
        return
    if executor.loader.applied_migrations:
        folder.keep(home, "before-migration")
    call_command("migrate", verbosity=0)


def ask_what_is_missing(ask: Ask, ask_secret: Ask) -> None:
    """On the first run the yard itself; after a season file came in, its manager's log-in."""
    from django.contrib.auth.models import User

    from yardwright.yard.models import Yard

    if not Yard.objects.exists():
        first_run(ask, ask_secret)
    elif not User.objects.exists():
        _make_manager(*_manager(ask, ask_secret))


def first_run(ask: Ask, ask_secret: Ask) -> None:
    """Ask once for what a yard can't start without; a bad answer is asked again, with why.

    Where there is a yard already nothing is asked.
    """
    from django.db import transaction

    from yardwright.yard.models import Yard

    if Yard.objects.exists():
        return
    name = _until(ask, "The yard's name: ", _words(80))
    zone = _until(ask, "Its time zone (such as America/New_York): ", _zone)
    datum = _until(ask, "Chart datum of its waters (such as MLLW or LAT): ", _words(12))
    manager, secret = _manager(ask, ask_secret)
    today = datetime.now(ZoneInfo(zone)).date()
    with transaction.atomic():
        Yard.objects.create(
            name=name,
            zone=zone,
            first_day=date(today.year, 1, 1),
            last_day=date(today.year, 12, 31),
            sling_bight_m=SLING_BIGHT_M,
            margin_m=WEATHER_MARGIN_M,
            datum=datum,
        )
        _make_manager(manager, secret)


def _manager(ask: Ask, ask_secret: Ask) -> tuple[str, str]:
    manager = _until(ask, "The manager's name: ", _words(80))
    return manager, _until(ask_secret, "The manager's password: ", _password)


def _make_manager(name: str, secret: str) -> None:
    """Somebody who may do everything; a person of that name in the season file becomes it."""
    from django.contrib.auth.models import User
    from django.db import transaction

    from yardwright.season.model import Right
    from yardwright.yard.models import Person

    with transaction.atomic():
        user = User.objects.create_user(name, password=secret)
        Person.objects.update_or_create(
            name=name,
            defaults={"user": user, "rights": [*Right], "works_here": True},
            create_defaults={"user": user, "rights": [*Right], "weekdays": [0, 1, 2, 3, 4]},
        )


def _until(ask: Ask, question: str, read: Callable[[str], str]) -> str:
    while True:
        try:
            return read(ask(question))
        except ValueError as error:
            sys.stderr.write(f"{error}\n")


def _words(most: int) -> Callable[[str], str]:
    def read(text: str) -> str:
        words = " ".join(text.split())
        if not words:
            raise ValueError("That was empty; type it, then Enter.")
        if len(words) > most:
            raise ValueError(f"That has {len(words)} letters; give at most {most}.")
        return words

    return read


def _zone(text: str) -> str:
    if text.strip() not in available_timezones():
        near = get_close_matches(text.strip(), available_timezones(), n=3)
        raise ValueError(f"No zone {text!r}. Near it: {', '.join(near) or 'America/New_York'}.")
    return text.strip()


def _password(text: str) -> str:
    from django.contrib.auth.password_validation import validate_password
    from django.core.exceptions import ValidationError

    try:
        validate_password(text)
    except ValidationError as error:
        raise ValueError(" ".join(error.messages)) from error
    return text


def serve(address: str, port: int, certificate: "Certificate | None" = None) -> None:
    """Serve until stopped, with the worker for long work beside it; by https with a certificate."""
    from granian import Granian
    from granian.constants import Interfaces
    from granian.log import LogLevels

    with subprocess.Popen(
        [sys.executable, "-m", "yardwright.launch.worker"],
        stdin=subprocess.PIPE,
        process_group=0,  # Ctrl-C is the server's, also while the worker starts
    ) as worker:
        try:
            Granian(
                "yardwright.web.wsgi:application",
                address=address,
                port=port,
                interface=Interfaces.WSGI,
                workers=1,  # one process writes the log
                blocking_threads=8,
                workers_kill_timeout=5,  # stopped while it starts, it would be waited for for ever
                log_level=LogLevels.error,  # it would warn that 8 threads are many
                ssl_cert=certificate.certificate if certificate else None,
                ssl_key=certificate.key if certificate else None,
            ).serve()
        finally:
            worker.terminate()
