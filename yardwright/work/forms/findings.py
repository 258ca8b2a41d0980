"""The door to a finding, and to what comes of it."""

from collections.abc import Iterable
from typing import Any

from django import forms

from yardwright.procedures.findings import Came, Finding
from yardwright.procedures.step import Step, Trade
from yardwright.season.model import Work
from yardwright.work.forms.entry import EntryForm, some_words

THERE, NOT_THERE = "there", "not there"
LONGEST_WORDS, LONGEST_WORK = 400, 80


class FindingForm(EntryForm):
    """What is found, or was looked for and is not there."""

    field_order = ("uuid", "made_at", "what", "there", "words", "done_at")

    what = forms.ChoiceField(
        label="What is it?",
        choices=[("", "choose it"), *((one.value, one.value) for one in Finding)],
        error_messages={"required": "Choose what it is; something else is on the list too."},
    )
    there = forms.ChoiceField(
        label="Is it there?",
        choices=[(THERE, "it is there"), (NOT_THERE, "I looked for it: it is not there")],
        initial=THERE,
    )
    words = forms.CharField(
        label="Where on her, and how does it look?",
        max_length=LONGEST_WORDS,
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        del self.fields["second"]
        self.fields["done_at"].label = "Found earlier? When"
        self.order_fields(self.field_order)

    def clean(self) -> None:
        given = self.cleaned_data
        if given.get("what") == Finding.OTHER and not given.get("words"):
            self.add_error("words", "Something else: say what you found, and where.")


class CameForm(EntryForm):
    """What comes of it: work with its minutes, a step of hers, or nothing more."""

    field_order = (
        "uuid",
        "made_at",
        "way",
        "words",
        "trade",
        "minutes",
        "part",
        "step",
        "done_at",
    )

    way = forms.ChoiceField(
        label="What comes of it?",
        choices=[("", "choose it"), *((one.value, one.value) for one in Came)],
        error_messages={"required": "Choose what comes of it."},
    )
    words = some_words(
        "What is to be done, or why nothing?", help_text="Short: it is the name of the work."
    )
    trade = forms.ChoiceField(
        label="Whose work", choices=[(one.value, one.value) for one in Trade], required=False
    )
    minutes = forms.IntegerField(label="Minutes", min_value=1, max_value=4800, required=False)
    part = some_words("Part it needs", help_text="Not ordered by this. Empty: none.")
    step = forms.ChoiceField(label="Which step?", required=False)

    def __init__(self, steps: Iterable[Step], *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        del self.fields["second"]
        choices = [("", "none"), *((one.code, one.title) for one in steps)]
        self.fields["step"].choices = choices  # type: ignore[attr-defined]  # a choice
        self.order_fields(self.field_order)

    def clean(self) -> None:
        given = self.cleaned_data
        way = given.get("way")
        if way == Came.STEP:
            if not given.get("step"):
                self.add_error("step", "Which of her steps sees to it?")
        elif way and not given.get("words"):
            self.add_error("words", "Say it in a few words.")
        elif way and len(given["words"]) > LONGEST_WORK:
            self.add_error("words", f"At most {LONGEST_WORK} letters: it names the work.")
        if way and Came(way).is_work and not given.get("minutes"):
            self.add_error("minutes", "About how many minutes? A plan needs them.")

    @property
    def comes(self) -> Came:
        return Came(self.cleaned_data["way"])

    @property
    def says(self) -> str:
        """The work, the step's code, or why nothing."""
        given = self.cleaned_data
        return str(given["step"] if self.comes == Came.STEP else given["words"])

    def work(self) -> Work | None:
        given = self.cleaned_data
        if not self.comes.is_work:
            return None
        return Work(
            what=given["words"],
            trade=given["trade"] or Trade.MECHANIC,
            minutes=given["minutes"],
            part=given["part"],
            needs_yes=self.comes == Came.OFFER,
        )
