"""What the slings of a lift carry of a boat."""

from math import radians, sin

from yardwright import refdata
from yardwright.calc.lifting import SlingLoads, Slings, Weight, sling_loads
from yardwright.season.model import Boat, Lift

TRAVEL_LIFT = "travel lift"


def not_known(boat: Boat) -> tuple[str, ...]:
    """What beside her weight the loads of her slings follow from and nobody knows."""
    asked = (
        ("how far her weight may be off", boat.weight_within),
        ("where her centre of gravity lies", boat.centre_m),
        ("how far her centre may be off", boat.centre_within_m),
        ("where the slings go", boat.slings_m),
    )
    return tuple(words for words, value in asked if value is None)


def loads(boat: Boat, lift: Lift, angle_deg: float | None = None) -> SlingLoads:
    """What each sling of a lift carries of her.

    Parameters
    ----------
    boat : Boat
        All of her that it follows from is known.
    lift : Lift
        With its plate and its slings' tags.
    angle_deg : float, optional
        A sling leg's angle from the horizontal [°], measured. A travel lift's is known.
    """
    angle_deg = _angle_deg(lift) if angle_deg is None else angle_deg
    return sling_loads(
        _weight(boat), _slings(boat, lift.sling_rating_kg, lift.rating_kg, angle_deg)
    )


def heavier_kg(boat: Boat) -> float | None:
    """The most that one of her slings may have to carry, in kilograms; None is not known."""
    if boat.weight_kg is None or not_known(boat):
        return None
    hers = sling_loads(_weight(boat), _slings(boat, None, None, None))
    return max(hers.forward.high_kg, hers.aft.high_kg)


def may_carry_kg(lift: Lift) -> float:
    """The most of a boat that one sling of a lift may carry, at a travel lift's angle.

    Of another lift's at best: straight. Its angle is asked for before she is lifted (`asks_angle`).
    """
    return lift.sling_rating_kg * sin(radians(_angle_deg(lift) or 90))


def asks_angle(lift: Lift) -> bool:
    """Whether its slings' angle must be measured: a travel lift's is known."""
    return lift.kind != TRAVEL_LIFT


def _angle_deg(lift: Lift) -> float | None:
    if asks_angle(lift):
        return None
    return refdata.table("lifting")["travel_lift_sling_angle"].value


def _weight(boat: Boat) -> Weight:
    known = (boat.weight_kg, boat.weight_within, boat.centre_m, boat.centre_within_m)
    kg, within, centre_m, off_m = (value or 0.0 for value in known)  # all of it is known
    return Weight(kg, kg * within, centre_m, off_m)


def _slings(
    boat: Boat, sling_kg: float | None, lift_kg: float | None, angle_deg: float | None
) -> Slings:
    aft_m, forward_m = boat.slings_m or (0.0, 0.0)
    return Slings(forward_m, aft_m, sling_kg, lift_kg, angle_deg)
