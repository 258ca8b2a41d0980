"""The door to a hose run: its lines as a phone or a hand wrote them, and the sheet beside."""

from typing import Any

from django import forms

from yardwright.procedures.hose_run import HOW, HoseRun, read_run
from yardwright.work.forms.entry import EntryForm, some_words

LONGEST_RUN = 200_000
TRIED = [("", "not tried"), ("yes", "tried, as it should be"), ("no", "not as it should be")]
SHEET = ("drips", "leaks", "charge", "steering", "shift", "plugs")


class HoseRunForm(EntryForm):
    """What was read and answered, line for line; then what was looked at while she ran and after."""

    field_order = ("uuid", "made_at", "run", *SHEET, "second", "done_at")

    run = forms.CharField(
        label="The run, a line for each thing",
        max_length=LONGEST_RUN,
        widget=forms.Textarea(attrs={"rows": 8}),
        help_text=HOW,
        error_messages={"required": "Nothing of the run is written."},
    )
    drips = some_words("Drips under her, and where", help_text="Water, oil, fuel: or none.")
    leaks = some_words("Leaks at hoses, caps and exhaust", help_text="Or none.")
    charge = some_words("Charge at the battery", help_text="Such as 14.2 V at a fast idle.")
    steering = forms.ChoiceField(label="Steering, stop to stop", choices=TRIED, required=False)
    shift = forms.ChoiceField(
        label="Shift: in, neutral, astern",
        choices=TRIED,
        required=False,
        help_text="On a hose only as the maker's manual says; without one: propeller off, or no gear.",
    )
    plugs = some_words("Plugs and screws, with their torque", help_text="From her page: 28 N·m.")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["second"].label = "Who stood beside you"
        self.order_fields(self.field_order)

    def clean_run(self) -> HoseRun:
        try:
            return read_run(self.cleaned_data["run"])
        except ValueError as error:
            raise forms.ValidationError(str(error)) from error

    def sheet(self) -> dict[str, str]:
        """What was looked at; what is empty was not."""
        return {name: said for name in SHEET if (said := self.cleaned_data[name])}
