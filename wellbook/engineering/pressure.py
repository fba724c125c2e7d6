"""Pressure of the standing water in a drop pipe, and the depth at which it uses up a rating."""

from __future__ import annotations

import math

from wellbook.engineering._checks import MAX_DEPTH_FT, MAX_PSI, non_negative, positive

# Fresh water near 40 F, about where it is densest: 62.42 lb/ft3 / 144. It is 0.4331 at 60 F and
# 0.433 in most tables; the coldest value is used because a check must err to the high side.
PSI_PER_FT = 0.4335

# A limit that is a whole number but for the last bit of a float must not lose a foot.
_FLOAT_SLACK_FT = 1e-9


def column_psi(height_ft: float) -> float:
    """Pressure at the foot of a standing column of fresh water.

    Parameters
    ----------
    height_ft
        Height of the column, feet; zero is an empty pipe.

    Returns
    -------
    float
        psi.

    Raises
    ------
    ValueError
        Where height_ft is negative, not finite or absurd.

    Source: hydrostatics, 62.42 lb/ft3 / 144 in2 = 0.4335 psi per foot (fresh water near 40 F).

    >>> column_psi(100)
    43.35
    """
    return PSI_PER_FT * non_negative(height_ft, "height_ft", at_most=MAX_DEPTH_FT)


def worst_case_psi(set_depth_ft: float, *, cut_out_psi: float = 0, rise_ft: float = 0) -> float:
    """Most pressure difference the wall of the bottom joint sees with the switch at cut-out.

    That is with the well drawn down to the intake: the full column, the rise to the tank and the
    cut-out pressure inside, and nothing outside to hold against them. It is reckoned on the
    setting and not on the pumping level of the day, because that level can drop later. A pump run
    against a closed valve can exceed it; that is the shut-off head's business, not this one's.

    Parameters
    ----------
    set_depth_ft
        Depth of the pump below the wellhead, feet.
    cut_out_psi
        Pressure at which the switch stops the pump, psi at the tank.
    rise_ft
        Height of the tank above the wellhead, feet.

    Returns
    -------
    float
        psi.

    Raises
    ------
    ValueError
        Where a parameter is negative, not finite or absurd, or set_depth_ft is zero.

    Source: statics. Published example (a trade page on selecting well pipe), 330 ft and a 50 psi
    switch at 0.433 psi/ft: 192.9 psi, so 200 psi pipe; 0.4335 makes it a fifth of a psi more.

    >>> worst_case_psi(330, cut_out_psi=50)
    193.1
    """
    set_depth = positive(set_depth_ft, "set_depth_ft", at_most=MAX_DEPTH_FT)
    rise = non_negative(rise_ft, "rise_ft", at_most=MAX_DEPTH_FT)
    cut_out = non_negative(cut_out_psi, "cut_out_psi", at_most=MAX_PSI)
    return PSI_PER_FT * (set_depth + rise) + cut_out


def drawn_down_limit_ft(rating_psi: float, *, cut_out_psi: float, rise_ft: float = 0) -> float:
    """Setting at which the worst case just reaches a rating; the inverse of worst_case_psi.

    Parameters
    ----------
    rating_psi
        Pressure rating of the pipe, psi.
    cut_out_psi
        Pressure at which the switch stops the pump, psi at the tank.
    rise_ft
        Height of the tank above the wellhead, feet.

    Returns
    -------
    float
        Feet, not rounded (see floor_ft); 0.0 where the cut-out and the rise alone use up the
        rating, so that no setting is allowed.

    Raises
    ------
    ValueError
        Where rating_psi is not above zero, another is negative, or any is not finite or absurd.

    Source: statics, as worst_case_psi. Computed: 200 psi pipe and a 60 psi switch (323 ft at
    0.433 psi/ft).

    >>> floor_ft(drawn_down_limit_ft(200, cut_out_psi=60))
    322
    """
    rating = positive(rating_psi, "rating_psi", at_most=MAX_PSI)
    rise = non_negative(rise_ft, "rise_ft", at_most=MAX_DEPTH_FT)
    cut_out = non_negative(cut_out_psi, "cut_out_psi", at_most=MAX_PSI)
    return max(0.0, (rating - cut_out) / PSI_PER_FT - rise)


def bare_limit_ft(rating_psi: float, *, rise_ft: float = 0) -> float:
    """Setting at which the column of water alone reaches a rating, with no switch pressure on it.

    A pipe set deeper than this is over its rating whatever the switch is set to.

    Parameters
    ----------
    rating_psi
        Pressure rating of the pipe, psi.
    rise_ft
        Height of the tank above the wellhead, feet.

    Returns
    -------
    float
        Feet, not rounded (see floor_ft); never below 0.0.

    Raises
    ------
    ValueError
        Where rating_psi is not above zero, rise_ft is negative, or either is not finite or absurd.

    Source: hydrostatics, as column_psi. Computed: 160 psi pipe.

    >>> floor_ft(bare_limit_ft(160))
    369
    """
    return drawn_down_limit_ft(rating_psi, cut_out_psi=0, rise_ft=rise_ft)


def floor_ft(limit_ft: float) -> int:
    """Round a limit down to the whole foot: rounding up would allow what the rating does not.

    Parameters
    ----------
    limit_ft
        A depth limit, feet.

    Returns
    -------
    int
        Whole feet, never more than the limit but for the last bits of a float.

    Raises
    ------
    ValueError
        Where limit_ft is negative or not finite.

    Source: common practice.

    >>> floor_ft(369.99)
    369
    """
    return math.floor(non_negative(limit_ft, "limit_ft") + _FLOAT_SLACK_FT)
