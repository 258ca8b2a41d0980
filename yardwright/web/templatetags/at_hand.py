"""The forms of the page at hand: what each carries for a phone that keeps its entry."""

from collections.abc import Iterable
from typing import cast

from django import template
from django.forms import BoundField, Select
from django.template import Context
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString

from yardwright.work import words
from yardwright.work.forms.entry import LONGEST
from yardwright.work.models import Fact

register = template.Library()
REQUIRED, SELECTED = SafeString(" required"), SafeString(" selected")
WATCHED = SafeString(" data-watched")


@register.simple_tag(takes_context=True)
def entry(
    context: Context, to: str, words: str = "", quantity: str = "", *, watched: bool = False
) -> SafeString:
    """Begin a form for one entry: its own number on this page, and the words of its waiting row."""
    more = format_html(' data-quantity="{}"', quantity) if quantity else ""
    more += WATCHED if watched else SafeString("")  # with a plain text it were escaped once more
    once = f"{'&' if '?' in to else '?'}once={next(context['numbers'])}"
    says = '<form method="post" action="{}" data-entry="{}"{}>'
    return format_html(says, to + once, words, more)


@register.simple_tag
def asked(field: BoundField) -> SafeString:
    """One field of a form, short: its label around it."""
    name, of = field.html_name, field.field
    helps = format_html(' <span class="help">{}</span>', of.help_text) if of.help_text else ""
    must = REQUIRED if of.required else ""
    if not isinstance(of.widget, Select):
        says = '<label>{}{}<input name="{}" maxlength="{}"{}></label>'
        return format_html(says, field.label, helps, name, LONGEST, must)
    chosen = str(field.initial or "")
    choices = cast("Iterable[tuple[object, str]]", of.widget.choices)
    options = format_html_join("", "<option{}{}>{}", (_option(*one, chosen) for one in choices))
    says = '<label>{}{}<select name="{}"{}>{}</select></label>'
    return format_html(says, field.label, helps, name, must, options)


def _option(value: object, says: str, chosen: str) -> tuple[SafeString, SafeString | str, str]:
    """Its words are its value, where they are the same."""
    plain = value == " ".join(says.split())
    named = SafeString("") if plain else format_html(' value="{}"', value)
    return named, SELECTED if value == chosen else "", says


@register.simple_tag
def watched(watchers: Iterable[tuple[object, str]]) -> SafeString:
    options = format_html_join("", '<option value="{}">{}', watchers)
    return format_html(
        '<label>Who is watching you<select name="second">{}</select></label>', options
    )


@register.filter
def told(fact: Fact) -> str:
    return words.told(fact)


@register.filter
def full_stop(says: str) -> str:
    return words.full_stop(says)
