"""The paper twins of the pages in ``web``: the same words, with room to write."""

from datetime import date

from yardwright.launch.sheets import broken_plan
from yardwright.papers.day_sheet import Column, DaySheet, Kind, Section
from yardwright.papers.drawing import Drawing
from yardwright.web import water_way
from yardwright.web.boat_page import BoatPage
from yardwright.web.morning import Morning
from yardwright.web.rows import Map, YardMap
from yardwright.web.yards_round import section

NO_LAND_START = (
    "start her on land without water to the engine, somebody beside her and nobody under"
)
NOT_KNOWN = "Not known which boats go in: no plan is published."


def morning_sheet(yard: str, morning: Morning, strip: Drawing | None, address: str) -> DaySheet:
    looks = section(morning.new)
    return DaySheet(
        yard=yard,
        title="Morning Sheet",
        day=morning.today,
        say=morning.sentence,
        sections=(
            *(looks if morning.late else ()),
            *broken_plan(morning.broken),
            _goes_in(morning),
            *_lifts_soon(morning),
            _dangers(morning),
            *_worth_doing(morning),
            *_did_it_come(morning),
            Section("Water at our sill", drawing=strip, empty=""),
            *_moved_aside(morning),
            *(() if morning.late else looks),
            Section(
                "Could sink a boat",
                "open, to go in by tomorrow" if morning.plan else NOT_KNOWN,
                (
                    Column("", Kind.TICK),
                    Column("boat", Kind.NAME, 1),
                    Column("what", wide=3),
                    Column("who", Kind.WRITE, 0.8),
                ),
                tuple((one.boat.name, what) for one in morning.could_sink for what in one.what),
                empty="Nothing open on the boats that go in by tomorrow." if morning.plan else "",
            ),
            Section(
                "First hour",
                "",
                (Column("who", Kind.NAME, 1), Column("boat and work", wide=3), Column("from")),
                tuple((one.person, one.what, one.starts) for one in morning.first_jobs),
                empty="The plan has no work today." if morning.plan else "No plan is published.",
            ),
        ),
        address=address,
    )


def _lifts_soon(morning: Morning) -> tuple[Section, ...]:
    if not morning.lifts_soon:
        return ()
    rows = tuple((words,) for words in morning.lifts_soon)
    columns = (Column("which, when and why", wide=1),)
    return (Section("The lift carries nothing", "within seven days", columns, rows),)


def _dangers(morning: Morning) -> Section:
    return Section(
        "Promises in danger",
        "Ink within three days",
        (
            Column("boat", Kind.NAME, 1),
            Column("told"),
            Column("the plan says"),
            Column("how sure"),
            Column("waits for", wide=3),
        ),
        tuple(
            (
                one.boat.name,
                _day(one.told),
                one.planned,
                one.sure or "not known",
                " ".join(one.waits_for),
            )
            for one in morning.dangers
        ),
        empty="None that we know of.",
    )


def _worth_doing(morning: Morning) -> tuple[Section, ...]:
    looked = morning.looked
    if looked is None or looked.saver is None:
        return ()
    one = looked.saver
    columns = (
        Column("", Kind.TICK),
        Column("for", Kind.NAME, 1),
        Column("what", wide=3),
        Column("then"),
        Column("asks for", wide=2),
    )
    row = one.boat, f"{one.words}.", one.then, one.asks_for
    note = f"worked out {_day(looked.at)} {looked.at:%H:%M}. {looked.old}".strip()
    return (Section("The one saver worth doing", note, columns, (row,)),)


def _did_it_come(morning: Morning) -> tuple[Section, ...]:
    if not morning.asked:
        return ()
    columns = (
        Column("", Kind.TICK),
        Column("part", Kind.NAME, 1.5),
        Column("where it stands", wide=2),
        Column("waiting", wide=1.5),
        Column("came, or new day", Kind.WRITE, 1),
        Column("who", Kind.WRITE, 0.8),
    )
    rows = tuple(
        (one.part.name, one.words, ", ".join(work.boat.name for work in one.part.work_set.all()))
        for one in morning.asked
    )
    return (Section("Did it come?", "due by today", columns, rows),)


def _moved_aside(morning: Morning) -> tuple[Section, ...]:
    if not morning.asides:
        return ()
    columns = (
        Column("", Kind.TICK),
        Column("when, and for whom", wide=4),
        Column("who", Kind.WRITE, 0.8),
    )
    rows = tuple((why,) for why in morning.why_asides)
    return (Section("Moved aside today", "", columns, rows),)


def _goes_in(morning: Morning) -> Section:
    return Section(
        "Goes in today",
        "",
        (
            Column("", Kind.TICK),
            Column("boat", Kind.NAME, 1),
            Column("when", wide=1.2),
            Column("what holds her", wide=2),
            Column("in the slings at", Kind.WRITE, 1),
            Column("who", Kind.WRITE, 1),
        ),
        tuple((one.launch.boat, one.when, one.kept.said) for one in morning.goes_in),
        empty="No boat goes in." if morning.plan else NOT_KNOWN,
    )


def row_sheet(yard: str, today: date, found: YardMap, sentence: str, address: str) -> DaySheet:
    return DaySheet(
        yard=yard,
        title="Row Map",
        day=today,
        say=sentence,
        sections=(*map(_drawn_row, found.maps), *_not_drawn(found)),
        address=address,
    )


def _drawn_row(map_: Map) -> Section:
    return Section(
        map_.place.name,
        "; ".join(filter(None, (map_.place.kind, map_.pairs_words))),
        (
            Column("berth", Kind.NUMBER),
            Column("boat", Kind.NAME, 1.5),
            Column("state", wide=1.5),
            Column("leaves", Kind.NUMBER),
            Column("shut in by", wide=2),
        ),
        tuple(
            (
                str(one.berth),
                one.boat.name,
                one.boat.state,
                str(one.boat.leaves or "–"),
                ", ".join(one.shut_in_by) or "nobody",
            )
            for one in map_.standing
        ),
        drawing=map_.drawing,
    )


def _not_drawn(found: YardMap) -> tuple[Section, ...]:
    """The boats that no row shows, so that none is missing on the paper."""
    if not found.in_words:
        return ()
    columns = (
        Column("boat", Kind.NAME, 1.5),
        Column("stands", wide=1.5),
        Column("state", wide=1.5),
        Column("leaves", Kind.NUMBER),
    )
    rows = tuple(
        (boat.name, part.where, boat.state, str(boat.leaves or "–"))
        for part in found.in_words
        for boat in part.boats
    )
    return (Section("Not drawn", "no row, or no berth on file", columns, rows),)


def boat_sheet(yard: str, page: BoatPage, address: str) -> DaySheet:
    """The Boat Page on paper: her checks with their reasons, her readings, her key, her water."""
    boat = page.boat
    checks = [(page.floats.answer.value, page.floats.sentence)]
    if page.land:
        checks.append((page.land.answer.value, page.land.sentence))
    if page.start:
        checks.append((page.start.answer.value, page.start.sentence))
    return DaySheet(
        yard=yard,
        title=boat.name,
        day=page.at.date(),
        say=" ".join(filter(None, (f"{boat.state}.", page.frost, page.key, page.water))),
        sections=(
            Section(
                "Checks", "", (Column("answer", Kind.MARK), Column("why", wide=3)), tuple(checks)
            ),
            Section(
                "Left undone",
                "",
                (
                    Column("", Kind.TICK),
                    Column("what", Kind.NAME, 1.5),
                    Column("lies", wide=1.2),
                    Column("if forgotten", wide=1.5),
                    Column("who, when", Kind.WRITE, 1),
                ),
                tuple((t.what, t.lies, t.if_forgotten) for _, t in page.undone),
            ),
            *(
                Section(title, note, drawing=drawn)
                for title, note, drawn in water_way.on_paper(page)
            ),
            Section(
                "Readings",
                "",
                (
                    Column("what", Kind.NAME, 1.5),
                    Column("value"),
                    Column("verdict", Kind.MARK),
                    Column("why", wide=2.5),
                    Column("read"),
                ),
                tuple(
                    (
                        one.quantity.name,
                        f"{', '.join(f'{v:g}' for v in one.reading.body['values'])} {one.reading.body['unit']}",
                        one.verdict.value,
                        one.judged.body["reasons"][0]["words"],
                        _day(one.reading.done_at),
                    )
                    for one in page.readings
                ),
            ),
        ),
        address=address,
        cautions=(NO_LAND_START,) if page.land else (),
    )


def _day(when: date) -> str:
    return f"{when:%a} {when.day} {when:%b}"
