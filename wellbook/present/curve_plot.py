"""A pump's curve as a picture: what is to be drawn, before it is drawn anywhere.

The terminal (`present.curve_screen`) and the vector drawing (`present.curve_drawing`) show one and the same
`Plot`: lines as points, marks, and two axes that begin at nothing and end on a round number.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from enum import Enum

from wellbook.engineering.curves import HeadCurve
from wellbook.quantities import show

_SAMPLES = 200


@dataclass(frozen=True)
class CurvePlot:
    """What a plot is made from.

    Parameters
    ----------
    title
        Which pump, and whose well.
    pump
        The pump's head-capacity curve.
    system
        Head in feet that the well and the plumbing ask for at a flow in gpm; where it raises a
        ValueError there is nothing to draw (a flow that the well cannot give).
    point
        Where the two meet: gpm and feet.
    rated_gpm
        The flow that the pump is sold for.
    """

    title: str
    pump: HeadCurve
    system: Callable[[float], float] | None = None
    point: tuple[float, float] | None = None
    rated_gpm: float | None = None


class LineKind(Enum):
    """Which line it is, as its legend says it."""

    PUMP = "pump"
    SYSTEM = "well and plumbing"


class MarkKind(Enum):
    """Which point is marked, as its legend says it."""

    RATED = "rated"
    WORKS = "works at"


@dataclass(frozen=True, slots=True)
class Line:
    """A line from point to point (gpm, ft), left to right."""

    kind: LineKind
    points: tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True)
class Mark:
    """A point that is marked, with its numbers in words."""

    kind: MarkKind
    gpm: float
    head_ft: float

    @property
    def text(self) -> str:
        """The mark for a legend.

        >>> Mark(MarkKind.RATED, 10, 230).text
        'rated 10 gpm, 230 ft'
        """
        return f"{self.kind.value} {show(round(self.gpm, 1), 'gpm')}, {show(round(self.head_ft), 'ft')}"


@dataclass(frozen=True, slots=True)
class Axis:
    """An axis from 0 to the last of its ticks."""

    name: str
    ticks: tuple[float, ...]

    @property
    def top(self) -> float:
        """Where it ends."""
        return self.ticks[-1]

    @property
    def steps(self) -> int:
        """How many stretches its ticks part it into."""
        return len(self.ticks) - 1

    @property
    def labels(self) -> tuple[str, ...]:
        """Its ticks as they are written."""
        return tuple(f"{tick:g}" for tick in self.ticks)


@dataclass(frozen=True, slots=True)
class Plot:
    """Lines, marks and axes. `given` are the maker's own points, which the pump's line goes through."""

    title: str
    lines: tuple[Line, ...]
    marks: tuple[Mark, ...]
    given: tuple[tuple[float, float], ...]
    flow: Axis
    head: Axis

    @property
    def description(self) -> str:
        """The picture in words, for whoever cannot see it."""
        (first, most), (last, least) = self.given[0], self.given[-1]
        begin = "at no flow" if first == 0 else f"at {first:g} gpm"
        said = [
            f"The pump's head falls from {show(round(most), 'ft')} {begin}"
            f" to {show(round(least), 'ft')} at {last:g} gpm."
        ]
        for line in self.lines:
            if line.kind is LineKind.SYSTEM:
                (q0, h0), (q1, h1) = line.points[0], line.points[-1]
                said.append(
                    f"Well and plumbing ask for {show(round(h0), 'ft')} at {q0:.3g} gpm"
                    f" and {show(round(h1), 'ft')} at {q1:.3g} gpm."
                )
        said += [f"{m.text[0].upper()}{m.text[1:]}." for m in self.marks]
        return " ".join(said)


def plot_of(asked: CurvePlot) -> Plot:
    """The lines, marks and axes of a pump's curve."""
    pump = asked.pump
    marks = tuple(_marks(asked))
    gpm = max([pump.most_gpm, *(m.gpm for m in marks)])
    flow = Axis("flow, gpm", ticks(gpm, most=10))
    system = _system_points(asked, flow.top)
    # What the system asks for at little flow is to be seen, even where the pump never gets there.
    highest = max([pump.points[0][1], *(m.head_ft for m in marks), *(h for _, h in system[:1])])
    head = Axis("head, ft", ticks(highest, most=7))
    lines = [Line(LineKind.PUMP, tuple(_pump_points(pump)))]
    inside = tuple((q, h) for q, h in system if 0 <= h <= head.top)
    if len(inside) > 1:
        lines.append(Line(LineKind.SYSTEM, inside))
    return Plot(asked.title, tuple(lines), marks, pump.points, flow, head)


def _marks(asked: CurvePlot) -> Iterator[Mark]:
    rated, pump = asked.rated_gpm, asked.pump
    if rated is not None and pump.points[0][0] <= rated <= pump.most_gpm:
        yield Mark(MarkKind.RATED, rated, pump.head_ft(rated))
    if asked.point is not None:
        yield Mark(MarkKind.WORKS, *asked.point)


def _pump_points(pump: HeadCurve) -> Iterator[tuple[float, float]]:
    first, last = pump.points[0][0], pump.most_gpm
    for n in range(_SAMPLES + 1):
        gpm = last if n == _SAMPLES else first + (last - first) * n / _SAMPLES
        yield gpm, pump.head_ft(gpm)


def _system_points(asked: CurvePlot, most_gpm: float) -> list[tuple[float, float]]:
    found = []
    for n in range(_SAMPLES + 1 if asked.system else 0):
        gpm = most_gpm * n / _SAMPLES
        try:
            head_ft = asked.system(gpm) if asked.system else math.nan
        except ValueError:
            continue
        if math.isfinite(head_ft):
            found.append((gpm, head_ft))
    return found


def ticks(highest: float, *, most: int) -> tuple[float, ...]:
    """Round numbers from 0 to the first that is not below the highest value.

    Parameters
    ----------
    highest
        The highest value that is to be seen, above zero.
    most
        How many steps there may be.

    >>> ticks(330, most=7)
    (0.0, 50.0, 100.0, 150.0, 200.0, 250.0, 300.0, 350.0)
    """
    scale = 10.0 ** math.floor(math.log10(highest / most))
    for factor in (1, 2, 5, 10):
        step = factor * scale
        steps = math.ceil(highest / step - 1e-9)
        if steps <= most:
            break
    return tuple(round(step * n, 10) for n in range(steps + 1))
