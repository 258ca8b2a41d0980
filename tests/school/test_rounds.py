"""A round on a practice boat: planted unseen, named, scored by hand count, and reset in one step."""

from collections.abc import Callable
from datetime import date
from uuid import uuid4

import pytest
from django.test import Client

from tests.conftest import log_in
from tests.launch.conftest import later
from yardwright.fleet.models import Boat
from yardwright.procedures.practice import can_be_planted
from yardwright.procedures.step import Has
from yardwright.school.models import ClassGroup, Finished, Named, PracticeBoat, Round
from yardwright.season.model import Right
from yardwright.work.models import Fact
from yardwright.yard.models import Person

Use = Callable[[Person], Client]


@pytest.fixture
def boat(vera: Person, timo: Person) -> PracticeBoat:
    group = ClassGroup.objects.create(
        name="Spring class", teacher=vera, begins=date(2031, 5, 5), ends=date(2031, 6, 6)
    )
    group.learners.set([timo, log_in("Pia", learner=True)])
    return PracticeBoat.objects.create(name="Coot", has=Boat.objects.get(name="Teal").has)


def things(boat: PracticeBoat) -> list[str]:
    return [kind.code for kind in can_be_planted(frozenset(Has(one) for one in boat.has))]


def post(**typed: object) -> dict[str, object]:
    return {"uuid": str(uuid4()), **typed}


def planted(boat: PracticeBoat, client: Client, *codes: str) -> str:
    asked = post(group=str(ClassGroup.objects.get().pk), planted=[*codes], by_dice="4")
    answer = client.post(f"/school/boats/{boat.pk}/plant/", asked)
    assert answer.status_code == 302, answer.content.decode()
    return str(answer["Location"])


def test_a_round_from_planted_to_scored(
    boat: PracticeBoat, vera: Person, timo: Person, as_person: Use
) -> None:
    # By hand: a, b, c planted; Timo names a and d, takes d back, names e: 1 of 3, one though sound.
    a, b, c, d, e = things(boat)[:5]
    facts, here = Fact.objects.count(), planted(boat, as_person(vera), a, b, c)
    one = Round.objects.get()
    client = as_person(timo)
    page = client.get(here).content.decode()
    assert "Practice: not a real boat" in page
    assert "What is planted" not in page  # nobody sees what to find
    assert "The class" not in page
    first = post(deed="name", kind=a, words="hole is empty")
    for _ in range(2):
        assert client.post(here, first).status_code == 302
    for deed, kind in (("name", d), ("back", d), ("name", e)):
        assert client.post(here, post(deed=deed, kind=kind)).status_code == 302
    assert Named.objects.count() == 4
    assert "1 of 3" not in client.get(here).content.decode()  # not before they are done
    later(25)
    assert client.post(here, post(deed="done")).status_code == 302
    page = client.get(here).content.decode()
    assert "1 of 3 found; 1 named though sound, in 25 min." in page
    assert client.post(here, post(deed="name", kind=b)).status_code == 409
    assert client.post(here, post(deed="done")).status_code == 302  # once is once
    assert Finished.objects.count() == 1

    teacher = as_person(vera).get(here).content.decode()
    assert "1 of 3 found; 1 named though sound" in teacher
    assert "0 of 3 found" in teacher  # Pia
    assert "not done" in teacher
    paper = client.get(f"{here[:-1]}.pdf")
    assert paper.content.startswith(b"%PDF")
    assert Fact.objects.count() == facts  # nothing of it is among the yard's facts
    assert one.planted == [a, b, c]


def test_reset_in_one_step(boat: PracticeBoat, vera: Person, timo: Person, as_person: Use) -> None:
    here = planted(boat, as_person(vera), things(boat)[0])
    again = as_person(vera).post(
        f"/school/boats/{boat.pk}/plant/", post(group=str(ClassGroup.objects.get().pk), by_dice="2")
    )
    assert again.status_code == 409
    assert "End that round first." in again.content.decode()
    assert as_person(timo).post(here, post(deed="reset")).status_code == 409
    assert as_person(vera).post(here, post(deed="reset")).status_code == 302
    page = as_person(vera).get(here).content.decode()
    assert "Put each of these back by hand" in page
    assert as_person(timo).post(here, post(deed="name", kind=things(boat)[0])).status_code == 409
    assert "the round ended before you were done" in as_person(timo).get(here).content.decode()
    other = planted(boat, as_person(vera))
    assert other != here
    fresh = Round.objects.get(ended_at=None)
    assert len(fresh.planted) == 4  # by the dice
    assert not fresh.named.exists()
    assert set(fresh.planted) <= set(things(boat))


def test_what_can_t_be(boat: PracticeBoat, vera: Person, timo: Person, as_person: Use) -> None:
    plant = f"/school/boats/{boat.pk}/plant/"
    group = str(ClassGroup.objects.get().pk)
    assert as_person(timo).post(plant, post(group=group, by_dice="2")).status_code == 409
    client = as_person(vera)
    for typed, status in (
        ({"group": group, "planted": ["no such thing"]}, 422),
        ({"group": group, "by_dice": "0"}, 422),
        ({"group": group, "by_dice": ""}, 409),
        ({"by_dice": "3"}, 422),
    ):
        assert client.post(plant, post(**typed)).status_code == status
    assert not Round.objects.exists()
    here = planted(boat, client, things(boat)[0])
    learner = as_person(timo)
    assert learner.post(here, post(deed="name")).status_code == 422
    assert learner.post(here, post(deed="name", kind="no such thing")).status_code == 422
    assert learner.post(here, post(deed="dance")).status_code == 422
    assert learner.put(here).status_code == 405
    assert learner.get(f"{here[:-1]}.pdf").status_code == 403
    assert as_person(log_in("Ole", Right.PROVE)).get(here).status_code == 403
    teacher = as_person(vera).post(here, post(deed="name", kind=things(boat)[0]))
    assert teacher.status_code == 409  # she is not in the class
    assert not Named.objects.exists()
    client.logout()
    assert client.get(here).status_code == 302
