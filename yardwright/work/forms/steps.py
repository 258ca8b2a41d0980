"""The door to steps and other work done."""

from typing import Any

from django import forms

from yardwright.procedures.fittings import stands_open
from yardwright.procedures.step import PutBackKind, Step
from yardwright.procedures.steps import book
from yardwright.procedures.ways_in import Barrier
from yardwright.work.forms.entry import EntryForm, Took, some_words


class StepForm(EntryForm):
    """A step done; in fall it asks where each part lies, and which way in it opens."""

    took_min = Took()

    def __init__(self, step: Step, ways: tuple[Barrier, ...], *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.kinds = [book().kinds[code] for code in step.opens]
        for kind in self.kinds:
            self.fields[f"lies_{kind.code}"] = some_words(
                f"{kind.what}: where does it lie?", help_text=kind.lies_hint
            )
            if kind.barrier:
                self.fields[f"fitting_{kind.code}"] = _fitting(kind, ways)
        if not step.watch_learner:
            del self.fields["second"]

    @property
    def lies(self) -> dict[str, str]:
        return {kind.code: self.cleaned_data[f"lies_{kind.code}"] for kind in self.kinds}

    @property
    def fittings(self) -> dict[str, str]:
        return {k.code: self.cleaned_data[f"fitting_{k.code}"] for k in self.kinds if k.barrier}


def _fitting(kind: PutBackKind, ways: tuple[Barrier, ...]) -> forms.ChoiceField:
    """Her ways in of that kind, all of them where she has none such; one alone is taken.

    The one that usually stands open meanwhile is shown first chosen; another can be.
    """
    of_kind = [way.name for way in ways if way.kind == kind.barrier]
    names = of_kind or [way.name for way in ways]
    choices = [(name, name) for name in names]
    return forms.ChoiceField(
        label=f"{kind.what}: which way in stands open?",
        choices=choices if len(of_kind) == 1 else [("", "choose one of hers"), *choices],
        initial=stands_open(kind.code, ways),
        error_messages={"required": "Choose it: water can come in there."},
    )


class WorkForm(EntryForm):
    """A piece of work that she waited for is done."""

    took_min = Took()

    def __init__(self, pieces: list[str], *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        del self.fields["second"]
        self.fields["what"] = forms.ChoiceField(
            choices=[(what, what) for what in pieces],
            error_messages={
                "required": "Which piece of work? Tap its button.",
                "invalid_choice": "%(value)s is not among her work.",
            },
        )
