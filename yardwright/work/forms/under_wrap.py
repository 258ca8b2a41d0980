"""The door to the under-wrap card: one thing under the wrap, and that somebody has read it."""

from typing import Any

from django import forms

from yardwright.procedures.under_wrap import Mark, Sort, Spot, Zone
from yardwright.work.forms.entry import EntryForm, some_words

LONGEST_WHAT = 80


class MarkForm(EntryForm):
    """A zone is always said; a tap on the sketch says the spot beside it."""

    field_order = ("uuid", "made_at", "along", "across", "what", "sort", "zone", "goes", "done_at")

    along = forms.FloatField(widget=forms.HiddenInput, required=False, min_value=0, max_value=1)
    across = forms.FloatField(widget=forms.HiddenInput, required=False, min_value=-1, max_value=1)
    what = forms.CharField(
        label="What lies there?",
        max_length=LONGEST_WHAT,
        help_text="Such as: rod holder, canvas edge, bait box 2, line along the toe rail.",
        error_messages={"required": "Say what lies there, or for a cut: along what."},
    )
    sort = forms.ChoiceField(
        label="It is",
        choices=[("", "choose it"), *((one.value, one.value.capitalize()) for one in Sort)],
        error_messages={"required": "Choose what it does to a blade."},
    )
    zone = forms.ChoiceField(
        label="Where on her?",
        choices=[("", "tap on the sketch, or choose"), *((one.value, one.value) for one in Zone)],
        error_messages={"required": "Tap on the sketch, or choose the part of the boat."},
    )
    goes = some_words(
        "Where does it go when the wrap is off?",
        help_text="Strap, buckle, pole, vent: its shelf, bag or bin.",
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        del self.fields["second"]
        self.fields["done_at"].label = "Drawn earlier? When"
        self.order_fields(self.field_order)

    def clean(self) -> None:
        if {"along", "across"} & set(self.errors):
            raise forms.ValidationError("That tap was beside her. Tap on the boat once more.")

    def mark(self) -> Mark:
        given = self.cleaned_data
        along, across = given["along"], given["across"]
        return Mark(
            number=0,  # its place on the card says it
            what=given["what"],
            sort=Sort(given["sort"]),
            zone=Zone(given["zone"]),
            spot=None if along is None or across is None else Spot(along, across),
            goes=given["goes"],
        )


class CardReadForm(EntryForm):
    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        del self.fields["second"]
