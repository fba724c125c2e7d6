"""Plain aligned columns, without borders, for lists."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from rich.cells import cell_len
from rich.text import Text

from wellbook.present.text import clean, wrap

_GAP = 2
_INDENT = 2
# A column may be squeezed to this before it goes on a line of its own.
_LEAST = 24


@dataclass(frozen=True, slots=True)
class _Column:
    """Where the cells of a column stand: which of a row's lines, from where on, how wide."""

    line: int
    start: int
    width: int


def table(
    headers: Sequence[str], rows: Sequence[Sequence[str]], width: int | None = None
) -> list[Text]:
    """Rows under their headers.

    Columns that have no room beside the others go on lines of their own, indented, below the row
    that they belong to; the headers stand in the same shape. What is empty there takes no line.

    Parameters
    ----------
    headers
        One for each column; may be empty.
    rows
        The cells, as text.
    width
        Columns of the terminal, which no line passes; None into a pipe, where nothing is ever
        wrapped or cut.

    >>> [line.plain for line in table(["well", "town"], [["KT-1", "Tamsin Flats"]])]
    ['well  town', 'KT-1  Tamsin Flats']
    >>> for line in table(["well", "street", "town"], [["KT-1", "Mill Lane", "Tamsin Flats"]], 20):
    ...     print(line.plain)
    well  street
      town
    KT-1  Mill Lane
      Tamsin Flats
    """
    cells = [[" ".join(clean(cell).split()) for cell in row] for row in (headers, *rows)]
    columns = _laid_out([max(map(cell_len, column)) for column in zip(*cells, strict=True)], width)
    return [
        line
        for number, row in enumerate(cells)
        for line in _row(row, columns, "bold" if number == 0 else "")
    ]


def _laid_out(naturals: Sequence[int], width: int | None) -> list[_Column]:
    """A place for each column: beside the one before it, or at the beginning of a further line."""
    if width is None:
        width = sum(naturals) + _GAP * len(naturals)
    columns: list[_Column] = []
    line = start = 0
    for natural in naturals:
        if start and width - start < min(natural, _LEAST):
            line, start = line + 1, _INDENT
        columns.append(_Column(line, start, min(natural, max(width - start, 1))))
        start += columns[-1].width + _GAP
    return columns


def _row(row: Sequence[str], columns: Sequence[_Column], style: str) -> Iterator[Text]:
    """The lines of one row: its first, and those below it that have anything."""
    for number in range(columns[-1].line + 1):
        here = [
            (column, _wrapped(Text(cell, style=style), column.width))
            for cell, column in zip(row, columns, strict=True)
            if column.line == number
        ]
        for at in range(max(len(texts) for _, texts in here)):
            line = Text(style=style)
            for column, texts in here:
                if at < len(texts):
                    line.pad_right(column.start - line.cell_len)
                    line.append_text(texts[at])
            line.rstrip()
            if line.plain or (number, at) == (0, 0):
                yield line


def _wrapped(text: Text, width: int) -> list[Text]:
    # Most cells fit, and a list may have thousands of them.
    return [text] if text.cell_len <= width else wrap(text, width)
