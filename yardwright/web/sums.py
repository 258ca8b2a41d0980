"""The sums as pages: each from the registry, worked out from its address, with nothing stored."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from re import search

from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_GET
from django.views.decorators.vary import vary_on_headers

from yardwright.papers.drawing import Drawing
from yardwright.papers.paper import Paper
from yardwright.papers.sum_sheet import SumSheet, sum_sheet
from yardwright.season import fact_book
from yardwright.season.fact_book import Fact
from yardwright.season.model import Chosen
from yardwright.sums import sums
from yardwright.sums.field import Choice, Field, Number, Numbers, Value, within_a_sentence
from yardwright.sums.sum import Answer, Subject, Sum
from yardwright.work import queries
from yardwright.yard import clock
from yardwright.yard.asked import WRONG, is_fragment

PHONE_PX = 420  # a picture so wide still has letters to read on a phone
A_WORD = 24  # letters; what is longer is a sentence
FEW = 5  # choices that are shown one under the other; more go into a list


@dataclass(frozen=True, slots=True)
class Box:
    """A field of the form as it stands: what was typed, and what is wrong with it."""

    field: Field
    typed: str
    fault: str

    @property
    def help(self) -> str:
        """What it takes."""
        field, parts = self.field, []
        if isinstance(field, Number | Numbers) and field.unit:
            parts.append(f"in {field.unit}, or type another unit")
        if not isinstance(field, Choice):
            parts.append(f"such as {field.example}")
            if field.otherwise:
                parts.append(f"{field.otherwise} where nothing is typed")
        if field.may_be_empty:
            parts.append("left empty: not known")
        return "; ".join([*([field.hint] if field.hint else []), *parts])

    @property
    def options(self) -> list[tuple[str, str, bool]]:
        """Of a choice: what is sent, its words, and whether it is the one."""
        if not isinstance(self.field, Choice):
            return []
        now = self.typed or self.field.otherwise
        return [(key, words, key == now) for key, words in self.field.options.items()]

    @property
    def is_long(self) -> bool:
        """Its choices are sentences, one a line."""
        return any(len(words) > A_WORD for _, words, _ in self.options)

    @property
    def is_list(self) -> bool:
        """Too many to show each."""
        return len(self.options) > FEW


@dataclass(frozen=True, slots=True, kw_only=True)
class Page:
    """A sum with its form, and its answer or what stands in its way."""

    one: Sum
    boxes: tuple[Box, ...]
    is_example: bool
    refused: tuple[str, ...] = ()
    answer: Answer | None = None
    memory: str = ""
    taken: tuple[tuple[str, str], ...] = ()
    others: tuple[tuple[str, str], ...] = ()
    picture: Drawing | None = None
    facts: tuple[Fact, ...] = ()

    @property
    def faults(self) -> list[Box]:
        """The fields that could not be read."""
        return [box for box in self.boxes if box.fault]

    @property
    def taken_in_a_sentence(self) -> list[tuple[str, str]]:
        """What was understood, as one reads it out."""
        return [(within_a_sentence(label), words) for label, words in self.taken]

    @property
    def numbers(self) -> tuple[tuple[str, str], ...]:
        """The answer's numbers; one that is told in several units has them side by side."""
        by_label: dict[str, list[str]] = {}
        for told in self.answer.numbers if self.answer else ():
            by_label.setdefault(told.label, []).append(told.words)
        return tuple((label, ", ".join(words)) for label, words in by_label.items())

    @property
    def is_wide(self) -> bool:
        """On a phone its picture keeps its size and is pushed aside, or its letters get too small."""
        size = search(r'viewBox="0 0 ([\d.]+)', self.picture.svg) if self.picture else None
        return size is not None and float(size[1]) > PHONE_PX

    @property
    def besides(self) -> tuple[str, ...]:
        """What else must be known of the answer."""
        told = self.answer.besides if self.answer else ()
        return (*told, *([self.memory] if self.memory else []))


def page(one: Sum, sent: Mapping[str, str], chosen: Mapping[str, Chosen]) -> Page:
    """Work a sum out from what was sent; from its example where nothing was.

    Where sources conflict the yard's choice counts, unless another is asked for.
    """
    is_example = not any(field.key in sent for field in one.fields)
    typed = one.example() if is_example else {f.key: sent.get(f.key, "") for f in one.fields}
    if one.by is not None and (is_example or not typed["by"]):
        typed |= {"by": _by(one.by, chosen)}
    values, faults = one.read(typed)
    boxes = tuple(
        Box(f, typed[f.key], faults.get(f.key, "").removeprefix(f"{f.label}: ")) for f in one.fields
    )
    facts = tuple(_facts(one, chosen))
    if faults:
        return Page(one=one, boxes=boxes, is_example=False, facts=facts)
    try:
        answer = one.work(**values)
    except ValueError as fault:
        refused = tuple(str(fault).splitlines())
        return Page(one=one, boxes=boxes, is_example=False, refused=refused, facts=facts)
    others = one.by_the_others(typed).items()
    return Page(
        one=one,
        boxes=boxes,
        is_example=is_example,
        answer=answer,
        memory=one.from_memory(values),
        taken=tuple(_taken(boxes)),
        others=tuple((by, says if isinstance(says, str) else says.says) for by, says in others),
        picture=_picture(one, values),
        facts=facts,
    )


def _picture(one: Sum, values: Mapping[str, Value]) -> Drawing | None:
    try:
        return one.picture(values)
    except ValueError:  # an answer at one point alone has nothing to be drawn against
        return None


def _by(field: Choice, chosen: Mapping[str, Chosen]) -> str:
    choice = chosen.get(field.of)
    return choice.row if choice and choice.row in field.options else field.otherwise


def _taken(boxes: Iterable[Box]) -> Iterator[tuple[str, str]]:
    """What was understood, read back."""
    for box in boxes:
        said = " ".join(box.typed.split()) or box.field.otherwise
        yield box.field.label, box.field.understood(said)[1] if said else "not known"


def _facts(one: Sum, chosen: Mapping[str, Chosen]) -> Iterator[Fact]:
    for what in one.rests_on:
        topic, _, key = what.partition("/")
        yield from next(g for g in fact_book.topic(topic, chosen) if g.key == key).facts


@login_required
@require_GET
def all_sums(request: HttpRequest) -> HttpResponse:
    """Every sum, by its subject."""
    by_subject = [
        (subject, [one for one in sums().values() if one.subject == subject]) for subject in Subject
    ]
    subjects = [(subject, found) for subject, found in by_subject if found]
    return render(request, "sums.html", {"subjects": subjects, "count": len(sums())})


@login_required
@require_GET
@vary_on_headers("HX-Request")
def a_sum(request: HttpRequest, name: str) -> HttpResponse:
    """One sum: its answer first, its form, and all that the answer rests on."""
    found = page(_named(name), request.GET.dict(), queries.chosen())
    template = "_sum_live.html" if is_fragment(request) else "sum.html"
    sent = "" if found.is_example else request.GET.urlencode()
    context = {"page": found, "one": found.one, "sent": sent}
    return render(request, template, context, status=200 if found.answer else WRONG)


@login_required
@require_GET
def sum_paper(request: HttpRequest, name: str) -> HttpResponse:
    """The same words on paper; what can't be worked out has none."""
    one = _named(name)
    found = page(one, request.GET.dict(), queries.chosen())
    if found.answer is None:
        return a_sum(request, name)
    sent = request.GET.copy()
    letter = "".join(sent.pop("paper", [])).lower().endswith("letter")
    back = reverse("sum", args=[one.name]) + (f"?{sent.urlencode()}" if sent else "")
    sheet = _sheet(found, found.answer, request.build_absolute_uri(back))
    printed = sum_sheet(sheet, Paper.LETTER if letter else Paper.A4)
    return HttpResponse(printed, content_type="application/pdf")


def _named(name: str) -> Sum:
    if name not in sums():
        raise Http404(f"There is no sum {name}.")
    return sums()[name]


def _sheet(found: Page, answer: Answer, address: str) -> SumSheet:
    one = found.one
    return SumSheet(
        yard=clock.the_yard().name,
        title=one.title,
        question=one.question,
        day=clock.today(),
        say=answer.says,
        besides=found.besides,
        caution=one.caution,
        asked=found.taken,
        numbers=found.numbers,
        others=found.others,
        drawing=found.picture,
        formula=one.formula,
        holds=one.holds,
        sources=tuple((fact.tells, fact.evidence) for fact in found.facts),
        address=address,
        example=found.is_example,
    )
