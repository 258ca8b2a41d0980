"""The documents show only what runs, and name every key that the reader knows."""

import re
import shlex
from pathlib import Path

import pytest

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
ANY = "…"  # in a line: any words; alone: any lines


@pytest.mark.parametrize(("doc", "block"), BLOCKS, ids=[doc.name for doc, _ in BLOCKS])
def test_example_runs(
    doc: Path, block: str, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(doc.parent)
    code = 0
    for step in block.removeprefix("$ ").split("\n$ "):
        command, _, expected = step.partition("\n")
        if command == "echo $?":
            assert expected.strip() == str(code), f"{doc.name}: {command}"
            continue
        program, *arguments = shlex.split(command)
        assert program == "yardwright", f"{doc.name}: {command}"
        code = cli.main(arguments)
        out, err = capsys.readouterr()
        assert (code in (0, 1), err) == (True, ""), f"{doc.name}: {command}"
        assert fits(expected, out), f"{doc.name}: {command} said\n{out}"


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
