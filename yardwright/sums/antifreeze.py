"""Antifreeze: how strong it is after mixing, and where it freezes."""

from yardwright.calc import antifreeze as calc
from yardwright.sums.field import Number
from yardwright.sums.picture import swept
from yardwright.sums.sum import Answer, Subject, Sum, Told

CAUTION = (
    "Antifreeze poisons people and animals: wipe up spills, keep it off the ground and out of "
    "drains. Never ethylene glycol in drinking water. The engine maker's manual goes first."
)

WATER = Number(key="water_l", label="Water left behind", example="3 L", unit="L")
FLUID = Number(key="fluid_l", label="Fluid pushed in", example="9 L", unit="L")
PERCENT = Number(key="percent", label="Its glycol, by volume", example="30 %", unit="%")


def _mix(water_l: float, fluid_l: float, percent: float) -> Answer:
    mixed = calc.mixed_percent([(water_l, 0.0), (fluid_l, percent)])
    freezes_c = calc.freezes_at_c(mixed)
    return Answer(
        says=f"{mixed:.1f} %, freezing near {freezes_c:.1f} °C.",
        numbers=(
            Told("percent", "Glycol in the whole", mixed, "%"),
            Told("freezes_at_c", "Freezes at", freezes_c, "°C"),
        ),
        besides=("The refractometer at the outlet decides, not this sum.",),
    )


SUMS = (
    Sum(
        name="mix",
        subject=Subject.ANTIFREEZE,
        title="Mix",
        question="How strong is antifreeze after it mixed with the water left behind?",
        fields=(WATER, FLUID, PERCENT),
        work=_mix,
        picture=swept(_mix, FLUID, 0.0, 20.0, "freezes_at_c"),
        formula="glycol = litres of fluid × its glycol ÷ (litres of fluid + litres of water)",
        holds="Well mixed; the handbook's table by volume, propylene glycol without inhibitor, up "
        "to 50 %. Fluid follows the way that lets it through, and water hides in low places.",
        rests_on=("antifreeze/propylene_glycol_freezes",),
        caution=CAUTION,
    ),
)
