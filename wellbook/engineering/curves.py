"""A pump's head-capacity curve: how high it lifts at which flow.

Between the maker's points the head is a monotone cubic (Fritsch and Carlson, SIAM J. Numer. Anal. 17
(1980) 238-246, with the weighted harmonic mean of Fritsch and Butland, SIAM J. Sci. Stat. Comput. 5
(1984) 300-304): it goes through every point and never swings above or below its neighbours, as a
parabola through three points does. Outside its points a curve says nothing.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

from wellbook.engineering._checks import non_negative, positive
from wellbook.engineering.bore import MAX_GPM
from wellbook.engineering.solving import root
from wellbook.quantities import digits, quoted, read

MAX_HEAD_FT = 20_000.0


@dataclass(frozen=True)
class HeadCurve:
    """Head-capacity points of a pump, of falling head.

    Parameters
    ----------
    points
        Pairs of flow (gpm) and head (ft), at least two; flows rise and heads fall from point to
        point. They are put in order of flow.

    Raises
    ------
    ValueError
        Naming `points`, where there are too few, two have one flow, or a head does not fall.

    Source: the maker's table of the pump.

    >>> curve = HeadCurve(((0, 330), (5, 300), (10, 230), (14, 120)))
    >>> curve.shut_off_ft, curve.most_gpm, curve.head_ft(10)
    (330.0, 14.0, 230.0)
    """

    points: tuple[tuple[float, float], ...]

    def __post_init__(self) -> None:
        if len(self.points) < 2:
            raise ValueError("points: a curve needs two points at least, each a flow and a head")
        made = sorted(
            (
                non_negative(gpm, "points", at_most=MAX_GPM),
                non_negative(head_ft, "points", at_most=MAX_HEAD_FT),
            )
            for gpm, head_ft in self.points
        )
        for (q0, h0), (q1, h1) in pairwise(made):
            if q0 == q1:
                raise ValueError(f"points: two heads at {q0:g} gpm, {h0:g} and {h1:g} ft")
            if h1 >= h0:
                raise ValueError(
                    f"points: the head does not fall from {h0:g} ft at {q0:g} gpm"
                    f" to {h1:g} ft at {q1:g} gpm"
                )
        object.__setattr__(self, "points", tuple(made))

    @classmethod
    def parse(cls, text: str) -> HeadCurve:
        """Read points as they are typed: gpm:ft, parted by commas, semicolons or blanks.

        Without colons a flow and its head stand beside each other, and commas part the points.
        Each number may bear its unit.

        Raises
        ------
        ValueError
            Saying which point cannot be read.

        >>> HeadCurve.parse("0:330, 5:300, 10:230").points
        ((0.0, 330.0), (5.0, 300.0), (10.0, 230.0))
        >>> HeadCurve.parse("0:330 5:300") == HeadCurve.parse("0 330, 5 300")
        True
        >>> HeadCurve.parse("0 gpm:330 ft 5 gpm:100 m").points
        ((0.0, 330.0), (5.0, 328.1))
        """
        found = []
        tight = re.sub(r"\s*:\s*", ":", text.strip())
        for part in re.split(r"\s*[,;]\s*|\s+(?=[\d.]+\s*[^\s\d:]*:)", tight):
            flow, colon, head = part.strip().partition(":" if ":" in part else " ")
            try:
                if not colon:
                    raise ValueError("a flow without a head")
                found.append((read(flow, "gpm"), read(head, "ft")))
            except ValueError as wrong:
                raise ValueError(
                    f"{quoted(part.strip())} is no point of a curve ({wrong}); write gpm:ft, such as"
                    " 0:330, 5:300, 10:230"
                ) from None
        try:
            return cls(tuple(found))
        except ValueError as error:
            # Whoever typed them knows no `points`, only what he was asked for.
            raise ValueError(str(error).removeprefix("points: ")) from None

    def __str__(self) -> str:
        """The points as `parse` reads them, and as they came."""
        return ", ".join(f"{digits(gpm)}:{digits(head_ft)}" for gpm, head_ft in self.points)

    @property
    def shut_off_ft(self) -> float | None:
        """Head at no flow, feet; None where the curve does not begin there."""
        gpm, head_ft = self.points[0]
        return head_ft if gpm == 0 else None

    @property
    def most_gpm(self) -> float:
        """The flow at which the curve ends, gpm."""
        return self.points[-1][0]

    def head_ft(self, gpm: float) -> float:
        """Head at a flow.

        Parameters
        ----------
        gpm
            Flow, US gallons per minute.

        Returns
        -------
        float
            Feet of water.

        Raises
        ------
        ValueError
            Naming `gpm`, where the flow is outside the curve's points.

        Source: the method named at the head of this module.

        >>> HeadCurve(((0, 100), (10, 80), (20, 0))).head_ft(5)
        94.0
        """
        flow = non_negative(gpm, "gpm")
        first, last = self.points[0][0], self.most_gpm
        if not first <= flow <= last:
            raise ValueError(f"gpm: {flow:g} is outside the curve, which has {first:g} to {last:g}")
        n = min(bisect_right([q for q, _ in self.points], flow) - 1, len(self.points) - 2)
        (q0, h0), (q1, h1) = self.points[n], self.points[n + 1]
        width = q1 - q0
        s = (flow - q0) / width
        d0, d1 = self._slopes[n], self._slopes[n + 1]
        return (
            h0 * (1 + 2 * s) * (1 - s) ** 2
            + width * d0 * s * (1 - s) ** 2
            + h1 * s**2 * (3 - 2 * s)
            + width * d1 * s**2 * (s - 1)
        )

    def gpm_at(self, head_ft: float) -> float | None:
        """Flow at which the pump makes a head.

        Parameters
        ----------
        head_ft
            Feet of water.

        Returns
        -------
        float or None
            gpm; the curve's last flow where even there the head is more, and None where the head is
            above its first point.

        Raises
        ------
        ValueError
            Where head_ft is not above zero, not finite or absurd.

        Source: the inverse of `head_ft`, by bisection.

        >>> HeadCurve(((0, 100), (10, 80), (20, 0))).gpm_at(94)
        5.0
        """
        wanted = positive(head_ft, "head_ft", at_most=MAX_HEAD_FT)
        (first, most), (last, least) = self.points[0], self.points[-1]
        if wanted > most:
            return None
        if wanted <= least:
            return last
        return root(lambda gpm: self.head_ft(gpm) - wanted, first, last)

    @cached_property
    def _slopes(self) -> tuple[float, ...]:
        widths = [q1 - q0 for (q0, _), (q1, _) in pairwise(self.points)]
        rises = [
            (h1 - h0) / w
            for ((_, h0), (_, h1)), w in zip(pairwise(self.points), widths, strict=True)
        ]
        if len(rises) == 1:
            return (rises[0], rises[0])
        inner = [
            _between(w0, w1, r0, r1)
            for (w0, w1), (r0, r1) in zip(pairwise(widths), pairwise(rises), strict=True)
        ]
        return (
            _at_end(widths[0], widths[1], rises[0], rises[1]),
            *inner,
            _at_end(widths[-1], widths[-2], rises[-1], rises[-2]),
        )


def _between(w0: float, w1: float, r0: float, r1: float) -> float:
    """The slope at an inner point: the weighted harmonic mean of those on both sides."""
    a, b = 2 * w1 + w0, w1 + 2 * w0
    return (a + b) / (a / r0 + b / r1)


def _at_end(w0: float, w1: float, r0: float, r1: float) -> float:
    """The slope at an end: of three points, kept from turning the other way."""
    slope = ((2 * w0 + w1) * r0 - w0 * r1) / (w0 + w1)
    if slope * r0 <= 0:
        return 0.0
    return slope if abs(slope) <= 3 * abs(r0) else 3 * r0
