"""The cross-section of a hole as a vector drawing (SVG): for paper, in grey, and to be read aloud.

A box of facts, then the hole to scale with its labels (`labelled_hole`).
"""

from __future__ import annotations

from collections.abc import Iterator
from xml.sax.saxutils import escape

from rich.text import Text

from wellbook.present.bore_lines import bore_lines
from wellbook.present.cross_section import LEGEND, CrossSection, span_of
from wellbook.present.labelled_hole import (
    FOOT,
    HEAD,
    MARGIN,
    WIDTH,
    Letters,
    key_rows,
    labelled_hole,
    least_deep,
)
from wellbook.present.lines import Line
from wellbook.present.marks import Mark, Written
from wellbook.present.picture import depth_number
from wellbook.present.string_lines import string_lines
from wellbook.present.svg_marks import element
from wellbook.present.text import clean, one_line, wrap

_ROW, _LABEL_ROW = 16, 17
_LEAST_DEEP = 580
_FACTS = 108


def _letters(wide: float) -> Letters:
    """Which face the reader's own program takes nobody knows: letters are about so wide."""
    return Letters(
        _LABEL_ROW, lambda x: len(x) * wide, lambda x, room: one_line(x, int(room / wide))
    )


_LETTERS, _SMALL = _letters(7.0), _letters(6.2)
_SHOWN = ("cable", "pump", "motor", "control", "switch")
"""The parts of which the box tells; the pipe is told of with its limits."""

_STYLE = """\
text { font-family: sans-serif; font-size: 12px; fill: #111 }
.title { font-size: 17px; font-weight: bold }
.head { font-weight: bold }
.small { font-size: 11px; fill: #333 }
.ft { font-weight: bold }
.box { fill: #fff; stroke: #888; stroke-width: 1 }
.axis { stroke: #222; stroke-width: 1.2 }
.lead { fill: none; stroke: #777; stroke-width: 0.8 }
.ground { stroke: #111; stroke-width: 2.5 }
.still { fill: #e4eef4 }
.drawn { fill: #c3d6e2 }
.level { stroke: #234; stroke-width: 1.6 }
.pumping { stroke: #234; stroke-width: 1.6; stroke-dasharray: 7 4 }
.mark { fill: #234 }
.casing { stroke: #111; stroke-width: 4 }
.liner { stroke: #111; stroke-width: 2 }
.screen { stroke: #111; stroke-width: 5; stroke-dasharray: 2 3 }
.open { stroke: #555; stroke-width: 1.5; stroke-dasharray: 9 4 }
.unknown { stroke: #888; stroke-width: 1.2; stroke-dasharray: 2 5 }
.fractured { stroke: #555; stroke-width: 1.5 }
.pipe { stroke: #111; stroke-width: 1.2 }
.metal { fill: #666 }
.plastic { fill: #fff }
.untold { fill: #fff; stroke-dasharray: 3 3 }
.cable { stroke: #111; stroke-width: 1.6; fill: none }
.part { fill: #fff; stroke: #111; stroke-width: 1.5 }
.pump { fill: #111; stroke: #111 }
.limit { stroke: #a11; stroke-width: 2.4 }
.lift { stroke: #a11; stroke-width: 1.8; stroke-dasharray: 5 3 }
.band { stroke: #a11; stroke-width: 4; stroke-opacity: 0.5 }
.usable { fill: none; stroke: #234; stroke-width: 1.6 }"""

_PATTERNS = """\
<pattern id="may" width="9" height="9" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">
<line x1="0" y1="0" x2="0" y2="9" stroke="#a11" stroke-width="1"/></pattern>
<pattern id="dry" width="5" height="5" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">
<line x1="0" y1="0" x2="0" y2="5" stroke="#a11" stroke-width="1.8"/></pattern>
<pattern id="over" width="6" height="6" patternUnits="userSpaceOnUse">
<line x1="0" y1="1.5" x2="6" y2="1.5" stroke="#a11" stroke-width="3"/></pattern>"""


def svg_of(section: CrossSection) -> str:
    """The cross-section as a whole SVG document, on white, to be printed upright."""
    facts = list(_facts(section))
    top = 84 + len(facts) * _ROW + HEAD
    parts, height = [*_box(facts)], top + _ROW + 10.0
    if section.scene.features:
        deep = max(_LEAST_DEEP, least_deep(section, _LETTERS))
        foot = top + deep + FOOT
        remarks, key = list(_remarks(section)), key_rows(section, _SMALL)
        parts += [element(mark) for mark in labelled_hole(section, _LETTERS, top, deep)]
        parts += _foot(remarks, key, foot)
        height = foot + (len(remarks) + max(len(key), 1)) * _ROW + 10
    body = "\n".join(parts)
    return f"""\
<?xml version="1.0" encoding="UTF-8"?>
<svg xmlns="http://www.w3.org/2000/svg" width="{WIDTH}" height="{height:g}"
 viewBox="0 0 {WIDTH} {height:g}" role="img" aria-labelledby="title desc">
<title id="title">{escape(clean(section.title))}</title>
<desc id="desc">{escape(_description(section))}</desc>
<style>
{_STYLE}
</style>
<defs>
{_PATTERNS}
</defs>
<rect width="{WIDTH}" height="{height:g}" fill="#fff"/>
<text class="title" x="{MARGIN}" y="32">{escape(one_line(section.title, 62))}</text>
<text class="small" x="{MARGIN}" y="52">as of {section.day}</text>
{body}
</svg>
"""


def _description(section: CrossSection) -> str:
    """The whole drawing in words, top down."""
    said = [f"Cross-section of the well as of {section.day}, depths in feet below ground."]
    for f in section.scene.features:
        depth = "" if f.what in ("open", "flow", "usable") else f" {depth_number(f.depth_ft)} ft"
        said.append(f"{clean(f.said)}{depth}.")
    said += [f"{line.label}: {clean(line.text)}." for line in section.lines]
    return " ".join(said)


# -- around the drawing ------------------------------------------------------------------------


def _facts(section: CrossSection) -> Iterator[str | Line]:
    """The rows of the box: a line with its label, or how the line above goes on."""
    hole = section.hole
    bore = [line for line in bore_lines(hole) if line.label != "stands"]
    string = [line for line in string_lines(hole, section.day) if line.label in _SHOWN]
    told = {line.text for line in (*bore, *string)}
    more = [line for line in section.lines if line.text not in told]
    lines = sorted((*bore, *string, *more), key=lambda line: line.label != "well")
    for line in lines:
        # No line ends between a mark and its date.
        noted = "\N{NO-BREAK SPACE}".join(w for w in (line.mark, line.as_of) if w)
        text = f"{clean(line.text)} ({noted})" if noted else clean(line.text)
        first, *rest = wrap(Text(text), _FACTS)
        yield Line(line.label, first.plain)
        yield from (row.plain for row in rest)


def _box(facts: list[str | Line]) -> Iterator[str]:
    height = len(facts) * _ROW + 12
    yield (
        f'<rect class="box" x="{MARGIN}" y="64" width="{WIDTH - 2 * MARGIN}" height="{height}"/>'
    )
    for n, fact in enumerate(facts):
        y = 82 + n * _ROW
        if isinstance(fact, Line):
            yield element(Written(MARGIN + 10, y, fact.label, "small head"))
        yield element(
            Written(MARGIN + 74, y, fact.text if isinstance(fact, Line) else fact, "small")
        )


def _remarks(section: CrossSection) -> Iterator[str]:
    """The rows under the drawing."""
    if section.deeper:
        said = "; ".join(f"{span_of(f)} ft: {f.said}" for f in section.deeper)
        rows = wrap(Text(f"Deeper than the drawing goes: {clean(said)}"), _FACTS)
        yield from (row.plain for row in rows)
    yield LEGEND.replace("  ", " · ")
    yield "Depths to scale, in feet below ground; widths are not to that scale."


def _foot(remarks: list[str], key: list[list[Mark]], y: float) -> Iterator[str]:
    for n, row in enumerate(remarks):
        yield element(Written(MARGIN, y + n * _ROW + 4, row, "small"))
    for n, signs in enumerate(key, start=len(remarks)):
        drawn = "".join(element(mark) for mark in signs)
        yield f'<g transform="translate(0 {y + n * _ROW:g})">{drawn}</g>'
