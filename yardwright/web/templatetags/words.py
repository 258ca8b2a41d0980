"""How a state and a time are said on a page."""

from datetime import date
from itertools import chain

from django import template
from django.urls import reverse
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString, mark_safe

from yardwright.papers import marks
from yardwright.procedures.quantities import Quantity
from yardwright.sums import sums_for
from yardwright.work import words
from yardwright.work.models import Fact

register = template.Library()


@register.simple_tag
def state(word: str) -> SafeString:
    """A verdict or an answer: its shape, then the word itself. Red only for what must not be."""
    stop = marks.shape_of(word) == marks.Shape.SQUARE
    shape = mark_safe(marks.mark(word).svg)  # noqa: S308  # our own drawing
    return format_html('<span class="mark{}">{}{}</span>', " stop" if stop else "", shape, word)


@register.simple_tag
def work_it_out(quantity: str) -> SafeString:
    """Links to the sums that help with a reading; nothing where none does."""
    links = format_html_join(
        " · ",
        '<a class="tap-link" href="{}">{}</a>',
        ((reverse("sum", args=[one.name]), one.title) for one in sums_for(quantity)),
    )
    return format_html('<p class="ev">Work it out: {}</p>', links) if links else links


@register.simple_tag
def mind(quantity: str) -> SafeString:
    """The caution of a reading, as its first sum has it; nothing where no sum helps with it."""
    caution = next((one.caution for one in sums_for(quantity)), "")
    return (
        format_html('<p class="do-not"><b>Mind:</b> {}</p>', caution) if caution else SafeString("")
    )


@register.simple_tag
def from_memory(of: Quantity) -> SafeString:
    """What a verdict on this reading rests on and nobody has read yet; nothing where all was."""
    asked = ((one.least, one.most, one.otherwise) for one in of.conditions)
    rows = (of.twin, of.others, of.spread, of.years, of.method_u, *of.usual, *chain(*asked))
    unread = [row.source for row in rows if row is not None and row.trust == "from memory"]
    if not unread:
        return SafeString("")
    says = '<p class="ev">From memory, nobody has read the page yet: {}.</p>'
    return format_html(says, "; ".join(unread))


@register.filter(expects_localtime=True)  # else a late evening becomes the next day
def day(when: date | str | None) -> str:
    """As the yard says it: Tue 6 May."""
    if isinstance(when, str):
        when = date.fromisoformat(when)
    return f"{when:%a} {when.day} {when:%b}" if when else "–"


@register.filter
def alt(photo: Fact) -> str:
    """A photo in words."""
    return words.photo(photo)


@register.filter
def share(of_one: float) -> str:
    """A share in percent, on one line."""
    return f"{of_one * 100:.0f}\N{NO-BREAK SPACE}%"
