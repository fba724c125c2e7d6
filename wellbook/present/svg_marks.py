"""The few elements of a vector drawing (SVG) that the drawings of a hole are made of."""

from __future__ import annotations

from xml.sax.saxutils import escape


def stroke(name: str, x1: float, y1: float, x2: float, y2: float) -> str:
    """A straight line."""
    return f'<line class="{name}" x1="{x1:g}" y1="{y1:g}" x2="{x2:g}" y2="{y2:g}"/>'


def box(name: str, x: float, y: float, width: float, height: float) -> str:
    """A box; one that would be upside down is flat."""
    return (
        f'<rect class="{name}" x="{x:g}" y="{y:g}" width="{width:g}" height="{max(height, 0):g}"/>'
    )


def written(x: float, y: float, text: str, name: str = "", anchor: str = "start") -> str:
    """A line of text, by its start, middle or end."""
    placed = "" if anchor == "start" else f' text-anchor="{anchor}"'
    named = f' class="{name}"' if name else ""
    return f'<text{named} x="{x:g}" y="{y:g}"{placed}>{escape(text)}</text>'
