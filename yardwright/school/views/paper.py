"""A sheet of the school as a page to print."""

from django.http import HttpRequest, HttpResponse

from yardwright.papers.day_sheet import DaySheet, day_sheet
from yardwright.papers.paper import MissingLetterError
from yardwright.yard.asked import REFUSES, WRONG
from yardwright.yard.forms.paper import PaperForm


def printed(request: HttpRequest, sheet: DaySheet, name: str) -> HttpResponse:
    """The sheet as PDF, on the paper that is asked for."""
    form = PaperForm(request.GET)
    if not form.is_valid():
        return HttpResponse(form.errors["paper"][0], status=WRONG, content_type="text/plain")
    try:
        pdf = day_sheet(sheet, form.cleaned_data["paper"])
    except MissingLetterError as error:
        return HttpResponse(str(error), status=REFUSES, content_type="text/plain")
    inline = {"Content-Disposition": f'inline; filename="{name}.pdf"'}
    return HttpResponse(pdf, content_type="application/pdf", headers=inline)
