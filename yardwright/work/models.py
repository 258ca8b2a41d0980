"""Facts: rows that are only ever added. A correction is a new fact that strikes out the old."""

from typing import Any, NoReturn

from django.db import models

from yardwright.fleet.models import Boat
from yardwright.yard.models import Person


class Kind(models.TextChoices):
    UNDONE = "undone"
    PUT_BACK = "put back", "put back"
    SIGNED_OFF = "signed off", "signed off"  # capped or tagged shut: stays open, with a name
    LOOKED = "looked"
    DISTURBED = "disturbed"  # frost, work at it, somebody aboard: proofs lapse
    READING = "reading"
    JUDGED = "judged"  # the verdict on a reading, with the limit and rule of its day
    CLEARED = "cleared"
    PROMISED = "promised"
    PUBLISHED = "published"  # a whole plan
    TOLD = "told"  # an owner was told a day, and how sure it is
    MOVED = "moved"
    LIFTED = "lifted"
    CHOSEN = "chosen"  # between sources that conflict: of the yard, not of a boat
    STEP = "step"  # how the yard does a step from now on: of the yard, not of a boat
    WORDING = "wording"  # the words that a step was done by
    HISTORY = "history"  # what a kind of job was like before: of the yard, from a season file
    DONE = "done"  # a step or a piece of work
    STRUCK_OUT = "struck out", "struck out"
    ASIDE = "kept aside", "kept aside"  # a phone's entry that was not taken: counts for nothing
    NOTE = "note"  # words about a boat, or about a thing on her
    FOUND = "found"  # what nobody ordered: mice, milky oil, a split hose
    CAME = "came of it", "came of it"  # what was decided about a finding
    UNDER_WRAP = "under wrap", "under wrap"  # a thing on her under-wrap card
    CARD_READ = "card read", "card read"  # by whoever will cut the wrap
    HOSE_RUN = "hose run", "hose run"  # an engine run with its water watched
    SAVED = "saved"  # from frost, for a night
    ARRIVED = "arrived"  # a part that was ordered: of the yard, not of a boat
    PHOTO = "photo"  # beside an entry; its picture lies in the yard's folder
    ENTERED = "entered"  # somebody decided that it is taken after all


class Fact(models.Model):
    """One table for all: one chain of time, one trigger, one query for a boat's whole story.

    ``what`` names the thing (a put-back, a fitting, a quantity, a step); ``of`` is the fact that
    this one speaks about; ``body`` is what its kind asks for, written and read in ``facts`` only.
    """

    uuid = models.UUIDField(primary_key=True)  # made where the work was done, maybe offline
    kind = models.CharField(max_length=10, choices=Kind)
    boat = models.ForeignKey(Boat, null=True, on_delete=models.PROTECT, related_name="facts")
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="facts")
    second = models.ForeignKey(Person, null=True, on_delete=models.PROTECT, related_name="+")
    of = models.ForeignKey(
        "self", null=True, on_delete=models.PROTECT, related_name="about", db_index=False
    )  # its index is fact_about
    what = models.CharField(max_length=120, blank=True)
    body = models.JSONField(default=dict)
    done_at = models.DateTimeField()
    received_at = models.DateTimeField()  # the yard's clock
    mark = models.CharField(max_length=160, blank=True)  # what is odd about it, in words
    sent = models.CharField(
        max_length=32, blank=True
    )  # digest of what a phone sent: a repeat is known

    class Meta:
        ordering = ("done_at", "received_at")
        indexes = (
            models.Index(fields=("boat", "kind"), name="fact_of_boat"),
            models.Index(fields=("kind", "done_at"), name="fact_by_kind"),
            models.Index(fields=("of", "kind"), name="fact_about"),
        )

    def __str__(self) -> str:
        return f"{self.boat or 'The yard'}: {self.what} {self.kind}"

    def save(self, **kwargs: Any) -> None:
        if not self._state.adding:
            raise TypeError("Facts stay. Record a correction instead.")
        super().save(**(kwargs | {"force_insert": True}))

    def delete(self, *_: Any, **__: Any) -> NoReturn:
        raise TypeError("Facts stay. Record a correction instead.")
