"""Changing the yard's steps, and one step on several boats at once."""

from collections.abc import Sequence

from django.db import transaction

from yardwright.fleet.models import Boat
from yardwright.procedures.step import Step
from yardwright.procedures.steps import Book, Row
from yardwright.work import facts, own_steps, put_backs, services
from yardwright.work.facts import Entry
from yardwright.work.models import Fact
from yardwright.yard.refused import Refused
from yardwright.yard.rights import need
from yardwright.yard.services import MANAGES


@transaction.atomic
def keep_step(entry: Entry, code: str, row: Row | None, reason: str) -> Fact:
    """The yard does a step so from now on, or no more; what was done stays as it was done."""
    need(entry.by, MANAGES)
    if not reason.strip():
        raise Refused("Why is it changed?", "Say the reason; it stands beside the step.")
    before = Fact.objects.filter(pk=entry.uuid).first()
    book = _refuse_unsound(code, row)
    step = own_steps.step_of(book, code) or own_steps.step_of(own_steps.the_yards_book(), code)
    if step is None and before is None:
        raise Refused("There is no such step.", "Choose one of the list.")
    title = before.body["title"] if before else step.title if step else code
    return facts.add_step(entry, code, row, title, reason.strip())


@transaction.atomic
def keep_thing(entry: Entry, code: str, row: Row, reason: str) -> Fact:
    """The yard has a thing of its own that can be left undone; steps open it and prove it back."""
    need(entry.by, MANAGES)
    before = own_steps.thing(code)
    if before is not None and before["what"] != row["what"]:
        _refuse_while_open(str(before["what"]))
    _refuse_unsound(code, row)
    return facts.add_step(entry, code, row, str(row["what"]), reason)


def _refuse_while_open(what: str) -> None:
    """A thing that is open somewhere is known there by its words."""
    still = put_backs.open_undone().filter(what__iexact=what).select_related("boat")
    boats = sorted({str(fact.boat) for fact in still})
    if boats:
        raise Refused(f"{what} is left undone on {', '.join(boats)}.", "Prove it back there first.")


@transaction.atomic
def leave_out_thing(entry: Entry, code: str, reason: str) -> Fact:
    """A thing of the yard's own is offered no more, once no step opens it or proves it back."""
    need(entry.by, MANAGES)
    row = own_steps.thing(code)
    if row is None:
        raise Refused("There is no such thing of the yard's own.", "Choose one of the list.")
    holding = [
        step.title
        for step in own_steps.the_yards_book().steps
        if code in (*step.opens, *step.proves)
    ]
    if holding:
        raise Refused(
            f"Steps still leave it undone or prove it back: {', '.join(holding)}.",
            "Change those first, the fall step before the spring one.",
        )
    _refuse_while_open(str(row["what"]))
    return facts.add_step(entry, code, None, str(row["what"]), reason)


def _refuse_unsound(code: str, row: Row | None) -> Book:
    try:
        return own_steps.with_change(code, row)
    except ValueError as error:
        raise Refused(str(error), "Nothing is changed.") from error


@transaction.atomic
def do_on_several(
    entry: Entry, boats: Sequence[Boat], step: Step, lies: dict[str, str]
) -> list[Fact]:
    """One step on several boats, as with a trolley of batteries: each boat has her own entry."""
    if not boats:
        raise Refused("No boat is chosen.", "Choose those that it was done on.")
    done = []
    for boat in boats:
        part = Entry(facts.part_of(entry.uuid, boat.tag), entry.by, entry.done_at, entry.second)
        done.append(services.do_step(part, boat, step, lies, {}))
    return done
