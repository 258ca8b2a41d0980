"""Fill a yard's folder from season files: ``python -m tests.browser.fill HOME SEASON.toml …``.

The first file is the yard; from others come boats, lifts, places and parts. Everybody can log in
with the same password, and is logged in already where a browser has ``session_of`` them as its
cookie; Mara is the manager, with every right.
"""

import sys
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

from yardwright.season.model import Right, Season
from yardwright.season.read import read_file

PASSWORD = "slack-water-7"  # noqa: S105  # of invented people
A_DAY = timedelta(days=1)


def session_of(name: str) -> str:
    return f"{name}-is-logged-in"


def season_of(first: Path, *others: Path) -> Season:
    season = read_file(first)
    for more in map(read_file, others):
        named = {boat.name for boat in season.boats}
        season = replace(
            season,
            lifts=season.lifts + more.lifts,
            places=season.places + more.places,
            parts=season.parts + more.parts,
            boats=season.boats + tuple(boat for boat in more.boats if boat.name not in named),
        )
    return season


def main(home: Path, *season_files: Path) -> None:
    from yardwright.web.serve import open_home

    open_home(home)
    from django.conf import settings
    from django.contrib import auth
    from django.contrib.auth.hashers import make_password
    from django.contrib.auth.models import User
    from django.contrib.sessions.models import Session
    from django.utils import timezone

    from yardwright.work import exchange
    from yardwright.yard.models import Person

    exchange.take_in(season_of(*season_files), by="Mara")
    Person.objects.filter(name="Mara").update(rights=[*Right])
    hashed = make_password(PASSWORD)  # once: it is made to be slow
    for person in Person.objects.all():
        user = User.objects.create(username=person.name, password=hashed)
        person.user = user
        person.save()
        logged_in = {
            auth.SESSION_KEY: str(user.pk),
            auth.BACKEND_SESSION_KEY: settings.AUTHENTICATION_BACKENDS[0],
            auth.HASH_SESSION_KEY: user.get_session_auth_hash(),
        }
        Session.objects.save(session_of(person.name), logged_in, timezone.now() + A_DAY)


if __name__ == "__main__":
    main(*map(Path, sys.argv[1:]))
