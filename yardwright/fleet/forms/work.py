"""The door to a boat's work, and to parts and when they come."""

from collections.abc import Iterable
from datetime import UTC, datetime
from typing import Any
from zoneinfo import ZoneInfo

from django import forms

from yardwright.fleet.models import Part, Work
from yardwright.fleet.queries import PIECE
from yardwright.season import model as season
from yardwright.season.zone import YEARS, moment
from yardwright.yard.forms.fields import Words, YardForm, of_this_season


class WorkForm(YardForm):
    what = forms.CharField(label="What", max_length=120)
    trade = forms.CharField(label="Whose work", max_length=40)
    minutes = forms.IntegerField(label="Minutes", min_value=1, max_value=100_000)
    after = forms.MultipleChoiceField(
        label="After", widget=forms.CheckboxSelectMultiple, required=False
    )
    part = forms.ModelChoiceField(
        Part.objects.all(), label="Waits for the part", required=False, empty_label="none"
    )

    afloat = forms.BooleanField(label="Done in the water", required=False)
    dry_hours = forms.FloatField(
        label="Dries, hours", min_value=0, required=False, help_text="Before she meets the water."
    )
    within_days = forms.IntegerField(
        label="In the water within, days",
        min_value=1,
        max_value=400,
        required=False,
        help_text="As the paint's own sheet says. Empty: no matter.",
    )
    second_look = forms.BooleanField(
        label="Somebody else looks at it when it is done", required=False
    )
    after_frost = forms.BooleanField(label="Not before the last frost", required=False)
    needs_yes = forms.BooleanField(
        label="Her owner has not agreed to the price yet",
        required=False,
        help_text="Until then no plan says a day for her.",
    )

    def __init__(self, others: list[str], trades: Iterable[str], *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["trade"].widget = Words(trades)
        after = self.fields["after"]
        assert isinstance(after, forms.ChoiceField)  # noqa: S101  # for the type alone
        after.choices = [(one, one) for one in others]
        if not others:
            del self.fields["after"]

    def work(self) -> season.Work:
        given = self.cleaned_data
        part = given["part"].name if given["part"] else ""
        after = tuple(given.get("after", ()))
        own = {name: given[name] for name in PIECE} | {"dry_hours": given["dry_hours"] or 0.0}
        return season.Work(given["what"], given["trade"], given["minutes"], after, part, **own)


def work_initial(row: Work | None) -> dict[str, object]:
    return {name: getattr(row, name) for name in WorkForm.base_fields} if row else {}


class PartForm(YardForm):
    """A part and when it comes; on the night the clock changes, which of two hours is asked."""

    name = forms.CharField(label="Part", max_length=80)
    arrives = forms.CharField(
        label="Comes",
        required=False,
        max_length=40,
        widget=forms.DateTimeInput(attrs={"type": "datetime-local"}),
        help_text="By the clock on the yard's wall. Empty: not known.",
    )
    which = forms.ChoiceField(
        label="Which of the two?", required=False, widget=forms.HiddenInput, choices=[("", "")]
    )

    def __init__(self, zone: ZoneInfo, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.zone = zone
        if self.data.get("which"):
            self._offer(self.data.get("arrives", ""))

    def _offer(self, typed: str) -> None:
        """The hour comes twice: let one of the two be chosen."""
        which = self.fields["which"]
        assert isinstance(which, forms.ChoiceField)  # noqa: S101  # for the type alone
        which.choices = _twice(typed, self.zone)
        which.widget = forms.RadioSelect(choices=which.choices)

    def clean(self) -> dict[str, Any]:
        given, typed = self.cleaned_data, self.cleaned_data.get("arrives", "")
        if self.errors or not typed:
            return given | {"arrives": None}
        try:
            arrives = moment(_wall(given.get("which") or typed), self.zone)
            if typed != self.initial.get("arrives"):
                of_this_season(arrives.astimezone(self.zone).date())
            return given | {"arrives": arrives}
        except forms.ValidationError as far:
            self.add_error("arrives", far)
        except ValueError as error:
            twice = bool(_twice(typed, self.zone))
            says = (
                "This hour comes twice that night; say below which of the two." if twice else error
            )
            self.add_error("arrives", str(says))
            if twice:
                self._offer(typed)
        return given


def _wall(typed: str) -> datetime:
    try:
        return datetime.fromisoformat(typed.strip())
    except ValueError:
        raise ValueError(f"{typed!r} is no day and time; write it as 2031-05-06 07:30.") from None


def _twice(typed: str, zone: ZoneInfo) -> list[tuple[str, str]]:
    """Both moments at which the clock shows this, if there are two."""
    try:
        wall = _wall(typed)
    except ValueError:
        return []
    if wall.tzinfo is not None or wall.year not in YEARS:
        return []
    both = [wall.replace(tzinfo=zone, fold=fold) for fold in (0, 1)]
    first, second = (at.isoformat(sep=" ") for at in both)
    real = [at.astimezone(UTC).astimezone(zone).replace(tzinfo=None) == wall for at in both]
    if both[0].utcoffset() == both[1].utcoffset() or not all(real):
        return []
    words = ("The first, before the clock goes back", "The second, after it went back")
    return [(first, words[0]), (second, words[1])]


def part_initial(row: Part | None, zone: ZoneInfo) -> dict[str, object]:
    if row is None:
        return {}
    at = row.arrives.astimezone(zone) if row.arrives else None
    return {"name": row.name, "arrives": f"{at:%Y-%m-%dT%H:%M}" if at else ""}
