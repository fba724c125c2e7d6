"""Head that moving water loses in a pipe and its fittings, by the Hazen-Williams formula.

Published tables of plastic pipe disagree: a maker's table of schedule 40 fits C = 133, a State's code
is written for C = 150. The default is 140, and C is an argument wherever it counts.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from wellbook.engineering._checks import (
    MAX_DEPTH_FT,
    MAX_DIAMETER_IN,
    non_negative,
    positive,
)
from wellbook.engineering.bore import GAL_PER_FT3, MAX_GPM

# C of new pipe, lowest and highest, as EPANET 2.2 prints them (Users Manual, US EPA 2020, ch. 3).
NEW_PIPE_C: Final[dict[str, tuple[float, float]]] = {
    "plastic": (140, 150),
    "galvanized_steel": (120, 120),
    "cast_iron": (130, 140),
    "steel": (140, 150),
}
# A published table of 15-year-old iron pipe, which does not state its C, fits 100 on 22 of its 24
# rows.
OLD_IRON_C: Final = 100.0
OLD_IRON_YEARS: Final = 15.0
DEFAULT_C: Final = 140.0
MAX_C: Final = 200.0

_PLASTIC = frozenset("pe3408 pe3608 pe4710 polyethylene pvc cpvc abs nylon plastic".split())
_RUSTS = frozenset({"galvanized_steel", "steel", "cast_iron"})

# Loss of a fitting in velocity heads, v^2/2g (EPANET 2.2 Users Manual, ch. 3).
FITTING_K: Final[dict[str, float]] = {
    "check_valve": 2.5,  # a swing check; the spring-loaded ones in a drop pipe lose about as much
    "elbow": 0.9,  # 90 degrees, short radius
    "gate_valve": 0.2,
    "tee_branch": 1.8,
}
# The same as length of 1 in pipe, feet, from a textbook's table.
EQUIVALENT_1_IN_FT: Final[dict[str, float]] = {
    "check_valve": 7.0,
    "elbow": 2.7,
    "gate_valve": 0.5,
    "globe_valve": 27.0,
}

# Up to here is the usual range of a house's pipes; a check valve takes no more than the second.
USUAL_FPS: Final = 5.0
CHECK_VALVE_FPS: Final = 10.0

_GRAVITY_FT_S2 = 32.174
_MAX_K = 1_000.0
_MAX_FITTINGS = 100


def friction_ft_per_100ft(gpm: float, id_in: float, c: float = DEFAULT_C) -> float:
    """Head lost in 100 ft of pipe, 1044 Q^1.852 / (C^1.852 d^4.8655).

    Parameters
    ----------
    gpm
        Flow, US gallons per minute; zero loses nothing.
    id_in
        Inside diameter, inches: not the nominal size.
    c
        Hazen-Williams C (see roughness_c), a plain number.

    Returns
    -------
    float
        Feet of water in 100 ft of pipe.

    Raises
    ------
    ValueError
        Where id_in or c is not above zero, gpm is negative, or one is not finite or absurd.

    Source: Hazen-Williams, in the form with 10.44 for feet, gpm and inches (from memory; within
    0.3 % of EPANET's). Published (Ill. Admin. Code tit. 77 pt. 906 App. A): 1 in pipe with C = 150
    at 5 gpm loses 1.52 ft.

    >>> friction_ft_per_100ft(5, 1.049, 150)
    1.52
    """
    flow = non_negative(gpm, "gpm", at_most=MAX_GPM)
    inside = positive(id_in, "id_in", at_most=MAX_DIAMETER_IN)
    smooth = positive(c, "c", at_most=MAX_C)
    return 100 * 10.44 * math.pow(flow / smooth, 1.852) / math.pow(inside, 4.8655)


def velocity_fps(gpm: float, id_in: float) -> float:
    """Mean speed of the water in a pipe.

    Parameters
    ----------
    gpm
        Flow, US gallons per minute.
    id_in
        Inside diameter, inches.

    Returns
    -------
    float
        Feet per second. Below 5 is usual; a check valve is meant for no more than 10.

    Raises
    ------
    ValueError
        Where id_in is not above zero, gpm is negative, or one is not finite or absurd.

    Source: geometry, 0.4085 gpm / d^2.

    >>> velocity_fps(10, 1.049)
    3.71
    """
    flow = non_negative(gpm, "gpm", at_most=MAX_GPM)
    inside = positive(id_in, "id_in", at_most=MAX_DIAMETER_IN)
    return flow / GAL_PER_FT3 / 60 / (math.pi / 4 * (inside / 12) ** 2)


def fitting_loss_ft(k: float, gpm: float, id_in: float) -> float:
    """Head lost in fittings, K v^2 / 2g.

    Parameters
    ----------
    k
        Sum of the loss coefficients (FITTING_K), a plain number.
    gpm
        Flow, US gallons per minute.
    id_in
        Inside diameter of the pipe they sit in, inches.

    Returns
    -------
    float
        Feet of water.

    Raises
    ------
    ValueError
        Where id_in is not above zero, another is negative, or one is not finite or absurd.

    Source: EPANET 2.2 Users Manual, ch. 3. A swing check in 1 in pipe at 10 gpm:

    >>> fitting_loss_ft(FITTING_K["check_valve"], 10, 1.049)
    0.535
    """
    heads = non_negative(k, "k", at_most=_MAX_K)
    return heads * velocity_fps(gpm, id_in) ** 2 / (2 * _GRAVITY_FT_S2)


def fittings_k(*, check_valves: int = 0, elbows: int = 0) -> float:
    """Loss coefficient of the fittings in a run, in sum.

    Parameters
    ----------
    check_valves, elbows
        How many there are, plain numbers.

    Returns
    -------
    float
        K, a plain number.

    Raises
    ------
    ValueError
        Where one is negative or absurd.

    Source: FITTING_K.

    >>> fittings_k(check_valves=2, elbows=3)
    7.7
    """
    valves = non_negative(check_valves, "check_valves", at_most=_MAX_FITTINGS)
    turns = non_negative(elbows, "elbows", at_most=_MAX_FITTINGS)
    return FITTING_K["check_valve"] * valves + FITTING_K["elbow"] * turns


def roughness_c(material: str | None, age_years: float | None = None) -> float:
    """Hazen-Williams C of a pipe by what it is made of and how old it is.

    Plastic and stainless steel keep theirs. Steel that rusts is old from 15 years on, and where
    its age is not known. A material not known here is taken as old iron, the roughest: more
    friction is foretold than there may be, and so less water and a lower lift.

    Parameters
    ----------
    material
        The book's word: "pvc", "pe3408", "galvanized_steel"; None where it is not known.
    age_years
        Years in use; None where they are not known.

    Returns
    -------
    float
        C, a plain number.

    Raises
    ------
    ValueError
        Where age_years is negative or not finite.

    Source: EPANET 2.2 Users Manual (US EPA 2020), ch. 3, the lower of each range; old iron fitted
    to a published table, see OLD_IRON_C. Stainless as steel.

    >>> roughness_c("pe3408"), roughness_c("galvanized_steel", 2), roughness_c("galvanized_steel")
    (140, 120, 100.0)
    """
    age = None if age_years is None else non_negative(age_years, "age_years")
    if material in _PLASTIC:
        return NEW_PIPE_C["plastic"][0]
    if material == "stainless_steel":
        return NEW_PIPE_C["steel"][0]
    if material in _RUSTS and age is not None and age < OLD_IRON_YEARS:
        return NEW_PIPE_C[material][0]
    return OLD_IRON_C


@dataclass(frozen=True, slots=True)
class FlowRun:
    """A length of one kind of pipe that the water goes through, with the fittings in it.

    Parameters
    ----------
    length_ft
        Feet.
    id_in
        Inside diameter, inches.
    c
        Hazen-Williams C, a plain number.
    k
        Sum of the loss coefficients of the fittings in it (FITTING_K), a plain number.

    Raises
    ------
    ValueError
        Where id_in or c is not above zero, another is negative, or one is not finite or absurd.

    >>> FlowRun(240, 0.824, 140).loss_ft(4)
    8.88
    """

    length_ft: float
    id_in: float
    c: float = DEFAULT_C
    k: float = 0.0

    def __post_init__(self) -> None:
        non_negative(self.length_ft, "length_ft", at_most=MAX_DEPTH_FT)
        positive(self.id_in, "id_in", at_most=MAX_DIAMETER_IN)
        positive(self.c, "c", at_most=MAX_C)
        non_negative(self.k, "k", at_most=_MAX_K)

    def loss_ft(self, gpm: float) -> float:
        """Head lost in pipe and fittings at a flow.

        Parameters
        ----------
        gpm
            US gallons per minute.

        Returns
        -------
        float
            Feet of water.

        Raises
        ------
        ValueError
            Where gpm is negative, not finite or absurd.

        Source: friction_ft_per_100ft and fitting_loss_ft.
        """
        pipe = friction_ft_per_100ft(gpm, self.id_in, self.c) * self.length_ft / 100
        return pipe + fitting_loss_ft(self.k, gpm, self.id_in)


def friction_loss_ft(runs: Iterable[FlowRun], gpm: float) -> float:
    """Head lost in all the pipe that the water goes through, one run after another.

    Parameters
    ----------
    runs
        From the pump to the tank, in any order.
    gpm
        Flow, US gallons per minute.

    Returns
    -------
    float
        Feet of water; 0.0 without pipe.

    Raises
    ------
    ValueError
        Where gpm is negative, not finite or absurd.

    Source: losses in a row add up. Computed (EPANET): 500 ft of 1.380 in pipe with C = 140 at
    10 gpm lose 8.2 ft.

    >>> friction_loss_ft([FlowRun(400, 1.380), FlowRun(100, 1.380)], 10)
    8.2
    """
    flow = non_negative(gpm, "gpm", at_most=MAX_GPM)
    return sum((run.loss_ft(flow) for run in runs), start=0.0)
