"""The cross-section of a hole as a vector drawing (SVG): for paper, in grey, and to be read aloud.

A box of facts, then the hole to scale (`drawn_hole`): what is there is named at the left, how far it
reaches at the right.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from xml.sax.saxutils import escape

from rich.text import Text

from wellbook.present.bore_lines import bore_lines
from wellbook.present.cross_section import LEGEND, LIMITS, CrossSection, span_of
from wellbook.present.drawn_hole import CENTRE, Scale, damage, draw_hole, widest_half
from wellbook.present.lines import Line
from wellbook.present.picture import Feature, depth_number
from wellbook.present.spreading import spread
from wellbook.present.string_lines import string_lines
from wellbook.present.svg_marks import stroke, written
from wellbook.present.text import clean, one_line, wrap

_WIDTH, _MARGIN = 760, 24
_AXIS, _LEFT, _RIGHT = 60, 340, 508
_ROW, _LABEL_ROW = 16, 17
_LEAST_DEEP = 580
_FACTS = 108
_DEPTH = 42
_TICKS = 12
_LETTER = 7.0
"""About how wide a letter of a label is, in the units of the drawing."""
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
    top = 84 + len(facts) * _ROW + 42
    features = section.scene.features
    deep = _deep(features)
    scale = _scale(features, top, deep)
    foot = top + deep + 30 if features else top
    remarks = list(_remarks(section)) if features else []
    height = foot + (len(remarks) + 1) * _ROW + 10
    parts = [*_box(facts)]
    if features:
        parts += [*_drawing(section, scale, top), *_foot(section, remarks, foot)]
    body = "\n".join(parts)
    return f"""\
<?xml version="1.0" encoding="UTF-8"?>
<svg xmlns="http://www.w3.org/2000/svg" width="{_WIDTH}" height="{height:g}"
 viewBox="0 0 {_WIDTH} {height:g}" role="img" aria-labelledby="title desc">
<title id="title">{escape(clean(section.title))}</title>
<desc id="desc">{escape(_description(section))}</desc>
<style>
{_STYLE}
</style>
<defs>
{_PATTERNS}
</defs>
<rect width="{_WIDTH}" height="{height:g}" fill="#fff"/>
<text class="title" x="{_MARGIN}" y="32">{escape(one_line(section.title, 62))}</text>
<text class="small" x="{_MARGIN}" y="52">as of {section.day}</text>
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


def _deep(features: tuple[Feature, ...]) -> float:
    """How tall the drawing of the hole is: each side's labels must have room."""
    there = sum(f.what not in LIMITS for f in features)
    return max(_LEAST_DEEP, _LABEL_ROW * max(there, len(features) - there))


def _scale(features: tuple[Feature, ...], top: float, deep: float) -> Scale:
    if not features:
        return Scale(top, 1.0)
    highest, lowest = features[0].depth_ft, features[-1].depth_ft
    per_ft = deep / ((lowest - highest) or 1.0)
    return Scale(top - highest * per_ft, per_ft)


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
        f'<rect class="box" x="{_MARGIN}" y="64" width="{_WIDTH - 2 * _MARGIN}" height="{height}"/>'
    )
    for n, fact in enumerate(facts):
        y = 82 + n * _ROW
        if isinstance(fact, Line):
            yield written(_MARGIN + 10, y, fact.label, "small head")
        yield written(_MARGIN + 74, y, fact.text if isinstance(fact, Line) else fact, "small")


def _remarks(section: CrossSection) -> Iterator[str]:
    """The rows under the drawing."""
    if section.deeper:
        said = "; ".join(f"{span_of(f)} ft: {f.said}" for f in section.deeper)
        rows = wrap(Text(f"Deeper than the drawing goes: {clean(said)}"), _FACTS)
        yield from (row.plain for row in rows)
    yield LEGEND.replace("  ", " · ")
    yield "Depths to scale, in feet below ground; widths are not to that scale."


def _foot(section: CrossSection, remarks: list[str], y: float) -> Iterator[str]:
    for n, row in enumerate(remarks):
        yield written(_MARGIN, y + n * _ROW + 4, row, "small")
    yield from _key(section, y + len(remarks) * _ROW)


def _key(section: CrossSection, y: float) -> Iterator[str]:
    """What the signs mean, of those that are in the drawing."""
    kinds = {f.what for f in section.scene.features}
    signs: list[tuple[bool, Callable[[float], str], str]] = [
        (bool(kinds & {"column", "with_cut_out"}), _key_line("limit"), "limit of the pipe"),
        (bool(kinds & {"rated", "cut_out", "stalls"}), _key_line("lift"), "limit of the pump"),
        (bool(kinds & {"cut_out", "may_stall"}), _key_fill("may"), "past the pump's reach"),
        ("stalls" in kinds, _key_fill("dry"), "gives no water"),
        (bool(section.reach.past_limits), _key_fill("over"), "pipe past its rating"),
        (bool(damage(section.hole)), _key_dot, "splice; cross: rub"),
    ]
    x = float(_MARGIN)
    for there, sign, words in signs:
        if there:
            yield f'<g transform="translate({x:g} {y:g})">{sign(0)}</g>'
            yield written(x + 28, y + 4, words, "small")
            x += 44 + len(words) * 6.2


def _key_line(name: str) -> Callable[[float], str]:
    return lambda y: stroke(name, 0, y, 22, y)


def _key_fill(name: str) -> Callable[[float], str]:
    return lambda y: (
        f'<rect x="0" y="{y - 6:g}" width="22" height="12" fill="url(#{name})" stroke="#777"/>'
    )


def _key_dot(y: float) -> str:
    return f'<circle cx="11" cy="{y:g}" r="3.4" fill="#111"/>'


# -- the drawing --------------------------------------------------------------------------------


def _drawing(section: CrossSection, scale: Scale, top: float) -> Iterator[str]:
    yield written(_LEFT, top - 22, "what is there", "head", "end")
    yield written(_RIGHT, top - 22, "how deep it may go", "head")
    yield from _axis(section, scale)
    yield from draw_hole(section, scale)
    yield from _labels(section, widest_half(section), scale, top)


def _axis(section: CrossSection, scale: Scale) -> Iterator[str]:
    lowest = section.scene.features[-1].depth_ft
    head = min(section.scene.features[0].depth_ft, 0.0)
    yield stroke("axis", _AXIS, scale(head), _AXIS, scale(lowest))
    step = _step(lowest)
    for n in range(int(lowest / step) + 1):
        y = scale(n * step)
        yield stroke("axis", _AXIS - 6, y, _AXIS, y)
        yield written(_AXIS - 10, y + 4, f"{n * step:g}", "small", "end")
    middle = (scale(0) + scale(lowest)) / 2
    yield (
        f'<text class="small" transform="translate(20 {middle:g}) rotate(-90)"'
        ' text-anchor="middle">feet below ground</text>'
    )


def _step(lowest_ft: float) -> float:
    """A round number of feet that divides a depth into at most a dozen."""
    sizes = (m * 10.0**e for e in range(-1, 6) for m in (1, 2, 5))
    return next((size for size in sizes if lowest_ft / size <= _TICKS), 1e6)


def _labels(section: CrossSection, widest: float, scale: Scale, top: float) -> Iterator[str]:
    features = section.scene.features
    foot = scale(features[-1].depth_ft)
    for right in (False, True):
        side = [f for f in features if (f.what in LIMITS) is right]
        places = spread([scale(f.depth_ft) for f in side], _LABEL_ROW, top - 4, foot + 4)
        for feature, place in zip(side, places, strict=True):
            yield from _label(feature, scale(feature.depth_ft), place, widest, right)


def _label(feature: Feature, y: float, place: float, widest: float, right: bool) -> Iterator[str]:
    """A label with the line that leads from it to its depth."""
    edge = CENTRE + (widest + 12) * (1 if right else -1)
    out, at = (_RIGHT - 22, _RIGHT - 5) if right else (_LEFT + 22, _LEFT + 5)
    yield (
        f'<polyline class="lead" data-what="{feature.what}" data-depth-ft="{feature.depth_ft:g}"'
        f' points="{edge:g},{y:g} {out:g},{y:g} {at:g},{place:g}"/>'
    )
    y = place + 4
    if right:
        depth = f"{span_of(feature)} ft" if span_of(feature) else ""
        x = _RIGHT + (len(depth) * _LETTER + 8 if depth else 0)
        yield written(_RIGHT, y, depth, "ft")
        yield written(x, y, _fitted(feature, _WIDTH - x), "label")
    else:
        depth = "" if feature.what in ("open", "flow") else depth_number(feature.depth_ft)
        x = _LEFT - (_DEPTH if depth else 0)
        yield written(_LEFT, y, depth, "ft", "end")
        yield written(x, y, _fitted(feature, x - _AXIS), "label", "end")


def _fitted(feature: Feature, room: float) -> str:
    """What a feature is with its mark, no longer than there is room for."""
    mark = f" {feature.mark}" if feature.mark else ""
    return one_line(feature.said, int(room / _LETTER) - len(mark)) + mark
