"""The door to a spreadsheet of boats."""

from typing import Any

from django import forms

from yardwright.calc import units
from yardwright.season.sheet_cells import LARGEST_BYTES
from yardwright.season.sheet_columns import MEASURED
from yardwright.yard.forms.fields import OnceForm, Upload, YardForm


class SheetForm(OnceForm):
    sheet = Upload(
        LARGEST_BYTES,
        ".xlsx,.csv,.txt",
        label="Spreadsheet of boats",
        help_text="xlsx or csv, one boat a row, without pictures, at most 10 MB.",
    )


class ToldForm(YardForm):
    """The units of columns whose headings do not say them."""

    def __init__(self, asked: dict[str, str], *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name, heading in asked.items():
            unit = MEASURED[name].unit
            choices = [("", "choose"), *((one, one) for one in units.units_like(unit))]
            self.fields[name] = forms.ChoiceField(
                label=f"“{heading}” is in", choices=choices, required=False
            )
