"""Photos: taken at the boat, kept in the yard's folder, shown beside what they were taken of."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from hashlib import blake2b
from pathlib import Path
from uuid import UUID, uuid5

from django import forms
from django.conf import settings
from django.contrib.auth.decorators import login_required
from django.core.files.uploadedfile import UploadedFile
from django.db import transaction
from django.db.models.fields.json import KT
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_GET, require_POST

from yardwright.fleet.models import Boat
from yardwright.web import photo_folder
from yardwright.web.kept import is_ours
from yardwright.web.pictures import MOST_BYTES, picture, too_large
from yardwright.web.sent import PhoneClock, a_time
from yardwright.work import facts, queries, services, words
from yardwright.work.facts import Arrival, Entry, Photo
from yardwright.work.models import Fact, Kind
from yardwright.yard import clock
from yardwright.yard.asked import REFUSES, WRONG, form_page, who
from yardwright.yard.forms.fields import YardForm
from yardwright.yard.models import Person
from yardwright.yard.refused import Refused

NAME = "photo"  # of the field in every form that takes photos
AROUND = 20_000  # bytes beside the picture in what a phone sends
MOST_AT_ONCE = 8
TOO_MUCH, NOT_OURS = 413, 403
USED = "This photo's number was already used for another one."
NOT_HERE = "what it was taken of is not here"


class SentForm(YardForm):
    """One photo as a phone sends it, once its entry is held."""

    photo = forms.FileField(
        error_messages={
            "required": "There is no photo in this.",
            "empty": "This photo is empty. Take it again.",
        }
    )
    entry = forms.UUIDField()
    boat = forms.CharField(max_length=3)
    person = forms.IntegerField()
    made_at = forms.CharField()
    sent_at = forms.CharField()


@dataclass(frozen=True, slots=True)
class Taken:
    """One photo, where it belongs, and how it came."""

    uuid: UUID
    entry: UUID
    boat: Boat | None
    by: Person
    brought_by: Person
    done_at: datetime
    mark: str = ""


@csrf_exempt  # as for entries: a page kept since the morning has an old token
@login_required
@require_POST
def send_photo(request: HttpRequest, pk: UUID) -> HttpResponse:
    """A photo of a phone that keeps it until its number is named."""
    received_at = timezone.now()
    if not is_ours(request):
        return _says(pk, "refused", "Only the yard's own pages send photos.", NOT_OURS)
    length = int(request.META.get("CONTENT_LENGTH") or 0)
    if length > MOST_BYTES + AROUND:
        return _says(pk, "refused", str(too_large(length)), TOO_MUCH)
    form = SentForm(request.POST, request.FILES)
    if not form.is_valid():
        says = " ".join(str(one) for errors in form.errors.values() for one in errors)
        return _says(pk, "refused", says, WRONG)
    given = form.cleaned_data
    by = Person.objects.filter(pk=given["person"]).select_related("user").first()
    if by is None:
        return _says(pk, "refused", f"Nobody here has the number {given['person']}.", WRONG)
    if by != who(request) and by.works_here and by.user and by.user.is_active:
        return _says(pk, "not yours", f"Log in as {by} to send this.", REFUSES)
    try:
        made_at, sent_at = a_time(given["made_at"], "made_at"), a_time(given["sent_at"], "sent_at")
    except ValueError as error:
        return _says(pk, "refused", str(error), WRONG)
    ahead = timedelta(seconds=clock.the_yard().clock_ahead_s)
    phone = PhoneClock(received_at - sent_at, ahead)
    taken = Taken(
        uuid=pk,
        entry=given["entry"],
        boat=Boat.objects.filter(tag=given["boat"].upper()).first(),
        by=by,
        brought_by=who(request),
        done_at=phone.at_the_yard(made_at),
        mark=phone.mark,
    )
    try:
        word, fact = take(taken, given["photo"].read())
    except Refused as refused:
        return _says(pk, "refused", str(refused), REFUSES)
    return _says(pk, word, f"{words.told(fact)}.")


def _says(uuid: UUID, word: str, says: str, status: int = 200) -> JsonResponse:
    return JsonResponse({"answers": {str(uuid): {"word": word, "says": says}}}, status=status)


def take(taken: Taken, given: bytes) -> tuple[str, Fact]:
    """Keep a photo beside its entry; its file is on the disk before the fact is.

    Raises
    ------
    Refused
        It is no picture, is too large, or this person may not.
    """
    digest = blake2b(given, digest_size=16).hexdigest()
    before = Fact.objects.filter(pk=taken.uuid).first()
    if before is not None:
        if before.kind != Kind.PHOTO or before.sent != digest:
            raise Refused(USED, "Take it again.")
        return "held before", before
    of = _of(taken.entry)
    boat = of.boat if of is not None else taken.boat
    if boat is None:
        raise Refused("No boat is named for this photo.", "Take it again on her own page.")
    seen = picture(given, keep_place=clock.the_yard().photo_place)
    photo = Photo(
        sha256=photo_folder.name_of(seen),
        width=seen.width,
        height=seen.height,
        entry=str(taken.entry),
    )
    mark = taken.mark if of is not None else "; ".join(filter(None, (taken.mark, NOT_HERE)))
    second = taken.brought_by if taken.brought_by != taken.by else None
    entry = Entry(taken.uuid, taken.by, taken.done_at, second)
    with transaction.atomic(), facts.arriving(Arrival(digest, mark)):
        fact = services.add_photo(entry, boat, photo, of)
        photo_folder.put(home(), seen)
    return "held", fact


def _of(entry: UUID) -> Fact | None:
    """The fact that an entry became, or what was kept aside of it."""
    of = Fact.objects.filter(pk=entry).select_related("boat", "by").first()
    if of is not None:
        return of
    asides = Fact.objects.filter(kind=Kind.ASIDE).annotate(row=KT("body__row"))
    return asides.filter(row__contains=f'"{entry}"').select_related("boat", "by").first()


def home() -> Path:
    return Path(settings.HOME)


@login_required
@require_GET
def photo(_request: HttpRequest, pk: UUID) -> HttpResponse:
    return _served(pk, small=False)


@login_required
@require_GET
def photo_small(_request: HttpRequest, pk: UUID) -> HttpResponse:
    return _served(pk, small=True)


def _served(pk: UUID, *, small: bool) -> HttpResponse:
    """Never another picture under the same address, so it is asked for once."""
    fact = get_object_or_404(queries.standing(), pk=pk, kind=Kind.PHOTO)
    file = photo_folder.path_of(home(), fact.body["sha256"], small=small)
    if not file.is_file():
        raise Http404("This photo is not in the yard's folder; bring it back from a kept copy.")
    answer = HttpResponse(file.read_bytes(), content_type="image/jpeg")
    answer["Cache-Control"] = "private, max-age=31536000, immutable"
    answer["X-Content-Type-Options"] = "nosniff"
    return answer


@login_required
@form_page
def add_photos(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Photos beside an entry that is held, from a plain form."""
    of = get_object_or_404(Fact.objects.select_related("boat", "by"), pk=pk)
    if of.boat is None or of.kind in (Kind.STRUCK_OUT, Kind.PHOTO):
        raise Http404("Photos are kept beside an entry about a boat.")
    if request.method == "GET":
        return _form(request, of)
    length = int(request.META.get("CONTENT_LENGTH") or 0)
    if length > MOST_AT_ONCE * MOST_BYTES + AROUND:
        return _form(
            request, of, [f"That is {length / 1e6:.0f} MB at once. Send fewer photos."], TOO_MUCH
        )
    refused = _take_all(request, of) if request.FILES else ["Choose a photo first."]
    if refused:
        return _form(request, of, refused, WRONG)
    return redirect("fact", pk=of.pk)


def _form(
    request: HttpRequest, of: Fact, refused: list[str] | None = None, status: int = 200
) -> HttpResponse:
    context = {"of": of, "told": words.told(of), "refused": refused or []}
    return render(request, "add_photos.html", context, status=status)


def _take_all(request: HttpRequest, of: Fact) -> list[str]:
    """What is said of those that were not taken; the others are held."""
    by, refused = who(request), []
    sent = request.FILES.getlist(NAME)
    for file in sent[:MOST_AT_ONCE]:
        try:
            content = _read(file)
            uuid = uuid5(of.pk, blake2b(content).hexdigest())
            _, fact = take(Taken(uuid, of.pk, of.boat, by, by, clock.now()), content)
            if Fact.objects.filter(kind=Kind.STRUCK_OUT, of=fact).exists():
                raise Refused("This photo is struck out.", "Take another one.")
        except Refused as no:
            refused.append(f"{file.name}: {no}")
    if len(sent) > MOST_AT_ONCE:
        refused.append(f"Only the first {MOST_AT_ONCE} were taken; send the others after them.")
    return refused


def _read(file: "UploadedFile[bytes]") -> bytes:
    if (file.size or 0) > MOST_BYTES:
        raise too_large(file.size or 0)
    content: bytes = file.read()
    return content
