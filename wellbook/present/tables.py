"""Plain aligned columns, without borders, for lists."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from rich.cells import cell_len
from rich.text import Text

from wellbook.present.text import clean, wrap

_GAP = 2
_INDENT = 2
# A column may be squeezed to this before another goes on a line below.
_LEAST = 20


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

    On a narrow terminal the widest columns wrap; what has no room even then goes on a further line,
    indented, below the row that it belongs to. The headers stand in the same shape, and what is
    empty there takes no line.

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
    lines: list[list[int]] = [[]]
    for natural in naturals:
        start = _INDENT if len(lines) > 1 else 0
        if lines[-1] and not _fits([*lines[-1], natural], _LEAST, width - start):
            lines.append([])
        lines[-1].append(natural)
    return [
        column
        for number, line in enumerate(lines)
        for column in _on_a_line(number, line, _INDENT if number else 0, width)
    ]


def _fits(naturals: Sequence[int], widest: int, room: int) -> bool:
    """Whether columns stand side by side in a room where none of them is wider than so much."""
    return sum(min(n, widest) + _GAP for n in naturals) - _GAP <= room


def _on_a_line(number: int, naturals: Sequence[int], start: int, width: int) -> Iterator[_Column]:
    widest = max(naturals)
    while widest > 1 and not _fits(naturals, widest, width - start):
        widest -= 1
    for natural in naturals:
        yield _Column(number, start, min(natural, widest))
        start += min(natural, widest) + _GAP


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
