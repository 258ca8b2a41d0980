"""What each of two slings carries, and whether she may be lifted so."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import product
from math import isfinite, radians, sin

from yardwright import refdata
from yardwright.calc.units import convert


@dataclass(frozen=True, slots=True)
class Share:
    """What one sling carries, in kg: at the figures given, and at their worst ends."""

    kg: float
    low_kg: float
    high_kg: float


@dataclass(frozen=True, slots=True)
class Weight:
    """A boat's weight and its centre, and how far each may be off.

    ``centre_m`` is measured along the boat from the same mark as the slings, such as the transom.
    Off by 0 is said on purpose: it claims a weighed weight.
    """

    kg: float
    off_kg: float
    centre_m: float
    centre_off_m: float

    def __post_init__(self) -> None:
        if not (isfinite(self.kg) and self.kg > 0):
            raise ValueError(f"weight is {self.kg} kg; give more than 0.")
        if not 0 <= self.off_kg < self.kg:
            raise ValueError(
                f"weight may be off by {self.off_kg} kg; give 0 up to the weight itself."
            )
        if not isfinite(self.centre_m):
            raise ValueError(f"centre is at {self.centre_m} m; give metres from the mark.")
        if not (isfinite(self.centre_off_m) and self.centre_off_m >= 0):
            raise ValueError(f"centre may be off by {self.centre_off_m} m; give 0 or more.")

    @property
    def heaviest_kg(self) -> float:
        """Her weight at its worst end."""
        return self.kg + self.off_kg

    @property
    def centres_m(self) -> tuple[float, float]:
        """Where her centre of gravity may lie, both ends."""
        return self.centre_m - self.centre_off_m, self.centre_m + self.centre_off_m


@dataclass(frozen=True, slots=True)
class Slings:
    """Two slings under a boat, on one lift. None is *not known*, and holds the lift.

    ``sling_rating_kg`` is the tag's, of one sling carrying with both legs straight up;
    ``angle_deg`` is a leg's from the horizontal, 90 when it hangs straight.
    """

    forward_m: float
    aft_m: float
    sling_rating_kg: float | None
    lift_rating_kg: float | None
    angle_deg: float | None

    def __post_init__(self) -> None:
        if not (isfinite(self.forward_m) and isfinite(self.aft_m)):
            raise ValueError("A sling's place is no number; give metres from the mark.")
        if self.forward_m == self.aft_m:
            raise ValueError(f"both slings are at {self.aft_m} m; give two places.")
        for what, rating in (("sling", self.sling_rating_kg), ("lift", self.lift_rating_kg)):
            if rating is not None and not (isfinite(rating) and rating > 0):
                raise ValueError(f"{what} is rated {rating} kg; give its plate, more than 0.")
        if self.angle_deg is not None and not 0 < self.angle_deg <= 90:
            raise ValueError(f"angle is {self.angle_deg}°; give it from the horizontal, up to 90.")


@dataclass(frozen=True, slots=True)
class SlingLoads:
    """The answer: what each sling carries, each reason not to lift, and what is not known."""

    forward: Share
    aft: Share
    refusals: tuple[str, ...]
    not_known: tuple[str, ...]

    @property
    def may_lift(self) -> bool | None:
        """False where anything speaks against it; None where nothing does, but not all is known."""
        return False if self.refusals else None if self.not_known else True


def sling_loads(weight: Weight, slings: Slings) -> SlingLoads:
    """Shares of the two slings by moments, and whether their whole range is within the ratings.

    Parameters
    ----------
    weight : Weight
        Her weight and centre of gravity, each with how far it may be off. [kg], [m]
    slings : Slings
        Where they are, from the same mark, and what may be put on them. [m], [kg], [°]

    Returns
    -------
    SlingLoads
        Shares [kg] with their ends: every corner of weight and centre is tried. A computed *no*
        is in ``refusals``; it is an answer, not an error.

    Notes
    -----
    Forward = W (aft - centre) / (aft - forward), aft = W - forward. A leg off the vertical pulls
    harder by 1 / sin(angle). The range decides, not the mean. The maker's manual of the lift and
    the slings' tags go first; nobody is under her.

    References
    ----------
    Statics. ``refdata/lifting.toml``: the least sling angle.
    """

    def forward_kg(weight_kg: float, centre_m: float) -> float:
        return weight_kg * (slings.aft_m - centre_m) / (slings.aft_m - slings.forward_m)

    corners = [
        (weight_kg, forward_kg(weight_kg, centre_m))
        for weight_kg, centre_m in product(
            (weight.kg - weight.off_kg, weight.heaviest_kg), weight.centres_m
        )
    ]
    at_forward = [kg for _, kg in corners]
    at_aft = [weight_kg - kg for weight_kg, kg in corners]
    mean_kg = forward_kg(weight.kg, weight.centre_m)
    forward = Share(mean_kg, min(at_forward), max(at_forward))
    aft = Share(weight.kg - mean_kg, min(at_aft), max(at_aft))
    return SlingLoads(
        forward, aft, tuple(_refusals(weight, slings, forward, aft)), tuple(_not_known(slings))
    )


def leg_tension_kg(share_kg: float, angle_deg: float) -> float:
    """Pull in each of a sling's two legs.

    Parameters
    ----------
    share_kg : float
        What the sling carries. [kg] 0 or more.
    angle_deg : float
        A leg's angle from the horizontal. [°] More than 0, at most 90.

    Returns
    -------
    float
        Share / (2 sin angle), as the weight that would pull as hard. [kg]

    Raises
    ------
    ValueError
        A number outside the ranges above. Under 30° is a sum, but no lift: see `sling_loads`.
    """
    if not (isfinite(share_kg) and share_kg >= 0):
        raise ValueError(f"share is {share_kg} kg; give 0 or more.")
    if not 0 < angle_deg <= 90:
        raise ValueError(f"angle is {angle_deg}°; give it from the horizontal, up to 90.")
    return share_kg / (2 * sin(radians(angle_deg)))


def _refusals(weight: Weight, slings: Slings, forward: Share, aft: Share) -> Iterator[str]:
    ends = sorted((slings.forward_m, slings.aft_m))
    near_m, far_m = weight.centres_m
    if not ends[0] < near_m <= far_m < ends[1]:
        yield (
            f"Her centre of gravity may lie at {near_m:.2f} to {far_m:.2f} m, not surely between "
            f"the slings at {ends[0]:.2f} and {ends[1]:.2f} m: she would tip. Move a sling."
        )
    least_deg = refdata.table("lifting")["least_sling_angle"].value
    if slings.angle_deg is not None and slings.angle_deg < least_deg:
        yield (
            f"The slings stand at {slings.angle_deg:g}° from the horizontal; not under "
            f"{least_deg:g}°. Use longer slings or a spreader."
        )
    for name, share in (("forward", forward), ("aft", aft)):
        # With the angle unknown the legs hang straight at best: too much then is too much anyway.
        pull_kg = 2 * leg_tension_kg(max(share.high_kg, 0), slings.angle_deg or 90)
        if slings.sling_rating_kg is not None and pull_kg > slings.sling_rating_kg:
            yield (
                f"The {name} sling may have to carry {_both(pull_kg)} at the worst ends of "
                f"weight and centre; it is rated {_both(slings.sling_rating_kg)}."
            )
    if slings.lift_rating_kg is not None and weight.heaviest_kg > slings.lift_rating_kg:
        yield (
            f"She may weigh {_both(weight.heaviest_kg)}; the lift is rated "
            f"{_both(slings.lift_rating_kg)}."
        )


def _both(kg: float) -> str:
    return f"{kg:,.0f} kg ({convert(kg, 'kg', 'lb'):,.0f} lb)"


def _not_known(slings: Slings) -> Iterator[str]:
    if slings.sling_rating_kg is None:
        yield "What a sling is rated: read its tag. No tag, no lift."
    if slings.lift_rating_kg is None:
        yield "What the lift is rated: read its plate."
    if slings.angle_deg is None:
        yield "The slings' angle from the horizontal: measure it with the slings hanging."
