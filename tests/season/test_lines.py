"""Lines are counted by hand in each text."""

import tomllib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from yardwright.season.lines import line_of, lines_of

TEXT = '''# a yard
version = 1
[yard]  # the yard
name = "Heron"

[[boats]]
name = """
[[boats]]
name = "no boat at all"
"""
draft_m = 0.6
[boats.owner]
name = "A. Reeve"
[[boats.work]]
what = "engine"
after = [
    "hull",
]
[[ boats . work ]]
"what" = "hull"

[[boats]]
promise.ink = 2031-05-06
work = [
    {what = "engine"},
]
'''


@pytest.mark.parametrize(
    ("path", "line"),
    [
        (("version",), 2),
        (("yard",), 3),
        (("yard", "name"), 4),
        (("yard", "zone"), 3),  # missing: its table
        (("boats", 0), 6),
        (("boats", 0, "name"), 7),
        (("boats", 0, "draft_m"), 11),
        (("boats", 0, "owner", "name"), 13),
        (("boats", 0, "work", 0, "what"), 15),
        (("boats", 0, "work", 0, "after", 0), 16),
        (("boats", 0, "work", 1, "what"), 20),
        (("boats", 1, "promise", "ink"), 23),
        (("boats", 1, "work", 0, "what"), 24),
        (("lifts",), 1),
    ],
)
def test_where_a_value_stands(path: tuple[str | int, ...], line: int) -> None:
    tomllib.loads(TEXT)
    assert line_of(path, lines_of(TEXT)) == line


@given(st.integers(0, 5), st.integers(0, 5))
def test_lines_before_a_table_move_it_down(above: int, between: int) -> None:
    text = "\n" * above + "[[boats]]\n" + "# nothing\n" * between + "name = 'Teal'\n"
    found = lines_of(text)
    assert line_of(("boats", 0), found) == above + 1
    assert line_of(("boats", 0, "name"), found) == above + 2 + between
