"""The hole to scale with its axis, its labels and the key of its signs, as marks.

What is there is named at the left, how far it reaches at the right. How wide letters are is the
output's own matter (`Letters`): paper has larger ones than a screen.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from wellbook.present.cross_section import LIMITS, CrossSection, span_of
from wellbook.present.drawn_hole import CENTRE, Scale, damage, draw_hole, widest_half
from wellbook.present.marks import Dot, Hatch, Lead, Mark, Stroke, Written
from wellbook.present.picture import Feature, depth_number
from wellbook.present.spreading import spread

WIDTH, MARGIN = 760, 24
_LEFT, _RIGHT = 340, 508
_DEPTH_GAP = 8
_TICKS = 12
_SIGN, _APART = 28, 16
HEAD, FOOT = 42, 30
"""Room above the drawing for the headings of both sides, and below it."""


@dataclass(frozen=True, slots=True)
class Letters:
    """How an output writes and how far its drawing reaches, in the units of the drawing.

    Parameters
    ----------
    row
        Least distance of two labels under each other.
    wide
        How wide a text is.
    fitted
        A text, and the room it has -> as much of it as fits.
    axis, right
        Where the axis of depths stands, and where the labels of the limits end.
    """

    row: float
    wide: Callable[[str], float]
    fitted: Callable[[str, float], str]
    axis: float = 60.0
    right: float = WIDTH


def least_deep(section: CrossSection, letters: Letters) -> float:
    """How tall the drawing of the hole is at least: each side's labels must have room."""
    features = section.scene.features
    there = sum(f.what not in LIMITS for f in features)
    return letters.row * max(there, len(features) - there)


def labelled_hole(
    section: CrossSection, letters: Letters, top: float, deep: float
) -> Iterator[Mark]:
    """The hole with its axis and labels.

    Parameters
    ----------
    section
        What is to be drawn; it has features.
    letters
        How the output writes.
    top, deep
        Where the highest feature stands, and how far below it the lowest.
    """
    scale = _scale(section.scene.features, top, deep)
    yield Written(_LEFT, top - 22, "what is there", "head", "end")
    if any(f.what in LIMITS for f in section.scene.features):
        yield Written(_RIGHT, top - 22, "how deep it may go", "head")
    yield from _axis(section, letters.axis, scale)
    yield Written(letters.axis, top - 22, "ft", "head", "end")
    yield from draw_hole(section, scale)
    yield from _labels(section, letters, scale, top)


def _scale(features: tuple[Feature, ...], top: float, deep: float) -> Scale:
    highest, lowest = features[0].depth_ft, features[-1].depth_ft
    per_ft = deep / ((lowest - highest) or 1.0)
    return Scale(top - highest * per_ft, per_ft)


def _axis(section: CrossSection, x: float, scale: Scale) -> Iterator[Mark]:
    lowest = section.scene.features[-1].depth_ft
    head = min(section.scene.features[0].depth_ft, 0.0)
    yield Stroke("axis", x, scale(head), x, scale(lowest))
    step = _step(lowest)
    for n in range(int(lowest / step) + 1):
        y = scale(n * step)
        yield Stroke("axis", x - 6, y, x, y)
        yield Written(x - 10, y + 4, f"{n * step:g}", "small", "end")


def _step(lowest_ft: float) -> float:
    """A round number of feet that divides a depth into at most a dozen."""
    sizes = (m * 10.0**e for e in range(-1, 6) for m in (1, 2, 5))
    return next((size for size in sizes if lowest_ft / size <= _TICKS), 1e6)


def _labels(section: CrossSection, letters: Letters, scale: Scale, top: float) -> Iterator[Mark]:
    features, widest = section.scene.features, widest_half(section)
    foot = scale(features[-1].depth_ft)
    for right in (False, True):
        side = [f for f in features if (f.what in LIMITS) is right]
        places = spread([scale(f.depth_ft) for f in side], letters.row, top - 4, foot + 4)
        for feature, place in zip(side, places, strict=True):
            yield _lead(feature, scale(feature.depth_ft), place, widest, right)
            yield from (_limit if right else _there)(feature, letters, place + 4)


def _lead(feature: Feature, y: float, place: float, widest: float, right: bool) -> Lead:
    edge = CENTRE + (widest + 12) * (1 if right else -1)
    out, at = (_RIGHT - 22, _RIGHT - 5) if right else (_LEFT + 22, _LEFT + 5)
    return Lead(((edge, y), (out, y), (at, place)), feature.what, feature.depth_ft)


def _limit(feature: Feature, letters: Letters, y: float) -> Iterator[Mark]:
    depth = f"{span_of(feature)} ft" if span_of(feature) else ""
    x = _RIGHT + (letters.wide(depth) + _DEPTH_GAP if depth else 0)
    yield Written(_RIGHT, y, depth, "ft")
    yield Written(x, y, _fitted(feature, letters, letters.right - x), "label")


def _there(feature: Feature, letters: Letters, y: float) -> Iterator[Mark]:
    depth = "" if feature.what in ("open", "flow") else depth_number(feature.depth_ft)
    # The widest depth, so that what is named stands in one column.
    x = _LEFT - (letters.wide("00000") + _DEPTH_GAP if depth else 0)
    yield Written(_LEFT, y, depth, "ft", "end")
    yield Written(x, y, _fitted(feature, letters, x - letters.axis - 6), "label", "end")


def _fitted(feature: Feature, letters: Letters, room: float) -> str:
    """What a feature is with its mark, no longer than there is room for."""
    mark = f" {feature.mark}" if feature.mark else ""
    return letters.fitted(feature.said, room - letters.wide(mark)) + mark


# -- the key ------------------------------------------------------------------------------------

_Sign = Callable[[float, float], Mark]


def key_rows(section: CrossSection, letters: Letters) -> list[list[Mark]]:
    """What the signs mean that are in the drawing, row under row, each as if it stood at 0."""
    rows: list[list[Mark]] = []
    x = float(WIDTH)
    for sign, words in _signs(section):
        wide = _SIGN + letters.wide(words)
        if x + wide > WIDTH:
            rows.append([])
            x = float(MARGIN)
        rows[-1] += [sign(x, 0), Written(x + _SIGN, 4, words, "small")]
        x += wide + _APART
    return rows


def _signs(section: CrossSection) -> Iterator[tuple[_Sign, str]]:
    kinds = {f.what for f in section.scene.features}
    signs: tuple[tuple[bool, _Sign, str], ...] = (
        (bool(kinds & {"column", "with_cut_out"}), _line("limit"), "limit of the pipe"),
        (bool(kinds & {"rated", "cut_out", "stalls"}), _line("lift"), "limit of the pump"),
        (bool(kinds & {"cut_out", "may_stall"}), _area("may"), "past the pump's reach"),
        ("stalls" in kinds, _area("dry"), "gives no water"),
        (bool(section.reach.past_limits), _area("over"), "pipe past its rating"),
        (bool(damage(section.hole)), lambda x, y: Dot(x + 11, y, 3.4), "splice; cross: rub"),
    )
    yield from ((sign, words) for there, sign, words in signs if there)


def _line(name: str) -> _Sign:
    return lambda x, y: Stroke(name, x, y, x + 22, y)


def _area(pattern: str) -> _Sign:
    return lambda x, y: Hatch(pattern, x, y - 6, 22, 12, edged=True)
