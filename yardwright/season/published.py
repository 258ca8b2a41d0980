"""A plan as it is kept and told: in the yard's own time, as JSON, and checked again when it counts."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass
from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING, cast

from yardwright.calc.counting import count
from yardwright.plan.clash import allows, why_promise_not_kept
from yardwright.plan.lift_hands import nobody_to_run
from yardwright.plan.problem import BoatId, Plan, Problem, Score, handed_over
from yardwright.plan.why import why_moved_aside, why_not_earlier
from yardwright.season.lifts import Lifts, no_limit
from yardwright.season.model import Season
from yardwright.season.put_backs import frost_not_known
from yardwright.season.spring import NotPlanned, not_planned
from yardwright.season.yard_time import Aside, Job, Launch, SpringPlan, in_yard_time
from yardwright.season.zone import said_day

if TYPE_CHECKING:
    from yardwright.plan.planner import Answer

Json = Mapping[str, object]
TO_PUBLISH = timedelta(minutes=15)  # to work a plan out, look at it and publish it


@dataclass(frozen=True, slots=True)
class Told:
    """What is said of one launch: her water, when she is her owner's, and why not earlier.

    ``would_do`` says of a late boat which one change alone would keep her day, ``allows`` is the
    first day that nothing of her own rules out, ``measure`` what of her nobody knows and her lift has
    a limit for.
    """

    boat: str
    handed_over: date
    floats_from: datetime
    floats_until: datetime
    why: tuple[str, ...]
    would_do: tuple[str, ...] = ()
    measure: str = ""
    allows: date | None = None

    def allowed(self, sure: str = "") -> str:
        """Which later day is not ruled out, and how sure it is by the plan; empty where none is asked."""
        if self.allows is None:
            return ""
        return (
            f"Her work and the water would allow {said_day(self.allows)}, with everybody there for "
            f"her alone; {f'odds by this plan: {sure}' if sure else 'odds not known'}."
        )


@dataclass(frozen=True, slots=True)
class ByNobody:
    """Work on a boat at the lift, still to be done, for which a plan has nobody, and why."""

    boat: str
    what: str
    because: str

    @property
    def words(self) -> str:
        """In a sentence."""
        return f"{self.boat}: {self.what} is still to be done, and nobody does it by this plan: {self.because}."


@dataclass(frozen=True, slots=True)
class Published:
    """One answer of the planner, whole: without launches it says why there is no plan.

    Nothing in it is before ``begins``, which leaves time after ``asked_at`` to look at it and
    publish it. ``ink_days`` and ``pencil_days`` are boat-days late, ``least_…`` what no plan can
    beat. ``not_known`` says what the plan rests on that nobody knows.
    """

    asked_at: datetime
    begins: datetime
    status: str
    ink_days: int
    pencil_days: int
    least_ink_days: int
    least_pencil_days: int
    plan: SpringPlan
    told: Mapping[str, Told]
    asides_told: tuple[str, ...] = ()
    not_planned: tuple[NotPlanned, ...] = ()
    reasons: tuple[str, ...] = ()
    not_known: tuple[str, ...] = ()
    by_nobody: tuple[ByNobody, ...] = ()

    @property
    def sentence(self) -> str:
        """How good the plan is and how much better any could be, or why there is none."""
        if self.reasons:
            return " ".join((f"{self.status.capitalize()}.", *self.reasons))
        missed = [one.boat for one in self.not_planned if one.ink]
        said = [f"Told in Ink and not planned: {', '.join(missed)}."] if missed else []
        if self.ink_days or not missed:
            said.append(_late("Ink", self.ink_days, self.least_ink_days))
        if self.pencil_days:
            said.append(_late("Pencil", self.pencil_days, self.least_pencil_days))
        if not self.plan.launches:
            said = ["No boat goes in by this plan.", *said[: bool(missed)]]
        return " ".join(said)

    def launch(self, boat: str) -> Launch | None:
        """When a boat goes in, if she is in the plan."""
        return next((one for one in self.plan.launches if one.boat == boat), None)

    def why_left_out(self, boat: str) -> str:
        """Why a boat is not planned; empty where she is."""
        return next((one.because for one in self.not_planned if one.boat == boat), "")

    def why_aside(self, boat: str) -> str:
        """For whom a boat is moved aside; empty where the plan doesn't move her."""
        return next((why for why in self.asides_told if why.startswith(f"{boat} is moved ")), "")


@dataclass(frozen=True, slots=True)
class InkMoved:
    """A boat told in Ink that is handed over after her day and later than planned; None: never."""

    boat: str
    told: date
    handed_over: date | None

    @property
    def words(self) -> str:
        """What her owner was told, and what the plan says."""
        now = (
            f"not {said_day(self.handed_over)}"
            if self.handed_over
            else "and is not planned any more"
        )
        return f"{self.boat} was told {said_day(self.told)}, {now}."


def ink_moved(
    inks: Mapping[str, date], old: Published | None, new: Published
) -> tuple[InkMoved, ...]:
    """Whose day in Ink a plan moves, beyond the plan that holds."""
    was = old.told if old else {}
    left_out = {one.boat for one in new.not_planned}
    found = []
    for boat, ink in inks.items():
        if boat in new.told:
            over = new.told[boat].handed_over
            if old and over > max(ink, was[boat].handed_over if boat in was else ink):
                found.append(InkMoved(boat, ink, over))
        elif boat in was and boat in left_out:
            found.append(InkMoved(boat, ink, None))
    return tuple(found)


def _late(promise: str, days: int, least: int) -> str:
    if not days:
        return f"Every day in {promise} is kept by this plan."
    than = f" than {count(least, 'boat-day')}" if least < days else ""
    return f"{promise} late by {count(days, 'boat-day')}; no plan can do better{than}."


def _aside(season: Season, problem: Problem, plan: Plan, key: BoatId) -> str:
    """For whom she is moved aside; where to is not on file, so the room it takes is said."""
    name = problem.boat[key].name
    row = next((boat.place for boat in season.boats if boat.name == name), "")
    beside = f" beside {row}" if row else ""
    return f"{why_moved_aside(problem, plan, key)} That needs room for one boat{beside}."


def published(
    season: Season,
    problem: Problem,
    answer: "Answer",
    *,
    asked_at: datetime | None = None,
    begins: datetime | None = None,
) -> Published:
    """The planner's answer as it is told.

    Parameters
    ----------
    season : Season
        The one that was planned.
    problem : Problem
        What was asked of it, as ``problem_of`` says it.
    answer : Answer
        What the planner answered.
    asked_at : datetime, optional
        When it was asked for; left out, when it begins.
    begins : datetime, optional
        Nothing was planned before it; left out, the whole season was.
    """
    score, best = answer.score or Score(0, 0, 0, 0, 0), answer.plan or Plan({}, {}, {})
    launched = answer.plan is not None
    return Published(
        asked_at=asked_at or begins or problem.days.at(0),
        begins=begins or problem.days.at(0),
        status=answer.status,
        ink_days=score.ink_days,
        pencil_days=score.pencil_days,
        least_ink_days=answer.bound.ink_days,
        least_pencil_days=answer.bound.pencil_days,
        plan=in_yard_time(problem, best) if launched else SpringPlan((), (), ()),
        told=_told(season, problem, best) if launched else {},
        asides_told=tuple(_aside(season, problem, best, boat) for boat in best.asides),
        not_planned=not_planned(season, begins=begins, now=asked_at),
        reasons=answer.reasons,
        not_known=tuple(_not_known(season, problem, best)) if launched else (),
    )


def _not_known(season: Season, problem: Problem, plan: Plan) -> Iterator[str]:
    """What nobody has said of the frost, and of the lifts that the plan takes; who runs them."""
    if frost := frost_not_known(season, (boat.name for boat in problem.going_in)):
        yield frost
    taken = {boat.lift for boat in problem.going_in}
    for some in Lifts(season.lifts).alike:
        if some[0].name in taken and (limit := no_limit(some[0])):
            yield limit
    yield from nobody_to_run(plan, problem)


def _told(season: Season, problem: Problem, plan: Plan) -> dict[str, Told]:
    """Each boat's day of handing over, with the sentences that explain her launch."""
    days, told = problem.days, {}
    lifts, boats = Lifts(season.lifts), {boat.name: boat for boat in season.boats}
    for boat in problem.going_in:
        launch = plan.launches[boat.id]
        water = next(one for one in boat.water if one[0] <= launch < one[1])
        day = allows(problem, boat.id)
        told[boat.name] = Told(
            boat.name,
            days.at(handed_over(problem, plan, boat)).date(),
            days.at(water[0]),
            days.at(water[1]),
            tuple(why_not_earlier(problem, plan, boat.id)),
            tuple(why_promise_not_kept(problem, boat.id)[1:]),
            lifts.asks(boats[boat.name]),
            None if day is None else days.date_of(day),
        )
    return told


def as_json(one: Published) -> dict[str, object]:
    """The plan as plain JSON; every time with its offset."""
    plain = _plain(asdict(one))
    if not isinstance(plain, dict):
        raise TypeError("A plan is a table.")
    return plain


def _plain(value: object) -> object:
    if isinstance(value, date):  # a datetime is one too
        return value.isoformat()
    if isinstance(value, Mapping):
        return {key: _plain(one) for key, one in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(one) for one in value]
    return value


def from_json(kept: Json) -> Published:
    """Read what ``as_json`` wrote."""
    plan = cast("Mapping[str, Sequence[Mapping[str, str]]]", kept["plan"])
    told = cast("Mapping[str, Mapping[str, object]]", kept["told"])
    left_out = cast("Sequence[Mapping[str, str]]", kept["not_planned"])
    return Published(
        asked_at=_time(kept["asked_at"]),
        begins=_time(kept.get("begins", kept["asked_at"])),
        status=str(kept["status"]),
        ink_days=cast("int", kept["ink_days"]),
        pencil_days=cast("int", kept["pencil_days"]),
        least_ink_days=cast("int", kept["least_ink_days"]),
        least_pencil_days=cast("int", kept["least_pencil_days"]),
        plan=SpringPlan(
            tuple(_launch(one) for one in plan["launches"]),
            tuple(Aside(one["boat"], *_span(one)) for one in plan["asides"]),
            tuple(_job(one) for one in plan["jobs"]),
        ),
        told={
            boat: Told(
                boat,
                date.fromisoformat(str(one["handed_over"])),
                _time(one["floats_from"]),
                _time(one["floats_until"]),
                _words(one["why"]),
                _words(one.get("would_do", ())),
                str(one.get("measure", "")),
                _day(one.get("allows")),
            )
            for boat, one in told.items()
        },
        asides_told=_words(kept["asides_told"]),
        not_planned=tuple(_left_out(one) for one in left_out),
        reasons=_words(kept["reasons"]),
        not_known=_words(kept.get("not_known", ())),
        by_nobody=tuple(
            ByNobody(one["boat"], one["what"], one["because"])
            for one in cast("Sequence[Mapping[str, str]]", kept.get("by_nobody", ()))
        ),
    )


def _left_out(one: Mapping[str, object]) -> NotPlanned:
    return NotPlanned(str(one["boat"]), str(one["because"]), _day(one["ink"]))


def _launch(one: Mapping[str, object]) -> Launch:
    return Launch(
        str(one["boat"]),
        *_span(one),
        _day(one["promised"]),
        bool(one["in_ink"]),
        cast("int", one["days_late"]),
        str(one.get("lift", "")),
        _time(one["fetched"]) if one.get("fetched") else None,
    )


def _job(one: Mapping[str, object]) -> Job:
    watcher = one.get("watcher")
    return Job(
        str(one["boat"]),
        str(one["what"]),
        str(one["person"]),
        *_span(one),
        None if watcher is None else str(watcher),
        bool(one.get("overtime")),
    )


def _span(one: Mapping[str, object]) -> tuple[datetime, datetime]:
    return _time(one["starts"]), _time(one["ends"])


def _day(value: object) -> date | None:
    return date.fromisoformat(str(value)) if value else None


def _time(value: object) -> datetime:
    return datetime.fromisoformat(str(value))


def _words(value: object) -> tuple[str, ...]:
    return tuple(cast("Sequence[str]", value))


def days_of_launches(plan: SpringPlan) -> dict[date, list[Launch]]:
    """The launches by their day, in order."""
    found: dict[date, list[Launch]] = {}
    for launch in plan.launches:
        found.setdefault(launch.starts.date(), []).append(launch)
    return found


def week_of(plan: SpringPlan, first: date, days: int = 7) -> set[str]:
    """The boats that a plan launches from a day on."""
    last = first + timedelta(days=days)
    return {go.boat for go in plan.launches if first <= go.starts.date() < last}
