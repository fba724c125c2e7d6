"""The rows of a CSV file one by one, each with its number and with what is wrong in its writing.

A quote that opens and is never closed swallows the rows behind it: to a reader of CSV they are one
long cell. A clerk sees it: the row with the quote is set aside, and the next line is read as a row.

Rows come one by one and a line has a longest length, so that memory does not grow with the file.
"""

from __future__ import annotations

import csv
import re
from collections import Counter, deque
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TextIO

from wellbook.errors import WellbookError
from wellbook.exchange.encodings import ODD, is_mostly_utf8, mended, opened

_MOST_LINES = 200
"""Of one row. The longest in the open sets of well records has 8, a remark in short lines."""
LONGEST = 4_000_000
"""Letters of a line. The longest in the open sets of well records has some thousands."""
_OPEN = 'a quote (") is not closed, or stands within quotes: close it, or write it twice'
_WIDEST = 131_072
"""Letters of one cell: the reader's own limit, unless something in the process has raised that."""
_TOO_WIDE = f"a cell of more than {_WIDEST:,} letters"
_NUL = "a sign in it is a zero byte, which no text has"


@dataclass(frozen=True, slots=True)
class FileRow:
    """A row: its number as a spreadsheet counts them, its cells, and why it cannot be read."""

    number: int
    cells: list[str]
    fault: str = ""


class _Lines:
    """The lines of a file. What was taken for one row can be put back, all but its first line."""

    def __init__(self, file: TextIO) -> None:
        self.file = file
        self.again: deque[str] = deque()
        self.taken: list[str] = []

    def __iter__(self) -> _Lines:
        return self

    def __next__(self) -> str:
        if len(self.taken) == _MOST_LINES:
            raise csv.Error(f"more than {_MOST_LINES} lines")
        line = self.again.popleft() if self.again else self.file.readline(LONGEST)
        if not line:
            raise StopIteration
        if len(line) >= LONGEST:
            raise too_long()
        self.taken.append(line)
        return line

    def put_back(self) -> str:
        first, *rest = self.taken
        self.again.extendleft(reversed(rest))
        return first


def too_long() -> WellbookError:
    """What is said of a file with a line without end."""
    return WellbookError(f"a line has more than {LONGEST:,} letters; this is no table of rows")


def file_rows(path: Path, encoding: str, delimiter: str, escape: str = "") -> Iterator[FileRow]:
    """The rows of a file; comments, empty ones and a line that names the delimiter left out.

    A comment begins with "#" and a blank, or has but one cell: "#12" is the number of a well.

    Raises
    ------
    WellbookError
        If the file cannot be read, or is no text in this encoding.
    """
    told = False
    try:
        with opened(path, encoding) as file:
            for row in text_rows(file, delimiter, escape):
                if _is_comment(row.cells) or (row.number == 1 and _is_sep(row.cells)):
                    continue
                cells = [c if c.isascii() else mended(c) for c in row.cells]
                if cells == row.cells:
                    yield row
                    continue
                if not told and not is_mostly_utf8(path):
                    raise UnicodeError
                told = True
                yield replace(row, cells=cells, fault=row.fault or ODD)
    except WellbookError as error:
        raise WellbookError(error.message, where=str(path)) from None
    except OSError as error:
        raise WellbookError(error.strerror or "cannot be read", where=str(path)) from None
    except UnicodeError:
        raise WellbookError(
            f'it is no text in {encoding}; of an older program on Windows, encoding = "cp1252"',
            where=str(path),
        ) from None


def _is_comment(cells: list[str]) -> bool:
    first, *rest = cells
    return first.startswith("#") and (
        re.match(r"#[#!\s]", first) is not None or not any(c.strip() for c in rest)
    )


def _is_sep(cells: list[str]) -> bool:
    """Whether a first line only names the delimiter, as spreadsheets read it: `sep=;`."""
    return re.fullmatch(r"sep=.?", cells[0], re.IGNORECASE) is not None and not any(cells[1:])


def text_rows(file: TextIO, delimiter: str, escape: str = "") -> Iterator[FileRow]:
    """The rows of an open text (newline=""); empty ones left out, comments not.

    Blanks behind a delimiter are no part of a cell: else a quote behind one would open nothing.
    """
    lines = _Lines(file)
    reader = csv.reader(
        lines,
        delimiter=delimiter,
        strict=True,
        skipinitialspace=True,
        escapechar=escape or None,
    )
    widths: Counter[int] = Counter()
    number = torn = 0
    while True:
        lines.taken.clear()
        number += 1
        fault = _OPEN
        cells: list[str] | None
        try:
            cells = next(reader)
            if any(len(c) > _WIDEST for c in cells):
                cells, fault = None, _TOO_WIDE
        except StopIteration:
            return
        except csv.Error as error:
            cells, fault = None, _TOO_WIDE if "field limit" in str(error) else _OPEN
        if cells is None or _are_rows(lines.taken, delimiter, widths):
            torn = number
            yield FileRow(number, lines.put_back().rstrip("\r\n").split(delimiter), fault)
            continue
        if not any(c.strip() for c in cells):
            continue
        if cells[0].startswith("#"):
            # A comment, or a cell such as "#12": it says nothing of how wide the rows are.
            yield FileRow(number, cells)
            continue
        if any("\0" in c for c in cells):
            yield FileRow(number, cells, _NUL)
            continue
        if torn and len(cells) != (_usual(widths) or len(cells)):
            fault = f"not a whole row: it may be what follows the open quote of row {torn}"
            yield FileRow(number, cells, fault)
            continue
        torn = 0
        widths[len(cells)] += 1
        yield FileRow(number, cells)


def _usual(widths: Counter[int]) -> int:
    """How many cells most rows have had."""
    return max(widths, key=widths.__getitem__, default=0)


def _are_rows(lines: list[str], delimiter: str, widths: Counter[int]) -> bool:
    """Whether the lines of one long row would each be a row by itself.

    Of two cells a row has one delimiter, and so has many an address of two lines: from three on.
    """
    if len(lines) == 1:
        return False
    usual = _usual(widths)
    return usual > 2 and all(line.count(delimiter) == usual - 1 for line in lines)
