"""The door to what is left undone, and to putting it back."""

from django import forms

from yardwright.papers.paper import Paper
from yardwright.procedures.put_backs import Harm
from yardwright.work.forms.entry import EntryForm, some_words


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


class LeftForm(forms.Form):
    """Which of the things left undone; what is not on the list is left aside."""

    harm = forms.ChoiceField(choices=[(one.value, one.value) for one in Harm], required=False)
    by = forms.ChoiceField(choices=[("thing", "thing"), ("boat", "boat")], required=False)
    page = forms.IntegerField(min_value=1, required=False)


class PaperForm(forms.Form):
    paper = forms.ChoiceField(
        choices=[("A4", "A4"), ("Letter", "Letter")],
        required=False,
        error_messages={"invalid_choice": "Paper is A4 or Letter."},
    )

    def clean_paper(self) -> Paper:
        return Paper.LETTER if self.cleaned_data["paper"] == "Letter" else Paper.A4
