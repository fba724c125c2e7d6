"""What a leaf is made of: text, lines, boxes and drawings at their places, and how they are drawn.

A place is in points from the left and the top, as one reads; only here it is turned round.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from reportlab.pdfgen.canvas import Canvas

from wellbook.paper.faces import REGULAR
from wellbook.paper.mark_inks import draw_marks
from wellbook.present.marks import Mark

INCH = 72.0
LETTER_WIDE, LETTER_HIGH = 8.5 * INCH, 11 * INCH


@dataclass(frozen=True, slots=True)
class Put:
    """A row of text; `x` is its start, or its end where it is `to_left`; `y` is its foot."""

    x: float
    y: float
    text: str
    face: str = REGULAR
    size: float = 11.0
    to_left: bool = False
    grey: float = 0.0


@dataclass(frozen=True, slots=True)
class Rule:
    """A straight line."""

    x1: float
    y1: float
    x2: float
    y2: float
    width: float = 0.6
    grey: float = 0.0


@dataclass(frozen=True, slots=True)
class Area:
    """A box: with an edge, or filled black."""

    x: float
    y: float
    width: float
    height: float
    filled: bool = False


@dataclass(frozen=True, slots=True)
class Drawn:
    """A drawing, made smaller by `scale`."""

    x: float
    y: float
    scale: float
    marks: tuple[Mark, ...]


Ink = Put | Rule | Area | Drawn


@dataclass(frozen=True, slots=True)
class Leaf:
    """One page: its size in points, and what stands on it."""

    inks: tuple[Ink, ...]
    width: float = LETTER_WIDE
    height: float = LETTER_HIGH


def moved(inks: Iterable[Ink], x: float, y: float) -> Iterable[Ink]:
    """Inks that stand so much further right and down."""
    for ink in inks:
        if isinstance(ink, Rule):
            yield replace(ink, x1=ink.x1 + x, y1=ink.y1 + y, x2=ink.x2 + x, y2=ink.y2 + y)
        else:
            yield replace(ink, x=ink.x + x, y=ink.y + y)


def draw_leaf(canvas: Canvas, leaf: Leaf) -> None:
    """Draw a leaf as the next page of a document."""
    canvas.setPageSize((leaf.width, leaf.height))
    for ink in leaf.inks:
        _draw(canvas, ink, leaf.height)
    canvas.showPage()


def _draw(canvas: Canvas, ink: Ink, high: float) -> None:
    match ink:
        case Put():
            _write(canvas, ink, high)
        case Rule():
            canvas.setLineWidth(ink.width)
            canvas.setStrokeGray(ink.grey)
            canvas.line(ink.x1, high - ink.y1, ink.x2, high - ink.y2)
        case Area():
            canvas.setLineWidth(0.8)
            canvas.setStrokeGray(0)
            canvas.setFillGray(0)
            edge, foot = int(not ink.filled), high - ink.y - ink.height
            canvas.rect(ink.x, foot, ink.width, ink.height, stroke=edge, fill=int(ink.filled))
        case Drawn():
            canvas.saveState()
            canvas.translate(ink.x, high - ink.y)
            draw_marks(canvas, ink.marks, ink.scale)
            canvas.restoreState()


def _write(canvas: Canvas, put: Put, high: float) -> None:
    if not put.text:
        return
    canvas.setFillGray(put.grey)
    canvas.setFont(put.face, put.size)
    write = canvas.drawRightString if put.to_left else canvas.drawString
    write(put.x, high - put.y, put.text)
