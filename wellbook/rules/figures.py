"""Figures as the rules compare them, and as a reason shows them.

A reader must see in the words which of two numbers is more.
"""

from __future__ import annotations


def over(value: float, limit: float) -> float:
    """How far a value lies above a limit, to a thousandth; below zero where it lies under it.

    Feet in tenths do not subtract exactly, and neither do feet that were metres: 91.44 m is 300 ft.

    >>> over(91.44 / 0.3048, 300), over(304.8 / 0.3048, 1000), over(369.11 * 0.4335, 160)
    (0.0, 0.0, 0.009)
    """
    return round(value - limit, 3) + 0.0


def figure(value: float) -> str:
    """A recorded number as it is compared, to a thousandth.

    >>> figure(312.5), figure(304.801 / 0.3048), figure(304.8 / 0.3048)
    ('312.5', '1000.003', '1000')
    """
    return f"{round(value, 3):.10g}"


def shown(value: float, limit: float, *, decimals: int = 0) -> str:
    """A worked-out value in so many digits that one sees on which side of a limit it lies.

    `decimals` is the least number of them.

    >>> shown(160.395, 160), shown(160.009185, 160), shown(200.0, 160)
    ('160.4', '160.01', '200')
    >>> shown(8.96, 5, decimals=1), shown(1.99, 2, decimals=1)
    ('9.0', '1.99')
    """
    texts = [f"{value:.{digits}f}" for digits in range(decimals, 4)]
    return next((t for t in texts if _side(float(t), limit) == _side(value, limit)), texts[-1])


def _side(value: float, limit: float) -> int:
    """1 above a limit, -1 below it, 0 on it."""
    distance = over(value, limit)
    return (distance > 0) - (distance < 0)
