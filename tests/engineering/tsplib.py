"""Round trips of which the shortest is known: three problems of TSPLIB.

Source: G. Reinelt, TSPLIB, ORSA Journal on Computing 3 (1991): the coordinates of its files (degrees and
minutes, 38.24 is 38 deg 24 min), the distances of its kind GEO, and its list of optimal lengths.
"""

from __future__ import annotations

import math
from typing import NamedTuple

_BURMA = (
    (16.47, 96.10), (16.47, 94.44), (20.09, 92.54), (22.39, 93.37), (25.23, 97.24),
    (22.00, 96.05), (20.47, 97.02), (17.20, 96.29), (16.30, 97.38), (14.05, 98.12),
    (16.53, 97.38), (21.52, 95.59), (19.41, 97.13), (20.09, 94.55),
)  # fmt: skip
_ULYSSES = (
    (38.24, 20.42), (39.57, 26.15), (40.56, 25.32), (36.26, 23.12), (33.48, 10.54),
    (37.56, 12.19), (38.42, 13.11), (37.52, 20.44), (41.23, 9.10), (41.17, 13.05),
    (36.08, -5.21), (38.47, 15.13), (38.15, 15.35), (37.51, 15.17), (35.49, 14.32),
    (39.36, 19.56), (38.09, 24.36), (36.09, 23.00), (40.44, 13.57), (40.33, 14.15),
    (40.37, 14.23), (37.57, 22.56),
)  # fmt: skip


class Problem(NamedTuple):
    """A problem, and the length of its shortest round trip."""

    name: str
    points: tuple[tuple[float, float], ...]
    optimum: int

    def table(self) -> list[list[int]]:
        """Whole kilometres between any two points, by the kind of distance called GEO."""
        return [[0 if a is b else _kilometres(a, b) for b in self.points] for a in self.points]

    def places(self) -> list[tuple[float, float]]:
        """The points in degrees."""
        return [(_degrees(a), _degrees(b)) for a, b in self.points]


BURMA14 = Problem("burma14", _BURMA, 3323)
ULYSSES16 = Problem("ulysses16", _ULYSSES[:16], 6859)
ULYSSES22 = Problem("ulysses22", _ULYSSES, 7013)
PROBLEMS = (BURMA14, ULYSSES16, ULYSSES22)


def _degrees(coordinate: float) -> float:
    whole = math.trunc(coordinate)
    return whole + 5 * (coordinate - whole) / 3


def _kilometres(here: tuple[float, float], there: tuple[float, float]) -> int:
    """GEO, as TSPLIB has it: its own radius and its own pi, cut to whole kilometres plus one."""
    (lat_1, lon_1), (lat_2, lon_2) = (
        [3.141592 * _degrees(x) / 180 for x in place] for place in (here, there)
    )
    q1, q2, q3 = math.cos(lon_1 - lon_2), math.cos(lat_1 - lat_2), math.cos(lat_1 + lat_2)
    return int(6378.388 * math.acos(((1 + q1) * q2 - (1 - q1) * q3) / 2) + 1)
