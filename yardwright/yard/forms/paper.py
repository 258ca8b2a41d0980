"""Which paper a sheet is printed on."""

from django import forms

from yardwright.papers.paper import Paper
from yardwright.yard.forms.fields import YardForm


class PaperForm(YardForm):
    paper = forms.ChoiceField(
        choices=[("A4", "A4"), ("Letter", "Letter")],
        required=False,
        error_messages={"invalid_choice": "Paper is A4 or Letter."},
    )

    def clean_paper(self) -> Paper:
        return Paper.LETTER if self.cleaned_data["paper"] == "Letter" else Paper.A4
