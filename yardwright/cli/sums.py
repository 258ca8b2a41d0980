"""Sums a mechanic could redo with a pencil."""

import argparse

from yardwright.cli.answers import NO, YES, Add, number, table, tell


def mix(args: argparse.Namespace) -> int:
    """Say how strong antifreeze is after it mixed with the water left behind."""
    from yardwright.calc.antifreeze import freezes_at_c, mixed_percent

    percent = mixed_percent([(args.water_l, 0.0), (args.fluid_l, args.percent)])
    freezes_c = freezes_at_c(percent)
    lines = [
        f"{percent:.1f} %, freezing near {freezes_c:.1f} °C.",
        "The refractometer at the outlet decides, not this sum.",
    ]
    tell(args, {"percent": percent, "freezes_at_c": freezes_c, "decides": lines[1]}, lines)
    return YES


def sling(args: argparse.Namespace) -> int:
    """Say what each of two slings carries, and whether she may be lifted so."""
    from yardwright.calc.lifting import Share, Slings, Weight, sling_loads

    if args.forward_m <= args.aft_m:
        raise ValueError(
            f"the forward sling is {args.forward_m:g} m from the transom, the aft {args.aft_m:g} m; "
            "give the forward one's as the larger."
        )
    weight = Weight(args.kg, args.kg * args.within, args.centre_m, args.centre_within_m)
    slings = Slings(args.forward_m, args.aft_m, args.sling_kg, args.lift_kg, args.angle)
    loads = sling_loads(weight, slings)

    def told(name: str, share: Share) -> str:
        return f"{name} {share.kg:,.0f} kg ({share.low_kg:,.0f} to {share.high_kg:,.0f})."

    lines = [
        told("Forward", loads.forward),
        told("Aft", loads.aft),
        *(f"Not so: {refusal}" for refusal in loads.refusals),
        *(f"Not known: {what}" for what in loads.not_known),
        *(
            ["She may be lifted so; the lift's manual and the slings' tags go first."]
            * loads.may_lift
        ),
    ]
    tell(args, {**table(loads), "may_lift": loads.may_lift}, lines)
    return YES if loads.may_lift else NO


def add_commands(add: Add) -> None:
    """Say what each command takes."""
    sub = add(mix)
    sub.add_argument("--water-l", type=number, required=True, help="water left behind [L]")
    sub.add_argument("--fluid-l", type=number, required=True, help="fluid pushed in [L]")
    sub.add_argument("--percent", type=number, required=True, help="its glycol [%% by volume]")
    sub = add(sling)
    sub.add_argument("--kg", type=number, required=True, help="her weight [kg]")
    sub.add_argument(
        "--within", type=number, required=True, help="how far it may be off, such as 0.10"
    )
    sub.add_argument(
        "--centre-m", type=number, required=True, help="centre of gravity from the transom [m]"
    )
    sub.add_argument(
        "--centre-within-m", type=number, required=True, help="how far that may be off [m]"
    )
    sub.add_argument("--aft-m", type=number, required=True, help="aft sling from the transom [m]")
    sub.add_argument(
        "--forward-m", type=number, required=True, help="forward sling from the transom [m]"
    )
    sub.add_argument("--sling-kg", type=number, help="a sling's rating, from its tag [kg]")
    sub.add_argument("--lift-kg", type=number, help="the lift's rating, from its plate [kg]")
    sub.add_argument("--angle", type=number, help="a sling's leg from the horizontal [°]")
