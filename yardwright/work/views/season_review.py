"""Season Review: what was left undone and caught, what was late, where the minutes went."""

from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_GET

from yardwright.papers.day_sheet import Column, DaySheet, Section
from yardwright.papers.day_sheet import Kind as Holds
from yardwright.work.season_review import DEEDS, FEWEST, Late, Review, review
from yardwright.yard import clock
from yardwright.yard.asked import printed

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


@login_required
@require_GET
def season_review_paper(request: HttpRequest) -> HttpResponse:
    return printed(
        request,
        _sheet(review(), request.build_absolute_uri(reverse("season-review"))),
        "season-review",
    )


WORDS = (Column("", wide=1),)
COUNTS = (Column("", Holds.NAME, 2), Column("", Holds.NUMBER, 1))
LATE = (
    Column("what", Holds.NAME, 2),
    Column("boat", wide=1),
    Column("before", wide=0.7),
    Column("proven back", wide=1),
)


def _sheet(found: Review, address: str) -> DaySheet:
    """The review on paper, to talk over with the crew."""
    proofs = [(proof.capitalize(), str(n)) for proof, n in found.by_proof]
    if found.by_second:
        proofs.append(("A second pair of eyes too", str(found.by_second)))
    doubts = [
        (f"{one.of.what} on {one.boat}: {one.body['words']}",) for one in found.doubts if one.of
    ]
    return DaySheet(
        yard=clock.the_yard().name,
        title="Season Review",
        day=clock.today(),
        say=found.sentence,
        sections=(
            Section("What to change", columns=WORDS, rows=tuple((one,) for one in found.to_change)),
            Section("Caught by which check", columns=COUNTS, rows=tuple(proofs)),
            Section("Tried, and it did not hold", columns=WORDS, rows=tuple(doubts), empty="None."),
            Section("Late", columns=LATE, rows=tuple(map(_late_row, found.late)), empty="None."),
            Section(
                "Lapsed",
                "earlier looks, and on how many boats",
                columns=COUNTS,
                rows=tuple((what.capitalize(), str(n)) for what, n in found.lapsed),
                empty="None.",
            ),
            Section(
                "Where minutes differ",
                columns=WORDS,
                rows=tuple((one.sentence,) for one in found.took),
                empty="Not known: no step was done often enough to say.",
            ),
        ),
        address=address,
    )


def _late_row(one: Late) -> tuple[str, str, str, str]:
    zone = clock.zone()
    closed = f"{one.closed_at.astimezone(zone):%d %b %H:%M}" if one.closed_at else "still open"
    return one.undone.what, str(one.undone.boat), DEEDS[one.deed], closed
