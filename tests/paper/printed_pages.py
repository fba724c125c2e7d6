"""A printed document read back: its words by pypdf, the places of its text by PDFium."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass
from datetime import date
from io import BytesIO
from itertools import combinations
from typing import Any

import pypdf
import pypdfium2 as pdfium
import pypdfium2.raw as pdfium_raw

from wellbook.paper.printing import Printable, Printed, print_into

DAY = date(2026, 11, 25)
SHOP = "Three Forks Pumps"


Box = tuple[float, float, float, float]


@dataclass(frozen=True)
class Seen:
    """A page as a reader draws it: its size, and each row of text with the ink that it takes."""

    width: float
    height: float
    rows: tuple[tuple[Box, str], ...]


class Pages:
    """What came out of the printer."""

    def __init__(self, *pieces: Printable) -> None:
        file = BytesIO()
        self.printed: Printed = print_into(file, pieces, title="test")
        self.data = file.getvalue()
        self.pdf = pypdf.PdfReader(BytesIO(self.data))
        self.texts = [" ".join(page.extract_text().split()) for page in self.pdf.pages]

    @property
    def text(self) -> str:
        """All of it, without the breaks of rows and pages."""
        return " ".join(self.texts)

    def image(self, page: int = 0, scale: float = 4.0) -> Any:
        """A page as it looks."""
        with closing(pdfium.PdfDocument(self.data)) as document:
            return document[page].render(scale=scale).to_pil().convert("L")

    def seen(self) -> Iterator[Seen]:
        """Its pages, one after the other."""
        with closing(pdfium.PdfDocument(self.data)) as document:
            for leaf in document:
                with closing(leaf), closing(leaf.get_textpage()) as words:
                    kinds = [pdfium_raw.FPDF_PAGEOBJ_TEXT]
                    found = list(leaf.get_objects(filter=kinds, textpage=words))
                    rows = [(one.get_bounds(), one.extract()) for one in found]
                    inked = tuple((box, text) for box, text in rows if text.strip())
                    yield Seen(*leaf.get_size(), inked)


def misplaced(pages: Pages, clear: float) -> list[str]:
    """What runs over the edge, or over other text: none, where all is well."""
    wrong: list[str] = []
    for n, page in enumerate(pages.seen(), start=1):
        for (left, bottom, right, top), text in page.rows:
            inside = left >= clear and right <= page.width - clear
            if not (inside and bottom >= clear and top <= page.height - clear):
                wrong.append(f"page {n}, over the edge: {text}")
        for (one, said), (two, other) in combinations(page.rows, 2):
            if _overlap(one, two):
                wrong.append(f"page {n}: {said!r} over {other!r}")
    return wrong


def _overlap(one: Box, two: Box) -> bool:
    across = min(one[2], two[2]) - max(one[0], two[0])
    down = min(one[3], two[3]) - max(one[1], two[1])
    return across > 0.5 and down > 0.5
