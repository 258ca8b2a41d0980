"""What stands on a boat's Lift Card, from what the season knows of her."""

from datetime import datetime, timedelta

from yardwright.calc.lifting import Share, SlingLoads
from yardwright.papers.lift_card import LiftCard, Refusal, Sling, Undone, Water, Weight
from yardwright.procedures.float_check import FloatCheck, float_check
from yardwright.procedures.going_in import IN_WATER_TILL_FALL, GoingIn, State, hang, may_go
from yardwright.procedures.put_backs import Before, holds_back, left_undone
from yardwright.season.going_in import Lifting
from yardwright.season.lifts import her_minutes
from yardwright.season.model import Boat, Lift
from yardwright.season.wind import wind_limit

WAYS_ON_A_CARD = 2


def lift_card(
    yard: str,
    boat: Boat,
    lift: Lift,
    going: GoingIn,
    lifts_her: Lifting,
    at: datetime,
    address: str,
    *,
    less_sure: bool,
    wind_told: str = "",
) -> LiftCard:
    """Fill in a boat's Lift Card.

    Parameters
    ----------
    yard : str
        The yard's name.
    boat : Boat
        As she stands.
    lift : Lift
        The lift that is to carry her.
    going : GoingIn
        All that decides whether she may go.
    lifts_her : Lifting
        What her weight and slings say.
    at : datetime
        When she is to be lifted, in the yard's zone.
    address : str
        Her page, for the square code.
    less_sure : bool
        Whether only high and low waters are known, and the time between is a half-cosine.
    wind_told : str
        The wind with which she was lifted, in words; empty is not known.

    Returns
    -------
    LiftCard
        It says that she does not go, and why, if anything refuses the lift at that time.
    """
    check = float_check(going.ways, at, going_in=at)
    refusals = _refusals(boat, lift, going, lifts_her, at)
    before = holds_back(boat.undone, Before.WATER)
    later = [thing for thing in left_undone(boat.undone) if thing not in before]
    return LiftCard(
        yard=yard,
        boat=boat.name,
        hull_number=boat.hull_number,
        day=at.date(),
        stands=_stands(boat),
        lift=lift.name,
        lift_well="the lift well",
        length_m=boat.length_m,
        beam_m=boat.beam_m,
        draft_m=boat.draft_m,
        weight=_weight(boat),
        lift_rated_kg=lift.rating_kg,
        lift_beam_m=lift.beam_m,
        lift_draft_m=lift.draft_m,
        slings=_slings(boat, lift, lifts_her.loads),
        float_word=check.answer,
        float_why="See above." if check.sentence in refusals else check.sentence,
        before_water=tuple(Undone(u.what, u.before, u.lies) for u in before),
        later=tuple(Undone(u.what, u.before, u.lies) for u in later),
        water=_water(going, her_minutes(lift, boat).launch, at, less_sure=less_sure),
        hang_min=int(hang(going.kind) / timedelta(minutes=1)),
        lift_by="",
        second_look_by="",
        wind_limit=wind_limit(lift),
        wind_told=wind_told,
        wind_asked=lift.wind_limit is not None,
        comes_out=boat.state in IN_WATER_TILL_FALL,
        address=address,
        refusals=tuple(
            Refusal(_short(check) if reason == check.sentence else reason) for reason in refusals
        ),
    )


def _short(check: FloatCheck) -> str:
    """The float check as a card has room for it; her page has every way."""
    more = len(check.ways) - WAYS_ON_A_CARD
    if more <= 0:
        return check.sentence
    ways = "; ".join(way.words for way in check.ways[:WAYS_ON_A_CARD])
    return f"{check.answer}: {ways}; and {more} more way{'s' if more > 1 else ''}. {len(check.to_do)} things to do: her page names them."


def _refusals(
    boat: Boat, lift: Lift, going: GoingIn, lifts_her: Lifting, at: datetime
) -> list[str]:
    match boat.state:
        case State.COMING_OUT:
            return [*lifts_her.refusals]
        case one if one in IN_WATER_TILL_FALL:
            return [f"She is not {State.COMING_OUT}: {one}.", *lifts_her.refusals]
        case State.READY:
            state = []
        case State.IN_THE_SLINGS:
            state = [f"She hangs in the slings of the {lift.name}."]
        case _:
            state = [f"She is not {State.READY}: {boat.state}."]
    against = may_go(going, State.READY, State.IN_THE_SLINGS, at)
    return [*state, *against, *lifts_her.refusals]


def _stands(boat: Boat) -> str:
    if not boat.place:
        return "where she stands"
    return boat.place if boat.berth is None else f"{boat.place}, berth {boat.berth}"


def _weight(boat: Boat) -> Weight | None:
    if boat.weight_kg is None or boat.weight_within is None:
        return None
    off_kg = boat.weight_kg * boat.weight_within
    return Weight(boat.weight_kg, boat.weight_kg - off_kg, boat.weight_kg + off_kg)


def _slings(boat: Boat, lift: Lift, loads: SlingLoads | None) -> tuple[Sling, ...]:
    if loads is None or boat.slings_m is None:
        return ()
    aft_m, forward_m = boat.slings_m
    return (
        Sling("Forward sling", forward_m, _share(loads.forward), lift.sling_rating_kg),
        Sling("Aft sling", aft_m, _share(loads.aft), lift.sling_rating_kg),
    )


def _share(share: Share) -> Weight:
    """A share below nothing lifts off its sling: that is refused, and printed as nothing."""
    return Weight(max(0.0, share.kg), max(0.0, share.low_kg), max(0.0, share.high_kg))


def _water(going: GoingIn, launch_min: int, at: datetime, *, less_sure: bool) -> Water | None:
    return going.water and Water(*going.water, at, launch_min, less_sure)
