"""Leaves drawn into a PDF as they come: the same leaves give the same bytes.

What is set is drawn at once and forgotten, so that a thousand letters take little more memory than one.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import IO, Protocol

from reportlab.pdfgen.canvas import Canvas

from wellbook.paper.faces import Setter
from wellbook.paper.inks import Leaf, draw_leaf


class Printable(Protocol):
    """What has pages of its own: a booklet, a letter, a card, tags."""

    def leaves(self, setter: Setter) -> Iterator[Leaf]:
        """Its pages, in order."""
        ...


@dataclass(frozen=True, slots=True)
class Printed:
    """How many pages came out, and which letters the faces lack: each stands as a box."""

    pages: int
    lacking: tuple[str, ...]


def print_into(
    file: IO[bytes],
    pieces: Iterable[Printable],
    *,
    title: str,
    tell: Callable[[int], None] | None = None,
) -> Printed:
    """Write a PDF.

    Parameters
    ----------
    file
        Takes the bytes when all is drawn.
    pieces
        What is printed, one after the other; an iterator is drawn as it gives.
    title
        What the document says that it is.
    tell
        Is told how many pieces are done, after each.
    """
    setter, pages = Setter(), 0
    canvas = Canvas(file, invariant=1, pageCompression=1, lang="en-US")
    canvas.setTitle(setter.plain(title))
    canvas.setCreator("wellbook")
    for number, piece in enumerate(pieces, start=1):
        for leaf in piece.leaves(setter):
            draw_leaf(canvas, leaf)
            pages += 1
        if tell is not None:
            tell(number)
    canvas.save()
    return Printed(pages, setter.lacking)
