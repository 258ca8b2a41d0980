"""A set of questions, one at a time: what is right, why, and where it stands."""

from collections.abc import Callable
from uuid import uuid4

import pytest
from django.test import Client

from yardwright.procedures.questions import About, question_set
from yardwright.school.models import Answered
from yardwright.yard.models import Person

Use = Callable[[Person], Client]
AT = "/school/questions/?of_set=7&n=1"


def post(chosen: object) -> dict[str, object]:
    return {"uuid": str(uuid4()), "chosen": chosen}


def test_a_set_is_opened_and_answered(timo: Person, as_person: Use) -> None:
    client = as_person(timo)
    opened = client.get("/school/questions/")
    assert opened.status_code == 302
    assert "of_set=" in opened["Location"]
    question = question_set(7)[0]
    page = client.get(AT).content.decode()
    assert "Question 1 of 10" in page
    assert question.source not in page  # not before the answer
    wrong = next(n for n in range(len(question.choices)) if n != question.right)
    page = client.post(AT, post(wrong)).content.decode()
    assert "Not so." in page
    assert question.source.split("'")[0] in page
    assert "n=2" in page
    assert "<b>Right.</b>" in client.post(AT, post(question.right)).content.decode()
    (kept,) = Answered.objects.all()
    assert (kept.key, kept.right) == (question.key, False)  # the first answer counts
    assert "0 of 1 right" in client.get("/school/").content.decode()
    who_may = client.get("/yard/who-may/").content.decode()
    assert "0 of 1 questions right at the first answer" in who_may
    assert (
        "That was the last of this set"
        in client.post("/school/questions/?of_set=7&n=10", post(0)).content.decode()
    )


def test_bad_input_keeps_nothing(timo: Person, as_person: Use, client: Client) -> None:
    page = as_person(timo)
    answer = page.post(AT, {})
    assert answer.status_code == 422
    assert "Choose an answer first." in answer.content.decode()
    assert page.post(AT, post("many")).status_code == 422
    assert page.get("/school/questions/?of_set=0").status_code == 302
    assert page.get("/school/questions/?of_set=7&about=boats").status_code == 302
    assert not Answered.objects.exists()
    assert page.put(AT).status_code == 405
    client.logout()
    assert client.get(AT).status_code == 302


@pytest.mark.parametrize("about", About)
def test_a_set_of_one_sort_and_its_paper(timo: Person, as_person: Use, about: About) -> None:
    client = as_person(timo)
    first = question_set(7, about=about)[0]
    page = client.get(f"/school/questions/?of_set=7&about={about}&n=1").content.decode()
    assert about in page
    assert first.asks.split("'")[0].split('"')[0] in page
    paper = client.get(f"/school/questions.pdf?of_set=7&about={about}&paper=A4")
    assert paper.content.startswith(b"%PDF")
    assert client.get("/school/questions.pdf").status_code == 302
