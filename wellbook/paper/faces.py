"""The type faces, and text set in them: how wide it is, and where its rows end.

The faces come with the program: what stands on paper must not hang on the machine that prints it, and
the faces built into every reader take most of the world's letters without a word and show none of them.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator
from functools import cache
from pathlib import Path

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

from wellbook.plain_text import beginning, clean

REGULAR, BOLD, MONO = "DejaVuSans", "DejaVuSans-Bold", "DejaVuSansMono"
LACKING = "\N{WHITE SQUARE}"
"""Stands where a face has no sign for a letter: it is seen that something is missing."""

_ELLIPSIS = "…"
_JOINERS = {ord(sign): None for sign in "\u200c\u200d"}


@cache
def _face(name: str) -> TTFont:
    """A face, registered with the library the first time that it is asked for."""
    font = TTFont(name, str(Path(__file__).parent / "fonts" / f"{name}.ttf"))
    pdfmetrics.registerFont(font)
    return font


@cache
def _letter(name: str, sign: str) -> float:
    """How wide a letter is, in points at a size of one point."""
    return float(_face(name).stringWidth(sign, 1000)) / 1000


@cache
def _shows(name: str, sign: str) -> bool:
    """Whether a face shows a letter as it is read.

    Scripts that run from right to left would stand backwards, and of signs past the first 65,536 the
    library writes a code that readers refuse: both are better seen to be missing.
    """
    backwards = unicodedata.bidirectional(sign) in ("R", "AL")
    return not backwards and ord(sign) < 0x10000 and ord(sign) in _face(name).face.charToGlyph


def wide(text: str, face: str, size: float) -> float:
    """How wide a text is, in points."""
    return size * sum(_letter(face, sign) for sign in text)


class Setter:
    """Sets text for one document, and remembers which letters the faces lack."""

    def __init__(self) -> None:
        self._lacking: dict[str, None] = {}

    @property
    def lacking(self) -> tuple[str, ...]:
        """The letters that were shown as a box, in the order in which they were met."""
        return tuple(self._lacking)

    def plain(self, text: str, face: str = REGULAR) -> str:
        """Text that the face can show, on one line: no controls, and a box for what it lacks."""
        signs = clean(text).translate(_JOINERS)
        lacks = {sign for sign in set(signs) if not _shows(face, sign)}
        for sign in sorted(lacks, key=signs.index):
            self._lacking[sign] = None
        return "".join(LACKING if sign in lacks else sign for sign in signs) if lacks else signs

    def rows(self, text: str, face: str, size: float, room: float) -> list[str]:
        """Text broken into rows of at most `room` points: at blanks, else in the middle of a word."""
        rows: list[str] = []
        row, used = "", 0.0
        for word in self._pieces(beginning(text), face, size, room):
            more = wide(f" {word}" if row else word, face, size)
            if row and used + more > room:
                rows.append(row)
                row, used = word, wide(word, face, size)
            else:
                row, used = f"{row} {word}" if row else word, used + more
        return [*rows, row]

    def _pieces(self, text: str, face: str, size: float, room: float) -> Iterator[str]:
        """The words, and of one that is wider than the room the pieces of it."""
        for word in self.plain(text, face).split(" "):
            if not word:
                continue
            begun, used = 0, 0.0
            for n, sign in enumerate(word):
                one = wide(sign, face, size)
                if n > begun and used + one > room:
                    yield word[begun:n]
                    begun, used = n, 0.0
                used += one
            yield word[begun:]

    def one_row(self, text: str, face: str, size: float, room: float) -> str:
        """Text for a place that has one row: cut with an ellipsis where it is too long."""
        said = " ".join(self.plain(text, face).split(" "))
        if wide(said, face, size) <= room:
            return said
        used = wide(_ELLIPSIS, face, size)
        for n, sign in enumerate(said):
            used += wide(sign, face, size)
            if used > room:
                return said[:n].rstrip() + _ELLIPSIS
        return said
