"""The marks that a drawing of a hole is made of, before anybody knows on what it is drawn.

A place is in the units of the drawing, from its left and its top. The `name` of a mark says what it
stands for; each output has its own ink for it (`present.svg_marks`, `paper.inks`).
"""

from __future__ import annotations

from dataclasses import dataclass

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Stroke:
    """A straight line."""

    name: str
    x1: float
    y1: float
    x2: float
    y2: float


@dataclass(frozen=True, slots=True)
class Box:
    """A box; `rounded` is the radius of its corners."""

    name: str
    x: float
    y: float
    width: float
    height: float
    rounded: float = 0.0


@dataclass(frozen=True, slots=True)
class Hatch:
    """A hatched box, by the name of its pattern; with a thin edge where it stands in a key."""

    pattern: str
    x: float
    y: float
    width: float
    height: float
    edged: bool = False


@dataclass(frozen=True, slots=True)
class Shape:
    """Lines through points, each drawn for itself; closed ones have an inside."""

    name: str
    lines: tuple[tuple[Point, ...], ...]
    closed: bool = False


@dataclass(frozen=True, slots=True)
class Dot:
    """A filled circle."""

    x: float
    y: float
    radius: float


@dataclass(frozen=True, slots=True)
class Oval:
    """An ellipse, by its two radii."""

    name: str
    x: float
    y: float
    across: float
    down: float


@dataclass(frozen=True, slots=True)
class Written:
    """A line of text, by its start or its end."""

    x: float
    y: float
    text: str
    name: str = ""
    anchor: str = "start"


@dataclass(frozen=True, slots=True)
class Lead:
    """A thin line from a label to the depth that it is of: what it names, and how deep that is."""

    points: tuple[Point, ...]
    what: str
    depth_ft: float


Mark = Stroke | Box | Hatch | Shape | Dot | Oval | Written | Lead


def box(name: str, x: float, y: float, width: float, height: float) -> Box:
    """A box; one that would be upside down is flat."""
    return Box(name, x, y, width, max(height, 0.0))
