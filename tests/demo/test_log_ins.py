"""The log-ins that everybody knows are never made beside anything real."""

import pytest
from django.contrib.auth.models import User

from yardwright.demo import opening
from yardwright.fleet.models import Boat
from yardwright.yard.models import Yard
from yardwright.yard.refused import Refused


def test_not_beside_a_real_yard(three_days: Yard) -> None:
    boats = Boat.objects.count()
    with pytest.raises(Refused, match="Something is here"):
        opening.load()
    assert not User.objects.exists()
    assert Boat.objects.count() == boats
    three_days.refresh_from_db()
    assert not three_days.is_demo


@pytest.mark.django_db
def test_not_beside_a_log_in() -> None:
    User.objects.create_user("Hanna", password="a long one of her own")
    with pytest.raises(Refused, match="Something is here"):
        opening.load()
    assert not Yard.objects.exists()
