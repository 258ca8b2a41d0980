"""How many more boats, asked for in the web: counted in the background, told with what is short."""

from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta
from html import unescape
from typing import Any

import pytest
from django.test import Client

from tests.conftest import entry, log_in, set_clock
from tests.launch.conftest import MONDAY
from yardwright.fleet.models import Boat
from yardwright.launch import queries, services, solve
from yardwright.launch.views.capacity import SURELY, _capacity_context, _short
from yardwright.procedures.going_in import State
from yardwright.season.model import Right
from yardwright.season.published import as_json
from yardwright.season.yard_time import Job as Planned
from yardwright.work import facts
from yardwright.work.models import Fact
from yardwright.yard.models import Job, Lift, Person
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
    client = as_person(mara)
    said = client.get("/spring/capacity/").content.decode()
    assert (
        "Six more boats like Plover by Wed 7 May; seven can&#x27;t: mechanics are short first."
        in said
    )
    assert "mechanic 2 h, yard hand 1 h; 0.60 m of draft, by Travel lift" in said
    assert client.get("/spring/capacity.pdf").content.startswith(b"%PDF")
    context = _capacity_context()
    section, words = _short(context), unescape(said)
    assert section.title in words
    assert context["asked"] in words
    assert SURELY in words
    (row,) = section.rows
    assert row[0] == "one more mechanic"
    assert all(f">{one}</td>" in words for one in row[1:])


def test_boats_like_most_here(mara: Person) -> None:
    answer = counted(services.count_capacity(mara, WEDNESDAY, "", 0))
    # The middle of 120, 180, 120, 150, 120 and of 60, 120, 120, 60, 180 minutes; of 0.60, 1.45,
    # 1.75, 1.20 and 1.90 m.
    assert answer["asks"] == "mechanic 2 h, yard hand 2 h; 1.45 m of draft, by Travel lift"


def test_who_has_work_on_a_boat_at_the_lift_has_no_hours_for_more(
    mara: Person, published: Fact
) -> None:
    # Dunlin is in the water with 240 min of the mechanic's work afloat by the plan; 510 of 1,440
    # are asked for ashore. What is left, 690, is five boats like Plover, not the seven of 930. One
    # more mechanic has 1,440 more, and the yard hand 1,020 left: 17 by either.
    dunlin = Boat.objects.get(name="Dunlin")
    dunlin.work.create(
        place_in_list=9, what="mast stepped", trade="mechanic", minutes=240, afloat=True
    )
    plan = queries.plan_of(published)
    assert plan
    starts = MONDAY.replace(day=6, hour=7, minute=0)
    mast = Planned("Dunlin", "mast stepped", "Ines", starts, starts + timedelta(hours=4))
    plan = replace(plan, plan=replace(plan.plan, jobs=(*plan.plan.jobs, mast)))
    facts.add_published(entry(mara), published.body | {"plan": as_json(plan)})
    facts.add_moved(entry(mara), dunlin, State.IN_THE_WATER, lift=Lift.objects.get())
    answer = counted(services.count_capacity(mara, WEDNESDAY, "Plover", 0))
    assert answer["at_least"] == answer["at_most"] == 5
    (short,) = answer["short"]
    assert (short["what"], short["at_most"]) == ("mechanics", 17)


def test_an_old_count_says_why_and_counts_no_more(
    mara: Person, published: Fact, as_person: Use
) -> None:
    answer = counted(services.count_capacity(mara, WEDNESDAY, "Plover", 0))
    client, new = as_person(mara), f'<p class="say">{answer["sentence"]}'.replace("'", "&#x27;")

    def page() -> str:
        return client.get("/spring/capacity/").content.decode()

    assert new in page()
    came = Boat.objects.create(name="Wren", tag="WRE", draft_m=0.6)
    changed = page()
    assert new not in changed
    assert "boats or work were changed since this was worked out. Count again" in changed
    came.delete()
    assert new in page()
    set_clock(MONDAY.replace(day=6))
    assert "The hours from Mon 5 May on were counted, and some are over. Count again" in page()
    set_clock(MONDAY.replace(hour=6))
    assert new in page()
    facts.add_published(entry(mara), published.body)
    assert "Another plan holds since this was worked out. Count again" in page()


def test_a_count_without_a_plan_holds_until_one_is_published(
    mara: Person, planned: Job, as_person: Use
) -> None:
    counted(services.count_capacity(mara, WEDNESDAY, "Plover", 0))
    client = as_person(mara)
    assert "Count again" not in client.get("/spring/capacity/").content.decode()
    services.publish(entry(mara), planned)
    assert "Another plan holds" in client.get("/spring/capacity/").content.decode()


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
