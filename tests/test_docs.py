"""The documents show only what runs, and name every key that the reader knows."""

import re
import shlex
import shutil
import socket
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest

from tests.terminal import CTRL_C, Terminal
from yardwright import cli
from yardwright.season.lines import lines_of
from yardwright.season.model import Season
from yardwright.season.read import read
from yardwright.season.shape import keys_of, tables_in
from yardwright.season.write import write

ROOT = Path(__file__).parents[1]
DOCS = [ROOT / "README.md", *sorted((ROOT / "docs").glob("*.md"))]
BLOCK = re.compile(r"```console\n(.*?)```", re.S)
BLOCKS = [(doc, block) for doc in DOCS for block in BLOCK.findall(doc.read_text(encoding="utf-8"))]
STORY = ROOT / "docs" / "first-day.md"  # its commands make folders, so they run in another place
QUESTION = re.compile(r"(.*\bname: |.*\): |.*password:)(.*)")
PASSWORD = "a long winter"  # noqa: S105  # typed where the document shows none
ANY = "…"  # in a line: any words; alone: any lines


def steps(block: str) -> Iterator[tuple[str, str]]:
    """Each command of a block, with what it says."""
    for step in block.removeprefix("$ ").split("\n$ "):
        command, _, said = step.partition("\n")
        yield command, said


QUICK = [(doc, block) for doc, block in BLOCKS if doc != STORY]


@pytest.mark.parametrize(("doc", "block"), QUICK, ids=[doc.name for doc, _ in QUICK])
def test_example_runs(
    doc: Path, block: str, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(doc.parent)
    code = 0
    for command, expected in steps(block):
        if command == "echo $?":
            assert expected.strip() == str(code), f"{doc.name}: {command}"
            continue
        program, *arguments = shlex.split(command)
        assert program == "yardwright", f"{doc.name}: {command}"
        code = cli.main(arguments)
        out, err = capsys.readouterr()
        assert (code in (0, 1), err) == (True, ""), f"{doc.name}: {command}"
        assert fits(expected, out), f"{doc.name}: {command} said\n{out}"


@pytest.mark.slow
def test_the_first_day_s_commands_run_one_after_the_other(tmp_path: Path) -> None:
    for example in STORY.parent.glob("*.toml"):
        shutil.copy(example, tmp_path)
    for block in (block for doc, block in BLOCKS if doc == STORY):
        for command, expected in steps(block):
            program, *words = shlex.split(command)
            assert program == "yardwright", command
            if words[0] == "serve":
                _answers(tmp_path, words, expected)
                continue
            code, said = Terminal(tmp_path, *_found(tmp_path, words)).ends()
            assert code == 0, said
            assert fits(expected, said), f"{command} said\n{said}"


def _answers(folder: Path, words: list[str], expected: str) -> None:
    """Type what stands behind each question, then stop the server; its port may be taken here."""
    with closing(socket.socket()) as free:
        free.bind(("127.0.0.1", 0))
        port = str(free.getsockname()[1])
    server = Terminal(folder, *words, "--port", port)
    for line in expected.splitlines():
        if asked := QUESTION.fullmatch(line):
            server.reads(asked[1])
            server.types(f"{asked[2] or PASSWORD}\n")
        else:
            server.reads(line.replace(":8000/", f":{port}/"))
    server.types(CTRL_C)
    code, said = server.ends()
    assert (code, "Traceback" in said) == (0, False), said


def _found(folder: Path, words: list[str]) -> Iterator[str]:
    """Do with a star what the shell does."""
    for word in words:
        if "*" in word:
            (one,) = folder.glob(word)
            yield str(one.relative_to(folder))
        else:
            yield word


def fits(expected: str, out: str) -> bool:
    """Compare line by line, with room where the document leaves it."""
    lines = (
        r"(?:.*\n)*?" if line == ANY else re.escape(line).replace(re.escape(ANY), ".*") + r"\n"
        for line in expected.strip("\n").split("\n")
    )
    return re.fullmatch("".join(lines), out) is not None


def test_a_document_that_says_otherwise_is_caught() -> None:
    assert fits("a\n…\nd …\n", "a\nb\nc\nd 4\n")
    assert not fits("a\n…\nd …\n", "a\nb\nc\ne 4\n")
    assert not fits("a\n", "a\nb\n")


def test_every_command_is_shown() -> None:
    (commands,) = (action.choices for action in cli.parser()._actions if action.choices)
    shown = " ".join(block for _, block in BLOCKS)
    missing = [name for name in commands if f"$ yardwright {name}" not in shown]
    assert not missing, f"Show in README or docs/, with output: {missing}"


def test_every_key_of_the_season_file_is_described_and_no_other() -> None:
    text = (ROOT / "docs" / "season-file.md").read_text(encoding="utf-8")
    described = {}
    for part in text.split("\n### ")[1:]:
        heading, _, body = part.partition("\n")
        rows = re.findall(r"^\| `(\w+)` \|.*\| (yes)? ?\|$", body, re.M)
        described[heading.strip("`[]").replace("The file", "")] = {key: bool(y) for key, y in rows}
    known = {
        ".".join(path): {key.name: key.needed for key in keys_of(table)}
        for path, table in tables_in(Season)
    }
    assert described == known


@pytest.mark.parametrize("doc", DOCS, ids=[doc.name for doc in DOCS])
def test_what_a_document_points_to_is_there(doc: Path) -> None:
    text = doc.read_text(encoding="utf-8")
    for target in re.findall(r"\]\((?!https?:|#)([^)#]+)", text):
        assert (doc.parent / target).is_file(), target
    known = re.findall(r"^    (\w+)\) ", (ROOT / "dev").read_text(encoding="utf-8"), re.M)
    assert set(re.findall(r"\./dev (\w+)", text)) <= set(known)


def test_the_example_blocks_make_a_season_together() -> None:
    text = (ROOT / "docs" / "season-file.md").read_text(encoding="utf-8")
    blocks = re.findall(r"```toml\n(.*?)```", text, re.S)
    written = "\n".join(["version = 1", *blocks])
    season = read(written, "season-file.md")
    assert read(write(season)) == season
    shown = lines_of(written).keys()
    named = {tuple(step for step in path if isinstance(step, str)) for path in shown}
    missing = {path for path, _ in tables_in(Season)} - named - {()}
    assert missing <= {("water", "table"), ("boats", "undone", "put_back")}  # shown in one line
