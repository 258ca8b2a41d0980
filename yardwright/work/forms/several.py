"""The door to one step done on several boats."""

from collections.abc import Sequence
from typing import Any

from django import forms

from yardwright.fleet.models import Boat
from yardwright.procedures.step import Step
from yardwright.work.forms.steps import StepForm


class SeveralForm(StepForm):
    """A step, and the boats that it was done on; where parts lie is one place for all of them."""

    def __init__(self, step: Step, boats: Sequence[Boat], *args: Any, **kwargs: Any) -> None:
        super().__init__(step, (), *args, **kwargs)
        del self.fields["took_min"]  # of one boat
        self.fields["boats"] = forms.ModelMultipleChoiceField(
            Boat.objects.filter(pk__in=[boat.pk for boat in boats]).order_by("name"),
            label="Done on",
            widget=forms.CheckboxSelectMultiple,
            error_messages={"required": "Choose the boats that it was done on."},
        )
        last = ("second", "done_at")
        between = [name for name in self.fields if name not in last]
        self.order_fields(["uuid", "made_at", "boats", *between, *last])
