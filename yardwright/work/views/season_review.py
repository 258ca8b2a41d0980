"""Season Review: what was left undone and caught, what was late, where the minutes went."""

from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from yardwright.work.season_review import DEEDS, FEWEST, review

MOST = 40


@login_required
@require_GET
def season_review(request: HttpRequest) -> HttpResponse:
    found = review()
    context = {
        "review": found,
        "late": [(one, DEEDS[one.deed]) for one in found.late[:MOST]],
        "late_more": max(len(found.late) - MOST, 0),
        "doubts": found.doubts[::-1][:MOST],
        "doubts_more": max(len(found.doubts) - MOST, 0),
        "fewest": FEWEST,
    }
    return render(request, "season_review.html", context)
