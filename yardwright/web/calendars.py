"""The plan that holds as calendars to subscribe to: one for each person, one for each boat.

A calendar cannot log in, so its address is signed: nobody can guess one. Each carries an edition
of its own; once that grows, the old address is no longer there.
"""

from collections.abc import Callable, Iterable, Iterator
from typing import Any

from django import forms
from django.contrib.auth.decorators import login_required
from django.core.signing import BadSignature, Signer
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_safe

from yardwright.fleet import services as fleet
from yardwright.fleet.models import Boat
from yardwright.fleet.views import boat_of
from yardwright.launch import queries as launch
from yardwright.school import queries as school
from yardwright.school import services as school_services
from yardwright.school.models import ClassGroup
from yardwright.season.day import Stint, stints
from yardwright.season.feed import Event, feed
from yardwright.season.published import Published
from yardwright.season.spring import Job
from yardwright.season.zone import midnight
from yardwright.web.whose_day import crew_of_lift, hours_by_name
from yardwright.work import queries as work
from yardwright.yard import clock
from yardwright.yard import services as yard
from yardwright.yard.asked import REFUSES, WRONG, form_page, who
from yardwright.yard.forms.fields import YardForm
from yardwright.yard.models import Person
from yardwright.yard.refused import Refused
from yardwright.yard.rights import may, need
from yardwright.yard.services import MANAGES

SIGNS = Signer(sep=".", salt="calendar")
A_PERSON, A_BOAT, A_CLASS = "person", "boat", "class"
MAY_MOVE = "Planned. It may still move; what counts is the day that the yard has told you."


class EndForm(YardForm):
    """Which edition is to end: a second tap ends no second one."""

    edition = forms.IntegerField(min_value=0)


@login_required
@form_page
def person_calendar(request: HttpRequest, pk: int) -> HttpResponse:
    person = get_object_or_404(Person, pk=pk, works_here=True)
    if who(request).pk != pk and not may(who(request), MANAGES):
        refused = f"{person}’s calendar is for {person}, and for who may {MANAGES}."
        return render(request, "calendar.html", {"of": person, "refused": refused}, status=REFUSES)
    return _calendar(
        request,
        person,
        {"address": _address(request, A_PERSON, person), "back": reverse("day", args=[pk])},
        lambda edition: yard.end_calendar(who(request), person, edition),
    )


@login_required
@form_page
def boat_calendar(request: HttpRequest, tag: str) -> HttpResponse:
    boat = boat_of(tag)
    try:
        need(who(request), MANAGES)
    except Refused as refused:
        context = {"of": boat, "refused": str(refused)}
        return render(request, "calendar.html", context, status=REFUSES)
    return _calendar(
        request,
        boat,
        {
            "address": _address(request, A_BOAT, boat),
            "back": reverse("boat", args=[boat.tag]),
            "boat": boat,
        },
        lambda edition: fleet.end_calendar(who(request), boat, edition),
    )


@login_required
@form_page
def class_calendar(request: HttpRequest, pk: int) -> HttpResponse:
    group = get_object_or_404(ClassGroup, pk=pk)
    if group not in school.groups_of(who(request)):
        refused = f"{group}’s calendar is for those who are in it, and for who may teach."
        return render(request, "calendar.html", {"of": group, "refused": refused}, status=REFUSES)
    return _calendar(
        request,
        group,
        {
            "address": _address(request, A_CLASS, group),
            "back": reverse("class", args=[pk]),
            "group": group,
            "may_end": school.teaches(who(request)),
        },
        lambda edition: school_services.end_calendar(who(request), group, edition),
    )


def _calendar(
    request: HttpRequest,
    of: Person | Boat | ClassGroup,
    context: dict[str, object],
    end: Callable[[int], None],
) -> HttpResponse:
    """The page that gives the address, and ends it."""
    context = {"of": of, "may_end": may(who(request), MANAGES)} | context
    if request.method == "GET":
        return render(request, "calendar.html", context)
    form = EndForm(request.POST)
    if not form.is_valid():
        context["refused"] = "Which address is to end? Load the page again."
        return render(request, "calendar.html", context, status=WRONG)
    try:
        end(form.cleaned_data["edition"])
    except Refused as refused:
        context["refused"] = str(refused)
        return render(request, "calendar.html", context, status=REFUSES)
    return redirect(request.path)


def _address(request: HttpRequest, kind: str, of: Person | Boat | ClassGroup) -> str:
    token = SIGNS.sign(f"{kind}-{of.pk}-{of.calendar_edition}")
    return request.build_absolute_uri(reverse("calendar-feed", args=[token]))


@require_safe
def calendar_feed(request: HttpRequest, token: str) -> HttpResponse:
    """What a calendar fetches, without a log-in."""
    try:
        kind, pk, edition = SIGNS.unsign(token).split("-")
    except BadSignature:
        raise Http404 from None
    here: dict[str, Any] = {"pk": pk, "calendar_edition": edition}
    of: Person | Boat
    if kind == A_CLASS:
        return _told(_term(get_object_or_404(ClassGroup, **here)))
    if kind == A_PERSON:
        of = get_object_or_404(Person, works_here=True, **here)
    else:
        of = get_object_or_404(Boat, **here)
    fact = work.last_published()
    plan = launch.plan_of(fact)
    found = list(_events(request, plan, of)) if plan else []
    text = feed(
        f"{of.name}, {clock.the_yard().name}",
        found or [_nothing(of.name, plan)],
        fact.received_at if fact else clock.now(),
        launch.plans_published(),
    )
    return _told(text)


def _told(text: str) -> HttpResponse:
    private = {"Cache-Control": "private"}
    return HttpResponse(text, content_type="text/calendar; charset=utf-8", headers=private)


def _term(group: ClassGroup) -> str:
    """The dates of a class; what was called off is not among them."""
    yard_name = clock.the_yard().name
    found = [
        Event(
            of=(yard_name, group.name, str(one.meeting.pk)),
            starts=one.meeting.starts,
            ends=one.ends,
            title=f"{group.name}: {one.meeting.what}",
            notes=f"On {one.meeting.boat}, a practice boat." if one.meeting.boat else "",
            where=one.meeting.where,
        )
        for one in school.dates_of(group)
        if one.meeting.off_at is None
    ]
    begins = midnight(group.begins, clock.zone())
    none = Event((yard_name, group.name, "nothing"), begins, None, f"{group}: no date is set")
    return feed(f"{group}, {yard_name}", found or [none], clock.now(), group.meetings.count())


def _events(request: HttpRequest, plan: Published, of: Person | Boat) -> Iterator[Event]:
    if isinstance(of, Boat):
        return _of_boat(plan, of)
    return _of_person(plan, of, request.build_absolute_uri(reverse("day", args=[of.pk])))


def _nothing(name: str, plan: Published | None) -> Event:
    """Nothing in it is not the same as no plan, and an empty calendar would say neither."""
    says = f"The plan has nothing for {name}" if plan else "No plan is published"
    of = (clock.the_yard().name, name, "nothing")
    return Event(of, midnight(clock.today(), clock.zone()), None, says)


def _of_person(plan: Published, person: Person, page: str) -> Iterator[Event]:
    yard_name, where, name = clock.the_yard().name, _where(), person.name
    theirs = (one for one in plan.plan.jobs if name in (one.person, one.watcher))
    for stint in _stints(theirs):
        job = stint.job
        watches = f" (you watch {job.person})" if job.watcher == name else ""
        watched = f"{job.watcher} watches you. " if job.watcher and not watches else ""
        yield Event(
            of=(yard_name, job.boat, job.what, name, str(stint.part)),
            starts=stint.starts,
            ends=stint.ends,
            title=f"{job.boat}: {job.what}{watches}",
            notes=f"{watched}{stint.hours}",
            where=where.get(job.boat, ""),
            address=f"{page}?day={stint.day}",
        )
    if not crew_of_lift(person):
        return
    for go in plan.plan.launches:
        told = plan.told[go.boat]
        floats = launch.her_water(told, go.starts.date())
        yield Event(
            of=(yard_name, go.boat, "goes in", name),
            starts=go.fetched or go.starts,
            ends=go.ends,
            title=f"{go.boat} goes in",
            notes=f"In the water from {go.starts:%H:%M}; she floats {floats}.",
            where=where.get(go.boat, ""),
        )
    for aside in plan.plan.asides:
        yield Event(
            of=(yard_name, aside.boat, "moved aside", name),
            starts=aside.starts,
            ends=aside.ends,
            title=f"{aside.boat} is moved aside",
            notes=plan.why_aside(aside.boat),
            where=where.get(aside.boat, ""),
        )


def _of_boat(plan: Published, boat: Boat) -> Iterator[Event]:
    """Without anybody's name: it is given to her owner."""
    yard_name, name = clock.the_yard().name, boat.name
    for stint in _stints(one for one in plan.plan.jobs if one.boat == name):
        yield Event(
            of=(yard_name, name, stint.job.what, str(stint.part)),
            starts=stint.starts,
            ends=stint.ends,
            title=f"{name}: {stint.job.what}",
            notes=MAY_MOVE,
        )
    go = plan.launch(name)
    if go is None:
        return
    ink = launch.promises(boat).ink
    notes = f"You were told {ink:%a} {ink.day} {ink:%b}." if ink else MAY_MOVE
    yield Event((yard_name, name, "goes in"), go.starts, go.ends, f"{name} goes in", notes)
    over = midnight(plan.told[name].handed_over, clock.zone())
    title = f"{name} is ready to be handed over"
    yield Event((yard_name, name, "handed over"), over, None, title, notes)


def _stints(jobs: Iterable[Job]) -> Iterator[Stint]:
    """Jobs, by the hours that their people work."""
    people, zone = hours_by_name(Person.objects.all()), clock.zone()
    for job in jobs:
        yield from stints(job, people.get(job.person), zone)


def _where() -> dict[str, str]:
    """Where each boat stands, by name."""
    names = dict(Boat.objects.values_list("pk", "name"))
    return {
        names[pk]: f"{here.place}, berth {here.berth}" if here.berth else here.place
        for pk, here in work.where_all().items()
        if pk in names
    }
