"""Pages with 300 boats: median of 20 warm requests, against the log-in page, and their queries."""

import os
import tempfile
from collections.abc import Iterator
from dataclasses import replace

from bench.timing import Pair, pair
from yardwright.season.model import Boat, Season

BOATS = 300
PAGES = (
    "/",
    "/day/",
    "/left-undone/",
    "/boats/",
    "/rows/",
    "/rows/?day=2031-05-16",
    "/water/",
    "/spring/",
    "/yard/",
)


def many(demo: Season, count: int) -> Season:
    """The demo yard's boats again and again under other names, in rows of their own, with hands."""
    times = -(-count // len(demo.boats))
    boats = [_again(boat, copy) for copy in range(times) for boat in demo.boats][:count]
    places = [
        replace(place, name=_named(place.name, copy))
        for copy in range(times)
        for place in demo.places
    ]
    people = [
        replace(person, name=_named(person.name, copy))
        for copy in range(times)
        for person in demo.people
    ]
    own = [limit for limit in demo.limits if not limit.boat]
    return replace(
        demo,
        boats=tuple(boats),
        places=tuple(places),
        people=tuple(people),
        limits=tuple(own),
    )


def _named(name: str, copy: int) -> str:
    return f"{name} {copy}" if copy else name


def _again(boat: Boat, copy: int) -> Boat:
    if not copy:
        return boat
    owner = boat.owner and replace(boat.owner, name=_named(boat.owner.name, copy))
    place = _named(boat.place, copy) if boat.place else ""
    return replace(
        boat, name=_named(boat.name, copy), tag="", hull_number="", owner=owner, place=place
    )


def pages() -> Iterator[Pair | str]:
    with tempfile.TemporaryDirectory() as home:
        os.environ |= {
            "YARDWRIGHT_HOME": home,
            "YARDWRIGHT_HOSTS": "testserver",
            "DJANGO_SETTINGS_MODULE": "yardwright.web.settings",
        }
        yield from _pages()


def _pages() -> Iterator[Pair | str]:
    import django

    django.setup()
    from django.contrib.auth.models import User
    from django.core.management import call_command
    from django.db import connection
    from django.test import Client
    from django.test.utils import CaptureQueriesContext
    from django.utils import timezone

    from yardwright.demo import heron_slip, opening
    from yardwright.fleet.models import Boat as Row
    from yardwright.work import exchange
    from yardwright.yard.models import Person, Yard
    from yardwright.yard.refused import Refused

    call_command("migrate", verbosity=0)
    yield f"pages: filling {BOATS} boats into a scratch yard …"
    exchange.take_in(many(heron_slip.season(), BOATS), by=opening.MANAGER)
    Yard.objects.update(clock_ahead_s=(heron_slip.NOW - timezone.now()).total_seconds())
    manager = Person.objects.get(name=opening.MANAGER)
    manager.user = User.objects.create_user(manager.name)
    manager.save()
    try:
        opening.plan_and_publish(time_limit_s=30)
    except Refused as refused:
        yield f"pages: without a plan. {refused}"
    client, stranger = Client(), Client()
    client.force_login(manager.user)
    boat = Row.objects.get(name="Teal")
    for page in (*PAGES, f"/boats/{boat.tag}/", f"/boats/{boat.tag}/steps/"):
        assert client.get(page).status_code == 200, page
        with CaptureQueriesContext(connection) as queries:
            client.get(page)
            asked = len(queries.captured_queries)  # the next request empties the log
        found = pair(
            f"page {page}",
            lambda page=page: client.get(page),
            "the log-in page",
            lambda: stranger.get("/sign-in/"),
        )
        yield found
        yield f"{'':<44} {asked} queries"
