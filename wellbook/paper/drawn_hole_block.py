"""The hole to scale as a block of a page: with its labels in the page's own letters."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from wellbook.paper.blocks import Paragraph
from wellbook.paper.faces import BOLD, REGULAR, Setter, wide
from wellbook.paper.inks import Drawn, Ink
from wellbook.paper.mark_inks import LABEL_SIZE, SMALL_SIZE
from wellbook.paper.strips import Band, Stretching, Strip
from wellbook.present.cross_section import LEGEND, CrossSection, span_of
from wellbook.present.labelled_hole import (
    HEAD,
    WIDTH,
    Letters,
    key_rows,
    labelled_hole,
    least_deep,
)

_TOP, _BELOW = 40.0, 22.0
"""Above the highest feature and below the lowest, in the units of the drawing."""
_EACH = 60.0
"""At most so much room for each thing that is drawn, in points."""
_SHIFT = 30.0
"""So far left the drawing is moved: the labels of its limits are the longest."""


@dataclass(frozen=True, slots=True)
class DrawnHole:
    """The cross-section, between two heights in points; it takes what is left of the page.

    Where little is known, little room says it.
    """

    section: CrossSection
    least: float = 330.0
    most: float = 520.0

    def bands(self, setter: Setter, room: float) -> Iterator[Band]:
        """The drawing, then the key of its signs, what lies deeper, and the marks of the bases."""
        if not self.section.scene.features:
            return
        s = room / WIDTH
        labels, small = _letters(setter, LABEL_SIZE, s), _letters(setter, SMALL_SIZE, s)
        around = (HEAD + _BELOW) * s
        rows = key_rows(self.section, small)
        # The key stays on the page of its drawing.
        foot = len(rows) * 15.0

        def inks(height: float) -> tuple[Ink, ...]:
            deep = (height - foot - around) / s
            marks = tuple(labelled_hole(self.section, labels, _TOP, deep))
            key = (
                Drawn(0, height - foot + n * 15.0 + 6, s, tuple(row)) for n, row in enumerate(rows)
            )
            return (Drawn(-_SHIFT * s, 0, s, marks), *key)

        least = max(self.least, least_deep(self.section, labels) * s + around + foot)
        most = min(self.most, _EACH * len(self.section.scene.features))
        yield Stretching(least, max(most, least), inks)
        yield Strip(4)
        for remark in self._remarks():
            yield from Paragraph(remark, SMALL_SIZE, after=1).bands(setter, room)

    def _remarks(self) -> Iterator[str]:
        if self.section.deeper:
            said = "; ".join(f"{span_of(f)} ft: {f.said}" for f in self.section.deeper)
            yield f"Deeper than the drawing goes: {said}"
        yield f"{LEGEND.replace('  ', ' · ')} · depths to scale, in feet below ground; widths not"


def _letters(setter: Setter, size: float, scale: float) -> Letters:
    """How a page writes, in the units of the drawing; widths as of the bold face, the wider one."""
    return Letters(
        row=size * 1.32 / scale,
        wide=lambda text: wide(text, BOLD, size) / scale,
        fitted=lambda text, room: setter.one_row(text, REGULAR, size, room * scale),
        axis=40.0 + _SHIFT,
        right=WIDTH + _SHIFT,
    )
