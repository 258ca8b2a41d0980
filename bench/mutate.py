"""``./dev mutate``: break the code on purpose, one place at a time, and see whether a test fails.

    ./dev mutate                              every change in calc and procedures
    ./dev mutate calc procedures/steps        some of them
    ./dev mutate --sample 400 --seed 4        a drawn sample, with its 95 % interval

A change is made in memory, in a forked child: no file is touched. The tests beside a package hold
it (`TESTS`); of these a change meets each file that runs its module, first the tests that run its
very line. One that outlasts its time limit counts as noticed, and is counted apart.
"""

import argparse
import ast
import importlib
import json
import os
import random
import resource
import signal
import subprocess
import sys
import tempfile
import time
from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass
from importlib.abc import MetaPathFinder
from importlib.machinery import ModuleSpec, PathFinder, SourceFileLoader
from math import sqrt
from pathlib import Path
from types import CodeType

import coverage
import pytest
from hypothesis import Phase, settings

from bench.changes import Change, changes

PACKAGE = "yardwright"
TESTS = {"calc": ("tests/calc", "tests/sums"), "procedures": ("tests/procedures",)}
PYTEST = ["-q", "--noconftest", "-p", "no:cacheprovider", "-W", "ignore::pytest.PytestConfigWarning"]  # fmt: skip
PYTEST += ["-o", "addopts=--import-mode=importlib"]
MEMORY_B = 4 << 30
Z_95 = 1.96


@dataclass(frozen=True, slots=True)
class Mutant:
    """One change to one module."""

    path: str
    tree: ast.Module
    change: Change

    @property
    def module(self) -> str:
        return self.path.removesuffix(".py").replace("/", ".").removesuffix(".__init__")

    def code(self) -> CodeType:
        """The changed module; only ever asked for in a child, as it changes the tree."""
        self.change.make()
        return compile(ast.fix_missing_locations(self.tree), self.path, "exec")

    def __str__(self) -> str:
        return f"{self.path}:{self.change}"


@dataclass(frozen=True, slots=True)
class Baseline:
    """What the unchanged tests run: module path to line to tests; how long a file takes; what fails."""

    lines: dict[str, dict[int, list[str]]]
    cpu_s: dict[str, float]
    failed: frozenset[str]

    def tests(self, path: str) -> list[str]:
        """The test files that run a module."""
        ran = (test for tests in self.lines.get(path, {}).values() for test in tests)
        return sorted({test.partition("::")[0] for test in ran if test})


def main(told: Sequence[str]) -> int:
    ask = argparse.ArgumentParser(
        prog="./dev mutate", description="Break the code, see what notices."
    )
    ask.add_argument("names", nargs="*", default=list(TESTS), help="calc, procedures/steps …")
    ask.add_argument("--sample", type=int, help="how many changes to draw; without it, every one")
    ask.add_argument("--seed", type=int, default=0)
    asked = ask.parse_args(told)
    mutants = [mutant for path in files(asked.names) for mutant in mutants_of(path)]
    if asked.sample and asked.sample < len(mutants):
        sample = random.Random(asked.seed).sample(mutants, asked.sample)  # noqa: S311
    else:
        sample = mutants
    print(f"At {commit()}: {len(sample)} of {len(mutants)} changes, seed {asked.seed}.", flush=True)
    quicken()
    ends: dict[Mutant, str] = {}
    for mutant, end in run(sample, baseline({path.split("/")[1] for path in files(asked.names)})):
        ends[mutant] = end
        if end in ("survived", "no test runs it"):
            print(f"{mutant}  ({end}; {len(ends)} tried)", flush=True)
    for line in report(mutants, ends):
        print(line)
    return 0


def files(names: Sequence[str]) -> list[str]:
    """The modules of packages and modules named as ``calc`` or ``procedures/steps``."""
    found: list[Path] = []
    for name in names:
        here = Path(PACKAGE, name)
        found += sorted(here.rglob("*.py")) if here.is_dir() else [here.with_suffix(".py")]
        if name.split("/")[0] not in TESTS or not found[-1].exists():
            sys.exit(f"No {name}. Name one of {', '.join(TESTS)}, or a module as calc/kits.")
    return sorted({path.as_posix() for path in found})


def mutants_of(path: str) -> Iterator[Mutant]:
    tree = ast.parse(Path(path).read_text(encoding="utf-8"))
    return (Mutant(path, tree, change) for change in changes(tree))


def commit() -> str:
    asked = ["git", "describe", "--always", "--dirty=, with changes"]
    told = subprocess.run(asked, check=False, capture_output=True, text=True)  # noqa: S603
    return told.stdout.strip() or "no commit"


# --- running ------------------------------------------------------------------


def quicken() -> None:
    """No Django, no plugins, no shrinking; the same draws each time."""
    os.environ |= {"PYTEST_DISABLE_PLUGIN_AUTOLOAD": "1", "OPENBLAS_NUM_THREADS": "1"}
    settings.register_profile(
        "mutate",
        deadline=None,
        database=None,
        derandomize=True,
        phases=(Phase.explicit, Phase.generate),
    )
    settings.load_profile("mutate")


class Contexts:
    """Tell coverage which test runs; note how long each file takes, and which tests fail."""

    def __init__(self, measured: coverage.Coverage) -> None:
        self.measured = measured
        self.cpu_s: defaultdict[str, float] = defaultdict(float)
        self.failed: list[str] = []

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> Iterator[None]:
        self.measured.switch_context(item.nodeid)
        began = time.process_time()
        done = yield
        self.cpu_s[item.nodeid.partition("::")[0]] += time.process_time() - began
        self.measured.switch_context("")
        return done

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        if report.failed:
            self.failed.append(report.nodeid)

    def pytest_collectreport(self, report: pytest.CollectReport) -> None:
        if report.failed:
            self.failed.append(report.nodeid)


def baseline(packages: set[str]) -> Baseline:
    """Run the unchanged tests once, in a child; one that fails is told and left out."""
    folders = [name for package in sorted(packages) for name in TESTS[package]]
    with tempfile.NamedTemporaryFile("w+") as told:
        if (child := os.fork()) == 0:
            os._exit(_baseline([name for name in folders if Path(name).exists()], told.name))
        _, status = os.waitpid(child, 0)
        if status:
            sys.exit("The tests can't be run. Try: ./dev test")
        lines, cpu_s, failed, libraries = json.load(told)
    for name in failed:
        print(f"Left out, as it fails without any change: {name}")
    for name in libraries:  # so that no child imports them again
        with suppress(ImportError):
            importlib.import_module(name)
    by_number = {path: {int(n): tests for n, tests in of.items()} for path, of in lines.items()}
    return Baseline(by_number, cpu_s, frozenset(failed))


def _baseline(folders: list[str], told: str) -> int:
    measured = coverage.Coverage(data_file=None, source=[PACKAGE], branch=False, config_file=False)
    contexts = Contexts(measured)
    measured.start()
    code = pytest.main([*PYTEST, "--continue-on-collection-errors", *folders], plugins=[contexts])
    measured.stop()
    data = measured.get_data()
    lines = {
        Path(path).relative_to(Path.cwd()).as_posix(): data.contexts_by_lineno(path)
        for path in data.measured_files()
    }
    libraries = [name for name in sys.modules if name.split(".")[0] not in (PACKAGE, "tests")]
    kept = [lines, contexts.cpu_s, contexts.failed, libraries]
    Path(told).write_text(json.dumps(kept), encoding="utf-8")
    return 0 if code in (pytest.ExitCode.OK, pytest.ExitCode.TESTS_FAILED) else 1


def run(mutants: Sequence[Mutant], base: Baseline) -> Iterator[tuple[Mutant, str]]:
    """Each change in a child of its own, as many at a time as there are processors."""
    todo, running = list(reversed(mutants)), dict[int, Mutant]()
    while todo or running:
        while todo and len(running) < (os.cpu_count() or 1):
            mutant = todo.pop()
            if not base.tests(mutant.path):
                yield mutant, "no test runs it"
            elif child := os.fork():
                running[child] = mutant
            else:
                os._exit(_try(mutant, base))
        if running:
            child, status = os.wait()
            late = os.WIFSIGNALED(status) and os.WTERMSIG(status) == signal.SIGXCPU
            yield running.pop(child), "time" if late else "noticed" if status else "survived"


def _try(mutant: Mutant, base: Baseline) -> int:
    """1 if a test fails. A processor's seconds are counted: a busy machine is no timeout."""
    resource.setrlimit(resource.RLIMIT_DATA, (MEMORY_B, MEMORY_B))
    silence = os.open(os.devnull, os.O_WRONLY)
    os.dup2(silence, 1)
    os.dup2(silence, 2)
    try:
        sys.meta_path.insert(0, Changed(mutant.module, mutant.code()))
    except SyntaxError:
        return 1
    first = LineFirst(mutant, base)
    for name in sorted(base.tests(mutant.path), key=first.rank):
        limit_s = 3 + round(10 * base.cpu_s[name] + time.process_time())
        resource.setrlimit(resource.RLIMIT_CPU, (limit_s, resource.RLIM_INFINITY))
        code = pytest.main([*PYTEST, "-x", name], plugins=[first])
        if code not in (pytest.ExitCode.OK, pytest.ExitCode.NO_TESTS_COLLECTED):
            return 1
    return 0


class LineFirst:
    """The tests that run the changed lines go first; those that fail anyway are left out."""

    def __init__(self, mutant: Mutant, base: Baseline) -> None:
        self.failed = base.failed
        self.own = f"test_{Path(mutant.path).stem}.py"
        lines = base.lines[mutant.path]
        self.first = {test for n in mutant.change.lines for test in lines.get(n, ())}

    def rank(self, name: str) -> tuple[bool, int]:
        """The module's own test file, then the one that runs the lines most often."""
        return Path(name).name != self.own, -sum(test.startswith(name) for test in self.first)

    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        items[:] = [item for item in items if item.nodeid not in self.failed]
        items.sort(key=lambda item: item.nodeid not in self.first)


class Changed(MetaPathFinder):
    """Import one module from changed code, all others as they are."""

    def __init__(self, module: str, code: CodeType) -> None:
        self.module = module
        self.code = code

    def find_spec(
        self, name: str, path: Sequence[str] | None, _: object = None
    ) -> ModuleSpec | None:
        if name != self.module:
            return None
        spec = PathFinder.find_spec(name, path)
        assert spec
        assert spec.origin
        spec.loader = Loader(name, spec.origin)
        spec.loader.code = self.code
        return spec


class Loader(SourceFileLoader):
    code: CodeType

    def get_code(self, _: str) -> CodeType:
        return self.code


# --- the report -----------------------------------------------------------------


def report(mutants: Sequence[Mutant], ends: dict[Mutant, str]) -> Iterator[str]:
    """Scores by module and package."""
    yield f"{'':36} changes  tried noticed (of it late)   score  95 % interval"
    of_all = Counter(mutant.path for mutant in mutants)
    packages = sorted({path.rpartition("/")[0] for path in of_all})
    for name in [*sorted(of_all), *packages]:
        tried = [end for mutant, end in ends.items() if mutant.path.startswith(name)]
        total = sum(count for path, count in of_all.items() if path.startswith(name))
        late = tried.count("time")
        noticed = tried.count("noticed") + late
        yield f"{name:36} {total:7} {len(tried):6} {noticed:7} {late:12} {score(noticed, len(tried), total)}"


def score(noticed: int, tried: int, total: int) -> str:
    """Share noticed; with Wilson's interval where not all were tried."""
    if not tried:
        return "      -"
    share = noticed / tried
    if tried == total:
        return f"{share:7.1%}  all tried"
    middle = (share + Z_95**2 / (2 * tried)) / (1 + Z_95**2 / tried)
    half = (
        Z_95 / (1 + Z_95**2 / tried) * sqrt(share * (1 - share) / tried + (Z_95 / (2 * tried)) ** 2)
    )
    return f"{share:7.1%}  {middle - half:.1%} to {middle + half:.1%}"


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
