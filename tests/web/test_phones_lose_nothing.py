"""Phones over a bad link, and a server that is killed: each entry is held once, none is lost."""

from pathlib import Path

import pytest

from tests.web.storm import Storm, rage, yard


@pytest.mark.slow
def test_every_acknowledged_entry_is_held_once(tmp_path: Path) -> None:
    """A small storm; ``./dev bench phones`` runs the full one: 200 phones, 50 entries, five kills."""
    storm = Storm(phones=10, entries=12, kills=2)
    with yard(tmp_path / "yard", boats=10) as served:
        told = rage(storm, served)
    assert not told.wrong, told.wrong
    assert told.count["held before"], "no reply was lost: the storm was too mild"
    assert told.count["in flight at a kill"], "no entry was on its way at a kill"
