"""A teacher, a learner and a yard with one boat."""

import pytest

from tests.conftest import log_in
from yardwright.fleet.models import Boat
from yardwright.season.model import Right
from yardwright.yard.models import Person


@pytest.fixture
def vera(teal: Boat) -> Person:
    del teal
    return log_in("Vera", Right.TEACH)


@pytest.fixture
def timo(teal: Boat) -> Person:
    del teal
    return log_in("Timo", Right.PROVE, learner=True)
