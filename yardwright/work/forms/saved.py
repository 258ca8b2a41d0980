"""The door to what is saved from frost for a night."""

from django import forms

from yardwright.season.freeze import PLACES
from yardwright.work.forms.entry import EntryForm


class SavedForm(EntryForm):
    """One place in a boat."""

    field_order = ("uuid", "made_at", "where", "second", "done_at")
    where = forms.ChoiceField(
        choices=[(one, one) for one in PLACES],
        error_messages={"required": "Which place? Tap the button beside it."},
    )
