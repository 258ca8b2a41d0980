"""The server's way in. All that the first page would wait for is read before any is asked for."""

import os

from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "yardwright.web.settings")
application = get_wsgi_application()


def _read_all() -> None:
    from django.template.loader import get_template
    from django.urls import get_resolver

    _ = get_resolver().url_patterns
    from yardwright.procedures.steps import book
    from yardwright.web import shell

    book()
    shell.ready()
    for page in ("sign_in.html", "at_hand.html", "phone.html", "morning_sheet.html", "boat.html"):
        get_template(page)


_read_all()
