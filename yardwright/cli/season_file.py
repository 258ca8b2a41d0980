"""Commands on a season file, with no server."""

import argparse
import sys
from collections import Counter
from collections.abc import Iterable, Mapping
from contextlib import AbstractContextManager, nullcontext
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, cast
from zoneinfo import ZoneInfo

from yardwright.cli.answers import (
    NO,
    YES,
    Add,
    calendar_day,
    seconds,
    table,
    tell,
    wall_time,
    whole,
)

if TYPE_CHECKING:
    from yardwright.plan.odds import Map
    from yardwright.procedures.verdict import Verdict
    from yardwright.season.model import Season
    from yardwright.season.published import Published, Told
    from yardwright.season.yard_time import Launch
    from yardwright.tides.water import Interval


def plan(args: argparse.Namespace) -> int:
    """Plan the spring: when each boat goes in, how late, and why not earlier."""
    from yardwright.plan.planner import plan as planned
    from yardwright.season.published import as_json, published
    from yardwright.season.spring import problem_of

    season = _season(args)
    problem = problem_of(season)
    answer = planned(problem, time_limit_s=args.seconds)
    found = published(season, problem, answer)
    launches = found.plan.launches
    lines = [
        found.sentence,
        *(_launch_line(one) for one in launches),
        *(line for one in launches if one.days_late for line in _why(found.told[one.boat])),
        *found.asides_told,
        *found.not_known,
        *(found.told[one.boat].measure for one in launches if found.told[one.boat].measure),
        *(f"{one.boat} is not planned: {one.because}." for one in found.not_planned),
    ]
    tell(args, as_json(found), lines)
    return YES if launches else NO


def capacity(args: argparse.Namespace) -> int:
    """Say how many more boats can be promised by a day, and what is short first."""
    from yardwright.plan.capacity import capacity as counted
    from yardwright.plan.planner import plan as planned
    from yardwright.season import checks
    from yardwright.season.capacity import as_json, one_like, usual
    from yardwright.season.spring import problem_of

    season = _season(args)
    like = checks.boat_named(season, args.like) if args.like else None
    problem = problem_of(season)
    to_come = one_like(season, like) if like else usual(season)
    stands = planned(problem, time_limit_s=args.seconds / 2)
    if stands.plan is None:
        tell(
            args, {"reasons": stands.reasons}, ["There is no plan to begin with.", *stands.reasons]
        )
        return NO
    found = counted(
        problem,
        stands.plan,
        to_come.like,
        problem.days.day_of(args.by),
        tolerance_days=args.tolerance,
        time_limit_s=args.seconds / 2,
    )
    lines = [f"Like {to_come.like.boat.name}: {to_come.words}.", found.sentence(problem.days)]
    lines += [
        f"With {one.more}: at least {one.at_least}, at most {one.at_most if one.ends else 'open'}."
        for one in found.short
    ]
    tell(args, as_json(found, problem.days, to_come), lines)
    return YES if found.at_least else NO


def odds(args: argparse.Namespace) -> int:
    """Say how sure each promise is, and which days an owner can be told."""
    from yardwright.season.uncertain import phone_answers

    season = _season(args)
    told, now = _told_of(season, args.seconds)
    with _cluster(args) or nullcontext(map) as blocks:
        found = phone_answers(
            season, told, now, seasons=args.seasons, seed=args.seed, blocks=blocks
        )
    lines = [f"{name}{_promise_line(one)}. {one['sentence']}" for name, one in _by_day(found)]
    unknown = cast("dict[str, str]", found["unknown"])
    lines += [f"{name}: no day can be told, {why}." for name, why in unknown.items()]
    tell(args, found, lines)
    return YES if found["boats"] else NO


def savers(args: argparse.Namespace) -> int:
    """Look for what would save each Ink in danger, or one boat's promise: odds, cost, whom it hurts."""
    from yardwright.plan.processes import pool
    from yardwright.season import checks
    from yardwright.season.savers import Asked, lines, promises_saved
    from yardwright.season.uncertain import standing

    season = _season(args)
    boat = checks.boat_named(season, args.boat).name if args.boat else ""
    told, now = _told_of(season, args.seconds)
    with pool() as two, _cluster(args) or nullcontext(two.map) as mapped:
        asked = Asked(args.seasons, args.seed, mapped, time_limit_s=args.seconds)
        found = promises_saved(standing(season, told, now), boat, asked)
    tell(args, found, lines(found))
    return YES if found["worth"] else NO


def _told_of(season: "Season", limit_s: float) -> "tuple[Published, datetime]":
    """The plan of a whole season, and its first midnight."""
    from yardwright.plan.planner import plan as planned
    from yardwright.season.published import published
    from yardwright.season.spring import problem_of

    problem = problem_of(season)
    answer = planned(problem, time_limit_s=limit_s)
    if answer.plan is None:
        raise ValueError(" ".join(["There is no plan to live through.", *answer.reasons]))
    return published(season, problem, answer), problem.days.at(0)


def _cluster(args: argparse.Namespace) -> "AbstractContextManager[Map] | None":
    """Where seasons are lived through, if not here."""
    from yardwright.plan.cluster import cluster

    return cluster(args.cluster) if args.cluster else None


def _by_day(found: "Mapping[str, object]") -> "list[tuple[str, dict[str, object]]]":
    """The boats, those promised first the first."""
    boats = cast("dict[str, dict[str, object]]", found["boats"])
    return sorted(boats.items(), key=lambda one: (str(one[1]["promised"] or "~"), one[0]))


def _promise_line(one: "Mapping[str, object]") -> str:
    from yardwright.plan.spoken import spoken

    if one["promised"] is None:
        return ", no day promised"
    kind = "Ink" if one["in_ink"] else "Pencil"
    day = date.fromisoformat(str(one["promised"]))
    return f", {kind} {_day(day)}: {spoken(cast('float', one['odds']))}"


def _why(told: "Told") -> tuple[str, ...]:
    return tuple(filter(None, (*told.why, *told.would_do, told.allowed())))


def float_check(args: argparse.Namespace) -> int:
    """Say whether a boat would float: by which way water comes in, and what to do."""
    from yardwright.procedures.float_check import Floats
    from yardwright.season import checks

    season = _season(args)
    boat = checks.boat_named(season, args.boat)
    going_in = _moment(season, args.going_in) if args.going_in else None
    check = checks.float_check(boat, _moment(season, args.at), going_in=going_in)
    lines = [check.sentence, *(f"By {way.words}." for way in check.ways[1:])]
    lines += [f"{name}: {now.because}." for name, now in check.standings.items()]
    tell(args, {"boat": boat.name, **table(check)}, lines)
    return YES if check.answer == Floats.YES else NO


def start_check(args: argparse.Namespace) -> int:
    """Say whether a boat's engine may be started here, on this water."""
    from yardwright.procedures.start_check import MayStart
    from yardwright.procedures.water_order import Supply
    from yardwright.season import checks

    season = _season(args)
    boat = checks.boat_named(season, args.boat)
    check = checks.start_check(boat, Supply(args.on), _moment(season, args.at))
    lines = [f"{check.answer}.", *check.must_not]
    lines += [f"Not known: {question}" for question in check.not_known]
    tell(args, {"boat": boat.name, **table(check)}, lines)
    return YES if check.answer == MayStart.YES else NO


def left_undone(args: argparse.Namespace) -> int:
    """List what was undone and is not proven back, nastiest first."""
    from yardwright.season import checks

    season = _season(args)
    boat = checks.boat_named(season, args.boat) if args.boat else None
    still = checks.left_undone(season, boat)
    lines = [
        f"{one.name}: {thing.what} ({thing.harm}; before {thing.before})"
        + (f", lies: {thing.lies}" if thing.lies else "")
        for one, thing in still
    ]
    tell(args, [{"boat": one.name, **table(thing)} for one, thing in still], lines or ["Nothing."])
    return NO if still else YES


def read(args: argparse.Namespace) -> int:
    """Say what the newest readings say: on one boat each of them, else those that hold a boat."""
    from yardwright.procedures.quantities import quantity
    from yardwright.procedures.verdict import holds
    from yardwright.season import checks

    season = _season(args)
    boats = [checks.boat_named(season, args.boat)] if args.boat else season.boats
    newest = [
        (boat, reading, word)
        for boat in boats
        for reading, word in checks.newest(checks.verdicts(season.limits, boat))
    ]
    held = [one for one in newest if holds(one[2], quantity(one[1].quantity))]
    lines, found = [_count(word for _, _, word in newest)], []
    for boat, reading, word in newest if args.boat else held:
        said = checks.judged(season.limits, boat, reading)
        what = ", ".join(filter(None, (quantity(reading.quantity).name, reading.where)))
        lines.append(f"{boat.name}, {what}: {word}. {' '.join(r.words for r in said.reasons)}")
        found.append({"boat": boat.name, **table(reading), **said.record()})
    tell(args, found, lines)
    return NO if held else YES


def _count(words: Iterable["Verdict"]) -> str:
    counts = Counter(words)
    told = [f"{word} {counts[word]:,}" for word in sorted(counts, key=lambda word: word.rank)]
    return f"{', '.join(told)}." if told else "No readings."


def water(args: argparse.Namespace) -> int:
    """Say when a boat floats over the sill, or all boats; with the high and low waters."""
    from yardwright.season import checks
    from yardwright.season.water import (
        known_part,
        needed_m,
        season_span,
        water_of,
        windows_by_draft,
    )
    from yardwright.season.zone import midnight
    from yardwright.tides.water import Interval

    season = _season(args)
    zone = ZoneInfo(season.yard.zone)
    span, known = season_span(season), water_of(season)
    if args.day:
        span = Interval(midnight(args.day, zone), midnight(args.day + timedelta(days=1), zone))
    span = known_part(known, span.start.astimezone(zone), span.end)
    asked = [checks.boat_named(season, args.boat)] if args.boat else [*season.boats]
    boats = [boat for boat in asked if boat.draft_m is not None]
    unknown = [boat.name for boat in asked if boat.draft_m is None]
    drafts = {boat.name: boat.draft_m for boat in asked if boat.draft_m is not None}
    floats = windows_by_draft(season, drafts.values(), span.start, span.end)
    found = {name: floats[draft_m] for name, draft_m in drafts.items()}
    turns = () if args.boat else known.extremes(span.start, span.end)
    lines = [f"{known.source}."] if not args.boat else []
    lines += [f"{_clock(one.at, zone)}  {one.turn} {one.level_m:.2f} m" for one in turns]
    for boat in boats:
        lines.append(
            f"{boat.name} floats from {needed_m(season, known, boat):.2f} m {known.datum} up:"
        )
        lines += [f"  {_span(one, zone)}" for one in found[boat.name]] or ["  never"]
    lines += [known.less_sure] if boats and known.less_sure else []
    lines += [f"{name}'s draft is not known; measure it." for name in unknown]
    answer = {
        "datum": known.datum,
        "epoch": known.epoch,
        "source": known.source,
        "less_sure": known.less_sure,
        "turns": [{**table(one), "at": one.at.astimezone(zone)} for one in turns],
        "boats": {
            boat.name: {
                "level_m": needed_m(season, known, boat),
                "floats": [
                    [one.start.astimezone(zone), one.end.astimezone(zone)]
                    for one in found[boat.name]
                ],
            }
            for boat in boats
        },
        "draft_not_known": unknown,
    }
    tell(args, answer, lines)
    return YES if all(found.values()) and not unknown else NO


def _season(args: argparse.Namespace) -> "Season":
    """Read the season file, and go by its steps; what is odd about it is asked on the side."""
    from yardwright.procedures.steps import go_by
    from yardwright.season.faults import the_book
    from yardwright.season.odd import questions
    from yardwright.season.read import read, sentences, text_of

    text = text_of(args.season)
    season = read(text, args.season.name)
    for question in sentences(questions(season), text, args.season.name):
        print(f"Odd: {question}", file=sys.stderr)
    if season.steps:
        book = the_book(season)
        go_by(lambda: book)
    return season


def _moment(season: "Season", wall: datetime | None) -> datetime:
    """The time asked about, as the yard's clock shows it; now, if none was."""
    from yardwright.season.zone import moment, shown

    zone = ZoneInfo(season.yard.zone)
    return moment(wall, zone) if wall else shown(datetime.now(UTC), zone)


def _day(day: date) -> str:
    return f"{day:%a} {day.day} {day:%b}"


def _clock(at: datetime, zone: ZoneInfo) -> str:
    local = at.astimezone(zone)
    return f"{_day(local)} {local:%H:%M}"


def _span(span: "Interval", zone: ZoneInfo) -> str:
    """From and to by the yard's clock; on a night that changes it, with both offsets."""
    start, end = span.start.astimezone(zone), span.end.astimezone(zone)
    day = "" if start.date() == end.date() else f"{_day(end)} "
    if start.utcoffset() == end.utcoffset():
        return f"{_day(start)} {start:%H:%M} to {day}{end:%H:%M}"
    return f"{_day(start)} {start:%H:%M %Z} to {day}{end:%H:%M %Z} (the clock changes)"


def _launch_line(one: "Launch") -> str:
    words = f"{_day(one.starts)} {one.starts:%H:%M}  {one.boat}"
    if one.promised is None:
        return words
    days = "day" if one.days_late == 1 else "days"
    how = f"{one.days_late} {days} late" if one.days_late else "kept"
    return f"{words}, {how} ({'Ink' if one.in_ink else 'her day'} {_day(one.promised)})"


def add_commands(add: Add) -> None:
    """Say what each command takes."""
    subs = {
        command: add(command)
        for command in (
            plan,
            odds,
            savers,
            capacity,
            float_check,
            start_check,
            left_undone,
            read,
            water,
        )
    }
    for command, sub in subs.items():
        sub.add_argument("season", type=Path, metavar="SEASON.toml")
        if command not in (plan, odds, capacity):
            optional = command in (savers, left_undone, read, water)
            sub.add_argument(
                "boat", nargs="?" if optional else None, help="name, tag or hull number"
            )
    for command in (float_check, start_check):
        subs[command].add_argument(
            "--at", type=wall_time, help="the yard's time asked about; now if left out"
        )
    for command in (plan, odds, savers, capacity):
        limit_s = 120.0 if command is savers else 25.0
        subs[command].add_argument(
            "--seconds", type=seconds, default=limit_s, help="how long to look at most"
        )
    for command in (odds, savers):
        subs[command].add_argument(
            "--seasons", type=whole, default=2000, help="how many are lived through, in thousands"
        )
        subs[command].add_argument(
            "--seed", type=whole, default=1, help="the same one gives the same seasons"
        )
        subs[command].add_argument(
            "--cluster", metavar="ADDRESS", help="of a Dask scheduler, such as tcp://server:8786"
        )
    subs[capacity].add_argument(
        "--by", type=calendar_day, required=True, help="the last day, such as 2031-05-24"
    )
    subs[capacity].add_argument("--like", metavar="BOAT", help="a boat here; else one like most")
    subs[capacity].add_argument(
        "--tolerance",
        type=whole,
        default=0,
        metavar="DAYS",
        help="days of Pencil lateness, in all, that may be added",
    )
    subs[float_check].add_argument(
        "--going-in", type=wall_time, help="when she is to go in: proofs are at most 24 h old then"
    )
    subs[start_check].add_argument(
        "--on",
        choices=("muffs", "bucket or unpressurised tee", "afloat"),
        default="muffs",
        help="where the cooling water comes from",
    )
    subs[water].add_argument("--day", type=calendar_day, help="this day only, such as 2031-05-06")
