"""Water that stands in a well bore, how readily the well gives it, and how it passes the motor."""

from __future__ import annotations

import math
from dataclasses import dataclass

from wellbook.engineering._checks import MAX_DEPTH_FT, finite, non_negative, positive

GAL_PER_FT3 = 7.48052
# Ten feet: wider than any hand-dug well that a pump is hung in.
MAX_BORE_IN = 120.0
MAX_GPM = 10_000.0
MAX_FPS = 100.0
# A hundred days: a level that still rises then is a season's, not a recovery.
MAX_RECOVERY_MINUTES = 144_000.0
# From memory: the outside of the usual 4 in submersible motor.
MOTOR_4_IN = 3.75


def gal_per_ft(diameter_in: float) -> float:
    """Water in one foot of bore, 0.0408 d^2 (exactly pi/4 (d/12)^2 x 7.48052).

    Parameters
    ----------
    diameter_in
        Inside diameter of the bore or casing, inches. A 6 in casing is often 6.065 in inside,
        which is where the rule of 1.5 gal/ft comes from.

    Returns
    -------
    float
        US gallons per foot.

    Raises
    ------
    ValueError
        Where diameter_in is not above zero, not finite or absurd.

    Source: geometry. Published: Colorado DRMS file, Apr 2013, Table 2-1: 6 in is 1.47 gal/ft.

    >>> gal_per_ft(6)
    1.47
    """
    diameter = positive(diameter_in, "diameter_in", at_most=MAX_BORE_IN)
    return math.pi / 4 * (diameter / 12) ** 2 * GAL_PER_FT3


def stored_gal(diameter_in: float, from_ft: float, to_ft: float) -> float:
    """Water standing in a bore between two depths.

    For what a pump can draw, count from the static level down to the intake or the cut-off of its
    protection, not to the bottom of the well.

    Parameters
    ----------
    diameter_in
        Inside diameter, inches.
    from_ft, to_ft
        The upper and the lower depth, feet below the same datum.

    Returns
    -------
    float
        US gallons; zero where the two depths are one.

    Raises
    ------
    ValueError
        Where a depth is negative, to_ft is above from_ft, or a number is not finite or absurd.

    Source: geometry. Published: Colorado DRMS file, Apr 2013: a 2 in well 100 ft deep with water
    at 20 ft holds 12.80 gal at 0.16 gal/ft; unrounded it is

    >>> stored_gal(2, 20, 100)
    13.1
    """
    upper = non_negative(from_ft, "from_ft", at_most=MAX_DEPTH_FT)
    lower = non_negative(to_ft, "to_ft", at_most=MAX_DEPTH_FT)
    if lower < upper:
        raise ValueError(f"to_ft: {lower:g} is above from_ft, {upper:g}")
    return gal_per_ft(diameter_in) * (lower - upper)


def specific_capacity_gpm_per_ft(gpm: float, drawdown_ft: float) -> float:
    """Yield of a well for each foot that its level is drawn down, Q/s.

    Two of them compare only where the rate and the time pumped were about the same.

    Parameters
    ----------
    gpm
        Rate pumped, US gallons per minute.
    drawdown_ft
        Pumping level less static level, feet.

    Returns
    -------
    float
        gpm per foot.

    Raises
    ------
    ValueError
        Where either is not above zero, not finite or absurd.

    Source: the definition. Published example: 20 gpm at 40 ft is 0.5 gpm/ft, so that 30 gpm is
    foretold to draw it down 60 ft.

    >>> specific_capacity_gpm_per_ft(20, 40)
    0.5
    >>> 30 / specific_capacity_gpm_per_ft(20, 40)
    60.0
    """
    rate = positive(gpm, "gpm", at_most=MAX_GPM)
    return rate / positive(drawdown_ft, "drawdown_ft", at_most=MAX_DEPTH_FT)


@dataclass(frozen=True, slots=True)
class Storage:
    """Water that stands above a pump.

    Parameters
    ----------
    above_intake_gal
        From the static level down to the intake, US gallons.
    above_lift_limit_gal
        From the static level down to where the pump can lift from; None where that is not known.
    usable_gal
        The less of both: what the pump can bring up before the well gives anything.

    Source: none, a record of what `storage` works out.
    """

    above_intake_gal: float
    above_lift_limit_gal: float | None
    usable_gal: float


def storage(
    diameter_in: float,
    *,
    static_level_ft: float,
    intake_ft: float,
    lift_limit_ft: float | None = None,
) -> Storage:
    """Water from the static level down to the intake, and down to where the pump can lift from.

    Parameters
    ----------
    diameter_in
        Inside diameter of the bore, inches.
    static_level_ft
        Depth of the water at rest, feet; of a flowing well (below zero) the bore is full to the
        top.
    intake_ft
        Depth of the intake, or of the cut-off of a low-water protection, feet.
    lift_limit_ft
        Depth below which the pump gives no more water, feet; None where it is not known.

    Returns
    -------
    Storage
        US gallons; none where the level is below the intake or the limit.

    Raises
    ------
    ValueError
        Where a depth but the static level is negative, or a number is not finite or absurd.

    Source: geometry, as stored_gal. Computed: 6 in, intake 340 ft, static 60 ft is 411 gal; a pump
    that lifts from 280 ft uses 323 of them.

    >>> there = storage(6, static_level_ft=60, intake_ft=340, lift_limit_ft=280)
    >>> round(there.above_intake_gal), round(there.usable_gal)
    (411, 323)
    """
    level = max(0.0, finite(static_level_ft, "static_level_ft"))
    non_negative(level, "static_level_ft", at_most=MAX_DEPTH_FT)
    intake = non_negative(intake_ft, "intake_ft", at_most=MAX_DEPTH_FT)
    above_intake = stored_gal(diameter_in, level, max(level, intake))
    if lift_limit_ft is None:
        return Storage(above_intake, None, above_intake)
    limit = non_negative(lift_limit_ft, "lift_limit_ft", at_most=MAX_DEPTH_FT)
    above_limit = stored_gal(diameter_in, level, max(level, limit))
    return Storage(above_intake, above_limit, min(above_intake, above_limit))


def recovery_gpm(rise_ft: float, minutes: float, diameter_in: float) -> float:
    """What a well gave while its level rose, the pump being off.

    The higher the level comes, the less runs in: it is the mean over that rise, and less than the
    well gives when it is drawn down.

    Parameters
    ----------
    rise_ft
        How far the level came up, feet.
    minutes
        In how many minutes.
    diameter_in
        Inside diameter of the bore, inches.

    Returns
    -------
    float
        US gallons per minute.

    Raises
    ------
    ValueError
        Where one of them is not above zero, not finite or absurd.

    Source: geometry. Computed, no published example was found: 34 ft in 30 min in 6 in.

    >>> recovery_gpm(34, 30, 6)
    1.66
    """
    rise = positive(rise_ft, "rise_ft", at_most=MAX_DEPTH_FT)
    taken = positive(minutes, "minutes", at_most=MAX_RECOVERY_MINUTES)
    return gal_per_ft(diameter_in) * rise / taken


def percent_recovered(drawdown_ft: float, residual_ft: float) -> float:
    """How much of its drawdown a well has made good since the pump stopped.

    Parameters
    ----------
    drawdown_ft
        Pumping level less static level as the pump stopped, feet.
    residual_ft
        Level now less static level, feet; below zero where it stands higher than before the test.

    Returns
    -------
    float
        Per cent; above 100 where the level stands higher than before.

    Raises
    ------
    ValueError
        Where drawdown_ft is not above zero, residual_ft is more than it, or either is not finite or
        absurd.

    Source: the definition. An army course on well drilling (QM 4912A) advises against a well that
    has not recovered in 4 hours.

    >>> percent_recovered(80, 20)
    75.0
    """
    drawdown = positive(drawdown_ft, "drawdown_ft", at_most=MAX_DEPTH_FT)
    residual = finite(residual_ft, "residual_ft")
    if residual > drawdown:
        raise ValueError(f"residual_ft: {residual:g} is more than the drawdown, {drawdown:g}")
    if residual < -MAX_DEPTH_FT:
        raise ValueError(f"residual_ft: {residual:g} cannot be meant")
    return 100 * (1 - residual / drawdown)


def flow_past_motor_gpm(bore_in: float, motor_in: float, fps: float) -> float:
    """Flow that makes a velocity past a motor that hangs in a bore, 2.448 (Dc^2 - Dm^2) v.

    A motor is cooled by the water that passes it. Water that enters the well above the pump does not
    pass it unless a shroud makes it: then bore_in is the shroud's.

    Parameters
    ----------
    bore_in
        Inside diameter of the bore, casing or shroud, inches.
    motor_in
        Outside diameter of the motor, inches.
    fps
        Velocity, feet per second.

    Returns
    -------
    float
        US gallons per minute.

    Raises
    ------
    ValueError
        Where one of them is not above zero, not finite or absurd, or the motor does not fit.

    Source: continuity. Published (a maker's table that cites AWWA, 0.25 ft/s past a 4 in motor): 13
    gpm in 6 in, 80 gpm in 12 in; at an outside of 3.75 in, from memory, it is within 7 per cent.

    >>> flow_past_motor_gpm(6, MOTOR_4_IN, 0.25), flow_past_motor_gpm(12, MOTOR_4_IN, 0.25)
    (13.4, 79.5)
    """
    velocity = positive(fps, "fps", at_most=MAX_FPS)
    return _ring_gpm_per_fps(bore_in, motor_in) * velocity


def velocity_past_motor_fps(gpm: float, bore_in: float, motor_in: float) -> float:
    """Velocity of a flow past a motor; the inverse of flow_past_motor_gpm.

    Parameters
    ----------
    gpm
        Flow, US gallons per minute.
    bore_in, motor_in
        As flow_past_motor_gpm.

    Returns
    -------
    float
        Feet per second. AWWA's range is 0.5 to 12 ft/s; makers of 4 in motors of 3 hp and more ask
        for 0.25 (as quoted in a maker's manual).

    Raises
    ------
    ValueError
        Where one of them is not above zero, not finite or absurd, or the motor does not fit.

    Source: continuity, as flow_past_motor_gpm.

    >>> velocity_past_motor_fps(10, 6, MOTOR_4_IN)
    0.19
    """
    return positive(gpm, "gpm", at_most=MAX_GPM) / _ring_gpm_per_fps(bore_in, motor_in)


def _ring_gpm_per_fps(bore_in: float, motor_in: float) -> float:
    bore = positive(bore_in, "bore_in", at_most=MAX_BORE_IN)
    motor = positive(motor_in, "motor_in", at_most=MAX_BORE_IN)
    if motor >= bore:
        raise ValueError(f"motor_in: {motor:g} does not fit into a bore of {bore:g} in")
    return 60 * (gal_per_ft(bore) - gal_per_ft(motor))
