"""What a form says is wrong is said in the yard's words, with what to write instead."""

import pkgutil
from importlib import import_module

import pytest
from django import forms
from django.core.files.uploadedfile import SimpleUploadedFile, UploadedFile
from django.utils.datastructures import MultiValueDict

import yardwright
from yardwright.yard.forms.fields import YardForm


class Probe(YardForm):
    words = forms.CharField(min_length=2, max_length=3)
    count = forms.IntegerField(min_value=1, max_value=20)
    share = forms.FloatField(max_value=1)
    price = forms.DecimalField(min_value=0)
    day = forms.DateField()
    hour = forms.TimeField()
    kind = forms.ChoiceField(choices=[("a", "a")])
    kinds = forms.MultipleChoiceField(choices=[("a", "a")])
    mail = forms.EmailField()
    uuid = forms.UUIDField()
    file = forms.FileField()
    own = forms.IntegerField(error_messages={"invalid": "Count them.", "required": "How many?"})


def said(field: str, typed: object) -> str:
    files = MultiValueDict({field: [typed]} if isinstance(typed, UploadedFile) else {})
    form = Probe({field: typed}, files)
    (words,) = form.errors[field]
    return str(words)


@pytest.mark.parametrize(
    ("field", "typed", "words"),
    [
        ("words", "", "Fill this in."),
        ("words", "a", "That has 1 letters; give 2 or more."),
        ("words", "abcd", "That has 4 letters; 3 are the most."),
        ("count", "two", "That is no whole number; write it like 3."),
        ("count", "0", "0 is too little; give 1 or more."),
        ("count", "21", "21 is too much; give 20 or less."),
        ("share", "much", "That is no number; write it like 2.5."),
        ("share", "1.5", "1.5 is too much; give 1 or less."),
        ("price", "dear", "That is no number; write it like 2.5."),
        ("day", "soon", "That is no day; write it like 2031-05-07."),
        ("hour", "noon", "That is no time; write it like 07:30."),
        ("kind", "b", "b is not on the list; choose from it."),
        ("kinds", ["b"], "b is not on the list; choose from it."),
        ("kinds", "b", "That is not on the list; choose from it."),
        ("mail", "kim", "That is no e-mail address; write it like name@example.org."),
        ("uuid", "x", "The page is an old one; load it again."),
        ("file", None, "Fill this in."),
        ("file", SimpleUploadedFile("a.csv", b""), "The file is empty; choose another."),
        ("own", "x", "Count them."),
        ("own", "", "How many?"),
    ],
)
def test_what_is_wrong_and_what_to_do(field: str, typed: object, words: str) -> None:
    assert said(field, typed) == words


def test_every_form_of_the_yard_says_it_so() -> None:
    for module in pkgutil.walk_packages(yardwright.__path__, "yardwright."):
        if "forms" in module.name or module.name.startswith("yardwright.web."):
            import_module(module.name)
    ours = [one for one in _below(forms.BaseForm) if one.__module__.startswith("yardwright.")]
    assert len(ours) > 40
    assert [one for one in ours if not issubclass(one, YardForm)] == []


def _below(kind: type[forms.BaseForm]) -> list[type[forms.BaseForm]]:
    return [one for sub in kind.__subclasses__() for one in (sub, *_below(sub))]
