"""Boats: whose they are, what they have, how water could get in, and the limits they are held to."""

import uuid
from typing import Any, NoReturn

from django.db import models
from django.db.models import Q

from yardwright.procedures.going_in import WATCH_MIN
from yardwright.season.model import WEEKEND
from yardwright.yard.models import Person


def weekend() -> list[int]:
    return [int(day) for day in WEEKEND]


class Owner(models.Model):
    """Whose a boat is; in these hours they can come for work of their own on her."""

    name = models.CharField(max_length=120, unique=True)
    phone = models.CharField(max_length=40, blank=True)
    email = models.CharField(max_length=120, blank=True)
    hours = models.JSONField(default=list)  # [["09:00", "12:00"], ...]
    weekdays = models.JSONField(default=weekend)

    class Meta:
        ordering = ("name",)

    def __str__(self) -> str:
        return self.name


class Boat(models.Model):
    """What does not change by the day. Where she stands and what was done are facts."""

    name = models.CharField(max_length=80, unique=True)
    tag = models.CharField(max_length=3, unique=True)  # three letters on her and in her square code
    hull_number = models.CharField(max_length=20, blank=True)
    owner = models.ForeignKey(Owner, null=True, blank=True, on_delete=models.PROTECT)
    has = models.JSONField(default=list)
    engine = models.CharField(max_length=60, blank=True)
    draft_m = models.FloatField(null=True, blank=True)
    length_m = models.FloatField(null=True, blank=True)
    beam_m = models.FloatField(null=True, blank=True)
    height_m = models.FloatField(null=True, blank=True)
    weight_kg = models.FloatField(null=True, blank=True)
    weight_within = models.FloatField(null=True, blank=True)
    centre_m = models.FloatField(null=True, blank=True)
    centre_within_m = models.FloatField(null=True, blank=True)
    sling_aft_m = models.FloatField(null=True, blank=True)
    sling_forward_m = models.FloatField(null=True, blank=True)
    late_days = models.JSONField(default=list)  # [3, -2]: of past years
    watch_min = models.PositiveIntegerField(default=WATCH_MIN)
    lift = models.CharField(max_length=60, blank=True)  # which carries her; else the smallest
    hands = models.PositiveIntegerField(null=True, blank=True)  # jobs at once; None: as the yard's
    insured_from = models.DateField(null=True, blank=True)  # not afloat before
    paid_from = models.DateField(null=True, blank=True)  # not handed over before
    calendar_edition = models.PositiveIntegerField(default=0)  # grows to end its address

    class Meta:
        ordering = ("name",)
        constraints = (
            models.CheckConstraint(
                condition=Q(draft_m__isnull=True) | Q(draft_m__gt=0), name="boat_draft_above_zero"
            ),
            models.UniqueConstraint(
                fields=("hull_number",), condition=~Q(hull_number=""), name="hull_number_once"
            ),
        )

    def __str__(self) -> str:
        return self.name


class WayIn(models.Model):
    """One barrier of a boat; ``place_in_list`` keeps the order in which she is walked round."""

    boat = models.ForeignKey(Boat, on_delete=models.CASCADE, related_name="ways_in")
    place_in_list = models.PositiveIntegerField()
    name = models.CharField(max_length=80)
    kind = models.CharField(max_length=10)
    outside = models.CharField(max_length=80)
    inside = models.CharField(max_length=80)
    bore_m = models.FloatField(null=True, blank=True)
    depth_m = models.FloatField(null=True, blank=True)

    class Meta:
        ordering = ("boat", "place_in_list")
        constraints = (models.UniqueConstraint(fields=("boat", "name"), name="way_in_once_a_boat"),)

    def __str__(self) -> str:
        return f"{self.boat}: {self.name}"

    @property
    def bore_mm(self) -> float | None:
        return None if self.bore_m is None else round(self.bore_m * 1000, 6)


class Part(models.Model):
    """Something ordered, and when it is due; None is *not known*. That it came is a fact."""

    name = models.CharField(max_length=80, unique=True)
    arrives = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ("pk",)

    def __str__(self) -> str:
        return self.name


class Work(models.Model):
    """A piece of work that a boat waits for, beyond her put-back steps."""

    boat = models.ForeignKey(Boat, on_delete=models.CASCADE, related_name="work")
    place_in_list = models.PositiveIntegerField()
    what = models.CharField(max_length=120)
    trade = models.CharField(max_length=40)
    minutes = models.PositiveIntegerField()
    after = models.JSONField(default=list)
    part = models.ForeignKey(Part, null=True, blank=True, on_delete=models.PROTECT)
    afloat = models.BooleanField(default=False)
    dry_hours = models.FloatField(default=0)
    within_days = models.PositiveIntegerField(null=True, blank=True)
    second_look = models.BooleanField(default=False)
    after_frost = models.BooleanField(default=False)
    needs_yes = models.BooleanField(default=False)

    class Meta:
        ordering = ("boat", "place_in_list")
        constraints = (models.UniqueConstraint(fields=("boat", "what"), name="work_once_a_boat"),)

    def __str__(self) -> str:
        return f"{self.boat}: {self.what}"


class Limit(models.Model):
    """A limit that the yard filed, with its page. Never changed: a newer row stands before it."""

    uuid = models.UUIDField(primary_key=True, default=uuid.uuid4)
    quantity = models.CharField(max_length=60)
    engine = models.CharField(max_length=60, blank=True)  # the yard's word for the kind
    boat = models.ForeignKey(Boat, null=True, blank=True, on_delete=models.PROTECT)
    values = models.JSONField()  # the fields of `procedures.readings.Limit`
    filed_by = models.ForeignKey(Person, on_delete=models.PROTECT)
    filed_at = models.DateTimeField()

    class Meta:
        ordering = ("filed_at",)

    def __str__(self) -> str:
        return f"{self.quantity}, {self.engine or self.boat or 'all'}"

    def save(self, **kwargs: Any) -> None:
        if not self._state.adding:
            raise TypeError("A limit stays as it was filed. File a new one.")
        super().save(**(kwargs | {"force_insert": True}))

    def delete(self, *_: Any, **__: Any) -> NoReturn:
        raise TypeError("A limit stays as it was filed. File a new one.")


class Import(models.Model):
    """One spreadsheet: looked at first, then brought in, and taken back in one click."""

    uuid = models.UUIDField(primary_key=True, default=uuid.uuid4)
    name = models.CharField(max_length=160)
    by = models.ForeignKey(Person, on_delete=models.PROTECT)
    at = models.DateTimeField()
    content = models.BinaryField()  # the file, until it is brought in
    boats = models.JSONField(default=list)  # ids of the boats it made
    brought_in_at = models.DateTimeField(null=True)
    taken_back_at = models.DateTimeField(null=True)

    class Meta:
        ordering = ("-at",)

    def __str__(self) -> str:
        return self.name


class Visit(models.Model):
    """When somebody last had a boat's page open, and whether she is starred by them.

    No fact: it is written over, and says only where people are and which boats are theirs.
    """

    person = models.ForeignKey(Person, on_delete=models.CASCADE)
    boat = models.ForeignKey(Boat, on_delete=models.CASCADE)
    at = models.DateTimeField(null=True)  # None: starred, never opened
    on = models.CharField(max_length=5, blank=True)  # phone, desk
    starred = models.BooleanField(default=False)

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=("person", "boat"), name="visit_once_a_person_and_boat"),
        )
        indexes = (models.Index(fields=("at",), name="visit_by_time"),)

    def __str__(self) -> str:
        return f"{self.person} at {self.boat}"
