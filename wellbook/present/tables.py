"""Plain aligned columns, without borders, for lists."""

from __future__ import annotations

from collections.abc import Sequence

from rich.cells import cell_len
from rich.text import Text

from wellbook.present.text import clean, wrap

_GAP = 2
_LEAST = 12


def table(
    headers: Sequence[str], rows: Sequence[Sequence[str]], width: int | None = None
) -> list[Text]:
    """Rows under their headers.

    Parameters
    ----------
    headers
        One for each column; may be empty.
    rows
        The cells, as text.
    width
        Columns of the terminal, within which the last column wraps; None into a pipe, where
        nothing is ever wrapped or cut.

    >>> [line.plain for line in table(["well", "town"], [["KT-1", "Tamsin Flats"]])]
    ['well  town', 'KT-1  Tamsin Flats']
    """
    cells = [[" ".join(clean(cell).split()) for cell in row] for row in (headers, *rows)]
    widths = [max(map(cell_len, column)) for column in zip(*cells, strict=True)]
    indent = sum(w + _GAP for w in widths[:-1])
    room = None if width is None else max(width - indent, _LEAST)
    lines: list[Text] = []
    for number, row in enumerate(cells):
        lines += _row(row, widths, indent, room, "bold" if number == 0 else "")
    return lines


def _row(
    row: Sequence[str], widths: Sequence[int], indent: int, room: int | None, style: str
) -> list[Text]:
    head = Text(style=style)
    for cell, width in zip(row[:-1], widths, strict=False):
        head.append(cell)
        head.append(" " * (width + _GAP - cell_len(cell)))
    last = Text(row[-1], style=style)
    texts = [last] if room is None else wrap(last, room)
    lines = [head + texts[0], *(Text(" " * indent) + text for text in texts[1:])]
    for line in lines:
        line.rstrip()
    return lines
