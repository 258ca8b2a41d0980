"""Nothing typed is lost: a form sent after a log-out comes back after logging in, field by field."""

import json
from collections.abc import Callable
from urllib.parse import urlsplit

from django.contrib.auth.views import LoginView
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect, JsonResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme

Answer = Callable[[HttpRequest], HttpResponse]
Fields = list[tuple[str, str]]
OURS = ("csrfmiddlewaretoken", "username", "next", "kept", "then")


def _fields(request: HttpRequest) -> Fields:
    """What was typed; a password is never sent back."""
    return [
        (name, str(value))
        for name, values in request.POST.lists()
        if name not in OURS and "password" not in name
        for value in values
    ]


def logged_out_post(answer: Answer) -> Answer:
    """Keep what a logged-out person sent; say what was taken, so that the page drops its draft."""

    def middleware(request: HttpRequest) -> HttpResponse:
        own = (reverse("sign-in"), reverse("sign-out"))
        part = "HX-Request" in request.headers  # else the log-in page stands inside the page
        is_json = request.content_type == "application/json"
        is_script = is_json or request.path.startswith("/phone/")  # no page's form, so no draft
        if request.path in own or not (request.method == "POST" or part):
            return answer(request)
        if not request.user.is_authenticated and is_ours(request):
            if is_script:  # a phone keeps its own entries and photos
                return JsonResponse({"says": "Log in to send what waits."}, status=401)
            kept = {"kept": json.dumps(_fields(request)), "then": request.get_full_path()}
            return render(request, "sign_in.html", kept, status=401)
        response = answer(request)
        if request.method == "POST" and not is_script and response.status_code < 400:
            response.set_cookie("taken", request.path, max_age=60, samesite="Strict")
        return response

    return middleware


def is_ours(request: HttpRequest) -> bool:
    """Another site's form is no form of ours: nothing of it is kept."""
    origin = request.headers.get("Origin")
    return origin is None or urlsplit(origin).netloc == request.get_host()


def _read(kept: str) -> Fields:
    """The fields as this page wrote them; of anything else none."""
    try:
        return [(str(name), str(value)) for name, value in json.loads(kept)]
    except (TypeError, ValueError):
        return []


class SignIn(LoginView):
    """Log in; with something kept, show it again and offer to send it."""

    template_name = "sign_in.html"

    def form_valid(self, form: object) -> HttpResponse:
        response = super().form_valid(form)  # type: ignore[arg-type]  # Django's own form
        kept, then = _read(self.request.POST.get("kept", "")), self.request.POST.get("then", "")
        if not kept or not url_has_allowed_host_and_scheme(then, self.request.get_host()):
            return HttpResponseRedirect(response.headers["Location"])
        return render(self.request, "kept.html", {"fields": kept, "then": then})

    def get_context_data(self, **context: object) -> dict[str, object]:
        again = {name: self.request.POST.get(name, "") for name in ("kept", "then")}
        return super().get_context_data(**again | context)
