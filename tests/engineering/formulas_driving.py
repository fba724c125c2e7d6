"""Rows of the table of formulas: distance and direction on the globe, and the order of stops."""

import math

from formula import Formula
from tsplib import PROBLEMS, Problem

from wellbook.engineering import _tours
from wellbook.engineering.great_circle import EARTH_RADIUS_MI, bearing_degrees, distance_mi

AREA = "Driving order"
_WEST = (33 + 57 / 60, -(118 + 24 / 60))
_EAST = (40 + 38 / 60, -(73 + 47 / 60))
_WILLIAMS = "E. Williams, Aviation Formulary, worked examples"
_CASE = "33 57 N 118 24 W to 40 38 N 73 47 W"


def _tour(problem: Problem) -> Formula:
    table = problem.table()
    return Formula(
        AREA,
        f"shortest round trip ({problem.name})",
        "Held-Karp; nearest neighbour, 2-opt, or-opt",
        "Reinelt, TSPLIB, ORSA J. on Computing 3 (1991)",
        f"{len(table)} points, distances GEO",
        problem.optimum,
        "km",
        0,
        lambda: _tours.length(table, _tours.best_tour(table)),
    )


FORMULAS = [
    Formula(
        AREA,
        "great circle",
        "2 R asin sqrt(sin2(dlat/2) + cos lat1 cos lat2 sin2(dlon/2))",
        _WILLIAMS,
        _CASE,
        0.623585,
        "rad",
        1e-6,
        lambda: distance_mi(_WEST, _EAST) / EARTH_RADIUS_MI,
    ),
    Formula(
        AREA,
        "direction in which it begins",
        "atan2(sin dlon cos lat2, cos lat1 sin lat2 - sin lat1 cos lat2 cos dlon)",
        _WILLIAMS,
        _CASE,
        1.150035,
        "rad",
        2e-6,
        lambda: math.radians(bearing_degrees(_WEST, _EAST)),
    ),
    *map(_tour, PROBLEMS),
]
