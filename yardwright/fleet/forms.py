"""The door to boats: particulars with their units, ways in, work, parts, and a spreadsheet."""

from collections.abc import Iterable, Iterator
from datetime import UTC, datetime
from typing import Any
from uuid import uuid4
from zoneinfo import ZoneInfo

from django import forms

from yardwright.calc import units
from yardwright.fleet.models import Boat, Part, WayIn, Work
from yardwright.procedures.going_in import WATCH_MIN, State
from yardwright.procedures.step import Has
from yardwright.procedures.ways_in import GOALS, SOURCES, Barrier, BarrierKind
from yardwright.season import model as season
from yardwright.season.boat_faults import boat_faults, in_feet
from yardwright.season.odd import DEEP_SHARE
from yardwright.season.sheet import MEASURED
from yardwright.season.zone import moment
from yardwright.yard.forms import Measure, SaysBack, Words
from yardwright.yard.models import Lift

_HULL = (
    Has.STERN_DRAIN,
    Has.LIVEWELL,
    Has.SPEED_SENSOR,
    Has.ANODES,
    Has.TRIM_TABS,
    Has.SWIM_LADDER,
    Has.COVER,
    Has.TRAILER,
)
_POWER = (Has.BATTERY, Has.BILGE_PUMP, Has.ELECTRONICS, Has.SHORE_POWER)
_ABOARD = (
    Has.FRESH_WATER,
    Has.WATER_HEATER,
    Has.HEAD,
    Has.SHOWER_SUMP,
    Has.AIR_CONDITIONING,
)
_DRIVE = tuple(one for one in Has if one not in (*_HULL, *_POWER, *_ABOARD))


def _has(label: str, group: Iterable[Has]) -> forms.MultipleChoiceField:
    choices = [(str(one), str(one).capitalize()) for one in group]
    return forms.MultipleChoiceField(
        label=label, choices=choices, widget=forms.CheckboxSelectMultiple, required=False
    )


class BoatForm(SaysBack):
    """Her particulars. A length or weight is typed with its unit; what is not known stays empty."""

    name = forms.CharField(label="Name", max_length=80)
    tag = forms.RegexField(
        r"[A-Za-z]{3}",
        label="Tag",
        required=False,
        max_length=3,
        help_text="Three letters, on her and in her square code. Empty: she gets one.",
        error_messages={"invalid": "Three letters, such as TEA."},
    )
    hull_number = forms.CharField(label="Hull number", max_length=20, required=False)
    owner = forms.CharField(label="Owner", max_length=120, required=False)
    phone = forms.CharField(label="Owner's phone", max_length=40, required=False)
    email = forms.EmailField(label="Owner's e-mail", max_length=120, required=False)
    engine = forms.CharField(
        label="Kind of engine",
        max_length=60,
        required=False,
        help_text="The yard's own word for it: limits are filed under it.",
    )
    draft_m = Measure(
        "m",
        "ft",
        MEASURED["draft_m"],
        label="Draft",
        help_text="As she is lifted: 1.45 m, or 4 ft 9 in. Her water is reckoned from it.",
    )
    length_m = Measure("m", "ft", MEASURED["length_m"], label="Length")
    beam_m = Measure("m", "ft", MEASURED["beam_m"], label="Beam")
    weight_kg = Measure("kg", "lb", MEASURED["weight_kg"], label="Weight")
    weight_within = Measure(
        "%", label="Weight is known within", help_text="Up or down, such as 10 %."
    )
    centre_m = Measure(
        "m", "ft", label="Centre of gravity", help_text="From the transom, going forward."
    )
    centre_within_m = Measure("m", "ft", label="Centre is known within")
    sling_aft_m = Measure("m", "ft", label="Aft sling", help_text="From the transom.")
    sling_forward_m = Measure("m", "ft", label="Forward sling", help_text="From the transom.")
    watch_min = forms.IntegerField(
        label="Minutes watched in the water",
        min_value=0,
        max_value=7 * 1440,
        required=False,
        help_text="Before she is handed over; 1440 is a day, to the last look of the watch.",
    )
    has_drive = _has("Engine, drive and fuel", _DRIVE)
    has_hull = _has("Hull", _HULL)
    has_power = _has("Battery and electrics", _POWER)
    has_aboard = _has("Water aboard", _ABOARD)
    sure = forms.BooleanField(
        label="It is right as typed", required=False, widget=forms.HiddenInput
    )

    def clean(self) -> dict[str, Any]:
        if self.errors:
            return self.cleaned_data
        given = self.cleaned_data
        if (given["sling_aft_m"] is None) != (given["sling_forward_m"] is None):
            missing = "sling_aft_m" if given["sling_aft_m"] is None else "sling_forward_m"
            self.add_error(missing, "One sling alone lifts nothing; give both, or neither.")
            return given
        if given["phone"] and not given["owner"]:
            self.add_error("owner", "Whose phone is it? Write the owner's name.")
            return given
        self.faulty(boat_faults(self.boat()))
        if not self.errors and not given["sure"]:
            self._ask()
        return given

    def _ask(self) -> None:
        for name, says in _odd(self.boat()):
            self.add_error(name, f"{says} If it is right, say so at the end.")
            self.fields["sure"].widget = forms.CheckboxInput()

    def boat(self) -> season.Boat:
        given = self.cleaned_data
        slings = (given["sling_aft_m"], given["sling_forward_m"])
        within = given["weight_within"]
        groups = ("has_drive", "has_hull", "has_power", "has_aboard")
        owner = season.Owner(given["owner"], given["phone"], given["email"])
        return season.Boat(
            name=given["name"],
            state=State.LAID_UP,
            hull_number=given["hull_number"],
            tag=given["tag"].upper(),
            owner=owner if given["owner"] else None,
            has=frozenset(Has(one) for group in groups for one in given[group]),
            engine=given["engine"],
            draft_m=given["draft_m"],
            length_m=given["length_m"],
            beam_m=given["beam_m"],
            weight_kg=given["weight_kg"],
            weight_within=None if within is None else within / 100,
            centre_m=given["centre_m"],
            centre_within_m=given["centre_within_m"],
            slings_m=None if None in slings else slings,
            watch_min=WATCH_MIN if given["watch_min"] is None else given["watch_min"],
        )


def _odd(boat: season.Boat) -> Iterator[tuple[str, str]]:
    """What may be so, but is odd: asked about once."""
    if boat.draft_m and boat.length_m and boat.draft_m > DEEP_SHARE * boat.length_m:
        deep = f"{boat.draft_m:g} m is deep for {boat.length_m:g} m of length."
        yield "draft_m", f"{deep} {in_feet(boat.draft_m)}"
    most_kg = max(Lift.objects.values_list("rating_kg", flat=True), default=None)
    if boat.weight_kg and most_kg and boat.weight_kg > most_kg:
        in_lb = units.say(units.convert(boat.weight_kg, "lb", "kg"), "kg")
        heavy = f"{boat.weight_kg:,.0f} kg is more than any lift here carries, {most_kg:,.0f} kg."
        yield "weight_kg", f"{heavy} If pounds were meant, that is {in_lb}."


def boat_initial(row: Boat | None) -> dict[str, object]:
    if row is None:
        return {"watch_min": WATCH_MIN}
    own = {name: getattr(row, name) for name in BoatForm.base_fields if hasattr(row, name)}
    owner = row.owner
    groups = {"has_drive": _DRIVE, "has_hull": _HULL, "has_power": _POWER, "has_aboard": _ABOARD}
    return own | {
        "owner": owner.name if owner else "",
        "phone": owner.phone if owner else "",
        "email": owner.email if owner else "",
        "weight_within": None if row.weight_within is None else row.weight_within * 100,
        **{name: [one for one in row.has if one in group] for name, group in groups.items()},
    }


class WayInForm(SaysBack):
    """One barrier; where it stands in the walk round her is after another, or first."""

    uuid = forms.UUIDField(widget=forms.HiddenInput, initial=uuid4)
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


class OnceForm(forms.Form):
    """A deed with nothing to type: sent twice, it is done once."""

    uuid = forms.UUIDField()


class WorkForm(forms.Form):
    what = forms.CharField(label="What", max_length=120)
    trade = forms.CharField(label="Whose work", max_length=40)
    minutes = forms.IntegerField(label="Minutes", min_value=1, max_value=100_000)
    after = forms.MultipleChoiceField(
        label="After", widget=forms.CheckboxSelectMultiple, required=False
    )
    part = forms.ModelChoiceField(
        Part.objects.all(), label="Waits for the part", required=False, empty_label="none"
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
        return season.Work(given["what"], given["trade"], given["minutes"], after, part)


def work_initial(row: Work | None) -> dict[str, object]:
    return {name: getattr(row, name) for name in WorkForm.base_fields} if row else {}


class PartForm(forms.Form):
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
            self._offer(self.data["arrives"])

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
            return given | {"arrives": moment(_wall(given.get("which") or typed), self.zone)}
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
    if wall.tzinfo is not None:
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


class SheetForm(forms.Form):
    uuid = forms.UUIDField(widget=forms.HiddenInput, initial=uuid4)
    sheet = forms.FileField(
        label="Spreadsheet of boats",
        help_text="xlsx or csv, one boat a row, at most 10 MB.",
        widget=forms.FileInput(attrs={"accept": ".xlsx,.csv,.txt"}),
    )


class ToldForm(forms.Form):
    """The units of columns whose headings do not say them."""

    def __init__(self, asked: dict[str, str], *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name, heading in asked.items():
            unit = MEASURED[name].unit
            choices = [("", "choose"), *((one, one) for one in units.units_like(unit))]
            self.fields[name] = forms.ChoiceField(
                label=f"“{heading}” is in", choices=choices, required=False
            )
