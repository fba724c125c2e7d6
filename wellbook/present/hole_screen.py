"""The cross-section of a hole on a terminal: to scale, what is there at the left, the limits at the right."""

from __future__ import annotations

from collections.abc import Iterator

from rich.cells import cell_len
from rich.text import Text

from wellbook.present.cross_section import LEGEND, LIMITS, CrossSection, span_of
from wellbook.present.picture import Feature, body_rows, depth_number, place_rows
from wellbook.present.terminal import hanging
from wellbook.present.text import clean, one_line, wrap

WIDTH = 80
_HEIGHT = 34
_LEFT, _DEPTH, _LIMIT_DEPTH = 33, 5, 4
_SIGNS = (
    ("~ at rest", {"water", "flow"}),
    ("┄ pumping", {"pumping"}),
    ("═ the pipe's limit", {"with_cut_out", "column"}),
    ("░ the pump may give no water", {"may_stall"}),
    ("▒ it gives none", {"stalls"}),
)
"""What a sign means, and the features that it stands for."""


def draw_screen(section: CrossSection, width: int = WIDTH) -> list[Text]:
    """The whole drawing as lines: title, cross-section, legend, the limits in words.

    Parameters
    ----------
    section
        What is to be drawn.
    width
        Columns of the terminal; the drawing takes 80 and leaves out the right of it where there
        are fewer.
    """
    width = min(width, WIDTH)
    day = f"as of {section.day}"
    head = Text(one_line(section.title, width - len(day) - 2), style="bold")
    head.pad_right(width - len(day) - head.cell_len)
    drawn = [Text(row.rstrip()) for row in _drawing(section, width)]
    said = [
        row for line in section.lines for row in hanging(line.label, Text(clean(line.text)), width)
    ]
    legend = [Text(row, style="dim") for row in (_signs(section), LEGEND)] if drawn else []
    return [
        head.append(day, style="not bold"),
        Text(""),
        *drawn,
        *([Text("")] if drawn else []),
        *(row for line in legend for row in wrap(line, width)),
        *([Text("")] if said and drawn else []),
        *said,
    ]


def _signs(section: CrossSection) -> str:
    """What the signs mean that are in the drawing."""
    there = {f.what for f in section.scene.features}
    return "  ".join(words for words, kinds in _SIGNS if kinds & there)


def _drawing(section: CrossSection, width: int) -> Iterator[str]:
    features = section.scene.features
    if not features:
        return
    rows = place_rows([f.depth_ft for f in features], _HEIGHT)
    at = dict(zip(rows, features, strict=True))
    height = max(_HEIGHT, len(features))
    right = width - _LEFT - _DEPTH - 10
    yield f"{'ft below ground':>{_LEFT + _DEPTH + 1}}         {one_line('how deep it may go, ft', right)}"
    bodies = body_rows(section.scene, rows, height)
    reaches = _brackets(section, rows, height)
    floods = _no_water(section, rows, height)
    for row, body in enumerate(bodies):
        feature = at.get(row)
        there = feature if feature is not None and feature.what not in LIMITS else None
        limit = feature if feature is not None and feature.what in LIMITS else None
        shaded = _shaded(body, floods[row])
        yield f"{_there(there)} {shaded} {reaches[row]} {_limit(limit, right)}"


def _there(feature: Feature | None) -> str:
    if feature is None:
        return " " * (_LEFT + 1 + _DEPTH)
    depth = "" if feature.what in ("open", "flow") else depth_number(feature.depth_ft)
    mark = f" {feature.mark}" if feature.mark else ""
    text = one_line(feature.said, _LEFT - cell_len(mark)) + mark
    return " " * (_LEFT - cell_len(text)) + text + f" {depth:>{_DEPTH}}"


def _limit(feature: Feature | None, width: int) -> str:
    """A limit with its depth before it, where it has one."""
    if feature is None:
        return ""
    mark = f" {feature.mark}" if feature.mark else ""
    depth = f"{span_of(feature):<{_LIMIT_DEPTH}}"
    return f"{depth} {one_line(feature.said, width - len(depth) - 1 - cell_len(mark))}{mark}"


def _brackets(section: CrossSection, rows: list[int], height: int) -> list[str]:
    """Beside the usable water, from the level at rest down to the pump or to its lift."""
    if section.reach.water is None:
        return [" "] * height
    water = section.reach.water
    top = _row_of(section, rows, water.from_ft)
    foot = max(_row_of(section, rows, water.lifted_to_ft.low), top)
    inside = {top: "┐", foot: "┘"}
    return [inside.get(n, "│" if top < n < foot else " ") for n in range(height)]


def _no_water(section: CrossSection, rows: list[int], height: int) -> list[str]:
    """How each row is shaded: what the pump gives no water from, or may not."""
    stalls = section.reach.lift.stalls_ft if section.reach.lift else None
    last = section.scene.features[-1].depth_ft
    signs = [" "] * height
    if stalls is None:
        return signs
    for depth, sign in ((stalls.low, "░"), (stalls.high, "▒")):
        if depth <= last:
            first = _row_of(section, rows, depth)
            signs[first:] = [sign] * (height - first)
    return signs


def _shaded(body: str, sign: str) -> str:
    """The body of a row with the room beside the pipe shaded, where nothing else stands there."""
    if sign == " " or body[0] not in "│╎":
        return body
    return "".join(sign if n in (1, 3) and c in " ░" else c for n, c in enumerate(body))


def _row_of(section: CrossSection, rows: list[int], depth_ft: float) -> int:
    """The row of a depth: between the features that are above and below it."""
    features = section.scene.features
    below = next(
        (n for n, f in enumerate(features) if f.depth_ft >= depth_ft - 0.51), len(rows) - 1
    )
    if below == 0 or features[below].depth_ft - depth_ft < 0.51:
        return rows[below]
    upper, lower = features[below - 1], features[below]
    part = (depth_ft - upper.depth_ft) / (lower.depth_ft - upper.depth_ft)
    return rows[below - 1] + round(part * (rows[below] - rows[below - 1]))
