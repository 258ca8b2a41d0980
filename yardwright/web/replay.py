"""A phone's entry goes through the same view as the page's own form: same rights, same rules."""

from html.parser import HTMLParser
from urllib.parse import urlencode, urlsplit
from uuid import UUID

from django.contrib.auth.models import User
from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse, QueryDict
from django.urls import ResolverMatch, resolve

from yardwright.web.sent import Row
from yardwright.work.models import Fact
from yardwright.work.views.readings import AS_TYPED
from yardwright.yard.models import Person

AT_THE_BOAT = (
    "undone",
    "step",
    "look",
    "since",
    "new-reading",
    "work-done",
    "part-came",
    "found",
    "reading",
    "fact",
    "note",
    "new-finding",
    "under-wrap",
    "card-read",
    "hose-run",
    "saved",
)
DONE = 302
NOT_HERE = "What it speaks of is not here. Another phone may still bring it; then enter this."


class NotTaken(Exception):  # noqa: N818  # what the page would have said
    """The yard does not take this entry as it is."""


def replay(request: HttpRequest, row: Row, person: Person, *, also: dict[str, str]) -> Fact:
    """Send it as this person, with fields of ours beside what was typed.

    Raises
    ------
    NotTaken
        No page for it, or the page says no: in the page's own words.
    """
    match = page_of(row.to)
    asked = _asked(request, row, match, person, also)
    try:
        answer = match.func(asked, *match.args, **match.kwargs)
    except Http404 as error:
        raise NotTaken(NOT_HERE) from error
    except PermissionDenied as error:
        raise NotTaken(str(error)) from error
    fact = Fact.objects.filter(pk=UUID(also["uuid"])).select_related("boat").first()
    if answer.status_code != DONE or fact is None:
        raise NotTaken(said(answer) or "The page asks something before it takes this.")
    return fact


def page_of(to: str) -> ResolverMatch:
    """Raises NotTaken where a phone's outbox has no business."""
    try:
        match = resolve(urlsplit(to).path)
    except (Http404, ValueError) as error:
        raise NotTaken(f"The yard has no page {to}.") from error
    if match.url_name not in AT_THE_BOAT:
        raise NotTaken(f"{to} takes nothing from a phone's outbox.")
    return match


def _asked(
    request: HttpRequest, row: Row, match: ResolverMatch, person: Person, also: dict[str, str]
) -> HttpRequest:
    asked = HttpRequest()
    asked.method, asked.resolver_match = "POST", match
    parts = urlsplit(row.to)
    asked.path = asked.path_info = parts.path
    asked.GET, asked.POST = QueryDict(parts.query), QueryDict(_typed(row, also))
    asked.META = {n: v for n, v in request.META.items() if n != "HTTP_HX_REQUEST"}
    asked.session = request.session
    asked.user = request.user if person == getattr(request.user, "person", None) else _user(person)
    return asked


def _typed(row: Row, also: dict[str, str]) -> str:
    """The last of a name counts: first what holds unless typed, then what was typed, then ours."""
    return urlencode([("keep", AS_TYPED), *row.fields, *also.items()])


def _user(person: Person) -> User:
    """Whoever made it, also where their log-in has ended."""
    user = person.user or User(username=person.name)
    user.person = person
    return user


def said(answer: HttpResponse) -> str:
    """Why a page says no: what stands beside its fields, else its alert."""
    page = _Says()
    page.feed(answer.content.decode())
    told = page.beside_fields or page.alerts
    return " ".join(dict.fromkeys(told))


class _Says(HTMLParser):
    VOID = ("input", "br", "meta", "link", "img", "hr")

    def __init__(self) -> None:
        super().__init__()
        self.inside: list[list[str]] = []  # an open element each: where its words go
        self.beside_fields: list[str] = []
        self.alerts: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag in self.VOID:
            return
        given = dict(attrs)
        if "errorlist" in (given.get("class") or ""):
            self.inside.append(self.beside_fields)
        elif given.get("role") == "alert":
            self.inside.append(self.alerts)
        elif self.inside:
            self.inside.append(self.inside[-1])

    def handle_endtag(self, tag: str) -> None:
        if self.inside and tag not in self.VOID:
            self.inside.pop()

    def handle_data(self, data: str) -> None:
        if self.inside and (words := " ".join(data.split())):
            self.inside[-1].append(words)
