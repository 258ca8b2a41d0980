"""The door to looks, and to what made them lapse."""

from typing import Any

from django import forms

from yardwright.procedures.ways_in import Barrier, Disturbance
from yardwright.work.forms.entry import EntryForm, some_words


class LookForm(EntryForm):
    holds = forms.TypedChoiceField(
        choices=[("yes", "It holds"), ("no", "It does not")], coerce=lambda typed: typed == "yes"
    )
    words = some_words("What did you see?")


class SinceForm(EntryForm):
    """What happened to her since she was last looked at."""

    field_order = ("uuid", "made_at", "by_what", "fitting", "done_at")
    by_what = forms.ChoiceField(
        label="What happened?",
        choices=[(one.value, str(one).capitalize()) for one in Disturbance],
        widget=forms.RadioSelect,
        error_messages={"required": "Choose what happened."},
    )

    def __init__(self, ways: tuple[Barrier, ...], *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        del self.fields["second"]
        choices = [("", "the whole boat"), *((way.name, way.name) for way in ways)]
        self.fields["fitting"] = forms.ChoiceField(
            label="Where?", choices=choices, required=False, help_text="Work: at which fitting."
        )
        self.fields["done_at"].label = "When? Empty: now"
        self.order_fields(self.field_order)
