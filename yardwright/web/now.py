"""What others do at a boat while her page is open, and who is where.

An open page asks every second and a half how many facts there are about her. Facts are only ever
added, so that number alone tells whether there is anything new; a quiet answer costs three small
questions to the database beside those of the log-in. Asking also says that the person is at her: a visit.
"""

import json
from collections.abc import Iterator
from datetime import datetime, time, timedelta
from typing import TypedDict

from django import forms
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.utils import timezone
from django.utils.text import slugify
from django.views.decorators.http import require_POST

from yardwright.fleet import queries as fleet
from yardwright.fleet import services
from yardwright.fleet.models import Boat, Visit
from yardwright.fleet.views import boat_of
from yardwright.work import put_backs, words
from yardwright.work.models import Fact, Kind
from yardwright.yard import clock
from yardwright.yard.asked import WRONG, back, who
from yardwright.yard.forms.fields import YardForm

MOST_TOLD = 20
SAID_EVERY = timedelta(seconds=30)  # a visit is written when somebody comes, then so often
ON = ("phone", "desk")
LONGEST = 2000  # of the words about who is at her


class AskForm(YardForm):
    """What an open page knows already, and on what it is open."""

    since = forms.IntegerField(min_value=0)
    shows = forms.CharField(required=False, max_length=LONGEST)
    on = forms.ChoiceField(choices=[(one, one) for one in ON])
    came = forms.BooleanField(required=False)  # the first question since the page was opened


class News(TypedDict):
    """One fact as an open page tells it."""

    entry: str  # the UUID that it was entered by
    item: str  # the id of what it speaks about on the page at hand
    short: str  # how that stands now
    says: str
    done: bool  # nothing is left to do there


@login_required
@require_POST
def now(request: HttpRequest, tag: str) -> HttpResponse:
    """204 where nothing is new."""
    form = AskForm(_json(request))
    if not form.is_valid():
        return JsonResponse({"says": form.errors}, status=WRONG)
    given, by, at = form.cleaned_data, who(request), clock.now()
    boat = get_object_or_404(Boat, tag=tag.upper())
    written, hers = boat.facts.count(), fleet.at_her(boat, by, at)
    if given["came"] or hers.last_at is None or not at - SAID_EVERY < hers.last_at <= at:
        services.visit(by, boat, given["on"], at)
    new = written - given["since"]
    if new == 0 and hers.others == given["shows"]:
        return HttpResponse(status=204)
    told = list(_news(boat, min(max(new, 0), MOST_TOLD)))
    return JsonResponse(
        {"since": written, "here": hers.others, "news": told, "more": max(new, 0) - len(told)}
    )


def _json(request: HttpRequest) -> dict[str, object]:
    try:
        given = json.loads(request.body)
    except ValueError:
        return {}
    return given if isinstance(given, dict) else {}


def _news(boat: Boat, many: int) -> Iterator[News]:
    """The newest facts, in the order they came."""
    if not many:
        return
    newest = Fact.objects.filter(boat=boat).select_related("by", "of", "boat")
    for fact in reversed(newest.order_by("-received_at", "-done_at")[:many]):
        says = f"{fact.by}, {_at(fact.done_at)}. {words.told(fact)}."
        short, done = _stands(fact)
        entry = fact.of_id if fact.kind == Kind.JUDGED else fact.pk
        yield News(entry=str(entry), item=_item(fact), short=short, says=says, done=done)


def _at(when: datetime) -> str:
    """07:42, or with its day when that is not today."""
    here = timezone.localtime(when)
    same = here.date() == clock.today()
    return f"{here:%H:%M}" if same else f"{here:%a} {here.day} {here:%b}, {here:%H:%M}"


def _item(fact: Fact) -> str:
    """The fold of the page at hand that it belongs to."""
    match fact:
        case Fact(kind=Kind.PUT_BACK | Kind.SIGNED_OFF):
            return f"u-{fact.of_id}"
        case Fact(kind=Kind.LOOKED, of_id=None):
            return f"l-{slugify(fact.what)}"
        case Fact(kind=Kind.LOOKED):
            return f"u-{fact.of_id}"
        case Fact(kind=Kind.READING):
            return f"r-{fact.what}"
        case Fact(kind=Kind.JUDGED):
            return f"r-{fact.of.what}" if fact.of else ""
        case Fact(kind=Kind.DONE, of_id=None):
            is_step = fact.body["of_kind"] == "step"
            return f"s-{fact.what}" if is_step else f"w-{slugify(fact.what)}"
        case Fact(kind=Kind.STRUCK_OUT) if fact.of:
            return _item(fact.of)
        case _:
            return ""


def _stands(fact: Fact) -> tuple[str, bool]:
    """How its thing stands now, in a few words, and whether nothing is left to do there."""
    by = f"{fact.by}, {_at(fact.done_at)}"
    match fact.kind:
        case Kind.PUT_BACK if fact.of:
            left = put_backs.left(fact.of)
            waits = ", waits for a second pair of eyes" if left.waits_for_second else ""
            return f"put back by {by}{waits}", not left.thing.is_open
        case Kind.SIGNED_OFF:
            return f"stays open, signed off by {by}", False
        case Kind.LOOKED:
            return f"{'holds' if fact.body['holds'] else 'does not hold'}: {by}", False
        case Kind.READING:
            return f"{words.read_values(fact)}, read by {by}", False
        case Kind.JUDGED if fact.of:
            return f"{words.read_values(fact.of)}, {fact.what}, read by {by}", False
        case Kind.DONE:
            return f"done by {by}", True
        case Kind.STRUCK_OUT:
            return f"an entry of it struck out by {by}", False
        case _:
            return "", False


class Where(TypedDict):
    """Where a person is, or was last today."""

    visit: Visit
    said: str


def who_is_where(at: datetime) -> list[Where]:
    """Of everybody who had a boat's page open today, the latest first."""
    midnight = datetime.combine(at.date(), time.min, at.tzinfo)
    return [
        Where(visit=one, said=_where(one, at))
        for one in fleet.last_visits(min(midnight, at - fleet.HERE_FOR), at)
    ]


def _where(one: Visit, at: datetime) -> str:
    assert one.at is not None  # noqa: S101  # asked for by its time
    ago = at - one.at
    if ago <= fleet.HERE_FOR:
        return f"now, {one.on}"
    minutes = round(ago.total_seconds() / 60)
    long = f"{minutes} min" if minutes < 120 else f"{minutes // 60} h"
    return f"last seen {timezone.localtime(one.at):%H:%M}, {long} ago"


@login_required
@require_POST
def star(request: HttpRequest, tag: str) -> HttpResponse:
    """Hers is a boat that this person's phone takes along."""
    boat = boat_of(tag)
    services.star(who(request), boat, starred=request.POST.get("starred") == "yes")
    return redirect(back(request) or reverse("boat", args=[boat.tag]))
