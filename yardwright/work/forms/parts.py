"""The door to what is said of a part."""

from django import forms

from yardwright.work.facts import Entry
from yardwright.work.forms.entry import Moment
from yardwright.yard import clock
from yardwright.yard.forms.fields import OnceForm
from yardwright.yard.models import Person


class CameInForm(OnceForm):
    """It came: now, or earlier."""

    made_at = Moment(widget=forms.HiddenInput, required=False)  # by a phone that kept the entry
    done_at = Moment(label="When", required=False, help_text="Empty: now.")

    def entry(self, by: Person) -> Entry:
        given = self.cleaned_data
        done_at = given["done_at"] or given.get("made_at") or clock.now()
        return Entry(given["uuid"], by, done_at)
