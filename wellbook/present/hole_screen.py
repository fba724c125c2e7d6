"""The cross-section of a hole on a terminal: to scale, what is there at the left, the limits at the right."""

from __future__ import annotations

from collections.abc import Iterator

from rich.cells import cell_len
from rich.text import Text

from wellbook.present.cross_section import LEGEND, LIMITS, CrossSection, span_of
from wellbook.present.picture import Feature, body_rows, depth_number, place_rows
from wellbook.present.screen import hanging
from wellbook.present.text import clean, one_line, wrap

WIDTH = 80
_HEIGHT = 34
_LEFT, _DEPTH, _LIMIT_DEPTH = 33, 5, 4
_HOLE = _DEPTH + 10
"""Columns of the depth, the hole and the bracket, with the blanks between."""
_SIGNS: tuple[tuple[str, set[str]], ...] = (
    ("~ at rest", {"water", "flow"}),
    ("┄ pumping", {"pumping"}),
    ("═ the pipe's limit", {"with_cut_out", "column"}),
    ("╳ pipe past it", set()),
    ("░ past the pump's reach", {"cut_out", "may_stall"}),
    ("▒ it gives no water", {"stalls"}),
)
"""What a sign means, and the features that it stands for; none stands for the pipe itself."""


def draw_screen(section: CrossSection, width: int = WIDTH) -> list[Text]:
    """The whole drawing as lines: title, cross-section, legend, the limits in words.

    Parameters
    ----------
    section
        What is to be drawn.
    width
        Columns of the terminal; the drawing takes 80, and shortens its labels where there are fewer.
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
    past = bool(section.reach.past_limits)
    return "  ".join(words for words, kinds in _SIGNS if kinds & there or (past and not kinds))


def _drawing(section: CrossSection, width: int) -> Iterator[str]:
    features = section.scene.features
    if not features:
        return
    left = min(_LEFT, (width - _HOLE + 1) // 2)
    right = width - _HOLE - left
    rows = place_rows([f.depth_ft for f in features], _HEIGHT)
    at = dict(zip(rows, features, strict=True))
    height = max(_HEIGHT, len(features))
    heading = one_line("ft below ground", left + 1 + _DEPTH)
    yield f"{heading:>{left + 1 + _DEPTH}}         {one_line('how deep it may go, ft', right)}"
    brackets = _brackets(section, rows, height)
    past = _past_rating(section, rows)
    shades = _no_water(section, rows, height)
    for row, body in enumerate(body_rows(section.scene, rows, height)):
        there, limit = "", ""
        if (feature := at.get(row)) is not None:
            limit = _limit(feature, right) if feature.what in LIMITS else ""
            there = "" if limit else _there(feature, left)
        shaded = _shaded(body.replace("┃", "╳") if row in past else body, shades[row])
        yield f"{there:{left + 1 + _DEPTH}} {shaded} {brackets[row]} {limit}"


def _there(feature: Feature, width: int) -> str:
    """What is there and its depth, both to the right."""
    depth = "" if feature.what in ("open", "flow") else depth_number(feature.depth_ft)
    mark = f" {feature.mark}" if feature.mark else ""
    text = one_line(feature.said, width - cell_len(mark)) + mark
    return " " * (width - cell_len(text)) + text + f" {depth:>{_DEPTH}}"


def _limit(feature: Feature, width: int) -> str:
    """A limit with its depth before it, where it has one."""
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


def _past_rating(section: CrossSection, rows: list[int]) -> set[int]:
    """The rows on which pipe hangs that is past what it holds with the cut-out on top."""
    found: set[int] = set()
    for pipe in section.reach.past_limits:
        if pipe.limits is not None and pipe.hangs_to_ft is not None:
            top = max(float(pipe.limits.drawn_down_ft), pipe.pipe.from_ft or 0.0)
            first, last = (_row_of(section, rows, ft) for ft in (top, pipe.hangs_to_ft))
            found |= set(range(first + 1, last + 1))
    return found


def _no_water(section: CrossSection, rows: list[int], height: int) -> list[str]:
    """How each row is shaded: past the pump's reach, and where it gives no water at all."""
    last = section.scene.features[-1].depth_ft
    signs = [" "] * height
    for depth, sign in ((section.reach.short_from_ft, "░"), (section.reach.dry_from_ft, "▒")):
        if depth is not None and depth <= last:
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
