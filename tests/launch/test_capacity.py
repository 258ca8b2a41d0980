"""How many more boats, asked for in the web: counted in the background, told with what is short."""

from collections.abc import Callable
from datetime import date
from typing import Any

import pytest
from django.test import Client

from tests.conftest import log_in
from yardwright.fleet.models import Boat
from yardwright.launch import queries, services, solve
from yardwright.season.model import Right
from yardwright.yard.models import Job, Person
from yardwright.yard.refused import Refused

Use = Callable[[Person], Client]
Post = Callable[..., dict[str, str]]
WEDNESDAY = date(2031, 5, 7)


def counted(job: Job) -> dict[str, Any]:
    job.answer, job.state = (
        solve.ANSWERS[job.what]({**job.question, "time_limit_s": 30}),
        Job.State.DONE,
    )
    job.save()
    answer: dict[str, Any] = job.answer
    return answer


def test_boats_like_plover(mara: Person, as_person: Use) -> None:
    # From Monday 05:10 on the mechanic has three days of eight hours, 690 min of them are asked
    # for; a boat like Plover takes 120: six, and 30 min over. One more mechanic has 1,440 more.
    answer = counted(services.count_capacity(mara, WEDNESDAY, "Plover", 0))
    assert answer["at_least"] == answer["at_most"] == 6
    assert [one["what"] for one in answer["short"]] == ["mechanics"]
    said = as_person(mara).get("/spring/capacity/").content.decode()
    assert (
        "Six more boats like Plover by Wed 7 May; seven can&#x27;t: mechanics are short first."
        in said
    )
    assert "mechanic 2 h, yard hand 1 h; 0.60 m of draft, by Travel lift" in said


def test_boats_like_most_here(mara: Person) -> None:
    answer = counted(services.count_capacity(mara, WEDNESDAY, "", 0))
    # The middle of 120, 180, 120, 150, 120 and of 60, 120, 120, 60, 180 minutes; of 0.60, 1.45,
    # 1.75, 1.20 and 1.90 m.
    assert answer["asks"] == "mechanic 2 h, yard hand 2 h; 1.45 m of draft, by Travel lift"


def test_what_can_not_be_counted_is_said(mara: Person, as_person: Use) -> None:
    Boat.objects.filter(name="Teal").update(draft_m=None)
    answer = counted(services.count_capacity(mara, WEDNESDAY, "Teal", 0))
    assert answer["refused"].startswith("No boat like Teal can be planned: her draft is not")
    assert "her draft is not known" in as_person(mara).get("/spring/capacity/").content.decode()


def test_asked_on_the_page_once_and_stopped(mara: Person, as_person: Use, post: Post) -> None:
    client = as_person(mara)
    asked = {"deed": "ask", "by": "2031-05-07", "tolerance_days": "2"}
    assert client.post("/spring/capacity/", post(**asked)).status_code == 302
    assert client.post("/spring/capacity/", post(**asked)).status_code == 302
    (job,) = Job.objects.filter(what=queries.CAPACITY)
    assert job.question == {"by": "2031-05-07", "like": "", "tolerance_days": 2}
    page = client.get("/spring/capacity/").content.decode()
    assert "Stop counting" in page
    client.post("/spring/capacity/", post(deed="stop", job=str(job.pk)))
    job.refresh_from_db()
    assert job.state == Job.State.STOPPED


@pytest.mark.parametrize(
    "typed", [{}, {"by": "soon"}, {"by": "2031-05-07", "tolerance_days": "-1"}]
)
def test_what_is_wrong_is_said_and_asks_nothing(
    mara: Person, as_person: Use, post: Post, typed: dict[str, str]
) -> None:
    answer = as_person(mara).post("/spring/capacity/", post(deed="ask", **typed))
    assert answer.status_code == 422
    assert not Job.objects.exists()


def test_refusals(mara: Person, as_person: Use, post: Post) -> None:
    with pytest.raises(Refused, match="Thu 8 May is after the season's last day, Wed 7 May"):
        services.count_capacity(mara, date(2031, 5, 8), "", 0)
    with pytest.raises(Refused, match="has passed"):
        services.count_capacity(mara, date(2031, 5, 4), "", 0)
    tomas = log_in("Tomas", Right.PROVE)
    answer = as_person(tomas).post("/spring/capacity/", post(deed="ask", by="2031-05-07"))
    assert answer.status_code == 409
    assert "Ask Mara" in answer.content.decode()
