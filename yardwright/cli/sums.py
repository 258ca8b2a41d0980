"""The sums of the registry as commands: each takes its fields as options, as they are typed."""

import argparse

from yardwright.cli.answers import NO, YES, Add, Command, tell
from yardwright.sums import sums
from yardwright.sums.field import Choice, Field
from yardwright.sums.sum import Sum


def add_commands(add: Add) -> None:
    """Say what each sum takes."""
    for one in sums().values():
        sub = add(_command(one), one.name, one.question)
        for field in one.fields:
            needed = not (field.otherwise or field.may_be_empty)
            sub.add_argument(_option(field), required=needed, metavar="N", help=_help(field))


def _command(one: Sum) -> Command:
    def command(args: argparse.Namespace) -> int:
        typed = {field.key: getattr(args, field.key) or "" for field in one.fields}
        values = one.values(typed)
        answer, memory = one.work(**values), one.from_memory(values)
        others = {
            f"By {words}": other if isinstance(other, str) else other.says
            for words, other in one.by_the_others(typed).items()
        }
        besides = [*answer.besides, *([memory] if memory else [])]
        lines = [answer.says, *besides, *(f"{by}: {says}" for by, says in others.items())]
        found = {told.key: told.value for told in answer.numbers}
        tell(
            args,
            {**found, "may": answer.may, "says": answer.says, "besides": besides, **others},
            lines,
        )
        return NO if answer.may is False or answer.not_known else YES

    return command


def _option(field: Field) -> str:
    return f"--{field.key.replace('_', '-')}"


def _help(field: Field) -> str:
    told = f"{field.label}, such as {field.example}"
    if isinstance(field, Choice):
        told = f"{field.label}: {', '.join(field.options)}"
    more = f"; {field.otherwise} if not given" if field.otherwise else ""
    return f"{told}{more}".replace("%", "%%")
