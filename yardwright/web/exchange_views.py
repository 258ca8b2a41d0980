"""The season file: the whole yard out as one file, and into an empty yard."""

from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET

from yardwright.fleet.models import Boat
from yardwright.season.read import BadSeason
from yardwright.season.write import write
from yardwright.work import exchange
from yardwright.yard import clock
from yardwright.yard.asked import REFUSES, WRONG, form_page, who
from yardwright.yard.forms.fields import Upload, YardForm
from yardwright.yard.refused import Refused
from yardwright.yard.rights import may, need
from yardwright.yard.services import MANAGES

LARGEST_BYTES = 10_000_000
SHOWN = 100


class SeasonFileForm(YardForm):
    season_file = Upload(
        LARGEST_BYTES,
        ".toml",
        label="Season file",
        help_text="TOML, as it was sent out of a yard, or written by hand; at most 10 MB.",
    )


@login_required
@form_page
def season_file(request: HttpRequest) -> HttpResponse:
    if request.method == "GET":
        return _page(request, SeasonFileForm())
    form = SeasonFileForm(request.POST, request.FILES)
    if not form.is_valid():
        return _page(request, form, status=WRONG)
    sent = form.cleaned_data["season_file"]
    try:
        exchange.bring(who(request), sent.name, sent.read())
    except BadSeason as bad:
        return _page(request, form, bad.sentences, status=WRONG)
    except Refused as refused:
        return _page(request, form, (str(refused),), status=REFUSES)
    return redirect("morning-sheet")


def _page(
    request: HttpRequest, form: SeasonFileForm, wrong: tuple[str, ...] = (), status: int = 200
) -> HttpResponse:
    context = {
        "form": form,
        "wrong": wrong[:SHOWN],
        "more": max(0, len(wrong) - SHOWN),
        "boats": Boat.objects.count(),
        "may_settle": may(who(request), MANAGES),
    }
    return render(request, "season_file.html", context, status=status)


@login_required
@require_GET
def season_file_out(request: HttpRequest) -> HttpResponse:
    try:
        need(who(request), MANAGES)  # it holds every owner's telephone number
        text = write(exchange.the_season())
    except Refused as refused:
        return _page(request, SeasonFileForm(), (str(refused),), status=REFUSES)
    response = HttpResponse(text, content_type="application/toml; charset=utf-8")
    name = f"season-{clock.today():%Y-%m-%d}.toml"
    response["Content-Disposition"] = f'attachment; filename="{name}"'
    return response
