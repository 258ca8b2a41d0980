"""How a state and a time are said on a page."""

from datetime import date

from django import template
from django.utils.html import format_html
from django.utils.safestring import SafeString, mark_safe

from yardwright.papers import marks

register = template.Library()


@register.simple_tag
def state(word: str) -> SafeString:
    """A verdict or an answer: its shape, then the word itself. Red only for what must not be."""
    stop = marks.shape_of(word) == marks.Shape.SQUARE
    shape = mark_safe(marks.mark(word).svg)  # noqa: S308  # our own drawing
    return format_html('<span class="mark{}">{}{}</span>', " stop" if stop else "", shape, word)


@register.filter(expects_localtime=True)  # else a late evening becomes the next day
def day(when: date | str | None) -> str:
    """As the yard says it: Tue 6 May."""
    if isinstance(when, str):
        when = date.fromisoformat(when)
    return f"{when:%a} {when.day} {when:%b}" if when else "–"
