"""The forms of the page at hand: what each carries for a phone that keeps its entry."""

from collections.abc import Iterable
from typing import cast
from uuid import uuid4

from django import template
from django.forms import BoundField, ChoiceField
from django.template.context import Context
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString

from yardwright.work import words
from yardwright.work.forms.entry import LONGEST
from yardwright.work.models import Fact

register = template.Library()
REQUIRED, SELECTED = SafeString(" required"), SafeString(" selected")


@register.simple_tag(takes_context=True)
def entry(
    context: Context, to: str, boat: str, what: str, deed: str, quantity: str = ""
) -> SafeString:
    """Begin a form for one entry, with its own UUID and the words of its waiting row.

    Its first button can't be tapped, so that Enter in a field sends nothing: only a tap does.
    """
    reading = format_html(' data-quantity="{}"', quantity) if quantity else ""
    return format_html(
        '<form class="fields" method="post" action="{}" data-entry data-words="{}: {}"'
        ' data-person="{}"{}><input type="hidden" name="csrfmiddlewaretoken" value="{}">'
        '<input type="hidden" name="uuid" value="{}"><button disabled hidden></button>',
        to,
        boat,
        f"{what} {deed}".strip(),
        context["person"].pk,
        reading,
        context["csrf_token"],
        uuid4(),
    )


@register.simple_tag
def earlier(asks: str = "Done earlier?") -> SafeString:
    """When it was done, where that is not now: folded."""
    return format_html(
        "<details><summary>{}</summary><label>When"
        '<input type="datetime-local" name="done_at"></label></details>',
        asks,
    )


@register.simple_tag
def doubt(name: str, value: str, asks: str, does: str, boat: str, what: str) -> SafeString:
    """The other answer, folded: what was seen, and its button."""
    return format_html(
        '<details><summary class="btn tap">{}</summary><label>What did you see?'
        '<input name="words" maxlength="{}"></label><button class="tap" name="{}" value="{}"'
        ' data-words="{}: {} does not hold">{}</button></details>',
        asks,
        LONGEST,
        name,
        value,
        boat,
        what,
        does,
    )


@register.simple_tag
def asked(field: BoundField) -> SafeString:
    """One field of a form, short: its label around it."""
    name, of = field.html_name, field.field
    helps = format_html(' <span class="help">{}</span>', of.help_text) if of.help_text else ""
    must = REQUIRED if of.required else ""
    if not isinstance(of, ChoiceField):
        says = '<label>{}{}<input name="{}" maxlength="{}"{}></label>'
        return format_html(says, field.label, helps, name, LONGEST, must)
    chosen = str(field.initial or "")
    choices = cast("Iterable[tuple[object, str]]", of.choices)
    options = format_html_join(
        "",
        '<option value="{}"{}>{}',
        ((value, SELECTED if value == chosen else "", says) for value, says in choices),
    )
    says = '<label>{}{}<select name="{}"{}>{}</select></label>'
    return format_html(says, field.label, helps, name, must, options)


@register.simple_tag
def watched(watchers: Iterable[tuple[object, str]]) -> SafeString:
    options = format_html_join("", '<option value="{}">{}', watchers)
    return format_html(
        '<label>Who is watching you<select name="second">{}</select></label>', options
    )


@register.filter
def told(fact: Fact) -> str:
    return words.told(fact)
