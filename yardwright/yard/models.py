"""The yard itself: its settings, water, lifts, places, people, instruments, and its long work."""

import uuid

from django.conf import settings
from django.db import models


class Yard(models.Model):
    """One row: this yard. Its clock runs ahead of the real one by ``clock_ahead_s`` (demo only)."""

    name = models.CharField(max_length=80)
    zone = models.CharField(max_length=60)
    first_day = models.DateField()
    last_day = models.DateField()
    latitude = models.FloatField(null=True, blank=True)
    longitude = models.FloatField(null=True, blank=True)
    sling_bight_m = models.FloatField()
    margin_m = models.FloatField()
    datum = models.CharField(max_length=12)
    epoch = models.CharField(max_length=20, blank=True)
    station = models.CharField(max_length=12, blank=True)
    tide_source = models.CharField(max_length=160, blank=True)  # who printed the typed table
    sill_height_m = models.FloatField(null=True, blank=True)  # None: never measured
    sill_datum = models.CharField(max_length=12, blank=True)
    sill_epoch = models.CharField(max_length=20, blank=True)
    sill_measured_on = models.DateField(null=True, blank=True)
    sill_measured_by = models.CharField(max_length=80, blank=True)
    photo_place = models.BooleanField(default=False)  # photos keep where they were taken
    clock_ahead_s = models.FloatField(default=0)
    is_demo = models.BooleanField(default=False)
    hands = models.PositiveIntegerField(default=1)  # jobs at once on a boat
    last_frost = models.DateField(null=True, blank=True)  # None: not known
    looks = models.JSONField(null=True, blank=True)  # after boats new in the water; None: uncounted

    def __str__(self) -> str:
        return self.name

    @property
    def sill_words(self) -> str:
        """Nobody reads a minus sign in the sun."""
        if self.sill_height_m is None:
            return "never measured"
        side = "below" if self.sill_height_m < 0 else "above"
        return f"{abs(self.sill_height_m):.2f} m {side} {self.sill_datum}"


class Tide(models.Model):
    """A high or low water typed from a printed table."""

    at = models.DateTimeField(unique=True)
    level_m = models.FloatField()
    turn = models.CharField(max_length=2)  # HW or LW

    class Meta:
        ordering = ("at",)

    def __str__(self) -> str:
        return f"{self.turn} {self.at:%d %b %H:%M} {self.level_m} m"


class Lift(models.Model):
    name = models.CharField(max_length=60, unique=True)
    kind = models.CharField(max_length=40)
    rating_kg = models.FloatField()
    sling_rating_kg = models.FloatField()
    opens = models.TimeField()
    closes = models.TimeField()
    launch_min = models.PositiveIntegerField()
    aside_min = models.PositiveIntegerField(null=True, blank=True)
    weekdays = models.JSONField(default=list)  # [0, 1, 2, 3, 4]: Monday to Friday
    carry_min = models.PositiveIntegerField(default=0)
    holds = models.JSONField(default=list)  # [["2031-05-07T08:00-04:00", "...", "wind"], ...]
    beam_m = models.FloatField(null=True, blank=True)
    draft_m = models.FloatField(null=True, blank=True)
    firm_ground = models.BooleanField(default=False)
    by_kind = models.JSONField(default=list)  # [["mast", 45, 20], ...]: launch, and before it
    run_by = models.JSONField(default=list)  # names; none: it has a crew of its own
    # {"m_s": 12.5, "source": "lift manual", "page": "17"}; None: no limit on file
    wind_limit = models.JSONField(null=True, blank=True)
    # Each a day, from, until and why: ["2031-05-06", "18:05", "18:35", "the evening tide"]
    longer = models.JSONField(default=list)

    class Meta:
        ordering = ("pk",)

    def __str__(self) -> str:
        return self.name


class Place(models.Model):
    name = models.CharField(max_length=60, unique=True)
    kind = models.CharField(max_length=40)
    berths = models.PositiveIntegerField()
    length_m = models.FloatField(null=True, blank=True)
    bears_kg = models.FloatField(null=True, blank=True)
    headroom_m = models.FloatField(null=True, blank=True)
    soft = models.BooleanField(null=True, blank=True)  # None: nobody has said
    firm_from = models.DateField(null=True, blank=True)

    class Meta:
        ordering = ("pk",)

    def __str__(self) -> str:
        return self.name


class Person(models.Model):
    """Someone who works here; with ``user``, someone who can log in."""

    name = models.CharField(max_length=80, unique=True)
    user = models.OneToOneField(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT
    )
    trades = models.JSONField(default=list)
    hours = models.JSONField(default=list)  # [["07:00", "12:00"], ...]
    weekdays = models.JSONField(default=list)  # [0, 1, 2, 3, 4]: Monday to Friday
    off = models.JSONField(default=list)  # ["2031-05-07", ...]
    away = models.JSONField(default=list)  # as a lift is open longer
    longer = models.JSONField(default=list)
    rights = models.JSONField(default=list)
    learner = models.BooleanField(default=False)
    overtime = models.JSONField(default=list)  # as hours
    learns = models.JSONField(default=list)  # trades
    may_watch = models.PositiveIntegerField(default=1)
    of_age_on = models.DateField(
        null=True, blank=True
    )  # None: nobody has said that they are under age
    works_here = models.BooleanField(default=True)
    calendar_edition = models.PositiveIntegerField(default=0)  # grows to end its address

    class Meta:
        ordering = ("pk",)

    def __str__(self) -> str:
        return self.name


class Instrument(models.Model):
    """``values`` are the fields of `season.model.Instrument` beyond name and quantity.

    One meter that shows two units stands here once for each.
    """

    name = models.CharField(max_length=60)
    quantity = models.CharField(max_length=60, blank=True)
    values = models.JSONField()

    class Meta:
        ordering = ("pk",)

    def __str__(self) -> str:
        return self.name


class Job(models.Model):
    """Long work: one row a question; whoever holds its lease works on it."""

    class State(models.TextChoices):
        READY = "ready"
        RUNNING = "running"
        DONE = "done"
        FAILED = "failed"
        STOPPED = "stopped"

    id = models.UUIDField(primary_key=True, default=uuid.uuid4)
    what = models.CharField(max_length=40)
    question = models.JSONField(default=dict)
    state = models.CharField(max_length=10, choices=State, default=State.READY, db_index=True)
    attempt = models.PositiveIntegerField(default=0)
    holder = models.UUIDField(null=True)
    lease_until = models.DateTimeField(null=True)
    share = models.FloatField(default=0)
    said = models.CharField(max_length=300, blank=True)
    stop_asked = models.BooleanField(default=False)
    answer = models.JSONField(null=True)
    asked_by = models.ForeignKey(Person, null=True, on_delete=models.PROTECT)
    asked_at = models.DateTimeField(auto_now_add=True)  # leases and jobs keep the real clock

    class Meta:
        ordering = ("asked_at",)

    def __str__(self) -> str:
        return f"{self.what} ({self.state})"
