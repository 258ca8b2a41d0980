"""How much bottom there is, and how much paint it takes."""

from yardwright import refdata

BY_LENGTH = "bottom_by_length"


def bottom_m2(
    length_m: float,
    beam_m: float,
    waterline_m: float | None = None,
    draft_m: float | None = None,
    by: str = BY_LENGTH,
) -> float:
    """Bottom of a power boat by a rule of thumb.

    Parameters
    ----------
    length_m, beam_m : float
        Over all. [m] More than 0, at most 30 and 10.
    waterline_m, draft_m : float or None
        Length at the waterline, and the hull's depth under it. [m] None is *not known*.
    by : str
        The row: by length and beam, or by waterline, beam and draft.

    Returns
    -------
    float
        Within about a tenth of the real area. [m²]

    Raises
    ------
    ValueError
        A number outside the ranges above, or one that the rule needs and nobody gave.

    References
    ----------
    ``refdata/paint.toml``: the rules.
    """
    for what, number, most in (("length", length_m, 30), ("beam", beam_m, 10)):
        if not 0 < number <= most:
            raise ValueError(f"{what} is {number} m; give more than 0, at most {most}.")
    factor = refdata.table("paint")[refdata.rival("paint", BY_LENGTH, by)].value
    if by == BY_LENGTH:
        return factor * length_m * beam_m
    if waterline_m is None or draft_m is None:
        raise ValueError("this rule takes waterline and draft; give both, or take the other rule.")
    if not (0 < waterline_m <= length_m and 0 < draft_m <= 5):
        raise ValueError(
            f"waterline {waterline_m:g} m, draft {draft_m:g} m; give a waterline up to her length "
            "and a draft of more than 0, at most 5."
        )
    return factor * waterline_m * (beam_m + draft_m)


def spread_m2_l(solids_percent: float, dry_um: float, lost: float = 0) -> float:
    """What a litre covers.

    Parameters
    ----------
    solids_percent : float
        Solids by volume, from the paint's sheet. [%] More than 0, at most 100.
    dry_um : float
        Thickness of one dry coat. [µm] 5 to 2000.
    lost : float
        Share that stays in tray, roller and on the ground. 0 up to 0.9.

    Returns
    -------
    float
        [m²/L]

    Raises
    ------
    ValueError
        A number outside the ranges above.

    Notes
    -----
    10 x solids / dry film: a litre spread a micron thick covers 1000 m².
    """
    _check_film(solids_percent, dry_um)
    if not 0 <= lost <= 0.9:
        raise ValueError(f"the share lost is {lost}; give 0 up to 0.9, or 0 to 90 %.")
    return 10 * solids_percent / dry_um * (1 - lost)


def wet_um(solids_percent: float, dry_um: float) -> float:
    """How thick a coat goes on wet, for the comb.

    Parameters
    ----------
    solids_percent : float
        Solids by volume, from the paint's sheet, not thinned. [%] More than 0, at most 100.
    dry_um : float
        Thickness of one dry coat. [µm] 5 to 2000.

    Returns
    -------
    float
        [µm]

    Raises
    ------
    ValueError
        A number outside the ranges above.
    """
    _check_film(solids_percent, dry_um)
    return dry_um / (solids_percent / 100)


def _check_film(solids_percent: float, dry_um: float) -> None:
    if not 0 < solids_percent <= 100:
        raise ValueError(f"solids are {solids_percent} %; give more than 0, at most 100.")
    if not 5 <= dry_um <= 2000:
        raise ValueError(f"a dry coat is {dry_um} µm; give 5 to 2000.")
