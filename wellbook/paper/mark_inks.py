"""The marks of a hole's drawing in black, grey and hatching: what the screen's file shows in colour too.

Widths are in points, so that a thin line stays one on a small drawing.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from reportlab.pdfgen.canvas import Canvas

from wellbook.paper.faces import BOLD, REGULAR
from wellbook.present.marks import Box, Dot, Hatch, Lead, Mark, Oval, Shape, Stroke, Written

LABEL_SIZE, SMALL_SIZE = 10.0, 9.5
"""Of what is named in a drawing, and of its axis and key."""


class Ink(NamedTuple):
    """How a mark is drawn: how wide its line is and how broken, and how grey line and inside are."""

    width: float = 0.0
    dash: tuple[float, ...] = ()
    grey: float = 0.0
    inside: float | None = None


INKS = {
    "axis": Ink(0.8),
    "lead": Ink(0.5, grey=0.45),
    "ground": Ink(1.8),
    "still": Ink(inside=0.93),
    "drawn": Ink(inside=0.83),
    "level": Ink(1.2),
    "pumping": Ink(1.2, (5, 3)),
    "mark": Ink(inside=0.1),
    "casing": Ink(2.8),
    "liner": Ink(1.4),
    "screen": Ink(3.5, (1.4, 2.1)),
    "open": Ink(1.0, (6.4, 2.8), 0.25),
    "unknown": Ink(0.9, (1.4, 3.5), 0.4),
    "fractured": Ink(1.0, grey=0.25),
    "pipe metal": Ink(0.9, inside=0.45),
    "pipe plastic": Ink(0.9, inside=1.0),
    "pipe untold": Ink(0.9, (2.2, 2.2), inside=1.0),
    "cable": Ink(1.2),
    "part": Ink(1.1, inside=1.0),
    "pump": Ink(1.1, inside=0.0),
    "limit": Ink(1.8),
    "lift": Ink(1.4, (4, 2.2)),
    "band": Ink(3.0, grey=0.6),
    "usable": Ink(1.2),
}
_HATCHES = {"may": (6.5, 0.5, True), "dry": (3.6, 1.0, True), "over": (4.2, 2.0, False)}
"""Of each pattern: how far its lines are apart, how wide they are, and whether they lean."""


def draw_marks(canvas: Canvas, marks: Iterable[Mark], scale: float) -> None:
    """Draw marks below and right of the place that the canvas stands at, smaller by `scale`."""
    for mark in marks:
        canvas.saveState()
        _draw(canvas, mark, scale)
        canvas.restoreState()


def _draw(canvas: Canvas, mark: Mark, s: float) -> None:
    match mark:
        case Stroke(name, x1, y1, x2, y2):
            _take(canvas, name)
            canvas.line(x1 * s, -y1 * s, x2 * s, -y2 * s)
        case Box(name, x, y, width, height, rounded):
            stroke, fill = _take(canvas, name)
            area = (x * s, -(y + height) * s, width * s, height * s)
            canvas.roundRect(*area, rounded * s, stroke=stroke, fill=fill)
        case Hatch():
            _hatch(canvas, mark, s)
        case Shape(name, lines, closed):
            stroke, fill = _take(canvas, name)
            for points in lines:
                _path(canvas, [(x * s, -y * s) for x, y in points], closed, stroke, fill)
        case Dot(x, y, radius):
            canvas.setFillGray(0)
            canvas.circle(x * s, -y * s, radius * s, stroke=0, fill=1)
        case Oval(name, x, y, across, down):
            stroke, fill = _take(canvas, name)
            ends = ((x - across) * s, -(y + down) * s, (x + across) * s, -(y - down) * s)
            canvas.ellipse(*ends, stroke=stroke, fill=fill)
        case Lead(points):
            _take(canvas, "lead")
            _path(canvas, [(x * s, -y * s) for x, y in points], False, 1, 0)
        case Written():
            _write(canvas, mark, s)


def _take(canvas: Canvas, name: str) -> tuple[int, int]:
    """Take the ink of a name; whether it draws a line, and whether it fills."""
    ink = INKS[name]
    canvas.setLineWidth(ink.width)
    canvas.setStrokeGray(ink.grey)
    if ink.dash:
        canvas.setDash(list(ink.dash))
    if ink.inside is not None:
        canvas.setFillGray(ink.inside)
    return int(ink.width > 0), int(ink.inside is not None)


def _path(
    canvas: Canvas, points: list[tuple[float, float]], closed: bool, stroke: int, fill: int
) -> None:
    path = canvas.beginPath()
    path.moveTo(*points[0])
    for point in points[1:]:
        path.lineTo(*point)
    if closed:
        path.close()
    canvas.drawPath(path, stroke=stroke, fill=fill if closed else 0)


def _hatch(canvas: Canvas, mark: Hatch, s: float) -> None:
    apart, width, leans = _HATCHES[mark.pattern]
    left, top, wide, high = mark.x * s, -mark.y * s, mark.width * s, max(mark.height, 0.0) * s
    canvas.saveState()
    inside = canvas.beginPath()
    inside.rect(left, top - high, wide, high)
    canvas.clipPath(inside, stroke=0, fill=0)
    canvas.setLineWidth(width)
    canvas.setStrokeGray(0.2)
    lean = wide if leans else 0.0
    for n in range(int((high + lean) / apart) + 2):
        y = top - n * apart
        canvas.line(left, y, left + wide, y + lean)
    canvas.restoreState()
    if mark.edged:
        canvas.setLineWidth(0.6)
        canvas.rect(left, top - high, wide, high, stroke=1, fill=0)


def _write(canvas: Canvas, mark: Written, s: float) -> None:
    if not mark.text:
        return
    small = mark.name == "small"
    canvas.setFillGray(0)
    face = BOLD if mark.name in ("head", "ft") else REGULAR
    canvas.setFont(face, SMALL_SIZE if small else LABEL_SIZE)
    write = canvas.drawRightString if mark.anchor == "end" else canvas.drawString
    write(mark.x * s, -mark.y * s, mark.text)
