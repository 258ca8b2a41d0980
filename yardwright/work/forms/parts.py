"""The door to what is said of a part."""

from yardwright.work.facts import Entry
from yardwright.work.forms.entry import Moment
from yardwright.yard import clock
from yardwright.yard.forms.fields import OnceForm
from yardwright.yard.models import Person


class CameInForm(OnceForm):
    """It came: now, or earlier."""

    came = Moment(label="When", required=False, help_text="Empty: now.")

    def entry(self, by: Person) -> Entry:
        given = self.cleaned_data
        return Entry(given["uuid"], by, given["came"] or clock.now())
