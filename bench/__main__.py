"""``./dev bench`` runs all; ``./dev bench tides pages`` runs some."""

import sys

from bench.core import plan, season, tides, verdicts
from bench.fall import fall
from bench.pages import pages
from bench.phones import phones
from bench.psplib import psplib

ALL = {
    "tides": tides,
    "season": season,
    "verdicts": verdicts,
    "plan": plan,
    "fall": fall,
    "pages": pages,
    "phones": phones,
    "psplib": psplib,
}


def main(names: list[str]) -> int:
    if unknown := sorted(set(names) - set(ALL)):
        print(f"No bench {', '.join(unknown)}. There are: {', '.join(ALL)}.", file=sys.stderr)
        return 2
    for name in names or ALL:
        for line in ALL[name]():
            print(line, flush=True)
    return 0


sys.exit(main(sys.argv[1:]))
