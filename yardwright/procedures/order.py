"""Why an order of steps is refused: what a deed waits for must be done before it."""

from collections.abc import Iterator, Sequence

from yardwright.procedures.put_backs import Before, Harm
from yardwright.procedures.step import PutBackKind, Stage, Step
from yardwright.procedures.steps import DEED_AT, book

LIVE = "negative_on"  # from here a start is possible, and a spark


def refused(steps: Sequence[Step]) -> tuple[str, ...]:
    """Why an order of one season's steps is refused.

    Parameters
    ----------
    steps : sequence of Step
        In the order meant; not all of a boat's steps need be among them.

    Returns
    -------
    tuple of str
        A sentence for each step that comes too late, with what would have gone ahead of it and
        why that waits; empty if the order holds.
    """
    return tuple(_faults(steps))


def _faults(steps: Sequence[Step]) -> Iterator[str]:
    furthest = steps[0] if steps else None
    live: Step | None = None
    at = {step.code: place for place, step in enumerate(steps)}
    for place, step in enumerate(steps):
        if furthest and step.stage.place < furthest.stage.place:
            yield _too_late(furthest, step)
        elif live and (burns := _burns(step)):
            yield f"{_ahead(live, step)}: {burns.what} is put back before the battery is on."
        for earlier in (steps[at[code]] for code in step.after if at.get(code, -1) > place):
            yield f"{_ahead(step, earlier)}: it comes after it."
        if furthest is None or step.stage.place > furthest.stage.place:
            furthest = step
        live = step if step.code == LIVE else live


def _too_late(ahead: Step, late: Step) -> str:
    kinds = [book().kinds[code] for code in late.proves]
    for deed, stage in DEED_AT.items():
        waits = [kind for kind in kinds if deed in (kind.before, kind.also_before)]
        if waits and ahead.stage.place >= stage.place:
            return f"{_ahead(ahead, late)}: {_waits(deed, waits[0])}"
    if ahead.stage.place >= Stage.BATTERIES.place and (burns := _burns(late)):
        return f"{_ahead(ahead, late)}: {burns.what} is put back before the battery is on."
    return f"{_ahead(ahead, late)}: {late.stage} comes before {ahead.stage}."


def _waits(deed: Before, kind: PutBackKind) -> str:
    first = "she goes in" if deed == Before.WATER else "she is started"
    return f"{kind.what} is put back before {first}; forgotten: {kind.if_forgotten}."


def _burns(step: Step) -> PutBackKind | None:
    kinds = (book().kinds[code] for code in step.proves)
    held = (k for k in kinds if k.harm == Harm.BURNS and Before.START in (k.before, k.also_before))
    return next(held, None)


def _ahead(ahead: Step, late: Step) -> str:
    return f"{ahead.title} ahead of {late.title}"
