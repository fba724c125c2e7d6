"""The cross-section of a hole as a vector drawing (SVG): for paper, in grey, and to be read aloud.

Depths are to scale, `y = ground + depth x scale`; widths are to a scale of their own, or a well would
be a hair. What is there is named at the left, how far it reaches at the right.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import pairwise
from xml.sax.saxutils import escape

from rich.text import Text

from wellbook.hole.hole import Hole
from wellbook.hole.parts import Cable, Pipe
from wellbook.present.bore_lines import bore_lines
from wellbook.present.cross_section import LEGEND, LIMITS, CrossSection, span_of
from wellbook.present.lines import Line
from wellbook.present.picture import Feature, depth_number
from wellbook.present.spreading import spread
from wellbook.present.string_lines import string_lines
from wellbook.present.text import clean, one_line, wrap
from wellbook.rules.materials import is_metal
from wellbook.rules.reach import PipeReach
from wellbook.terms import FoundKind, IntervalKind, Kind

_WIDTH, _MARGIN = 760, 24
_AXIS, _LEFT, _CENTRE, _RIGHT = 60, 340, 422, 508
_WIDEST, _NARROWEST, _UNKNOWN = 46.0, 20.0, 34.0
"""Half the width that the widest, the narrowest and a bore of unknown width are drawn with."""
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


@dataclass(frozen=True, slots=True)
class Scale:
    """Where a depth stands in the drawing."""

    ground: float
    per_ft: float

    def __call__(self, depth_ft: float) -> float:
        return round(self.ground + depth_ft * self.per_ft, 2)


@dataclass(frozen=True, slots=True)
class Stretch:
    """One stretch of wall: from where to where, and how far from the middle it stands."""

    kind: str
    from_ft: float
    to_ft: float
    half: float


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
            yield _text(_MARGIN + 10, y, fact.label, "small head")
        yield _text(_MARGIN + 74, y, fact.text if isinstance(fact, Line) else fact, "small")


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
        yield _text(_MARGIN, y + n * _ROW + 4, row, "small")
    yield from _key(section, y + len(remarks) * _ROW)


def _key(section: CrossSection, y: float) -> Iterator[str]:
    """What the signs mean, of those that are in the drawing."""
    kinds = {f.what for f in section.scene.features}
    signs: list[tuple[bool, Callable[[float], str], str]] = [
        (bool(kinds & {"column", "with_cut_out"}), _key_line("limit"), "limit of the pipe"),
        (bool(kinds & {"rated", "cut_out", "stalls"}), _key_line("lift"), "limit of the pump"),
        ("may_stall" in kinds, _key_fill("may"), "may give no water"),
        ("stalls" in kinds, _key_fill("dry"), "gives no water"),
        (bool(section.reach.past_limits), _key_fill("over"), "pipe past its rating"),
        (bool(_damage(section.hole)), _key_dot, "splice; cross: rub"),
    ]
    x = float(_MARGIN)
    for there, sign, words in signs:
        if there:
            yield f'<g transform="translate({x:g} {y:g})">{sign(0)}</g>'
            yield _text(x + 28, y + 4, words, "small")
            x += 44 + len(words) * 6.2


def _key_line(name: str) -> Callable[[float], str]:
    return lambda y: _line(name, 0, y, 22, y)


def _key_fill(name: str) -> Callable[[float], str]:
    return lambda y: (
        f'<rect x="0" y="{y - 6:g}" width="22" height="12" fill="url(#{name})" stroke="#777"/>'
    )


def _key_dot(y: float) -> str:
    return f'<circle cx="11" cy="{y:g}" r="3.4" fill="#111"/>'


# -- the hole ----------------------------------------------------------------------------------


def _drawing(section: CrossSection, scale: Scale, top: float) -> Iterator[str]:
    walls = _walls(section)
    widest = max((w.half for w in walls), default=_UNKNOWN)
    yield _text(_LEFT, top - 22, "what is there", "head", "end")
    yield _text(_RIGHT, top - 22, "how deep it may go", "head")
    yield from _axis(section, scale)
    yield from _water(section, walls, scale)
    yield from _no_water(section, walls, scale)
    yield from (line for wall in walls for line in _wall(wall, scale))
    yield from _ground_and_bottom(section, widest, scale)
    yield from _levels(section, walls, scale)
    yield from _string(section, scale)
    yield from _limit_lines(section, widest, scale)
    yield from _usable(section, widest, scale)
    yield from _labels(section, widest, scale, top)


def _axis(section: CrossSection, scale: Scale) -> Iterator[str]:
    lowest = section.scene.features[-1].depth_ft
    head = min(section.scene.features[0].depth_ft, 0.0)
    yield _line("axis", _AXIS, scale(head), _AXIS, scale(lowest))
    step = _step(lowest)
    for n in range(int(lowest / step) + 1):
        y = scale(n * step)
        yield _line("axis", _AXIS - 6, y, _AXIS, y)
        yield _text(_AXIS - 10, y + 4, f"{n * step:g}", "small", "end")
    middle = (scale(0) + scale(lowest)) / 2
    yield (
        f'<text class="small" transform="translate(20 {middle:g}) rotate(-90)"'
        ' text-anchor="middle">feet below ground</text>'
    )


def _step(lowest_ft: float) -> float:
    """A round number of feet that divides a depth into at most a dozen."""
    sizes = (m * 10.0**e for e in range(-1, 6) for m in (1, 2, 5))
    return next((size for size in sizes if lowest_ft / size <= _TICKS), 1e6)


def _walls(section: CrossSection) -> list[Stretch]:
    """Every stretch on record, and where there is none a wall that nobody knows."""
    hole, features = section.hole, section.scene.features
    lowest = features[-1].depth_ft
    widths = [i.diameter_in for i in hole.intervals if i.diameter_in]
    per_in = _WIDEST / max(widths) if widths else 0.0
    found: list[Stretch] = []
    for i in hole.intervals:
        to_ft = min(lowest if i.to_ft is None else i.to_ft, lowest)
        from_ft = i.from_ft or 0.0
        half = max(_NARROWEST, i.diameter_in * per_in) if i.diameter_in else _UNKNOWN
        if i.kind is IntervalKind.CASING and from_ft <= 0:
            from_ft = -(hole.stick_up_ft or 0.0)
        if to_ft > from_ft:
            found.append(Stretch(i.kind.value, from_ft, to_ft, half))
    reached = -(hole.stick_up_ft or 0.0)
    for wall in sorted(found, key=lambda w: w.from_ft):
        if wall.kind != IntervalKind.FRACTURED.value:
            if wall.from_ft > reached:
                found.append(Stretch("unknown", reached, wall.from_ft, wall.half))
            reached = max(reached, wall.to_ft)
    if reached < lowest:
        half = min((w.half for w in found), default=_UNKNOWN)
        found.append(Stretch("unknown", reached, lowest, half))
    return found


_WALL_CLASS = {"open_hole": "open"}


def _wall(wall: Stretch, scale: Scale) -> Iterator[str]:
    name = _WALL_CLASS.get(wall.kind, wall.kind)
    for side in (-1, 1):
        x = _CENTRE + side * wall.half
        if wall.kind == "fractured":
            for part in (0.2, 0.5, 0.8):
                y = scale(wall.from_ft + part * (wall.to_ft - wall.from_ft))
                yield _line(name, x + side * 3, y, x + side * 15, y - 4)
        else:
            yield _line(name, x, scale(wall.from_ft), x, scale(wall.to_ft))


def _half_at(walls: list[Stretch], depth_ft: float) -> float:
    here = [w.half for w in walls if w.from_ft <= depth_ft <= w.to_ft and w.kind != "fractured"]
    return max(here, default=_UNKNOWN)


def _filled(
    walls: list[Stretch], from_ft: float, to_ft: float, scale: Scale, how: str
) -> Iterator[str]:
    """The hole between two depths, as wide as it is at each."""
    ends = {
        from_ft,
        to_ft,
        *(e for w in walls for e in (w.from_ft, w.to_ft) if from_ft < e < to_ft),
    }
    cuts = sorted(ends)
    for upper, lower in pairwise(cuts):
        half = _half_at(walls, (upper + lower) / 2)
        y, height = scale(upper), scale(lower) - scale(upper)
        yield (
            f'<rect {how} x="{_CENTRE - half:g}" y="{y:g}" width="{2 * half:g}"'
            f' height="{height:g}"/>'
        )


def _of(section: CrossSection, *kinds: str) -> list[Feature]:
    return [f for f in section.scene.features if f.what in kinds]


def _water(section: CrossSection, walls: list[Stretch], scale: Scale) -> Iterator[str]:
    lowest = section.scene.features[-1].depth_ft
    highest = min(w.from_ft for w in walls)
    for what, how in (("water", "still"), ("pumping", "drawn")):
        for level in _of(section, what):
            if level.depth_ft < lowest:
                yield from _filled(
                    walls, max(level.depth_ft, highest), lowest, scale, f'class="{how}"'
                )


def _levels(section: CrossSection, walls: list[Stretch], scale: Scale) -> Iterator[str]:
    """A line at each level with the triangle that stands for a water table."""
    for level in _of(section, "water", "pumping"):
        y, half = scale(level.depth_ft), _half_at(walls, level.depth_ft)
        name = "level" if level.what == "water" else "pumping"
        yield _line(name, _CENTRE - half, y, _CENTRE + half, y)
        x = _CENTRE - half + 11
        yield f'<path class="mark" d="M{x - 5:g} {y - 8:g} L{x + 5:g} {y - 8:g} L{x:g} {y:g} Z"/>'


def _no_water(section: CrossSection, walls: list[Stretch], scale: Scale) -> Iterator[str]:
    lowest = section.scene.features[-1].depth_ft
    may, sure = _of(section, "may_stall"), _of(section, "stalls")
    end = sure[0].depth_ft if sure else lowest
    if may:
        yield from _filled(walls, may[0].depth_ft, end, scale, 'fill="url(#may)"')
    if sure:
        yield from _filled(walls, end, lowest, scale, 'fill="url(#dry)"')


def _ground_and_bottom(section: CrossSection, widest: float, scale: Scale) -> Iterator[str]:
    y, x = scale(0), _CENTRE
    yield _line("ground", x - widest - 26, y, x - widest, y)
    yield _line("ground", x + widest, y, x + widest + 26, y)
    for bottom in _of(section, "bottom", "open", "before"):
        name = "casing" if bottom.what == "bottom" else "unknown"
        yield _line(name, x - widest, scale(bottom.depth_ft), x + widest, scale(bottom.depth_ft))


# -- the string --------------------------------------------------------------------------------


def _string(section: CrossSection, scale: Scale) -> Iterator[str]:
    hole, lowest = section.hole, section.scene.features[-1].depth_ft
    seal = next((f.depth_ft for f in _of(section, "seal")), -(hole.stick_up_ft or 0.0))
    for number, pipe in enumerate(section.reach.pipes):
        yield from _pipe(pipe, seal if number == 0 else 0.0, lowest, scale)
    for _, cable in hole.parts(Cable):
        y1, y2 = scale(cable.from_ft or 0.0), scale(min(_cable_end(hole, cable), lowest))
        if y2 > y1:
            yield f'<path class="cable" d="M{_CENTRE + 11:g} {y1:g} V{y2:g}"/>'
    for depth_ft, what in _damage(hole):
        yield _hurt(scale(depth_ft), what)
    for feature in _of(section, "seal", "valve", "arrestor", "pump"):
        yield from _part(feature, scale(feature.depth_ft))


def _pipe(reach: PipeReach, top: float, lowest: float, scale: Scale) -> Iterator[str]:
    """A section; what hangs there but is not on record is drawn as of no known material."""
    pipe, foot = reach.pipe, lowest if reach.hangs_to_ft is None else reach.hangs_to_ft
    ends = pipe.to_ft if reach.beyond_record and pipe.to_ft is not None else foot
    begins = pipe.from_ft if pipe.from_ft else top
    x = _CENTRE - 5
    yield _rect(f"pipe {_material_class(pipe)}", x, scale(begins), 10, scale(ends) - scale(begins))
    if reach.beyond_record:
        yield _rect("pipe untold", x, scale(ends), 10, scale(foot) - scale(ends))
    if reach.too_deep_with_cut_out and reach.limits is not None:
        past = scale(max(reach.limits.drawn_down_ft, begins))
        height = scale(foot) - past
        yield f'<rect x="{x}" y="{past:g}" width="10" height="{height:g}" fill="url(#over)"/>'


def _material_class(pipe: Pipe) -> str:
    if pipe.material is None:
        return "untold"
    return "metal" if is_metal(pipe.material) else "plastic"


def _cable_end(hole: Hole, cable: Cable) -> float:
    pump = hole.down(Kind.PUMP)
    hangs = getattr(pump[-1].part, "set_depth_ft", None) if pump else None
    return cable.to_ft or hangs or 0.0


def _damage(hole: Hole) -> list[tuple[float, FoundKind]]:
    """Splices and rubs where the latest inspection of the cable that is there found them."""
    there = {c.uid for c in hole.down(Kind.CABLE)}
    days = [i.on for i in hole.inspections if i.component_uid in there]
    last = max(days, default=None)
    return [
        (f.depth_ft, f.what)
        for f in hole.found
        if f.on == last and f.depth_ft is not None and f.what in (FoundKind.SPLICE, FoundKind.RUB)
    ]


def _hurt(y: float, what: FoundKind) -> str:
    x = _CENTRE + 11
    if what is FoundKind.SPLICE:
        return f'<circle cx="{x:g}" cy="{y:g}" r="3.4" fill="#111"/>'
    d = f"M{x - 4:g} {y - 4:g} L{x + 4:g} {y + 4:g} M{x - 4:g} {y + 4:g} L{x + 4:g} {y - 4:g}"
    return f'<path class="cable" d="{d}"/>'


def _part(feature: Feature, y: float) -> Iterator[str]:
    x = _CENTRE
    if feature.what == "pump":
        yield f'<rect class="pump" x="{x - 9:g}" y="{y - 6:g}" width="18" height="18" rx="4"/>'
    elif feature.what == "valve":
        yield (
            f'<path class="part" d="M{x - 8:g} {y - 6:g} H{x + 8:g} L{x:g} {y:g}'
            f' L{x + 8:g} {y + 6:g} H{x - 8:g} L{x:g} {y:g} Z"/>'
        )
    elif feature.what == "arrestor":
        yield f'<ellipse class="part" cx="{x:g}" cy="{y:g}" rx="15" ry="4"/>'
    else:
        yield _rect("part", x - 14, y - 4, 28, 8)


# -- limits and labels -------------------------------------------------------------------------


def _limit_lines(section: CrossSection, widest: float, scale: Scale) -> Iterator[str]:
    x1, x2 = _CENTRE - widest - 6, _CENTRE + widest + 6
    lowest = section.scene.features[-1].depth_ft
    for f in _of(section, *(LIMITS - {"usable"})):
        name = "limit" if f.what in ("column", "with_cut_out") else "lift"
        y = scale(f.depth_ft)
        yield _line(name, x1, y, x2, y)
        if f.to_ft is not None:
            yield _line("band", x2, y, x2, scale(min(f.to_ft, lowest)))


def _usable(section: CrossSection, widest: float, scale: Scale) -> Iterator[str]:
    water = section.reach.water
    if water is None:
        return
    x, y1, y2 = _CENTRE + widest + 10, scale(water.from_ft), scale(water.lifted_to_ft.low)
    yield f'<path class="usable" d="M{x - 5:g} {y1:g} H{x:g} V{y2:g} H{x - 5:g}"/>'


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
    edge = _CENTRE + (widest + 12) * (1 if right else -1)
    out, at = (_RIGHT - 22, _RIGHT - 5) if right else (_LEFT + 22, _LEFT + 5)
    yield (
        f'<polyline class="lead" data-what="{feature.what}" data-depth-ft="{feature.depth_ft:g}"'
        f' points="{edge:g},{y:g} {out:g},{y:g} {at:g},{place:g}"/>'
    )
    y = place + 4
    if right:
        depth = f"{span_of(feature)} ft" if span_of(feature) else ""
        x = _RIGHT + (len(depth) * _LETTER + 8 if depth else 0)
        yield _text(_RIGHT, y, depth, "ft")
        yield _text(x, y, _fitted(feature, _WIDTH - x), "label")
    else:
        depth = "" if feature.what in ("open", "flow") else depth_number(feature.depth_ft)
        x = _LEFT - (_DEPTH if depth else 0)
        yield _text(_LEFT, y, depth, "ft", "end")
        yield _text(x, y, _fitted(feature, x - _AXIS), "label", "end")


def _fitted(feature: Feature, room: float) -> str:
    """What a feature is with its mark, no longer than there is room for."""
    mark = f" {feature.mark}" if feature.mark else ""
    return one_line(feature.said, int(room / _LETTER) - len(mark)) + mark


def _line(name: str, x1: float, y1: float, x2: float, y2: float) -> str:
    return f'<line class="{name}" x1="{x1:g}" y1="{y1:g}" x2="{x2:g}" y2="{y2:g}"/>'


def _rect(name: str, x: float, y: float, width: float, height: float) -> str:
    return (
        f'<rect class="{name}" x="{x:g}" y="{y:g}" width="{width:g}" height="{max(height, 0):g}"/>'
    )


def _text(x: float, y: float, text: str, name: str = "", anchor: str = "start") -> str:
    placed = "" if anchor == "start" else f' text-anchor="{anchor}"'
    named = f' class="{name}"' if name else ""
    return f'<text{named} x="{x:g}" y="{y:g}"{placed}>{escape(text)}</text>'
