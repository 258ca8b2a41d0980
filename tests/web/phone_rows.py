"""Rows as a phone sends them, and sending them."""

import json
from datetime import UTC, datetime, timedelta
from typing import TypeAlias
from uuid import UUID, uuid4

from django.test import Client
from django.utils import timezone

from yardwright.work.models import Fact, Kind
from yardwright.yard.models import Person

Row: TypeAlias = dict[str, object]
Answers: TypeAlias = dict[str, dict[str, str]]
ENTRIES = "/phone/entries/"


def row(by: Person, to: str, *, ago: timedelta = timedelta(0), **fields: object) -> Row:
    """A form filled in on a phone some time ago, by the phone's own clock."""
    return {
        "uuid": str(uuid4()),
        "to": to,
        "fields": [[name, str(value)] for name, value in fields.items()],
        "made_at": (timezone.now() - ago).isoformat(),
        "person": by.pk,
        "boat": "TEA",
        "words": f"Teal: {to}",
    }


def send(
    client: Client, *rows: object, slow: timedelta = timedelta(0), status: int = 200
) -> Answers:
    """Send them at once, from a phone whose clock is slow by so much."""
    sent_at = datetime.now(UTC) - slow
    body = json.dumps({"sent_at": sent_at.isoformat(), "entries": rows})
    answer = client.post(ENTRIES, body, content_type="application/json")
    assert answer.status_code == status, answer.content.decode()
    answers: Answers = answer.json().get("answers", {})
    return answers


def word(client: Client, one: Row, slow: timedelta = timedelta(0)) -> str:
    return send(client, one, slow=slow)[str(one["uuid"])]["word"]


def fact(one: Row) -> Fact:
    return Fact.objects.get(pk=UUID(str(one["uuid"])))


def asides() -> list[Fact]:
    return list(Fact.objects.filter(kind=Kind.ASIDE).order_by("received_at"))
