"""A pump's curve as a vector drawing (SVG): for paper, in grey, and read aloud where it is not seen."""

from __future__ import annotations

from collections.abc import Iterator
from xml.sax.saxutils import escape

from wellbook.present.curve_plot import LineKind, Mark, MarkKind, Plot
from wellbook.present.text import clean, one_line

_WIDTH, _HEIGHT = 720, 480
_LEFT, _RIGHT, _TOP, _BOTTOM = 66, 24, 84, 58
_KEY_Y, _KEY, _APART = 58, 24, 20
_LONGEST_TITLE = 68
_LETTER = 7.2
"""About how wide a letter of the legend is, in the units of the drawing."""

_STYLE = """\
text { font-family: sans-serif; font-size: 13px; fill: #222 }
.title { font-size: 17px; font-weight: bold }
.grid { stroke: #ddd; stroke-width: 1 }
.axis { stroke: #222; stroke-width: 1.5 }
.line { fill: none; stroke: #111; stroke-width: 2.5; stroke-linejoin: round }
.pump { stroke: #111 }
.system { stroke: #666; stroke-dasharray: 9 6 }
.given { fill: #fff; stroke: #111; stroke-width: 1.2 }
.rated { fill: #fff; stroke: #111; stroke-width: 1.8 }
.works { fill: #111; stroke: #fff; stroke-width: 1 }
.lead { stroke: #666; stroke-width: 1; stroke-dasharray: 2 3 }"""

_CLASS = {
    LineKind.PUMP: "pump",
    LineKind.SYSTEM: "system",
    MarkKind.RATED: "rated",
    MarkKind.WORKS: "works",
}


def svg_of(plot: Plot) -> str:
    """The plot as a whole SVG document, 720 by 480, on white."""
    body = "\n".join(
        (
            *_grid(plot),
            *_leads(plot),
            *(_line(plot, n) for n in range(len(plot.lines))),
            *(_given(plot, *point) for point in plot.given),
            *(_mark(*_at(plot, m.gpm, m.head_ft), m.kind) for m in plot.marks),
            *_legend(plot),
        )
    )
    title = escape(clean(plot.title))
    return f"""\
<?xml version="1.0" encoding="UTF-8"?>
<svg xmlns="http://www.w3.org/2000/svg" width="{_WIDTH}" height="{_HEIGHT}"
 viewBox="0 0 {_WIDTH} {_HEIGHT}" role="img" aria-labelledby="title desc">
<title id="title">{title}</title>
<desc id="desc">{escape(clean(plot.description))}</desc>
<style>
{_STYLE}
</style>
<rect width="{_WIDTH}" height="{_HEIGHT}" fill="#fff"/>
<text class="title" x="{_LEFT}" y="30">{escape(one_line(plot.title, _LONGEST_TITLE))}</text>
{body}
</svg>
"""


def _at(plot: Plot, gpm: float, head_ft: float) -> tuple[float, float]:
    """Where a point is in the drawing."""
    x = _LEFT + gpm / plot.flow.top * (_WIDTH - _LEFT - _RIGHT)
    y = _HEIGHT - _BOTTOM - head_ft / plot.head.top * (_HEIGHT - _TOP - _BOTTOM)
    return round(x, 1), round(y, 1)


def _grid(plot: Plot) -> Iterator[str]:
    left, foot = _at(plot, 0, 0)
    right, top = _at(plot, plot.flow.top, plot.head.top)
    for tick, label in zip(plot.flow.ticks, plot.flow.labels, strict=True):
        x, _ = _at(plot, tick, 0)
        yield _stroke("grid", x, foot, x, top)
        yield _text(x, foot + 20, label, "middle")
    for tick, label in zip(plot.head.ticks, plot.head.labels, strict=True):
        _, y = _at(plot, 0, tick)
        yield _stroke("grid", left, y, right, y)
        yield _text(left - 9, y + 4.5, label, "end")
    yield _stroke("axis", left, foot, right, foot)
    yield _stroke("axis", left, foot, left, top)
    yield _text((left + right) / 2, foot + 44, plot.flow.name, "middle")
    middle = (foot + top) / 2
    yield (
        f'<text transform="translate(20 {middle:g}) rotate(-90)" text-anchor="middle">'
        f"{escape(plot.head.name)}</text>"
    )


def _leads(plot: Plot) -> Iterator[str]:
    """Thin lines from where it works to both axes, to read it off by."""
    for mark in plot.marks:
        if mark.kind is MarkKind.WORKS:
            x, y = _at(plot, mark.gpm, mark.head_ft)
            left, foot = _at(plot, 0, 0)
            yield _stroke("lead", x, y, x, foot)
            yield _stroke("lead", left, y, x, y)


def _line(plot: Plot, number: int) -> str:
    line = plot.lines[number]
    points = " ".join(f"{x:g},{y:g}" for x, y in (_at(plot, q, h) for q, h in line.points))
    return f'<polyline class="line {_CLASS[line.kind]}" points="{points}"/>'


def _given(plot: Plot, gpm: float, head_ft: float) -> str:
    x, y = _at(plot, gpm, head_ft)
    return f'<circle class="given" cx="{x:g}" cy="{y:g}" r="3"/>'


def _mark(x: float, y: float, kind: MarkKind) -> str:
    r = 7
    return (
        f'<path class="{_CLASS[kind]}" d="M{x:g} {y - r:g} L{x + r:g} {y:g}'
        f' L{x:g} {y + r:g} L{x - r:g} {y:g} Z"/>'
    )


def _legend(plot: Plot) -> Iterator[str]:
    x = float(_LEFT)
    for line in plot.lines:
        yield (
            f'<polyline class="line {_CLASS[line.kind]}"'
            f' points="{x:g},{_KEY_Y - 4} {x + _KEY:g},{_KEY_Y - 4}"/>'
        )
        yield _text(x + _KEY + 7, _KEY_Y, line.kind.value)
        x += _KEY + 7 + len(line.kind.value) * _LETTER + _APART
    for mark in plot.marks:
        yield _mark(x + 7, _KEY_Y - 4.5, mark.kind)
        yield _text(x + 20, _KEY_Y, _said(mark))
        x += 20 + len(_said(mark)) * _LETTER + _APART


def _said(mark: Mark) -> str:
    return clean(mark.text)


def _stroke(name: str, x1: float, y1: float, x2: float, y2: float) -> str:
    return f'<line class="{name}" x1="{x1:g}" y1="{y1:g}" x2="{x2:g}" y2="{y2:g}"/>'


def _text(x: float, y: float, text: str, anchor: str = "start") -> str:
    placed = "" if anchor == "start" else f' text-anchor="{anchor}"'
    return f'<text x="{x:g}" y="{y:g}"{placed}>{escape(text)}</text>'
