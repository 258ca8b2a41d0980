"""The door to what is left undone, and to putting it back."""

from typing import Any

from django import forms

from yardwright.procedures.put_backs import Harm
from yardwright.procedures.step import Has, PutBackKind, Season
from yardwright.procedures.steps import book, steps_for
from yardwright.work.forms.entry import EntryForm, some_words
from yardwright.yard.forms.fields import YardForm


class UndoneForm(EntryForm):
    """It holds, it does not, or it stays open with a name to it."""

    HOLDS, DOES_NOT, SIGN_OFF = "holds", "does not hold", "sign off"
    deed = forms.ChoiceField(
        choices=[(one, one) for one in (HOLDS, DOES_NOT, SIGN_OFF)],
        error_messages={
            "invalid_choice": "Which button? Load the page again and tap one.",
            "required": "Which button? Load the page again and tap one.",
        },
    )
    words = some_words("What did you see?")
    how = some_words("How is it made safe?")


class FoundForm(EntryForm):
    """Something that nobody wrote down is found undone; its kind says what it can do."""

    field_order = ("uuid", "made_at", "kind", "fitting", "lies", "done_at")

    def __init__(
        self, has: frozenset[Has], ways: tuple[str, ...], *args: Any, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        del self.fields["second"]
        hers = {code for season in Season for step in steps_for(has, season) for code in step.opens}
        kinds = sorted((book().kinds[code] for code in hers), key=_what)
        choices = [("", "choose it"), *((kind.code, kind.what) for kind in kinds)]
        self.fields["kind"] = forms.ChoiceField(
            label="What is undone?",
            choices=choices,
            error_messages={"required": "Choose what is undone."},
        )
        self.fields["fitting"] = forms.ChoiceField(
            label="Which way in stands open?",
            choices=[("", "none"), *((way, way) for way in ways)],
            required=False,
        )
        self.fields["lies"] = some_words("Where does the part lie?")
        self.fields["done_at"].label = "Found earlier? When"
        self.order_fields(self.field_order)

    @property
    def kind(self) -> PutBackKind:
        return book().kinds[self.cleaned_data["kind"]]


def _what(kind: PutBackKind) -> str:
    return kind.what


class LeftForm(YardForm):
    """Which of the things left undone; what is not on the list is left aside."""

    harm = forms.ChoiceField(choices=[(one.value, one.value) for one in Harm], required=False)
    by = forms.ChoiceField(choices=[("thing", "thing"), ("boat", "boat")], required=False)
    page = forms.IntegerField(min_value=1, required=False)
