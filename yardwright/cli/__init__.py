"""The command line. Each command is a function; its docstring is its help.

A command answers with 0 for yes or done, 1 where the answer is no, 2 where what it was given can't
be read. It imports what it needs itself: a check waits neither for the solver nor for Django.
"""

import argparse
import os
import sys
from collections.abc import Sequence
from contextvars import copy_context

from yardwright import PRODUCT
from yardwright.cli import facts, listen, season_file, sums, yard_folder
from yardwright.cli.answers import BAD_INPUT, NO, YES, Command
from yardwright.yard.refused import Refused

__all__ = ["BAD_INPUT", "NO", "YES", "main", "parser"]

SUBJECTS = (season_file, sums, facts, listen, yard_folder)


def parser() -> argparse.ArgumentParser:
    """Build the parser; its commands are also what the docs are held to."""
    top = argparse.ArgumentParser(prog=PRODUCT.lower(), description="Nothing undone is forgotten.")
    commands = top.add_subparsers(metavar="COMMAND", required=True)

    def add(command: Command, name: str = "", tells: str = "") -> argparse.ArgumentParser:
        name = name or command.__name__.strip("_").replace("_", "-")
        told = tells or command.__doc__
        sub = commands.add_parser(name, help=told, description=told)
        sub.set_defaults(run=command)
        sub.add_argument("--json", action="store_true", help="answer as JSON")
        return sub

    for subject in SUBJECTS:
        subject.add_commands(add)
    return top


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command."""
    args = parser().parse_args(argv)
    run: Command = args.run
    try:
        return copy_context().run(run, args)  # a season's own steps hold for its command alone
    except Refused as refused:
        print(refused, file=sys.stderr)
        return NO
    except ValueError as error:
        print(error, file=sys.stderr)
        return BAD_INPUT
    except BrokenPipeError:  # whoever reads the answer has read enough of it, as head does
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return YES
