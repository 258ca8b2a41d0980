"""Which lift carries which boat."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from yardwright.season.model import Boat, Lift, Season


@dataclass(frozen=True, slots=True)
class Lifts:
    """The lifts of a season. Those that differ in nothing but their name are of one kind.

    Raises
    ------
    ValueError
        There is none.
    """

    season: Season
    alike: tuple[tuple[Lift, ...], ...] = field(init=False)
    by_name: Mapping[str, Lift] = field(init=False)

    def __post_init__(self) -> None:
        if not self.season.lifts:
            raise ValueError("There is no lift, so nothing can be launched; enter one.")
        alike: dict[Lift, list[Lift]] = {}
        for lift in self.season.lifts:
            alike.setdefault(replace(lift, name=""), []).append(lift)
        object.__setattr__(self, "alike", tuple(tuple(some) for some in alike.values()))
        object.__setattr__(self, "by_name", {lift.name: lift for lift in self.season.lifts})

    def kind_of(self, lift: Lift) -> str:
        """The first of its kind's name."""
        return next(some[0].name for some in self.alike if lift in some)

    def that_carries(self, boat: Boat) -> Lift | str:
        """The lift named for her where it may, or the smallest that may; or why none is known.

        Where there is one kind of lift and her weight is not known, it is that one: her weight is
        asked for at the lift, before she is lifted.
        """
        named = self.by_name.get(boat.lift)
        if boat.weight_kg is None:
            if named or len(self.alike) == 1:
                return named or self.season.lifts[0]
            return "her weight is not known, nor which lift may carry her; weigh her, or name it"
        kg = boat.weight_kg * (1 + (boat.weight_within or 0.0))
        if named and named.rating_kg < kg:
            return (
                f"she weighs up to {kg:,.0f} kg, and the {named.name} named for her may carry "
                f"{named.rating_kg:,.0f} kg; name another, or weigh her"
            )
        able = [lift for lift in self.season.lifts if lift.rating_kg >= kg]
        if able:
            return named or min(able, key=lambda lift: lift.rating_kg)
        most = max(lift.rating_kg for lift in self.season.lifts)
        return f"she weighs up to {kg:,.0f} kg, and no lift here may carry more than {most:,.0f} kg"


def the_lift(season: Season, name: str = "") -> Lift:
    """The one lift that is asked about, such as for hauling out.

    Raises
    ------
    ValueError
        There is none, or several and none was named.
    """
    named = [lift for lift in season.lifts if name in ("", lift.name)]
    if len(named) == 1:
        return named[0]
    there = ", ".join(lift.name for lift in season.lifts) or "none"
    raise ValueError(f"This is asked of one lift at a time; name it. There are: {there}.")
