"""What a phone needs to open a page with no signal: the service worker and the home screen's icon."""

import json
from collections.abc import Mapping
from functools import cache
from hashlib import blake2b
from pathlib import Path

from django.contrib.staticfiles import finders
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.templatetags.static import static
from django.urls import reverse
from django.views.decorators.http import require_GET

from yardwright import PRODUCT
from yardwright.papers import marks
from yardwright.procedures.steps import shipped
from yardwright.procedures.verdict import Verdict
from yardwright.season import on_the_phone

PHONE = "phone"
SHELL = ("yardwright.css", "ahn.woff2", "page.js", "django_htmx/htmx-2.min.js")


@require_GET
def worker(_request: HttpRequest) -> HttpResponse:
    """The worker with the list of what it keeps; other content there makes it another worker."""
    names = _shell()
    lines = (
        f"const EDITION = {json.dumps(_edition(names))};",
        f"const SHELL = {json.dumps([*map(static, names), reverse('rules'), reverse('lessons')])};",
        _file(f"{PHONE}/worker.js").read_text(encoding="utf-8"),
    )
    answer = HttpResponse("\n".join(lines), content_type="text/javascript; charset=utf-8")
    answer["Service-Worker-Allowed"] = "/"
    answer["Cache-Control"] = "no-cache"
    return answer


@require_GET
def manifest(_request: HttpRequest) -> HttpResponse:
    """What the home screen shows, and where it leads."""
    icons = [
        {"src": static(f"{PHONE}/icon.svg"), "sizes": "any", "type": "image/svg+xml"},
        {"src": static(f"{PHONE}/icon-192.png"), "sizes": "192x192", "type": "image/png"},
        {"src": static(f"{PHONE}/icon-512.png"), "sizes": "512x512", "type": "image/png"},
    ]
    told = {
        "name": PRODUCT,
        "short_name": PRODUCT,
        "id": "/phone/",
        "start_url": "/phone/",
        "scope": "/",
        "display": "standalone",
        "background_color": "#ffffff",
        "theme_color": "#0a3f8f",
        "icons": icons,
    }
    return JsonResponse(told, content_type="application/manifest+json")


@require_GET
def rules(_request: HttpRequest) -> HttpResponse:
    """What a phone judges readings by, whosever boat it is."""
    return _told(_rules())


@require_GET
def lessons(_request: HttpRequest) -> HttpResponse:
    """How each step is done, why, and what can go wrong: a phone has it once for all boats."""
    return _told(_lessons())


def _told(told: str) -> HttpResponse:
    answer = HttpResponse(told, content_type="application/json; charset=utf-8")
    answer["Cache-Control"] = "no-cache"
    return answer


def ready() -> None:
    """Read all that the worker and the rules are made of: it takes a second, once."""
    _edition(_shell())


@cache
def _rules() -> str:
    drawn = {"marks": {word: marks.mark(word).svg for word in Verdict}}
    return _plain(on_the_phone.rules() | drawn)


@cache
def _lessons() -> str:
    return _plain({step.code: [step.how, step.why, step.goes_wrong] for step in shipped().steps})


def _plain(told: Mapping[str, object]) -> str:
    return json.dumps(told, ensure_ascii=False, separators=(",", ":"))


@cache
def _shell() -> tuple[str, ...]:
    beside = _file(f"{PHONE}/worker.js").parent
    own = sorted(path.name for path in beside.iterdir() if path.name != "worker.js")
    return (*SHELL, *(f"{PHONE}/{name}" for name in own))


def _edition(names: tuple[str, ...]) -> str:
    content = blake2b(digest_size=8)
    for name in (*names, f"{PHONE}/worker.js"):
        content.update(_file(name).read_bytes())
    content.update((_rules() + _lessons()).encode())
    return content.hexdigest()


def _file(name: str) -> Path:
    found = finders.find(name)
    if not isinstance(found, str):
        raise FileNotFoundError(f"There is no static file {name}.")
    return Path(found)
