"""The school: classes and their dates, practice boats and what was named on them, answers.

A practice boat is none of the fleet: nothing that the yard does for customers ever sees her.
"""

import uuid

from django.db import models

from yardwright.yard.models import Person


class ClassGroup(models.Model):
    """Who learns together, who teaches them, and in which term."""

    name = models.CharField(max_length=60, unique=True)
    teacher = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="teaches")
    learners = models.ManyToManyField(Person, related_name="classes")
    begins = models.DateField()
    ends = models.DateField()
    calendar_edition = models.PositiveIntegerField(default=0)  # grows to end its address

    class Meta:
        ordering = ("-begins", "name")

    def __str__(self) -> str:
        return self.name


class PracticeBoat(models.Model):
    """Not a real boat: what she has decides what can be planted on her."""

    name = models.CharField(max_length=60, unique=True)
    has = models.JSONField(default=list)

    class Meta:
        ordering = ("name",)

    def __str__(self) -> str:
        return self.name


class Meeting(models.Model):
    """One date of a class: what is learnt, of which step, or on which practice boat."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4)
    group = models.ForeignKey(ClassGroup, on_delete=models.CASCADE, related_name="meetings")
    starts = models.DateTimeField()
    minutes = models.PositiveIntegerField()
    what = models.CharField(max_length=160)
    where = models.CharField(max_length=80, blank=True)
    step = models.CharField(max_length=80, blank=True)  # its lesson
    boat = models.ForeignKey(PracticeBoat, null=True, blank=True, on_delete=models.PROTECT)
    off_at = models.DateTimeField(null=True, blank=True)  # called off then

    class Meta:
        ordering = ("starts",)

    def __str__(self) -> str:
        return f"{self.group}: {self.what}"


class Round(models.Model):
    """A class looks over a practice boat; ``planted`` are codes of what the teacher left undone."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4)
    boat = models.ForeignKey(PracticeBoat, on_delete=models.PROTECT, related_name="rounds")
    group = models.ForeignKey(ClassGroup, on_delete=models.PROTECT, related_name="rounds")
    by = models.ForeignKey(Person, on_delete=models.PROTECT)
    planted = models.JSONField()
    began_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ("-began_at",)
        constraints = (
            models.UniqueConstraint(
                fields=("boat",), condition=models.Q(ended_at=None), name="one_round_at_a_time"
            ),
        )

    def __str__(self) -> str:
        return f"{self.boat}, {self.group}"


class Named(models.Model):
    """Somebody says what is undone there; ``there`` is false where they take it back."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4)
    round = models.ForeignKey(Round, on_delete=models.CASCADE, related_name="named")
    by = models.ForeignKey(Person, on_delete=models.PROTECT)
    kind = models.CharField(max_length=80)
    words = models.CharField(max_length=160, blank=True)
    there = models.BooleanField(default=True)
    at = models.DateTimeField()

    class Meta:
        ordering = ("at",)

    def __str__(self) -> str:
        return self.kind


class Finished(models.Model):
    """Somebody says that they have looked at everything."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4)
    round = models.ForeignKey(Round, on_delete=models.CASCADE, related_name="finished")
    by = models.ForeignKey(Person, on_delete=models.PROTECT)
    at = models.DateTimeField()

    class Meta:
        constraints = (models.UniqueConstraint(fields=("round", "by"), name="done_once"),)

    def __str__(self) -> str:
        return f"{self.by} on {self.round}"


class Answered(models.Model):
    """Somebody's answer to one question; the first to each of a set counts."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4)
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="answers")
    of_set = models.PositiveIntegerField()
    about = models.CharField(max_length=40, blank=True)
    key = models.CharField(max_length=120)
    right = models.BooleanField()
    at = models.DateTimeField()

    class Meta:
        constraints = (
            models.UniqueConstraint(
                fields=("by", "of_set", "about", "key"), name="one_answer_to_each"
            ),
        )

    def __str__(self) -> str:
        return self.key
