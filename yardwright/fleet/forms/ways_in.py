"""The door to a boat's ways in."""

from typing import Any

from django import forms

from yardwright.fleet.models import WayIn
from yardwright.procedures.ways_in import GOALS, SOURCES, Barrier, BarrierKind
from yardwright.yard.forms.fields import Measure, OnceForm, SaysBack, Words


class WayInForm(SaysBack, OnceForm):
    """One barrier; where it stands in the walk round her is after another, or first."""

    name = forms.CharField(
        label="Name", max_length=80, help_text="As you would call it: stern drain plug."
    )
    kind = forms.ChoiceField(
        label="What keeps the water out",
        choices=[(str(kind), str(kind).capitalize()) for kind in BarrierKind],
        help_text="A drain does it by being clear, a loop by being vented.",
    )
    outside = forms.CharField(
        label="From",
        max_length=80,
        widget=Words(SOURCES),
        help_text="Sea, rain, or the space before it, such as a hose.",
    )
    inside = forms.CharField(
        label="To",
        max_length=80,
        widget=Words(GOALS),
        help_text="Bilge, cylinders, or the space behind it.",
    )
    bore_mm = Measure("mm", "in", label="Bore", help_text="Inner diameter: 25 mm, or 3/4 in.")
    depth_m = Measure(
        "m", "ft", label="Depth under water", help_text="Of its middle, at the worst trim."
    )
    after = forms.ChoiceField(label="Place in the walk round her", required=False)

    def __init__(self, walk: list[WayIn], row: WayIn | None, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.walk = {str(way.pk): way for way in walk if row is None or way.pk != row.pk}
        after = self.fields["after"]
        assert isinstance(after, forms.ChoiceField)  # noqa: S101  # for the type alone
        after.choices = [
            ("", "First"),
            *((pk, f"After {way.name}") for pk, way in self.walk.items()),
        ]
        spaces = sorted({space for way in walk for space in (way.outside, way.inside)})
        for name, ends in (("outside", SOURCES), ("inside", GOALS)):
            self.fields[name].widget = Words([*ends, *(one for one in spaces if one not in ends)])

    def clean(self) -> dict[str, Any]:
        if not self.errors:
            try:
                self.barrier()
            except ValueError as error:
                self.add_error(None, str(error))
        return self.cleaned_data

    def barrier(self) -> Barrier:
        given = self.cleaned_data
        bore_mm = given["bore_mm"]
        return Barrier(
            given["name"],
            BarrierKind(given["kind"]),
            _space(given["outside"]),
            _space(given["inside"]),
            None if bore_mm is None else round(bore_mm / 1000, 9),
            given["depth_m"],
        )

    @property
    def stands_after(self) -> WayIn | None:
        return self.walk.get(self.cleaned_data["after"])


def _space(typed: str) -> str:
    """Sea, rain, bilge and cylinders are the same however they are written."""
    plain = typed.strip()
    return plain.casefold() if plain.casefold() in (*SOURCES, *GOALS) else plain


def way_in_initial(walk: list[WayIn], row: WayIn | None) -> dict[str, object]:
    if row is None:
        return {"outside": "sea", "inside": "bilge", "after": str(walk[-1].pk) if walk else ""}
    before = [way for way in walk if way.place_in_list < row.place_in_list]
    own = {name: getattr(row, name) for name in WayInForm.base_fields if hasattr(row, name)}
    return own | {
        "after": str(before[-1].pk) if before else "",
    }
