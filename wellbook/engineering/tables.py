"""Reading between the rows of a printed table."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise


def along(rows: Sequence[tuple[float, float]], at: float) -> float:
    """The value of a table between its rows, on a straight line; that of an end row past the end.

    Parameters
    ----------
    rows
        Pairs of what it is looked up by and the value, the first rising.
    at
        What is looked up.

    Returns
    -------
    float
        In the unit of the table's values.

    Source: linear interpolation.

    >>> along(((73.4, 1.00), (80.0, 0.88), (90.0, 0.75)), 85)
    0.815
    """
    if at <= rows[0][0]:
        return rows[0][1]
    for (x0, y0), (x1, y1) in pairwise(rows):
        if at <= x1:
            return y0 + (y1 - y0) * (at - x0) / (x1 - x0)
    return rows[-1][1]
