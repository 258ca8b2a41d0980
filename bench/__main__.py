"""``./dev bench`` runs all; ``./dev bench tides pages`` runs some.

``./dev bench plan --yards 20 --seconds 60`` plans made-up yards and writes the tables of the docs.
"""

import sys
from argparse import ArgumentParser

from bench.core import fleet_steps, plan, season, tides, verdicts
from bench.fall import fall
from bench.hose import hose
from bench.listen import listening
from bench.odds import odds_of_a_big_yard
from bench.pages import pages
from bench.phone_speed import phone_speed
from bench.phones import phones
from bench.plan import tables
from bench.psplib import psplib
from bench.replan import replans
from bench.rules import rules
from bench.savers import savers_of_a_big_yard

ALL = {
    "tides": tides,
    "season": season,
    "steps": fleet_steps,
    "verdicts": verdicts,
    "plan": plan,
    "fall": fall,
    "listen": listening,
    "hose": hose,
    "odds": odds_of_a_big_yard,
    "pages": pages,
    "phones": phones,
    "phone_speed": phone_speed,
    "psplib": psplib,
    "replan": replans,
    "rules": rules,
    "savers": savers_of_a_big_yard,
}


def main(given: list[str]) -> int:
    asked = ArgumentParser(prog="./dev bench", description="Measure.")
    asked.add_argument("names", nargs="*", help=", ".join(ALL))
    asked.add_argument("--yards", type=int, help="how many made-up yards to plan")
    asked.add_argument("--seconds", type=float, default=60, help="for each yard")
    asked.add_argument("--boats", type=int, nargs="*", default=[300, 30, 1000])
    one = asked.parse_args(given)
    if unknown := sorted(set(one.names) - set(ALL)):
        print(f"No bench {', '.join(unknown)}. There are: {', '.join(ALL)}.", file=sys.stderr)
        return 2
    if one.yards:
        for row in tables(one.yards, one.seconds, one.boats):
            print(row, flush=True)
        return 0
    for name in one.names or ALL:
        for line in ALL[name]():
            print(line, flush=True)
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
