"""Weight that hangs on the hook when a pump is pulled.

Buoyancy is left out and the pipe is taken as full, both of which err to the heavy side. Couplings,
check valves, torque arrestors and anything stuck are not in it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from wellbook.engineering._checks import (
    MAX_DEPTH_FT,
    MAX_DIAMETER_IN,
    MAX_HP,
    non_negative,
    positive,
)
from wellbook.engineering.pipe import (
    DR_RATIOS,
    POLYETHYLENE,
    PVC,
    SIDR_RATIOS,
    STEEL,
    inside_diameter_in,
    pipe_lb_per_ft,
)

# pi/4 / 144 x 62.43 lb/ft3.
WATER_LB_PER_FT_IN2: Final = 0.3405

# Bare stranded copper, lb per 1000 ft of one conductor, by AWG (published conductor tables).
_COPPER_LB_PER_KFT: Final[dict[int, float]] = {
    14: 12.68,
    12: 20.16,
    10: 32.06,
    8: 50.97,
    6: 81.05,
    4: 128.9,
    3: 162.5,
    2: 204.9,
}
# From memory: jacketed cable is 1.5 to 2 times its copper. The upper end is used, because a hook
# load must not come out light.
JACKETED_OVER_COPPER: Final = 2.0

# From memory, no page confirmed it: the upper end of what pump and motor weigh together, by hp.
_PUMP_AND_MOTOR_LB: Final = (
    (0.5, 30.0),
    (0.75, 35.0),
    (1.0, 40.0),
    (1.5, 48.0),
    (2.0, 55.0),
    (3.0, 75.0),
    (5.0, 115.0),
)

# Every wall that the tables of pipe have, as it is marked.
WALLS: Final = (
    *(f"sch {n}" for n in (10, 40, 80, 120)),
    *(f"SIDR {n:g}" for n in SIDR_RATIOS),
    *(f"DR {n:g}" for n in DR_RATIOS),
)

MAX_LB_PER_FT: Final = 500.0
MAX_LB: Final = 100_000.0
MAX_AWG: Final = 40
MAX_CONDUCTORS: Final = 12


@dataclass(frozen=True, slots=True)
class PipeRun:
    """A length of one kind of pipe in the string.

    Parameters
    ----------
    length_ft
        Feet.
    pipe_lb_per_ft
        Weight of the empty pipe, lb/ft.
    inside_diameter_in
        Inches.

    Raises
    ------
    ValueError
        Where one of them is not above zero, not finite or absurd; it names the field.

    Source: none, a record of three measurements.

    >>> PipeRun(400, 0.404, 1.380).length_ft
    400
    """

    length_ft: float
    pipe_lb_per_ft: float
    inside_diameter_in: float

    def __post_init__(self) -> None:
        positive(self.length_ft, "length_ft", at_most=MAX_DEPTH_FT)
        positive(self.pipe_lb_per_ft, "pipe_lb_per_ft", at_most=MAX_LB_PER_FT)
        positive(self.inside_diameter_in, "inside_diameter_in", at_most=MAX_DIAMETER_IN)


@dataclass(frozen=True, slots=True)
class HookLoad:
    """What hangs on the hook, by part, in pounds; *hook_lb* is their sum.

    Source: none, a record of what string_weight works out.

    >>> HookLoad(162, 259, 51, 60, 532).hook_lb
    532
    """

    pipe_lb: float
    water_lb: float
    cable_lb: float
    pump_lb: float
    hook_lb: float


def heaviest_run(
    length_ft: float, *, material: str | None, wall: str | None, nominal_in: str | float
) -> PipeRun | None:
    """A run of pipe of which not all is known, at the heaviest that it can be.

    Parameters
    ----------
    length_ft
        Feet.
    material
        As pipe_lb_per_ft; None where it is not known.
    wall
        As it is marked; None where it is not known.
    nominal_in
        Nominal size, inches.

    Returns
    -------
    PipeRun or None
        With the heaviest pipe and the widest bore of all that the tables have under what is known,
        which need not be of one pipe; None where they have none.

    Raises
    ------
    ValueError
        Where length_ft or nominal_in is not above zero, not finite or absurd.

    Source: the tables of `pipe`. Computed: 1-1/4 in galvanized pipe of unknown wall has the weight of
    schedule 80 and the bore of schedule 40.

    >>> heaviest_run(400, material="galvanized_steel", wall=None, nominal_in="1-1/4")
    PipeRun(length_ft=400, pipe_lb_per_ft=3.00, inside_diameter_in=1.38)
    """
    made = [
        (weight, inside)
        for m in ((material,) if material else sorted({PVC, *POLYETHYLENE, *STEEL}))
        for w in ((wall,) if wall else WALLS)
        if (weight := pipe_lb_per_ft(m, w, nominal_in)) is not None
        and (inside := inside_diameter_in(m, w, nominal_in)) is not None
    ]
    if not made:
        return None
    return PipeRun(length_ft, max(w for w, _ in made), max(i for _, i in made))


def water_lb_per_ft(inside_diameter_in: float) -> float:
    """Weight of the water in one foot of full pipe, 0.3405 d^2.

    Parameters
    ----------
    inside_diameter_in
        Inches.

    Returns
    -------
    float
        lb/ft.

    Raises
    ------
    ValueError
        Where inside_diameter_in is not above zero, not finite or absurd.

    Source: geometry and 62.43 lb/ft3. Computed: 1-1/4 in schedule 40.

    >>> water_lb_per_ft(1.380)
    0.648
    """
    diameter = positive(inside_diameter_in, "inside_diameter_in", at_most=MAX_DIAMETER_IN)
    return WATER_LB_PER_FT_IN2 * diameter**2


def copper_lb_per_ft(awg: int, conductors: int) -> float | None:
    """Weight of the bare copper in a cable.

    Parameters
    ----------
    awg
        Gauge of every conductor.
    conductors
        How many, the ground counted: three with ground is 4.

    Returns
    -------
    float or None
        lb/ft; None where the gauge is not in the table (14 to 2).

    Raises
    ------
    ValueError
        Where either is not above zero, or absurd.

    Source: published table of bare stranded copper. Computed: three #10 with ground.

    >>> copper_lb_per_ft(10, 4)
    0.128
    """
    positive(awg, "awg", at_most=MAX_AWG)
    count = positive(conductors, "conductors", at_most=MAX_CONDUCTORS)
    per_kft = _COPPER_LB_PER_KFT.get(awg)
    return None if per_kft is None else count * per_kft / 1000


def cable_lb_per_ft(awg: int, conductors: int) -> float | None:
    """Weight of jacketed submersible cable: twice its copper, an upper bound.

    Parameters
    ----------
    awg, conductors
        As copper_lb_per_ft.

    Returns
    -------
    float or None
        lb/ft; None where the gauge is not in the table.

    Raises
    ------
    ValueError
        Where either is not above zero, or absurd.

    Source: from memory, jacketed cable is 1.5 to 2 times its copper; #10 three with ground is
    about 0.25 lb/ft.

    >>> cable_lb_per_ft(10, 4)
    0.256
    """
    copper = copper_lb_per_ft(awg, conductors)
    return None if copper is None else JACKETED_OVER_COPPER * copper


def pump_and_motor_lb(hp: float) -> float | None:
    """Upper bound of what a submersible pump and its motor weigh, for where no one weighed them.

    Parameters
    ----------
    hp
        Rated horsepower of the motor; one between two rows is taken as the larger.

    Returns
    -------
    float or None
        Pounds; None above 5 hp.

    Raises
    ------
    ValueError
        Where hp is not above zero, not finite or absurd.

    Source: from memory and not confirmed on any page; a weight off the sheet is better.

    >>> pump_and_motor_lb(1.5)
    48.0
    """
    rated = positive(hp, "hp", at_most=MAX_HP)
    return next((pounds for up_to, pounds in _PUMP_AND_MOTOR_LB if rated <= up_to), None)


def string_weight(
    runs: Sequence[PipeRun],
    *,
    pump_motor_lb: float,
    cable_ft: float = 0,
    cable_lb_per_ft: float = 0,
) -> HookLoad:
    """Weight on the hook of a whole string, full of water because its check valves hold.

    Parameters
    ----------
    runs
        The pipe from top to bottom, at least one run.
    pump_motor_lb
        Pump and motor, pounds (pump_and_motor_lb where it is not known).
    cable_ft
        Length of cable, feet.
    cable_lb_per_ft
        Its weight, lb/ft.

    Returns
    -------
    HookLoad
        Pounds by part, and their sum.

    Raises
    ------
    ValueError
        Where runs is empty, or a number is negative, not finite or absurd.

    Source: statics; the same parts are listed in a trade article (The Driller, Nov 2013).
    Computed: 400 ft of 1-1/4 in SIDR 7 polyethylene, three #10 with ground as bare copper, and 60
    lb of pump and motor; the same on schedule 40 galvanized pipe is 1,278 lb at 2.27 lb/ft.

    >>> load = string_weight(
    ...     [PipeRun(400, 0.4044, 1.380)], pump_motor_lb=60, cable_ft=400, cable_lb_per_ft=0.1282
    ... )
    >>> round(load.pipe_lb), round(load.water_lb), round(load.cable_lb), round(load.hook_lb)
    (162, 259, 51, 532)
    """
    if not runs:
        raise ValueError("runs: at least one run of pipe is needed")
    pipe_lb = sum(run.length_ft * run.pipe_lb_per_ft for run in runs)
    water_lb = sum(run.length_ft * water_lb_per_ft(run.inside_diameter_in) for run in runs)
    cable_lb = non_negative(cable_ft, "cable_ft", at_most=MAX_DEPTH_FT) * non_negative(
        cable_lb_per_ft, "cable_lb_per_ft", at_most=MAX_LB_PER_FT
    )
    pump_lb = non_negative(pump_motor_lb, "pump_motor_lb", at_most=MAX_LB)
    return HookLoad(pipe_lb, water_lb, cable_lb, pump_lb, pipe_lb + water_lb + cable_lb + pump_lb)
