"""How a phone reaches the yard: the page that says so, and what gives it the yard's authority."""

from http import HTTPStatus
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from threading import Thread

from django.conf import settings
from django.contrib.auth.decorators import login_required
from django.contrib.staticfiles import finders
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.template.loader import render_to_string
from django.utils.safestring import mark_safe
from django.views.decorators.http import require_GET

from yardwright.papers.paper import square_code
from yardwright.web import authority

PATIENCE_S = 10  # whoever connects and asks nothing is let go


@login_required
@require_GET
def phones(request: HttpRequest) -> HttpResponse:
    """What is there now, and both ways to an address that a phone trusts."""
    giver = settings.GIVES_AUTHORITY_AT
    context = {
        "secure": request.is_secure(),
        "own_authority": bool(giver),
        "giver": giver,
        "code": mark_safe(square_code(giver)) if giver else "",  # noqa: S308  # our own drawing
        "fingerprint": authority.fingerprint(settings.HOME) if giver else "",
    }
    return render(request, "phones.html", context)


def give_authority(home: Path, address: str, port: int, open_at: str) -> ThreadingHTTPServer:
    """Hand the authority's certificate to phones over plain http, beside the server.

    It gives the certificate, which is no secret, and the page that says how to check it; nothing
    else of the yard can be reached so.
    """
    css = Path(str(finders.find("yardwright.css"))).read_text(encoding="utf-8")
    context = {
        "css": mark_safe(css),  # noqa: S308  # our own file
        "open_at": open_at,
    }
    page = render_to_string("authority.html", context).encode()
    certificate = authority.authority_of(home).certificate.read_bytes()
    gives = {
        "/": ("text/html; charset=utf-8", page),
        "/authority.crt": ("application/x-x509-ca-cert", certificate),
    }

    class Gives(BaseHTTPRequestHandler):
        timeout = PATIENCE_S

        def do_GET(self) -> None:
            kind, content = gives.get(self.path, ("text/plain", b"Nothing here.\n"))
            found = self.path in gives
            self.send_response(HTTPStatus.OK if found else HTTPStatus.NOT_FOUND)
            self.send_header("Content-Type", kind)
            self.send_header("Content-Length", str(len(content)))
            self.end_headers()
            self.wfile.write(content)

        def log_message(self, *_: object) -> None:
            """Who fetched it is nobody's business."""

    server = ThreadingHTTPServer((address, port), Gives)
    server.daemon_threads = True
    Thread(target=server.serve_forever, daemon=True).start()
    return server
