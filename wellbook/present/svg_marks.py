"""The marks of a drawing as elements of a vector drawing (SVG)."""

from __future__ import annotations

from xml.sax.saxutils import escape

from wellbook.present.marks import Box, Dot, Hatch, Lead, Mark, Oval, Shape, Stroke, Written


def element(mark: Mark) -> str:
    """One mark as an element; its name is its class, which the drawing's style speaks of."""
    match mark:
        case Stroke(name, x1, y1, x2, y2):
            return f'<line class="{name}" x1="{x1:g}" y1="{y1:g}" x2="{x2:g}" y2="{y2:g}"/>'
        case Box():
            corners = f' rx="{mark.rounded:g}"' if mark.rounded else ""
            return f'<rect class="{mark.name}" {_area(mark)}{corners}/>'
        case Hatch():
            edge = ' stroke="#777"' if mark.edged else ""
            return f'<rect fill="url(#{mark.pattern})" {_area(mark)}{edge}/>'
        case Shape(name, lines, closed):
            end = " Z" if closed else ""
            path = " ".join(
                "M" + " L".join(f"{x:g} {y:g}" for x, y in line) + end for line in lines
            )
            return f'<path class="{name}" d="{path}"/>'
        case Dot(x, y, radius):
            return f'<circle cx="{x:g}" cy="{y:g}" r="{radius:g}" fill="#111"/>'
        case Oval(name, x, y, across, down):
            size = f'cx="{x:g}" cy="{y:g}" rx="{across:g}" ry="{down:g}"'
            return f'<ellipse class="{name}" {size}/>'
        case Lead(points, what, depth_ft):
            path = " ".join(f"{x:g},{y:g}" for x, y in points)
            said = f'data-what="{what}" data-depth-ft="{depth_ft:g}"'
            return f'<polyline class="lead" {said} points="{path}"/>'
        case Written():
            return _text(mark)


def _area(mark: Box | Hatch) -> str:
    return f'x="{mark.x:g}" y="{mark.y:g}" width="{mark.width:g}" height="{mark.height:g}"'


def _text(mark: Written) -> str:
    named = f' class="{mark.name}"' if mark.name else ""
    placed = "" if mark.anchor == "start" else f' text-anchor="{mark.anchor}"'
    where = f'x="{mark.x:g}" y="{mark.y:g}"'
    return f"<text{named} {where}{placed}>{escape(mark.text)}</text>"
