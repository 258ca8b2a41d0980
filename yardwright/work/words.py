"""Everything ever written about a boat, and each fact in a sentence. Nothing here writes."""

from collections.abc import Callable, Mapping
from typing import Any

from django.utils import timezone

from yardwright.calc.units import say
from yardwright.fleet.models import Boat
from yardwright.procedures.quantities import quantity
from yardwright.procedures.steps import book
from yardwright.season.freeze import saved_until
from yardwright.season.wind import wind
from yardwright.work.models import Fact, Kind
from yardwright.yard import clock


def record(boat: Boat) -> list[tuple[Fact, Fact | None]]:
    """Everything ever written about a boat, newest first, each with what struck it out."""
    facts = Fact.objects.filter(boat=boat).select_related("by", "second", "boat")
    struck = {fact.of_id: fact for fact in facts if fact.kind == Kind.STRUCK_OUT}
    newest_first = facts.order_by("-received_at", "-done_at")
    return [(fact, struck.get(fact.pk)) for fact in newest_first if fact.kind != Kind.STRUCK_OUT]


def told(fact: Fact) -> str:
    """What a fact says, in a sentence for the record."""
    say_it = _TOLD.get(fact.kind)
    return say_it(fact, fact.body) if say_it else f"{fact.kind.capitalize()}: {fact.what}"


def full_stop(says: str) -> str:
    """Somebody who writes may have ended their sentence already."""
    return says if says.endswith((".", "!", "?")) else f"{says}."


def _and(words: str, before: str = ". ") -> str:
    return f"{before}{words}" if words else ""


def _wind(body: dict[str, Any]) -> str:
    return wind(body["wind_m_s"]) if "wind_m_s" in body else ""


def _instead(body: Mapping[str, Any]) -> str:
    """A plan that is published, or published once more in place of the one after it."""
    if "reason" not in body:
        return "A plan published"
    return f"A plan taken back, and the one before it published once more: {body['reason']}"


_TOLD: Mapping[str, Callable[[Fact, dict[str, Any]], str]] = {
    Kind.UNDONE: lambda fact, body: f"Undone: {fact.what}{_and(body['lies'], '. It lies: ')}",
    Kind.PUT_BACK: lambda fact, body: f"Put back: {fact.what} ({body['proof']})",
    Kind.SIGNED_OFF: lambda fact, body: f"Signed off while open: {fact.what}. {body['how']}",
    Kind.LOOKED: lambda fact, body: (
        f"Looked at {fact.what}: it {'holds' if body['holds'] else 'does not hold'}"
        f"{_and(body['words'])}"
    ),
    Kind.DISTURBED: lambda fact, body: f"{fact.what.capitalize()}{_and(body['fitting'], ': ')}",
    Kind.READING: lambda fact, body: (
        f"Reading: {quantity(fact.what).name}{_and(body['where'], ', ')}: {read_values(fact)}"
    ),
    Kind.JUDGED: lambda fact, body: f"Verdict: {fact.what}. {body['reasons'][0]['words']}",
    Kind.CLEARED: lambda fact, body: f"Cleared: {quantity(fact.what).name}. {body['reason']}",
    Kind.PROMISED: lambda fact, body: (
        f"Promise, {fact.what}: {body['day']}{_and(body.get('owner_agreed', ''))}"
        f"{_and(body.get('although', ''), ', told although: ')}"
        f"{_and(body.get('ink_moved_by', ''), '. The Ink moves, the owner is to be called; said by ')}"
    ),
    Kind.PUBLISHED: lambda _, body: (
        f"{_instead(body)}{_and(', '.join(body.get('agreed', ())), '; yes to moving the Ink of ')}"
    ),
    Kind.TOLD: lambda _, body: f"Owner told: {body['day']}, {body['odds']:.0%} sure",
    Kind.MOVED: lambda fact, body: f"Now: {fact.what}{_and(body['place'], ', ')}",
    Kind.LIFTED: lambda fact, body: (
        f"Lifted; now: {fact.what}{_and(body['place'], ', ')}{_and(_wind(body), ', wind told ')}"
    ),
    Kind.CHOSEN: lambda fact, body: f"Chosen for {fact.what}: {body['row']}. {body['reason']}",
    Kind.STEP: lambda _, body: (
        f"Step {'changed' if body['row'] else 'taken out'}: {body['title']}. {body['reason']}"
    ),
    Kind.WORDING: lambda _, body: f"The words of a step: {body['row']['title']}",
    Kind.DONE: lambda fact, body: f"Done: {done_words(fact)}{_took(body)}",
    Kind.HISTORY: lambda fact, body: (
        f"Before these records: {fact.what}, {body['jobs']} jobs; "
        f"of {len(body['took_min'])} somebody said how long"
    ),
    Kind.NOTE: lambda fact, body: f"Note{_and(fact.what, ' on ')}: {body['words']}",
    Kind.FOUND: lambda fact, body: (
        f"{'Found' if body['there'] else 'Looked for, not there'}: {fact.what}{_and(body['words'])}"
    ),
    Kind.CAME: lambda fact, body: f"Of what was found, {fact.what}: {body['words']}",
    Kind.UNDER_WRAP: lambda fact, body: (
        f"Under the wrap: {fact.what}, {body['sort']}, {body['zone']}"
        f"{_and(body['goes'], '. It goes: ')}"
    ),
    Kind.HOSE_RUN: lambda fact, body: f"Hose run: {fact.what}. {body['words']}",
    Kind.SAVED: lambda fact, _: f"Saved from frost{_for_a_night(fact)}: {fact.what}",
    Kind.ARRIVED: lambda fact, _: f"It came: {fact.what}",
    Kind.CARD_READ: lambda *_: "Read her under-wrap card",
    Kind.PHOTO: lambda fact, _: f"Photo of {fact.what}",
    Kind.ASIDE: lambda fact, body: f"Kept aside: {fact.what}. {body['says']}",
    Kind.ENTERED: lambda fact, _: f"Entered after all: {fact.what}",
    Kind.STRUCK_OUT: lambda fact, body: f"Struck out: {fact.what}. {body['reason']}",
}


def _for_a_night(fact: Fact) -> str:
    until = saved_until(timezone.localtime(fact.done_at, clock.zone()))
    return f", until {until:%a} {until.day} {until:%b %H:%M} at the latest"


def _took(body: Mapping[str, Any]) -> str:
    return f", took {body['took_min']} min" if "took_min" in body else ""


def named(fact: Fact) -> str:
    """What a fact is about, as one would name it beside a picture of it."""
    match fact.kind:
        case Kind.DONE:
            return done_words(fact)
        case Kind.READING:
            return quantity(fact.what).name
        case Kind.NOTE if not fact.what:
            return str(fact.body["words"])
        case _:
            return fact.what


def photo(fact: Fact) -> str:
    """A photo for who can't see it: of what, by whom, when."""
    at = timezone.localtime(fact.done_at)
    return f"Photo of {fact.what}: {fact.by}, {at.day} {at:%B %H:%M}"


def done_words(fact: Fact) -> str:
    """A step's title, a piece of work, or what was repaired."""
    if fact.body["of_kind"] == "step":
        steps = (step.title for step in book().steps if step.code == fact.what)
        return str(fact.body.get("title") or next(steps, fact.what))
    return str(fact.body.get("how") or fact.what)


def read_values(fact: Fact) -> str:
    """A reading's values with their unit: ``150, 148 psi``."""
    *before, last = fact.body["values"]
    numbers = [f"{value:.4g}" for value in before]
    return ", ".join([*numbers, say(last, fact.body["unit"], 4)])


def limit_words(kept: Mapping[str, Any] | None) -> str:
    """A limit as it was kept beside a verdict: ``at least 9.35 V``."""
    if kept is None:
        return "no limit on file"
    unit, even = kept["unit"], kept["lowest_over_highest"]
    parts = [
        *([f"at least {say(kept['lower'], unit, 4)}"] if kept["lower"] is not None else []),
        *([f"at most {say(kept['upper'], unit, 4)}"] if kept["upper"] is not None else []),
        *([f"lowest over highest at least {even:.2f}"] if even is not None else []),
    ]
    return ", ".join(parts) or "no limit on file"


_BESIDES = {
    "thin": "thin under {} of margin",
    "u": "itself known to {}",
    "twin": "{} from its twin",
    "others": "{} from the others",
    "spread": "{} from lowest to highest",
    "years": "{} from its last years",
}


def besides_words(kept: Mapping[str, Any]) -> str:
    """What a limit says beside its values: when it is thin, and when to look again."""
    told = ((how, kept[name]) for name, how in _BESIDES.items())
    return ", ".join(how.format(say(value, kept["unit"])) for how, value in told if value)
