"""At the boat: one page with all that is done at her, for a hand in a glove.

Each form posts to the address of the deed's own page, with that page's form, and works without any
script. What many forms share stands once, in templates that a phone's code unfolds in each item as
it is opened (``phone/unfold.js``). It reads these attributes:

- on ``#at-hand``: ``data-boat`` her tag, ``data-name`` her name, ``data-edition`` what she was when
  the page was made (as in ``/phone/today.json``), ``data-as-of`` when that was, ISO with offset.
- on each form that makes an entry: ``data-entry``, what was done. A waiting row says it after her
  name and the item's title: "Teal: stern drain plug out, put back"; on other pages it says all.
  The form's ``action`` is the row's ``to``, without ``once``: that is its number on this page, by
  which the server makes its UUID where no script does. A form is for one entry; a phone makes a
  UUID for each.
- on a button that gives the other answer ``data-doubt``: what was seen is asked for before it is
  sent; without a script the deed's own page asks. The tapped button's name and value are among the
  fields: ``deed`` of a put-back, ``holds`` of a look.
- on a form of what is learned ``data-watched``: who watches is asked in it as it is opened; without
  a script the deed's own page asks.
- in a form that says ``done``, how long it took is asked below its button as it is opened.
- on a reading's form also ``data-quantity``; its words end with what is measured, the typed values
  are the fields ``value_1`` and on. ``#readings-here`` has the JSON that they are judged by.
- on a link to how a put-back is done ``data-minds``: that step's caution, which stands once on the
  page, is said below the link as the item is opened.
- on ``#at-hand`` also ``data-lessons``: where it is told how each step is done, why, and what can
  go wrong, once for all boats. The link in ``#how-<code>`` leads to the step's own page, and gives
  way to that as the item is opened: below the button, for who is learning above it. The yard's
  own words stand in the page.
- around each form ``details.item``, with an ``id`` that stays from visit to visit; its summary's
  ``.now`` says how it stands. After a post without script the page comes back with ``?held=<uuid>``
  at its section, and says there what is held.
"""

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import asdict, dataclass
from datetime import datetime, timedelta
from functools import lru_cache
from hashlib import blake2b
from itertools import count
from secrets import token_urlsafe
from typing import Any, NamedTuple
from urllib.parse import urlencode

from django import forms
from django.contrib.auth.decorators import login_required
from django.core.serializers.json import DjangoJSONEncoder
from django.db.models import Model
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils.html import json_script
from django.utils.text import slugify
from django.views.decorators.http import require_GET

from yardwright.calc.units import units_like
from yardwright.fleet import queries as fleet
from yardwright.fleet.models import Boat
from yardwright.procedures.float_check import FloatCheck
from yardwright.procedures.going_in import State
from yardwright.procedures.put_backs import Harm, Proof
from yardwright.procedures.quantities import Quantity, quantities
from yardwright.procedures.start_check import StartCheck
from yardwright.procedures.step import Step
from yardwright.procedures.steps import Book, book, not_covered, steps_for
from yardwright.procedures.ways_in import Known, known
from yardwright.season import checks, on_the_phone
from yardwright.season import model as season
from yardwright.season.model import Right
from yardwright.web.boat_page import frost_words, key_line, supply_of
from yardwright.work import own_steps, photos, put_backs, verdicts, words
from yardwright.work import queries as work
from yardwright.work.forms.left_undone import FoundForm
from yardwright.work.forms.looks import SinceForm
from yardwright.work.forms.notes import NoteForm
from yardwright.work.forms.readings import USUAL_PLACES, ReadingForm
from yardwright.work.forms.steps import StepForm
from yardwright.work.models import Fact, Kind
from yardwright.work.parts import Ordered, awaited
from yardwright.work.photos import Noted
from yardwright.work.put_backs import Left
from yardwright.work.queries import Written
from yardwright.work.verdicts import Judged
from yardwright.work.views.left_undone import BUTTON
from yardwright.work.views.looks import Asked, can_be_looked_at
from yardwright.work.views.notes import things_of
from yardwright.work.views.steps import has_of, order_of
from yardwright.yard import clock
from yardwright.yard.asked import who
from yardwright.yard.models import Instrument, Person
from yardwright.yard.rights import may

UNDONE, STEPS, READINGS, LOOKS, START, WORK, NOTES = (
    "left-undone",
    "steps",
    "readings",
    "looks",
    "start",
    "work",
    "notes",
)
HOLDS, LATELY = "held", "lately"
MAY_BE_WRONG = (Kind.PUT_BACK, Kind.LOOKED, Kind.DONE, Kind.READING, Kind.UNDONE)
A_DAY, MOST_LATELY = timedelta(days=1), 6
MOST_PHOTOS, MOST_NOTES = 8, 10  # of a boat, so that a day's boats fit on a phone
BLOCK = "/?(?:p|ol|ul|form|details|section|div|h2|h3)[ >]"
BETWEEN = re.compile(rf"</li>(?=<li>|</[ou]l>)|</p>\s*(?=<{BLOCK})|\n+(?=<{BLOCK})")
ONE_WORD = re.compile(r' (method|type|class|name|value|maxlength|data-entry)="(?!item")([\w-]+)"')
AND = re.compile("&amp;(?=once=)")  # in an address
APART = ("uuid", "made_at", "done_at")  # set by hand in each form


@dataclass(frozen=True, slots=True)
class Standing:
    """How she stands, in a sentence."""

    boat: season.Boat
    floats: FloatCheck
    start: StartCheck | None  # None: no engine, or several
    undone: tuple[Left, ...]
    holds: tuple[str, ...]
    frost: str  # that one can still come to what was filled with water

    @property
    def left(self) -> str:
        """How much is left undone, and how bad that is."""
        if not self.undone:
            return "Nothing that was written down is left undone."
        many = len(self.undone)
        sinks = sum(one.thing.harm == Harm.SINKS for one in self.undone)
        said = f"{many} {'thing is' if many == 1 else 'things are'} left undone"
        return f"{said}; {sinks} could sink her." if sinks else f"{said}."


def standing(row: Boat, facts: list[Fact], at: datetime) -> Standing:
    boat = work.value(row, facts)
    supply = supply_of(boat)
    return Standing(
        boat=boat,
        floats=checks.float_check(boat, at, going_in=at if boat.state == State.READY else None),
        start=checks.start_check(boat, supply, at) if supply else None,
        undone=tuple(put_backs.left_in(row, facts)),
        holds=verdicts.holds(facts),
        frost=frost_words(boat, at),
    )


class Holding(NamedTuple):
    """A reading that holds her, and why."""

    one: Judged
    values: str
    why: str
    to: str


class Lately(NamedTuple):
    fact: Fact
    to: str


class Putting(NamedTuple):
    """One put-back, with the step that proves it."""

    left: Left
    step: Step | None
    to_do: bool  # the step stands further down
    button: str
    not_yours: bool  # you proved it; it waits for somebody else
    watched: bool  # you are learning it
    to: str
    photos: list[Fact]
    notes: list[Noted]


class Doing(NamedTuple):
    step: Step
    watched: bool  # you are learning it
    is_own: bool  # its words are the yard's: a phone has no other place for them
    form: StepForm
    fields: list[forms.BoundField]
    first: list[Step]
    proves: list[Left]
    to: str


class Taking(NamedTuple):
    """One quantity to read, why, and what is known of it."""

    of: Quantity
    form: ReadingForm
    fields: list[forms.BoundField]
    for_step: Step | None
    limit: str
    last: Judged | None
    last_values: str
    to: str


class Looking(NamedTuple):
    asked: Asked
    known: Known
    slug: str
    to: str


@login_required
@require_GET
def at_hand(request: HttpRequest, tag: str) -> HttpResponse:
    row = get_object_or_404(fleet.boats(), tag=tag.upper())
    written = work.written([row]).get(row.pk, Written())  # before: what comes meanwhile is told
    to_come = awaited([row])[row.pk]
    facts, by, now = work.story([row])[row.pk], who(request), clock.now()
    stands = standing(row, facts, now)
    here = Here(row, facts, by, stands)
    looks = list(here.looks(now))
    filed, shelf = fleet.limits(), list(Instrument.objects.all())
    at_her = fleet.at_her(row, by, now)
    takings = list(here.takings(filed, shelf))
    done = work.work_done(facts)
    start = [one for one in looks if not one.asked.lapses]
    held = _held(request, facts)
    context = {
        "boat": row,
        "at_her": at_her,
        "written": written.many,
        "numbers": numbers(),
        "stands": stands,
        "key": key_line(stands.boat),
        "now": now,
        "edition": edition(
            row, written, by, stands, yard_wide(filed, shelf), to_come, starred=at_her.starred
        ),
        "may_prove": may(by, Right.PROVE),
        "learner": by.learner,
        "watchers": _watchers() if by.learner else (),
        "holding": list(here.holding()),
        "may_clear": may(by, Right.CLEAR),
        "lately": list(here.lately(now)),
        "put_backs": list(here.put_backs()),
        "season": here.season,
        "steps": list(here.steps()),
        "not_covered": not_covered(has_of(row)),
        "asked_readings": [one for one in takings if one.for_step],
        "other_readings": [one for one in takings if not one.for_step],
        "readings_here": json_script(here.judged_by(filed, shelf, now), "readings-here", Short),
        "looks": [one for one in looks if one.asked.lapses],
        "start": start,
        "found": _fields(here.found, APART),
        "to_found": here.to("found", UNDONE),
        "since": SinceForm(here.ways, auto_id=False),
        "work": [piece.what for piece in row.work.all() if piece.what not in done],
        "to_come": [(one, here.to("part-came", WORK, one.part.pk)) for one in to_come],
        "notes": [one for one in here.notes if one.fact.what not in here.open][:MOST_NOTES],
        "note": NoteForm(things_of(row, list(stands.undone)), auto_id=False),
        "keeps_place": clock.the_yard().photo_place,
        "to_note": here.to("note", NOTES),
        "to_work": here.to("work-done", WORK),
        "to_since": here.to("since", LOOKS),
        "held": held,
        "held_in": _section_of(held, {one.asked.at for one in start}),
    }
    return HttpResponse(_short(render_to_string("at_hand.html", context, request)))


def numbers() -> Iterator[str]:
    """A number for each form of this page: no other page has it, nor has she when it is made again."""
    page = token_urlsafe(6)
    return (f"{page}{number}" for number in count())


def _short(page: str) -> str:
    """The same page without what HTML lets out: a phone keeps one for each of the day's boats."""
    page = BETWEEN.sub("", page.replace("&#x27;", "'"))  # each attribute is in double quotes
    return AND.sub("&", ONE_WORD.sub(r" \1=\2", page))


class Short(DjangoJSONEncoder):
    """JSON with no spaces."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs | {"separators": (",", ":"), "ensure_ascii": False})


class Here:
    """What can be done at one boat by one person."""

    def __init__(self, row: Boat, facts: list[Fact], by: Person, stands: Standing) -> None:
        self.row, self.facts, self.by, self.stands = row, facts, by, stands
        self.has = has_of(row)
        self.season = order_of(facts)[0]
        done = work.steps_done(facts)
        self.to_do = [one for one in steps_for(self.has, self.season) if one.code not in done]
        self.ways = tuple(fleet.barrier(way) for way in row.ways_in.all())
        self.found = FoundForm(self.has, tuple(way.name for way in self.ways), auto_id=False)
        self.beside = photos.beside(facts)
        self.notes = photos.notes(facts)
        self.open = {left.thing.what for left in stands.undone}

    def to(self, name: str, section: str, *args: object, **query: str) -> str:
        """The address of a deed's own page, which leads back here."""
        path = reverse(name, args=args or [self.row.tag])
        back = f"{reverse('at-hand', args=[self.row.tag])}#{section}"
        return f"{path}?{urlencode({**query, 'back': back}, safe='/')}"

    def holding(self) -> Iterator[Holding]:
        """Readings that she waits for: only a repair, or somebody's reason, lets her go on."""
        for one in verdicts.judged(self.facts):
            if one.holds:
                why = one.judged.body["reasons"][0]["words"]
                values = words.read_values(one.reading)
                yield Holding(one, values, why, self.to("reading", HOLDS, one.reading.pk))

    def lately(self, now: datetime) -> Iterator[Lately]:
        """What this person entered since yesterday, the newest first: it may have been wrong."""
        mine = [f for f in self.facts if f.by_id == self.by.pk and f.kind in MAY_BE_WRONG]
        for fact in [f for f in reversed(mine) if now - f.done_at < A_DAY][:MOST_LATELY]:
            yield Lately(fact, self.to("fact", LATELY, fact.pk))

    def put_backs(self) -> Iterator[Putting]:
        room = MOST_PHOTOS
        for left in self.stands.undone:
            seen = photos.of_left(left, self.beside)[-room:] if room else []
            room -= len(seen)
            step = put_backs.proving_step(self.row, left.thing)
            yield Putting(
                left,
                step,
                step in self.to_do,
                step.proof_words if step else BUTTON[Proof(left.thing.proof)],
                left.waits_for_second and left.proven_by(self.by),
                self.by.learner and step is not None and step.watch_learner,
                self.to("undone", UNDONE, left.uuid),
                seen,
                [one for one in self.notes if one.fact.what == left.thing.what],
            )

    def steps(self) -> Iterator[Doing]:
        kinds = book().kinds
        for step in self.to_do:
            form = StepForm(step, self.ways, auto_id=False)
            proves = {kinds[code].what.casefold() for code in step.proves}
            yield Doing(
                step,
                self.by.learner and step.watch_learner,
                own_steps.is_own(step),
                form,
                _fields(form, (*APART, "second", "took_min")),
                [one for one in self.to_do if one.code in step.after],
                [one for one in self.stands.undone if one.thing.what.casefold() in proves],
                self.to("step", STEPS, self.row.tag, step.code),
            )

    def takings(
        self, filed: Sequence[season.Limit], shelf: Sequence[Instrument]
    ) -> Iterator[Taking]:
        """Those her steps ask for first."""
        asks = {step.reading: step for step in reversed(self.to_do) if step.reading}
        newest = {one.quantity.code: one for one in verdicts.judged(self.facts)}
        for of in sorted(quantities().values(), key=lambda of: of.code not in asks):
            form = ReadingForm(of, USUAL_PLACES, auto_id=False)
            form.fields["instrument"].choices = _shown(of, shelf)  # type: ignore[attr-defined]  # a choice
            form.fields["instrument"].help_text = form.fields["where"].help_text = ""  # said once
            limit, last = checks.limit_for(filed, self.stands.boat, of.code), newest.get(of.code)
            yield Taking(
                of,
                form,
                _fields(form, APART),
                asks.get(of.code),
                words.limit_words(asdict(limit)) if limit else "",
                last,
                words.read_values(last.reading) if last else "",
                self.to("new-reading", READINGS, quantity=of.code),
            )

    def judged_by(
        self, filed: Sequence[season.Limit], shelf: Sequence[Instrument], now: datetime
    ) -> dict[str, object]:
        """What a phone judges her readings by with no signal; for every boat the same: `rules`."""
        told = {
            code: on_the_phone.phone_reading(filed, self.stands.boat, of, now.date())
            for code, of in quantities().items()
        }
        return {
            "rules": reverse("rules"),
            "zone": clock.the_yard().zone,
            "instruments": {str(one.pk): _plain(one) for one in shelf},
            "readings": {code: one for code, one in told.items() if any(one.values())},
        }

    def looks(self, now: datetime) -> Iterator[Looking]:
        ways = checks.ways_in(self.stands.boat)
        for asked in can_be_looked_at(self.stands.boat):
            section = LOOKS if asked.lapses else START
            to = self.to("look", section, at=asked.at)
            stands = known(asked.at, ways, now)
            if stands.look or not asked.tells:  # what a stop asks for, once there was one
                yield Looking(asked, stands, slugify(asked.at), to)


def _watchers() -> list[tuple[object, str]]:
    """Who may watch a learner."""
    people = Person.objects.filter(works_here=True, learner=False)
    return [("", "nobody yet"), *((one.pk, one.name) for one in people)]


def _fields(form: forms.Form, apart: Iterable[str]) -> list[forms.BoundField]:
    return [form[name] for name in form.fields if name not in apart]


def _shown(of: Quantity, shelf: Iterable[Instrument]) -> list[tuple[object, str]]:
    """The yard's instruments that show a unit of this kind."""
    like = units_like(of.unit)
    fits = [one for one in shelf if one.quantity in ("", of.code) and one.values["unit"] in like]
    return [("", "not named"), *((one.pk, one.name) for one in fits)]


def _plain(one: Instrument) -> on_the_phone.Plain:
    kept = work.instrument({"name": one.name} | dict(one.values))
    return on_the_phone.plain_instrument(kept) if kept else {}


def _held(request: HttpRequest, facts: Iterable[Fact]) -> Fact | None:
    """What was just entered, where the page comes back from that."""
    named = request.GET.get("held", "")
    return next((fact for fact in facts if str(fact.pk) == named), None)


def _section_of(held: Fact | None, needs: set[str]) -> str:
    """Where on the page it was entered."""
    match held:
        case None:
            return ""
        case Fact(kind=Kind.STRUCK_OUT):
            return LATELY
        case Fact(kind=Kind.CLEARED) | Fact(kind=Kind.DONE, body={"of_kind": "repair"}):
            return HOLDS
        case Fact(kind=Kind.DONE):
            return STEPS if held.body["of_kind"] == "step" else WORK
        case Fact(kind=Kind.READING):
            return READINGS
        case Fact(kind=Kind.LOOKED, of_id=None):
            return START if held.what in needs else LOOKS
        case Fact(kind=Kind.DISTURBED):
            return LOOKS
        case Fact(kind=Kind.NOTE):
            return NOTES
        case _:
            return UNDONE


def edition(
    row: Boat,
    written: Written,
    by: Person,
    stands: Standing,
    around: object,
    to_come: Iterable[Ordered],
    *,
    starred: bool,
) -> str:
    """A word that is another as soon as her page would say something else to this person."""
    told = [
        around,
        by.pk,
        starred,
        _columns(row),
        row.owner and _columns(row.owner),
        [_columns(way) for way in row.ways_in.all()],
        [piece.what for piece in row.work.all()],
        [(one.part.pk, one.part.name, one.words) for one in to_come],
        written,
        _of_the_book(book()),
        (stands.floats.answer, stands.start and stands.start.answer),  # proofs lapse by the hour
        stands.frost,
    ]
    return blake2b(repr(told).encode(), digest_size=8).hexdigest()


@lru_cache(maxsize=2)
def _of_the_book(book: Book) -> list[str]:
    """Which steps are hers is told by what she has and what was written about her."""
    return [step.edition for step in book.steps]


def yard_wide(filed: Iterable[season.Limit], shelf: Iterable[Instrument]) -> object:
    """What the pages of all boats say."""
    return [repr(one) for one in filed], [_columns(one) for one in shelf]


def _columns(row: Model) -> list[object]:
    return [getattr(row, field.attname) for field in row._meta.concrete_fields]
