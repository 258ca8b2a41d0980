"""Nothing typed is lost: a form sent after a log-out comes back after logging in, field by field."""

import json
from collections.abc import Callable

from django.contrib.auth.views import LoginView
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme

Answer = Callable[[HttpRequest], HttpResponse]
Fields = list[tuple[str, str]]
OURS = ("csrfmiddlewaretoken", "username", "password", "next", "kept", "then")


def typed(request: HttpRequest) -> Fields:
    return [
        (name, str(value))
        for name, values in request.POST.lists()
        if name not in OURS
        for value in values
    ]


def logged_out_post(answer: Answer) -> Answer:
    """Keep what a logged-out person sent; say what was taken, so that the page drops its draft."""

    def middleware(request: HttpRequest) -> HttpResponse:
        own = (reverse("sign-in"), reverse("sign-out"))
        if request.method != "POST" or request.path in own:
            return answer(request)
        if not request.user.is_authenticated:
            kept = {"kept": json.dumps(typed(request)), "then": request.path}
            return render(request, "sign_in.html", kept, status=401)
        response = answer(request)
        if response.status_code < 400:
            response.set_cookie("taken", request.path, max_age=60, samesite="Strict")
        return response

    return middleware


class SignIn(LoginView):
    """Log in; with something kept, show it again and offer to send it."""

    template_name = "sign_in.html"

    def form_valid(self, form: object) -> HttpResponse:
        response = super().form_valid(form)  # type: ignore[arg-type]  # Django's own form
        kept, then = self.request.POST.get("kept"), self.request.POST.get("then", "")
        if not kept or not url_has_allowed_host_and_scheme(then, self.request.get_host()):
            return HttpResponseRedirect(response.headers["Location"])
        return render(self.request, "kept.html", {"fields": json.loads(kept), "then": then})

    def get_context_data(self, **context: object) -> dict[str, object]:
        again = {name: self.request.POST.get(name, "") for name in ("kept", "then")}
        return super().get_context_data(**again | context)
