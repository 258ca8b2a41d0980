"""The door to a boat's ways in."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Any

from django import forms

from yardwright.fleet.models import WayIn
from yardwright.procedures.fitting import BORE_TRUST, Fitting, Part
from yardwright.procedures.fittings import fittings, without
from yardwright.procedures.ways_in import GOALS, SOURCES, Barrier, BarrierKind, WaysIn
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


class FittingForm(OnceForm):
    """A fitting as she has it: each of its barriers with its name, its bore, its depth."""

    def __init__(
        self, one: Fitting, asked: Sequence[tuple[Part, Barrier]], *args: Any, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.fitting, self.asked = one, list(asked)
        for place, (part, barrier) in enumerate(self.asked):
            self.fields[f"name_{place}"] = forms.CharField(
                label="Name",
                max_length=80,
                required=False,
                initial=barrier.name,
                help_text=_left_off(part),
            )
            if part.kind != BarrierKind.DRAIN:
                self.fields[f"bore_mm_{place}"] = Measure(
                    "mm", "in", label="Bore", help_text=_usual(part)
                )
            if part.in_the_sea:
                self.fields[f"depth_m_{place}"] = Measure(
                    "m", "ft", label="Depth under water", help_text="Of its middle, at worst trim."
                )

    def parts(self) -> Iterator[tuple[Part, list[forms.BoundField]]]:
        """Each part with its fields, as the page shows them."""
        for place, (part, _) in enumerate(self.asked):
            names = (f"{name}_{place}" for name in ("name", "bore_mm", "depth_m"))
            yield part, [self[name] for name in names if name in self.fields]

    def clean(self) -> dict[str, Any]:
        if not self.errors:
            try:
                if not self.barriers():
                    self.add_error(None, "Every name is empty. Name one, or say she hasn't it.")
                WaysIn(self.barriers())
            except ValueError as error:
                self.add_error(None, str(error))
        return self.cleaned_data

    def barriers(self) -> tuple[Barrier, ...]:
        """What she has of it; a name left empty is a barrier she hasn't."""
        given = self.cleaned_data
        left_off = {b.name for n, (_, b) in enumerate(self.asked) if not given[f"name_{n}"]}
        hers = without((barrier for _, barrier in self.asked), left_off)
        place_of = {barrier.name: place for place, (_, barrier) in enumerate(self.asked)}
        return tuple(self._measured(barrier, place_of[barrier.name]) for barrier in hers)

    def _measured(self, barrier: Barrier, place: int) -> Barrier:
        given = self.cleaned_data
        bore_mm = given.get(f"bore_mm_{place}")
        return replace(
            barrier,
            name=given[f"name_{place}"],
            bore_m=None if bore_mm is None else round(bore_mm / 1000, 9),
            depth_m=given.get(f"depth_m_{place}"),
        )


def _left_off(part: Part) -> str:
    if part.inside in GOALS:
        return "As you would call it. Empty: she hasn't this one."
    return f"As you would call it. Empty: nothing stands before the {part.inside}."


def _usual(part: Part) -> str:
    if part.usual_bore_mm is None:
        return "Inner diameter: 25 mm, or 3/4 in. Empty: not known."
    least, most = part.usual_bore_mm
    return f"Often {least:g} to {most:g} mm ({BORE_TRUST}): measure hers. Empty: not known."


def way_in_initial(walk: list[WayIn], row: WayIn | None, name: str = "") -> dict[str, object]:
    """What the form begins with; a new one of a usual name begins as its template has it."""
    if row is None:
        last = str(walk[-1].pk) if walk else ""
        begins: dict[str, object] = {
            "outside": "sea",
            "inside": "bilge",
            "after": last,
            "name": name,
        }
        for part in (part for one in fittings() for part in one.parts if part.name == name):
            begins |= {"kind": part.kind, "outside": part.outside, "inside": part.inside}
        return begins
    before = [way for way in walk if way.place_in_list < row.place_in_list]
    own = {name: getattr(row, name) for name in WayInForm.base_fields if hasattr(row, name)}
    return own | {
        "after": str(before[-1].pk) if before else "",
    }
