"""Fill a yard's folder from season files: ``python -m tests.browser.fill HOME SEASON.toml …``.

The first file is the yard; from others come boats, lifts, places and parts. Everybody can log in
with the same password; Mara is the manager, with every right.
"""

import sys
from dataclasses import replace
from pathlib import Path

from yardwright.season.model import Right, Season
from yardwright.season.read import read_file

PASSWORD = "slack-water-7"  # noqa: S105  # of invented people


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
    from django.contrib.auth.hashers import make_password
    from django.contrib.auth.models import User

    from yardwright.work import exchange
    from yardwright.yard.models import Person

    exchange.take_in(season_of(*season_files), by="Mara")
    Person.objects.filter(name="Mara").update(rights=[*Right])
    hashed = make_password(PASSWORD)  # once: it is made to be slow
    for person in Person.objects.all():
        person.user = User.objects.create(username=person.name, password=hashed)
        person.save()


if __name__ == "__main__":
    main(*map(Path, sys.argv[1:]))
