"""From ready to handed over by way of the slings, as the phone at the lift does it."""

from collections.abc import Callable
from datetime import date, datetime, timedelta
from uuid import uuid4

import pytest
from django.test import Client

from tests.conftest import entry, log_in, set_clock
from tests.launch.conftest import later, state_of
from yardwright.fleet.models import Boat
from yardwright.launch import on_her_way, services
from yardwright.procedures.going_in import BILGE_DRY, BILGE_PUMP, State, from_inside
from yardwright.procedures.put_backs import Proof
from yardwright.procedures.verdict import Verdict
from yardwright.season.model import Lifted, Right
from yardwright.work import exchange, facts, put_backs, verdicts, words
from yardwright.work import services as work_services
from yardwright.work.models import Fact, Kind
from yardwright.yard import clock
from yardwright.yard.models import Lift, Person, Place
from yardwright.yard.refused import Refused

Use = Callable[[Person], Client]
Post = Callable[..., dict[str, str]]
PAGE = "/boats/TEA/going-in/"


def into(boat: Boat, by: Person) -> Fact:
    return services.into_slings(entry(by), boat, Lift.objects.get())


def test_a_forgotten_drain_plug_stops_her_at_the_lift(
    teal: Boat, ruben: Person, as_person: Use, post: Post
) -> None:
    from tests.launch.conftest import lift_and_weight

    lift_and_weight(teal)
    set_clock(datetime.fromisoformat("2031-05-06T09:30-04:00"))
    facts.add_moved(entry(ruben), teal, State.READY)  # the plug was pulled again after that
    client = as_person(ruben)
    page = client.get(PAGE).content.decode()
    # Story A3: the way the water takes, and 44 to 59 L/min.
    assert "sea → stern drain plug, 25 mm, 0.30 m deep → bilge, 44 to 59 L/min" in page
    refused = client.post(PAGE, post(deed="into slings", lift="Travel lift"))
    assert refused.status_code == 409
    assert "44 to 59 L/min" in refused.content.decode()
    assert state_of(teal) == State.READY


def test_fitting_out_she_is_told_what_would_stop_her(
    teal: Boat, ruben: Person, as_person: Use
) -> None:
    from tests.launch.conftest import lift_and_weight

    lift_and_weight(teal)
    set_clock(datetime.fromisoformat("2031-05-02T10:00-04:00"))  # high water or not: days to go
    page = as_person(ruben).get(PAGE).content.decode()
    # Story A3: 1, 3, 5, 6 and 8 of her eleven things must be back before she is in the slings.
    assert "What keeps her on land" in page
    assert "At the lift this would stop her too" in page  # the pump was never run
    for thing in ("Stern drain plug out", "Two batteries ashore", "Propeller off"):
        assert f"{thing}: not put back" in page
    assert "Livewell hose off its seacock: not put back" in page
    assert "Bilge pump switch lead off: not put back" in page
    assert "Fuel pump lead off" not in page
    assert "Nothing refuses" not in page


def test_ready_is_refused_with_what_holds_her(
    teal: Boat, ruben: Person, as_person: Use, post: Post
) -> None:
    from tests.launch.conftest import lift_and_weight

    lift_and_weight(teal)
    for sent in (PAGE, post(deed="ready")), ("/boats/TEA/move/", post(state=State.READY)):
        answer = as_person(ruben).post(*sent)
        assert answer.status_code == 409
        said = answer.content.decode()
        # Story A3: the plug, and the propeller; the lead of the fuel pump is asked for by the start.
        assert "stern drain plug out: not put back (sinks)." in said.lower()
        assert "propeller off: not put back" in said.lower()
        assert "fuel pump lead off: not put back" not in said.lower()
    assert state_of(teal) == State.FITTING_OUT


def test_a_finding_that_holds_her_refuses_ready(at_the_lift: Boat, ruben: Person) -> None:
    services.set_state(entry(ruben), at_the_lift, State.FITTING_OUT)
    run = {"words": "The head went past its limit.", "end": "alarm"}
    facts._add(entry(ruben), Kind.HOSE_RUN, at_the_lift, Verdict.STOP, run)
    with pytest.raises(Refused, match="Hose run: Stop"):
        services.ready(entry(ruben), at_the_lift)


def test_ready_in_every_way_nothing_would_stop_her(at_the_lift: Boat) -> None:
    services.set_state(entry(log_in("Ruben", Right.PROVE)), at_the_lift, State.FITTING_OUT)
    assert on_her_way.going(at_the_lift, clock.now()).at_the_lift == ()


def test_a_limit_that_is_not_on_file_is_said(
    at_the_lift: Boat, ruben: Person, as_person: Use
) -> None:
    Lift.objects.update(beam_m=None, draft_m=None)
    client = as_person(ruben)
    says = "No limit on file: how wide and deep a boat the Travel lift takes."
    assert says in client.get(PAGE).content.decode()
    Lift.objects.update(beam_m=4.6)
    assert "No limit on file: how deep a boat" in client.get(PAGE).content.decode()
    Lift.objects.update(draft_m=2.5)
    assert "No limit on file" not in client.get(PAGE).content.decode()


def test_the_plan_knows_since_when_she_hangs_and_in_which(at_the_lift: Boat, ruben: Person) -> None:
    def lifted() -> Lifted | None:
        return next(b.lifted for b in exchange.the_season().boats if b.name == at_the_lift.name)

    assert lifted() is None
    fact = into(at_the_lift, ruben)
    assert lifted() == Lifted(fact.done_at, "Travel lift")


def test_the_whole_hang_with_two_dry_looks(at_the_lift: Boat, ruben: Person) -> None:
    boat, by = at_the_lift, ruben
    into(boat, by)
    assert state_of(boat) == State.IN_THE_SLINGS
    with pytest.raises(Refused, match="Look twice that the bilge is dry, 10 min apart"):
        services.slings_off(entry(by), boat)
    services.look(entry(by), boat, BILGE_DRY, holds=True)
    going = on_her_way.going(boat, clock.now())
    assert 595 <= going.seconds_left <= 600
    later(9)
    services.look(entry(by), boat, BILGE_DRY, holds=True)
    with pytest.raises(Refused, match="Look at livewell seacock from inside"):
        services.slings_off(entry(by), boat)
    for way in boat.ways_in.all():
        services.look(entry(by), boat, from_inside(way.name), holds=True)
    with pytest.raises(Refused, match="Look twice"):
        services.slings_off(entry(by), boat)  # nine minutes are not ten
    later(1.1)
    services.look(entry(by), boat, BILGE_DRY, holds=True)
    services.slings_off(entry(by), boat)
    assert state_of(boat) == State.IN_THE_WATER
    due = f"{clock.now():%H:%M}"  # by the yard's own clock, not the database's
    with pytest.raises(Refused, match=f"The look of 6 May {due} is due"):
        services.hand_over(entry(by), boat)
    for minutes in (0, 10, 20, 90, 22 * 60):  # 0, 10, 30 min, 2 h, 24 h
        later(minutes)
        services.look(entry(by), boat, BILGE_DRY, holds=True)
    services.hand_over(entry(by), boat)
    assert state_of(boat) == State.HANDED_OVER


def test_water_in_the_slings_asks_to_lift_her_back(
    at_the_lift: Boat, ruben: Person, as_person: Use, post: Post
) -> None:
    into(at_the_lift, ruben)
    client = as_person(ruben)
    seen = from_inside("livewell seacock")
    client.post(PAGE, post(deed="look", at_what=seen, holds="no"))
    page = client.get(PAGE).content.decode()
    assert "Water comes in. Lift her back." in page
    anyone = log_in("Nell")  # nobody needs a right to lift her out of danger
    services.lift_back(entry(anyone), at_the_lift)
    assert state_of(at_the_lift) == State.FITTING_OUT
    with pytest.raises(Refused, match="nothing to lift back"):
        services.lift_back(entry(anyone), at_the_lift)


def test_what_was_seen_is_kept_and_what_was_not_so_is_struck_out(
    at_the_lift: Boat, ruben: Person, as_person: Use, post: Post
) -> None:
    client = as_person(ruben)

    def page() -> str:
        return client.get(PAGE).content.decode()

    assert "Pump the bilge dry before the slings." in page()
    into(at_the_lift, ruben)
    asking = [form for form in page().split("<form") if "what did you see?" in form]
    assert len(asking) == 1 + len(on_her_way.going(at_the_lift, clock.now()).openings)
    assert not any('value="yes"' in form for form in asking)  # Enter after the words says no
    look = {"deed": "look", "at_what": BILGE_DRY}
    client.post(PAGE, post(**look, holds="no", words="2 cm of rain"))
    assert "Bilge dry? No: 2 cm of rain (Ruben, " in page()
    client.post(PAGE, post(**look, holds="yes", words="only rain, it is dry"))
    assert "Water in the bilge. Lift her back." in page()  # no words make a wet look dry
    wet = Fact.objects.get(kind=Kind.LOOKED, what=BILGE_DRY, body__holds=False)
    link = f"/facts/{wet.pk}/?back={PAGE}"
    assert f'href="{link}"' in page()
    assert client.post(link, post(reason="it was another boat's bilge")).status_code == 302
    assert "Lift her back." not in page()
    services.look(entry(ruben), at_the_lift, BILGE_DRY, holds=False)
    assert "Bilge dry? No: water in the bilge (Ruben, " in page()


def test_the_water_must_hold_for_the_hang_and_the_way_back(mara: Person) -> None:
    # Story A1: a launch needs the water for its 30 min, and Curlew's leaves Tuesday 09:45.
    curlew = Boat.objects.get(name="Curlew")
    services.ready(entry(mara), curlew)
    needs = "She needs the water for 30 min; it holds from 05:38 to 09:45."
    for time, refused in (("09:14", False), ("09:16", True)):
        at = datetime.fromisoformat(f"2031-05-06T{time}-04:00")
        going = on_her_way.going(curlew, at)
        assert (needs in going.refusals(State.IN_THE_SLINGS)) == refused
        # The evening's water of the story's table: 18:05 to 22:05.
        back = "She needs it for 30 min: the next so long is 18:05 to 22:05." in going.water_words
        assert back == refused


def test_lifted_back_from_the_water_she_hangs_anew(at_the_lift: Boat, ruben: Person) -> None:
    from tests.launch.test_ink import hang_dry

    hang_dry(at_the_lift, ruben, BILGE_DRY, from_inside)
    services.slings_off(entry(ruben), at_the_lift)
    services.look(entry(ruben), at_the_lift, BILGE_DRY, holds=False)
    same = entry(ruben)
    first = services.lift_back(same, at_the_lift)
    assert services.lift_back(same, at_the_lift) == first
    assert state_of(at_the_lift) == State.IN_THE_SLINGS
    with pytest.raises(Refused, match="Look twice"):
        services.slings_off(entry(ruben), at_the_lift)


def test_a_phone_s_wrong_clock_does_not_shorten_the_hang(at_the_lift: Boat, ruben: Person) -> None:
    from yardwright.work.facts import Entry

    hour_ago = Entry(uuid4(), ruben, clock.now() - timedelta(hours=1))
    fact = services.into_slings(hour_ago, at_the_lift, Lift.objects.get())
    assert abs(fact.done_at - clock.now()) < timedelta(seconds=5)


def test_an_unknown_weight_is_refused(at_the_lift: Boat, ruben: Person) -> None:
    at_the_lift.weight_kg = None
    at_the_lift.save()
    with pytest.raises(Refused, match="Not known: her weight"):
        into(at_the_lift, ruben)


def test_too_heavy_is_refused_by_the_range_not_the_mean(at_the_lift: Boat, ruben: Person) -> None:
    at_the_lift.weight_kg, at_the_lift.weight_within = 14000, 0.1  # up to 15,400 of 15,000 kg
    at_the_lift.save()
    with pytest.raises(Refused, match=r"She may weigh 15,400 kg .*; the lift is rated 15,000 kg"):
        into(at_the_lift, ruben)


def test_too_broad_and_on_soft_ground_are_refused(at_the_lift: Boat, ruben: Person) -> None:
    def why() -> str:
        with pytest.raises(Refused) as refused:
            into(at_the_lift, ruben)
        return refused.value.wrong

    Lift.objects.update(beam_m=2.0)
    at_the_lift.beam_m = 2.1
    at_the_lift.save()
    assert "Her beam is 2.1 m, and the Travel lift takes 2 m." in why()
    Lift.objects.update(beam_m=None, firm_ground=True)
    assert "nobody wrote where she stands" in why()
    row = Place.objects.get()
    row.soft = True
    row.save()
    services.move(entry(ruben), at_the_lift, row, 1)
    assert "nobody has said from which day of this season North row bears it" in why()
    row.firm_from = date(2031, 5, 7)  # tomorrow
    row.save()
    assert "North row bears the Travel lift from Wed 7 May on" in why()
    row.firm_from = date(2031, 5, 6)  # today
    row.save()
    into(at_the_lift, ruben)
    assert state_of(at_the_lift) == State.IN_THE_SLINGS


def test_a_crane_s_slings_are_measured_first(at_the_lift: Boat, ruben: Person) -> None:
    Lift.objects.update(kind="crane")
    crane = Lift.objects.get()
    with pytest.raises(Refused, match="angle from the horizontal"):
        services.into_slings(entry(ruben), at_the_lift, crane)
    with pytest.raises(Refused, match="not under 30°"):
        services.into_slings(entry(ruben), at_the_lift, crane, 25)
    services.into_slings(entry(ruben), at_the_lift, crane, 60)


def test_the_pump_runs_first(at_the_lift: Boat, ruben: Person) -> None:
    later(25 * 60)
    with pytest.raises(Refused, match="Run the bilge pump from its own switch first"):
        into(at_the_lift, ruben)
    services.look(entry(ruben), at_the_lift, BILGE_PUMP, holds=True)
    with pytest.raises(Refused, match="within 24 h of going in"):
        into(at_the_lift, ruben)  # her ways in are proven anew too


def test_a_reading_that_holds_her_holds_her_here(
    at_the_lift: Boat, ruben: Person, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(verdicts, "holds", lambda facts: ("Compression: Stop.",))
    with pytest.raises(Refused, match="Compression: Stop"):
        into(at_the_lift, ruben)


def test_going_in_needs_the_right(at_the_lift: Boat, ruben: Person) -> None:
    hand = log_in("Tomas", Right.PROVE)
    with pytest.raises(Refused, match="Ask Ruben"):
        into(at_the_lift, hand)
    for deed in (services.slings_off, services.hand_over):
        with pytest.raises(Refused, match="Ask Ruben"):
            deed(entry(hand), at_the_lift)


def test_states_on_land_and_where_she_stands(at_the_lift: Boat, ruben: Person) -> None:
    row = Place.objects.get()
    services.set_state(entry(ruben), at_the_lift, State.FITTING_OUT, row, 2)
    with pytest.raises(Refused, match="has no berth 9"):
        services.move(entry(ruben), at_the_lift, row, 9)
    other = Boat.objects.create(name="Sora", tag="SOR")
    with pytest.raises(Refused, match="Teal stands at North row, berth 2"):
        services.move(entry(ruben), other, row, 2)
    with pytest.raises(Refused, match="From Fitting out she does not go to Coming out"):
        services.set_state(entry(ruben), at_the_lift, State.COMING_OUT)
    with pytest.raises(Refused, match="by way of the slings"):
        services.set_state(entry(ruben), at_the_lift, State.IN_THE_WATER)
    services.ready(entry(ruben), at_the_lift)
    here = on_her_way.where(at_the_lift)
    assert (here.state, here.place, here.berth) == (State.READY, "North row", 2)


def test_back_on_land_she_stands_where_she_stood(at_the_lift: Boat, ruben: Person) -> None:
    services.move(entry(ruben), at_the_lift, Place.objects.get(), 3)
    into(at_the_lift, ruben)
    assert on_her_way.where(at_the_lift).place == ""
    services.lift_back(entry(ruben), at_the_lift)
    here = on_her_way.where(at_the_lift)
    assert (here.place, here.berth) == ("North row", 3)


# --- the page -------------------------------------------------------------------


def test_the_page_by_taps(at_the_lift: Boat, ruben: Person, as_person: Use, post: Post) -> None:
    client = as_person(ruben)
    sent = post(deed="into slings", lift="Travel lift")
    assert client.post(PAGE, sent).status_code == 302
    assert client.post(PAGE, sent).status_code == 302  # a second tap
    assert Fact.objects.filter(kind=Kind.LIFTED).count() == 1
    htmx = {"HX-Request": "true"}
    part = client.post(PAGE, post(deed="look", at_what=BILGE_DRY, holds="yes"), headers=htmx)
    words = part.content.decode()
    assert words.lstrip().startswith('<div id="going">')
    assert 'class="countdown" data-seconds="600"' in words or 'data-seconds="599"' in words
    assert "Dry at the livewell seacock" in words
    off = client.post(PAGE, post(deed="slings off"), headers=htmx)
    assert off.status_code == 409
    assert 'role="alert"' in off.content.decode()


def test_what_the_page_refuses(
    at_the_lift: Boat, ruben: Person, client: Client, as_person: Use, post: Post
) -> None:
    assert client.get(PAGE).status_code == 302
    facts = Fact.objects.count()
    use = as_person(ruben)
    assert use.post(PAGE, post(deed="fly")).status_code == 422
    assert use.post(PAGE, post(deed="look", at_what="the moon", holds="yes")).status_code == 409
    assert use.post(PAGE, post(deed="look", at_what=BILGE_DRY)).status_code == 409
    assert use.post(PAGE, {"deed": "into slings", "uuid": "none"}).status_code == 422
    assert use.put(PAGE).status_code == 405
    assert use.get("/boats/ZZZ/going-in/").status_code == 404
    hand = as_person(log_in("Tomas", Right.PROVE))
    refused = hand.post(PAGE, post(deed="into slings", lift="Travel lift"))
    assert refused.status_code == 409
    assert "Ask Ruben" in refused.content.decode()
    assert Fact.objects.count() == facts


def test_the_move_page(at_the_lift: Boat, ruben: Person, as_person: Use, post: Post) -> None:
    client, path = as_person(ruben), "/boats/TEA/move/"
    assert "She is Ready to go in" in client.get(path).content.decode()
    refused = client.post(path, post(state="Ready to go in", place="North row", berth="7"))
    assert refused.status_code == 409
    assert 'value="7"' in refused.content.decode()
    assert client.post(path, post(state="Ready to go in", berth="x")).status_code == 422
    sent = post(state="Ready to go in", place="North row", berth="1")
    assert client.post(path, sent).status_code == 302
    assert client.post(path, sent).status_code == 302
    assert on_her_way.where(at_the_lift).berth == 1
    sent = post(state="Owner's turn", place="", berth="")
    assert client.post(path, sent).status_code == 302
    here = on_her_way.where(at_the_lift)
    assert (here.state, here.berth) == (State.OWNERS_TURN, 1)


def test_put_back_by_one_tap_is_seen_here(teal: Boat, ruben: Person) -> None:
    plug = put_backs.open_undone().get(boat=teal, what="stern drain plug out")
    work_services.put_back(entry(ruben), plug, Proof.FELT)
    going = on_her_way.going(teal, clock.now())
    assert "stern drain plug" not in " ".join(going.refusals(State.IN_THE_SLINGS))


def test_of_a_boat_that_nobody_moved_the_first_word_is_taken(teal: Boat, ruben: Person) -> None:
    new = Boat.objects.create(name="Dotterel", tag="DOT")
    services.set_state(entry(ruben), new, State.AFLOAT)  # a yard that begins in fall
    assert state_of(new) == State.AFLOAT
    with pytest.raises(Refused, match="From Afloat she does not go to Fitting out"):
        services.set_state(entry(ruben), new, State.FITTING_OUT)
    services.set_state(entry(ruben), new, State.COMING_OUT)
    assert state_of(new) == State.COMING_OUT


def test_water_coming_in_leads_the_morning_sheet(
    at_the_lift: Boat, ruben: Person, as_person: Callable[[Person], Client]
) -> None:
    services.into_slings(entry(ruben), at_the_lift, Lift.objects.get())
    later(3)
    client = as_person(ruben)
    assert "Lift her back" not in client.get("/").content.decode()
    services.look(entry(ruben), at_the_lift, BILGE_DRY, holds=False, words="a cupful")
    page = client.get("/").content.decode()
    assert "Teal: water comes in. Lift her back first." in page
    assert 'href="/boats/TEA/going-in/">Teal: lift her back' in page


def test_a_lift_held_for_wind_lifts_nobody(at_the_lift: Boat, ruben: Person) -> None:
    now = clock.now()
    since, ends = now - timedelta(hours=1), now + timedelta(hours=2)
    Lift.objects.update(holds=[[since.isoformat(), ends.isoformat(), "wind"]])
    until = f"{ends:%H:%M}"
    with pytest.raises(Refused, match=f"The Travel lift carries nothing until {until}: wind."):
        into(at_the_lift, ruben)
    assert state_of(at_the_lift) == State.READY


def test_while_the_wind_hold_stands_there_is_no_button(
    at_the_lift: Boat, ruben: Person, as_person: Use
) -> None:
    client, now = as_person(ruben), clock.now()
    button = ">In the slings now</button>"
    assert button in client.get(PAGE).content.decode()
    ends = now + timedelta(hours=2)
    Lift.objects.update(holds=[[now.isoformat(), ends.isoformat(), "wind"]])
    page = client.get(PAGE).content.decode()
    assert button not in page
    no_lift = page[page.index("No lift now") :]
    assert f"The Travel lift carries nothing until {ends:%H:%M}: wind." in no_lift
    crane = Lift.objects.get()
    crane.pk, crane.name, crane.holds = None, "Crane", []
    crane.save()
    page = client.get(PAGE).content.decode()
    assert button in page  # the crane is free; the held one is none to choose, nor another chosen
    assert 'value="Crane"' in page
    assert 'value="Travel lift"' not in page
    assert "selected" not in page
    set_clock(ends)
    assert button in client.get(PAGE).content.decode()


def test_behind_another_she_is_not_taken_out(at_the_lift: Boat, ruben: Person) -> None:
    row = Place.objects.get()
    curlew = Boat.objects.create(name="Curlew", tag="CUW", has=[])
    services.move(entry(ruben), at_the_lift, row, 2)
    services.move(entry(ruben), curlew, row, 1)
    with pytest.raises(Refused, match="Curlew stands in front of her, North row, berth 1"):
        into(at_the_lift, ruben)
    services.move(entry(ruben), curlew, row)
    with pytest.raises(Refused, match=r"Not known whether Curlew stands .*: no berth of Curlew is"):
        into(at_the_lift, ruben)
    services.move(entry(ruben), curlew, row, 3)
    services.move(entry(ruben), at_the_lift, row)
    with pytest.raises(Refused, match="no berth of Teal is written"):
        into(at_the_lift, ruben)
    services.move(entry(ruben), at_the_lift, row, 2)
    into(at_the_lift, ruben)
    assert state_of(at_the_lift) == State.IN_THE_SLINGS


def test_a_lift_held_while_she_hangs_is_said_first_and_what_was_done_is_still_written(
    at_the_lift: Boat, ruben: Person, as_person: Use, post: Post
) -> None:
    into(at_the_lift, ruben)
    client, now = as_person(ruben), clock.now()
    held = "The lift is held while she hangs"
    assert held not in client.get(PAGE).content.decode()
    ends = now + timedelta(hours=2)
    Lift.objects.update(holds=[[now.isoformat(), ends.isoformat(), "gusts"]])
    page = client.get(PAGE).content.decode()
    said = f"The Travel lift carries nothing until {ends:%H:%M}: gusts."
    order = (held, said, "Keep everybody clear of her.", "Bilge <", "Slings off")
    places = [page.index(words) for words in order]
    assert places == sorted(places)
    assert "In the slings, and the lift is held." in page
    card = on_her_way.lift_card(at_the_lift, "https://yard.example/b/TEA")
    reasons = [one.reason for one in card.refusals]
    assert said in reasons
    assert reasons[0] == "She hangs in the slings of the Travel lift."
    assert client.post(PAGE, post(deed="lift back")).status_code == 302  # it has been done
    assert state_of(at_the_lift) == State.FITTING_OUT


def test_afloat_and_watched_a_held_lift_is_said_before_she_is_lifted_back(
    at_the_lift: Boat, ruben: Person, as_person: Use
) -> None:
    from tests.launch.test_ink import hang_dry

    hang_dry(at_the_lift, ruben, BILGE_DRY, from_inside)
    services.slings_off(entry(ruben), at_the_lift)
    now = clock.now()
    held = [[now.isoformat(), (now + timedelta(hours=2)).isoformat(), "gusts"]]
    Lift.objects.update(holds=held)
    page = as_person(ruben).get(PAGE).content.decode()
    assert page.index("The lift is held</h2>") < page.index("Lift her back into the slings")


def test_the_wind_is_not_known_until_somebody_looks(
    at_the_lift: Boat, ruben: Person, as_person: Use
) -> None:
    page = as_person(ruben).get(PAGE).content.decode()
    assert page.index("Look before the slings.") < page.index(">In the slings now</button>")
    into(at_the_lift, ruben)
    assert "Look before the slings." not in as_person(ruben).get(PAGE).content.decode()


def test_a_wind_above_the_maker_s_limit_refuses_the_slings(
    at_the_lift: Boat, ruben: Person, as_person: Use, post: Post
) -> None:
    Lift.objects.update(wind_limit={"m_s": 12.0, "source": "lift manual", "page": "17"})
    client, sent = as_person(ruben), {"deed": "into slings", "lift": "Travel lift"}
    limit = "The Travel lift lifts in wind up to 12 m/s (26.8 mph): lift manual, page 17."
    page = client.get(PAGE).content.decode()
    asks = f"Not known: the wind. {limit} Measure the gusts, and write them down before the slings."
    assert "Ready to go in. One thing keeps her on land." in page
    assert page.index(asks) < page.index(">In the slings now</button>")
    assert "Wind, measured now: the gusts" in page
    untold = client.post(PAGE, post(**sent, wind=""))
    assert untold.status_code == 409
    assert f"{asks} Do that first" in untold.content.decode()
    assert state_of(at_the_lift) == State.READY
    card = on_her_way.lift_card(at_the_lift, "https://yard.example/b/TEA")
    assert (card.wind_asked, card.refusals) == (True, ())  # on paper hours before, it is asked for
    # 25 kn are 25 x 1852 m an hour: 12.86 m/s.
    refused = client.post(PAGE, post(**sent, wind="25 kn"))
    assert refused.status_code == 409
    said = refused.content.decode()
    assert f"The wind is 12.9 m/s (28.8 mph). {limit} Wait for less." in said
    assert "Nothing refuses" not in said
    assert 'value="25 kn"' in said
    asked = client.post(PAGE, post(**sent, wind="23"))  # of which unit?
    assert asked.status_code == 422
    assert 'value="23"' in asked.content.decode()
    assert state_of(at_the_lift) == State.READY
    assert client.post(PAGE, post(**sent, wind="23 kn")).status_code == 302  # 11.8 m/s
    page = client.get(PAGE).content.decode()
    assert f"Wind: <b>11.8 m/s (26.5 mph), Ruben {clock.now():%H:%M}</b>. {limit}" in page
    card = on_her_way.lift_card(at_the_lift, "https://yard.example/b/TEA")
    assert (card.wind_limit, card.wind_told[:8]) == (limit, "11.8 m/s")
    fact = Fact.objects.get(kind=Kind.LIFTED)
    assert words.told(fact) == "Lifted; now: In the slings, wind told 11.8 m/s (26.5 mph)"


def test_without_a_wind_limit_on_file_that_is_said_and_a_wind_is_only_kept(
    at_the_lift: Boat, ruben: Person, as_person: Use
) -> None:
    says = "No wind limit on file for the Travel lift: its manual or plate gives one."
    assert says in as_person(ruben).get(PAGE).content.decode()
    card = on_her_way.lift_card(at_the_lift, "https://yard.example/b/TEA")
    assert card.wind_limit.startswith(says)
    assert (card.wind_told, card.wind_asked) == ("", False)
    assert "Wind, if you measured it" in as_person(ruben).get(PAGE).content.decode()
    services.into_slings(entry(ruben), at_the_lift, Lift.objects.get(), None, 30.0)
    page = as_person(ruben).get(PAGE).content.decode()
    assert "Wind: <b>30 m/s" in page
    assert says in page


def test_before_the_slings_what_decides_stands_first_and_what_explains_it_last(
    at_the_lift: Boat, ruben: Person, as_person: Use
) -> None:
    later(25 * 60)  # her ways in and her pump were looked at a day ago
    page = as_person(ruben).get(PAGE).content.decode()
    order = (
        "keep her on land.</p>",
        "<h2>What keeps her on land</h2>",
        "Run the bilge pump from its own switch first",
        "Look before the slings.",
        "Nobody under her while she hangs.",
        ">In the slings now</button>",
        "<h2>Bilge pump",
        "<h2>The way the water takes</h2>",
        "Where she stands",
    )
    places = [page.index(words) for words in order]
    assert places == sorted(places)
