"""The paper twins of the plan's pages: the same words, with room to tick and to write."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date

from yardwright.launch.calls import Call, Calls
from yardwright.launch.promises_kept import PromiseTold
from yardwright.launch.queries import Sure
from yardwright.launch.spring_days import Day, Days, Row
from yardwright.papers.day_sheet import Column, DaySheet, Kind, Section
from yardwright.plan.calibration import Band, Calibration
from yardwright.season.causes import Broken
from yardwright.season.choices import Choice
from yardwright.season.learned import Told
from yardwright.season.published import InkMoved, Published
from yardwright.season.zone import said_day

NO_PLAN = "No plan is published yet. Plan the spring first."
WHY = (Column("why", wide=1),)
BOAT_WHY = (Column("boat", Kind.NAME, 1), Column("why", wide=4))


def broken_plan(broken: Sequence[Broken], then: str = "replan first") -> tuple[Section, ...]:
    """Why the plan no longer holds, where it does not."""
    if not broken:
        return ()
    return (Section("The plan no longer holds", then, WHY, tuple((one.words,) for one in broken)),)


# --- the spring plan ---------------------------------------------------------------


def spring_sheet(
    yard: str,
    today: date,
    plan: Published | None,
    days: Days,
    broken: Sequence[Broken],
    address: str,
) -> DaySheet:
    """From today on, a day a part: when each goes in, and whether in time."""
    return DaySheet(
        yard=yard,
        title="Spring plan",
        day=today,
        say=plan.sentence if plan else NO_PLAN,
        sections=(*broken_plan(broken), *_parts(plan, days)) if plan else (),
        address=address,
    )


def _parts(plan: Published, days: Days) -> Iterable[Section]:
    if not_known := (*plan.not_known, *filter(None, (days.odds,))):
        yield Section("Not known", "", WHY, tuple((words,) for words in not_known))
    if plan.by_nobody:
        open_work = tuple((one.boat, f"{one.what}: {one.because}.") for one in plan.by_nobody)
        yield Section(
            "Work afloat that nobody does by this plan", "give it to somebody", BOAT_WHY, open_work
        )
    yield Section(
        "Look at these first",
        "in the week from the next launch on: late, held, or Ink not sure enough",
        (
            Column("boat", Kind.NAME, 1),
            Column("goes in"),
            Column("promised"),
            Column("handed over"),
            Column("why", wide=3),
        ),
        tuple(map(_first, days.first)),
        empty="None that we know of.",
    )
    yield from map(_day, days.ahead)
    if not days.ahead:
        yield Section("From today on", "", WHY, empty="No boat goes in any more by this plan.")
    if plan.asides_told:
        rows = tuple((words,) for words in plan.asides_told)
        yield Section("Moved aside", "", (Column("which, when and for whom", wide=1),), rows)
    left_out = tuple((one.boat, f"{one.because}.") for one in plan.not_planned)
    yield Section("Not planned", "", BOAT_WHY, left_out, empty="Every boat is planned.")


def _first(one: Row) -> tuple[str, ...]:
    said = (f"{one.in_time}.", *one.told.why, *one.told.would_do, one.allowed)
    why = " ".join(filter(None, said)) if one.late else ""
    held = f"Held: {one.held}." if one.held else ""
    doubt = f"Ink {one.doubt}." if one.doubt else ""
    return (
        one.go.boat,
        f"{said_day(one.go.starts.date())} {one.go.starts:%H:%M}",
        one.promise,
        said_day(one.told.handed_over),
        " ".join(filter(None, (held, why, doubt))),
    )


def _day(one: Day) -> Section:
    return Section(
        f"{one.day:%A} {one.day.day} {one.day:%B}",
        one.says,
        (
            Column("goes in"),
            Column("boat", Kind.NAME, 1.3),
            Column("lift", wide=1.2),
            Column("her water", wide=1),
            Column("promised", wide=1.5),
            Column("handed over", wide=1),
            Column("so", wide=1.1),
        ),
        tuple(
            (
                f"{row.go.starts:%H:%M}–{row.go.ends:%H:%M}",
                row.go.boat,
                row.go.lift,
                row.water,
                row.promise,
                said_day(row.told.handed_over),
                f"{row.in_time}, held" if row.held else row.in_time,
            )
            for row in one.rows
        ),
    )


# --- owners to call ----------------------------------------------------------------

CALL = (
    Column("", Kind.TICK),
    Column("boat", Kind.NAME, 1),
    Column("call", wide=1.2),
    Column("was told", wide=1.1),
    Column("what to say", wide=2.6),
    Column("what the owner said, when", Kind.WRITE, 1.6),
)


def calls_sheet(
    yard: str,
    today: date,
    found: Calls,
    sure: Mapping[str, Sure],
    broken: Sequence[Broken],
    address: str,
) -> DaySheet:
    """Whom to call, what to say, and room for what they said."""
    first = "Replan first" if broken else "Work out first how sure her day is" if found.old else ""

    def row(one: Call) -> tuple[str, ...]:
        return one.boat.name, _whom(one), _heard(one), _say(one, first, sure)

    many = len(found.now)
    return DaySheet(
        yard=yard,
        title="Owners to call now",
        day=today,
        say=(
            f"{many} owner{'s were' if many > 1 else ' was'} told a day that the plan does not keep."
            if many
            else "Nobody: each day that was told is kept by the plan."
        ),
        sections=(
            *broken_plan(broken, "replan before you call"),
            *(_old(found.old) if found.now and not broken else ()),
            Section(
                "Told a day that the plan does not keep",
                "Ink first",
                CALL,
                tuple(map(row, found.now)),
                empty="Nobody.",
            ),
            Section("Told no day yet", "", CALL, tuple(map(row, found.untold)), empty="Nobody."),
        ),
        address=address,
    )


def _old(why: str) -> tuple[Section, ...]:
    if not why:
        return ()
    return (Section("How sure a day is, is not known", "work it out again", WHY, ((why,),)),)


def _whom(one: Call) -> str:
    owner = one.boat.owner
    if owner is None:
        return "Not known whose she is"
    said = f". Called {one.called}" if one.called else ""
    return f"{owner}, {owner.phone or 'no number on file'}{said}"


def _heard(one: Call) -> str:
    return one.heard.words if one.heard else "no day yet"


def _say(one: Call, first: str, sure: Mapping[str, Sure]) -> str:
    if one.day is None:
        return f"No day: {one.why}."
    now = f"Held now: {one.held}; no day counts before that is cleared. " if one.held else ""
    if one.watched:
        return f"{now}{said_day(one.day)}: {one.why}."
    if first:
        return f"{first}."
    known = sure.get(one.boat.name)
    if known is None:
        return f"{now}{said_day(one.day)}; how sure is not known."
    front = f" {known.in_front} Plan again before you call." if known.in_front else ""
    return f"{now}{known.sentence}{front}"


# --- a change before it is published -----------------------------------------------

CHANGES = (Column("boat", Kind.NAME, 1), Column("what changes", wide=4))
YES = (
    Column("", Kind.TICK),
    Column("boat", Kind.NAME, 1),
    Column("was told"),
    Column("now handed over"),
    Column("who said yes, when and how", Kind.WRITE, 2),
)
NAMES = ("The smallest change", "The other way: fewer Pencil days late")
SO_FAR = "The best so far"


def change_sheet(
    yard: str,
    today: date,
    choices: Sequence[tuple[Choice, Sequence[InkMoved]]],
    broken: Sequence[Broken],
    old: str,
    searching: bool,
    address: str,
) -> DaySheet:
    """What a change would do, boat by boat, and each owner whose day in Ink it moves.

    ``old`` is why what was worked out no longer holds. While it is still ``searching`` no owner is
    to be asked: the days can change.
    """
    if searching:
        found = "the best so far can't be published yet" if choices else "nothing is found yet"
        say = f"The search for the smallest change is not over: {found}."
    elif not choices:
        say = "No change is worked out for the plan that holds."
    elif old:
        say = f"{old} Plan the change again before you publish one."
    else:
        say = "Not published yet: nothing of this counts before it is."
    return DaySheet(
        yard=yard,
        title="Something changed",
        day=today,
        say=say,
        sections=(*broken_plan(broken), *_choices(choices, searching)),
        address=address,
    )


def _choices(
    choices: Sequence[tuple[Choice, Sequence[InkMoved]]], searching: bool
) -> Iterator[Section]:
    for name, (choice, moves) in zip(NAMES, choices, strict=False):
        yield _changes(SO_FAR if searching else name, choice)
        if not searching:
            yield _yes(moves)


def _changes(name: str, choice: Choice) -> Section:
    overtime = f" Overtime in all: {choice.overtime_h} h." if choice.overtime_min else ""
    return Section(
        name,
        f"{choice.sentence}{overtime}",
        CHANGES,
        tuple(
            (one.boat if n == 0 else "", words)
            for one in choice.changes
            for n, words in enumerate(one.words)
        ),
        empty="Nothing changes.",
        own_page=name == NAMES[1],
    )


def _yes(moves: Sequence[InkMoved]) -> Section:
    return Section(
        "A day in Ink moves: owners to say yes",
        "",
        YES,
        tuple(
            (
                one.boat,
                said_day(one.told),
                said_day(one.handed_over) if one.handed_over else "not planned any more",
            )
            for one in moves
        ),
        empty="None: no day in Ink moves.",
    )


# --- promises kept -----------------------------------------------------------------


def promises_sheet(
    yard: str,
    today: date,
    found: Calibration,
    told: Sequence[PromiseTold],
    took: Sequence[Told],
    address: str,
) -> DaySheet:
    """What was told with odds, what became of it, and how long jobs take here."""
    still_open = sum(one.kept is None for one in told)
    say = f" {still_open} more {'have their' if still_open > 1 else 'has its'} day still to come."
    return DaySheet(
        yard=yard,
        title="Promises kept",
        day=today,
        say=f"{found.sentence}{say if still_open else ''}",
        sections=(
            Section(
                "As told, and as kept",
                found.beside_one_share,
                (
                    Column("told at", Kind.NAME, 1),
                    Column("promises", Kind.NUMBER),
                    Column("kept", Kind.NUMBER),
                    Column("truly kept, 19 times in 20", wide=1.5),
                    Column("so", wide=1),
                ),
                tuple(map(_band, found.bands)),
                empty="Not known: no promise has had its day yet.",
            ),
            Section(
                "Each promise",
                "the newest first",
                (
                    Column("boat", Kind.NAME, 1.2),
                    Column("day told"),
                    Column("how sure", Kind.NUMBER),
                    Column("told", wide=1.5),
                    Column("and then", wide=1),
                ),
                tuple(map(_promise, told)),
                empty="Nothing told yet.",
            ),
            Section(
                "How long jobs take here",
                "by kind of job, never by person",
                (
                    Column("job", Kind.NAME, 2),
                    Column("done, and said how long", wide=1.2),
                    Column("planned", Kind.NUMBER),
                    Column("took", wide=1),
                    Column("odds count", wide=1.2),
                    Column("more work found", wide=0.8),
                ),
                tuple(map(_took, took)),
                empty="Not known: nobody has said yet how long a job took.",
            ),
        ),
        address=address,
    )


def _band(one: Band) -> tuple[str, ...]:
    so = "too few to say" if one.true is None else "holds" if one.true else "does not hold"
    low_high = f"{_share(one.low)} to {_share(one.high)}"
    return f"{one.percent} %", str(one.told), str(one.kept), low_high, so


def _promise(one: PromiseTold) -> tuple[str, ...]:
    then = "still to come" if one.kept is None else "kept" if one.kept else "missed"
    mark = f"; {one.mark}" if one.mark else ""
    told = f"{said_day(one.told_at.date())}, {one.by}{mark}"
    return one.boat.name, said_day(one.day), _share(one.odds), told, then


def _took(one: Told) -> tuple[str, ...]:
    said = f"{one.jobs}, said of {one.said}"
    if one.not_counted:
        said += f", {one.not_counted} not counted"
    if one.kind is None:
        odds = "no odds go by it"
    elif one.planned_min is None:
        odds = "nearly the usual"
    else:
        odds = f"{one.kind.times:.2f} times its minutes"
    return (
        f"{one.what} ({one.trade})" if one.trade else one.what,
        said,
        "–" if one.planned_min is None else f"{one.planned_min:g} min",
        f"{one.taken_min:g} min" if one.taken_min is not None else "not known",
        odds,
        f"on {one.found} of {one.jobs}",
    )


def _share(of_one: float) -> str:
    return f"{of_one * 100:.0f} %"
