"""The door to a note: words about a boat, or about a thing on her."""

from collections.abc import Iterable
from typing import Any

from django import forms

from yardwright.work.forms.entry import EntryForm

LONGEST_NOTE, LONGEST_ABOUT = 1000, 120


class NoteForm(EntryForm):
    """The things are offered; one that is no longer among them when the note comes in still counts."""

    field_order = ("uuid", "made_at", "words", "about", "done_at")

    words = forms.CharField(
        label="Note",
        max_length=LONGEST_NOTE,
        widget=forms.Textarea(attrs={"rows": 3}),
        error_messages={"required": "Nothing is written. Write what the next one must know."},
    )
    about = forms.CharField(label="About", max_length=LONGEST_ABOUT, required=False)

    def __init__(self, things: Iterable[str], *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        del self.fields["second"]
        self.fields["done_at"].label = "Seen earlier? When"
        choices = [("", "the whole boat"), *((thing, thing) for thing in dict.fromkeys(things))]
        self.fields["about"].widget = forms.Select(choices=choices)
        self.order_fields(self.field_order)
