"""The fact book on the command line: what a number is, and who says so."""

import argparse
from collections.abc import Iterable, Iterator
from dataclasses import asdict

from yardwright import refdata
from yardwright.cli.answers import NO, YES, Add, tell
from yardwright.season import fact_book
from yardwright.season.fact_book import Fact, Group


def add_commands(add: Add) -> None:
    """Say what the book is asked by."""
    sub = add(facts)
    sub.add_argument("topic", nargs="*", metavar="TOPIC", help="a topic, or words to look for")


def facts(args: argparse.Namespace) -> int:
    """Look a number up: its unit, its source and page, and how far to trust it."""
    asked = " ".join(args.topic)
    if not asked.strip():
        return _topics(args)
    topic = fact_book.topic_named(asked)
    groups = fact_book.topic(topic) if topic else fact_book.found(asked)
    if not groups:
        tell(args, [], [f"No row speaks of {asked}. Topics: {', '.join(refdata.names())}."])
        return NO
    found = [_plain(fact) for group in groups for fact in group.facts]
    tell(args, found, [*_lines(groups, with_topic=not topic)])
    return YES


def _topics(args: argparse.Namespace) -> int:
    counts = {name: [*refdata.rows(name).values()] for name in refdata.names()}
    lines = (f"{name}: {_count(rows)}" for name, rows in counts.items())
    tell(args, {name: len(rows) for name, rows in counts.items()}, [*lines])
    return YES


def _count(rows: list[refdata.Row]) -> str:
    memory = sum(row.trust == "from memory" for row in rows)
    told = f"{len(rows)} row{'s' * (len(rows) > 1)}"
    return f"{told}, {memory} from memory" if memory else told


def _lines(groups: Iterable[Group], *, with_topic: bool) -> Iterator[str]:
    for group in groups:
        for fact in group.facts:
            head = f"{fact_book.title(fact.topic)}: " if with_topic else ""
            stands = f" [{fact.stands}]" if fact.stands else ""
            first, *more = fact.lines
            yield f"{head}{fact.tells}{stands}: {first}"
            yield from (f"  {line}" for line in more)
            yield f"    {fact.evidence}{f' Why: {fact.why}' if fact.why else ''}"


def _plain(fact: Fact) -> dict[str, object]:
    used = fact.stands != "not used"
    return {"topic": fact.topic, "key": fact.key, "used": used, **asdict(fact.row)}
