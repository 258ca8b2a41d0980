"""Calendars to subscribe to: for each person the plan that holds, for each boat the day her owner was told.

A calendar cannot log in, so its address is signed: nobody can guess one. Each carries an edition
of its own; once that grows, the old address is no longer there.
"""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
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
from yardwright.launch import on_her_way
from yardwright.launch import queries as launch
from yardwright.procedures.going_in import State
from yardwright.school import queries as school
from yardwright.school import services as school_services
from yardwright.school.models import ClassGroup
from yardwright.season.day import Stint, stints
from yardwright.season.feed import Event, feed
from yardwright.season.published import Published, week_of
from yardwright.season.yard_time import Job
from yardwright.season.zone import midnight, said_day
from yardwright.web.at_boat import at_boats
from yardwright.web.day import BROKEN
from yardwright.web.whose_day import crew_of_lift, hours_by_name
from yardwright.work import queries as work
from yardwright.yard import clock
from yardwright.yard import queries as yard_queries
from yardwright.yard import services as yard
from yardwright.yard.asked import REFUSES, WRONG, form_page, who
from yardwright.yard.forms.fields import YardForm
from yardwright.yard.models import Person
from yardwright.yard.refused import Refused
from yardwright.yard.rights import may, need
from yardwright.yard.services import MANAGES

SIGNS = Signer(sep=".", salt="calendar")
A_PERSON, A_BOAT, A_CLASS = "person", "boat", "class"


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
    if kind == A_CLASS:
        return _told(_term(get_object_or_404(ClassGroup, **here)))
    if kind == A_PERSON:
        return _told(_plan(request, get_object_or_404(Person, works_here=True, **here)))
    return _told(_day_told(get_object_or_404(Boat, **here)))


def _plan(request: HttpRequest, of: Person) -> str:
    """What the plan that holds has for somebody."""
    fact = work.last_published()
    plan = launch.plan_of(fact)
    page = request.build_absolute_uri(reverse("day", args=[of.pk]))
    none = f"The plan has nothing for {of.name}" if plan else "No plan is published"
    found = list(_of_person(plan, of, page)) if plan else []
    found = found or [_nothing(of.name, none)]
    if launch.plan_broken():
        found = [*map(_to_ask_first, found)]
    return feed(
        f"{of.name}, {clock.the_yard().name}",
        found,
        fact.received_at if fact else clock.now(),
        launch.plans_published(),
    )


def _day_told(boat: Boat) -> str:
    """Her day in Ink alone: what the yard has planned and told nobody is not her owner's to read yet.

    None while she does not go in.

    Without anybody's name: it is given to her owner.
    """
    yard_name, name = clock.the_yard().name, boat.name
    ink = launch.promises(boat).ink
    written = work.written([boat]).get(boat.pk, work.Written())
    event = _nothing(name, f"No day is told yet for {name}")
    if on_her_way.where(boat).state == State.NOT_GOING_IN:
        event = _nothing(name, f"No day holds for {name}: ask the yard")
    elif ink is not None:
        told = f"The yard told you {said_day(ink)}."
        title = f"{name} is ready to be handed over"
        event = Event(
            (yard_name, name, "handed over"), midnight(ink, clock.zone()), None, title, told
        )
    return feed(f"{name}, {yard_name}", [event], written.last or clock.now(), written.many)


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


def _nothing(name: str, says: str) -> Event:
    """An empty calendar would not say why."""
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
    if not crew_of_lift(person, yard_queries.lifts()):
        return
    held = _held(plan)
    for go in plan.plan.launches:
        told = plan.told[go.boat]
        floats = launch.her_water(told, go.starts.date())
        yield Event(
            of=(yard_name, go.boat, "goes in", name),
            starts=go.fetched or go.starts,
            ends=go.ends,
            title=f"{go.boat} goes in",
            notes=f"In the water from {go.starts:%H:%M}; she floats {floats}.{held.get(go.boat, '')}",
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


def _held(plan: Published) -> dict[str, str]:
    """What keeps each boat on land that goes in today or tomorrow: as of now, so the hour is said."""
    goes = {go.boat: go for go in plan.plan.launches}
    near, now = at_boats(week_of(plan.plan, clock.today(), days=2)), clock.now()
    kept = {name: at.kept(goes[name].starts).said for name, at in near.items()}
    return {name: f" As of {now:%a %H:%M}. {said}" for name, said in kept.items() if said}


def _to_ask_first(one: Event) -> Event:
    """Of a plan that no longer holds, from today on; a day that is past is told as it was."""
    if (one.ends or one.starts).astimezone(clock.zone()).date() < clock.today():
        return one
    return replace(one, title=f"Ask first: {one.title}", notes=f"{BROKEN} {one.notes}".strip())


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
