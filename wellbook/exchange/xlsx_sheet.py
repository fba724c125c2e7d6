"""The rows of one sheet, read from its XML one after another: memory does not grow with them.

The sheet is gone through twice. The first time only its bytes are looked at: where its last value
stands (a sheet of styled but empty rows may go on to row 1,048,576), which cells are merged, and how
many rows are hidden, all of which the file says only at its end. The second time it is parsed.
A formula is never worked out: the value that was kept with it counts.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from typing import IO
from xml.parsers import expat

_PIECE = 1 << 18
_OVERLAP = 256
_MOST_COLUMNS, _MOST_ROWS = 16_384, 1_048_576
_MOST_MERGED = 200_000
_LONGEST = 1_000_000
_ENDS = (b"</v>", b":v>", b"</is>", b":is>", b"<f", b":f ", b":f>")
_MERGED = re.compile(rb'mergeCell [^>]*?ref="([A-Z]{1,3})(\d{1,7}):([A-Z]{1,3})(\d{1,7})"')
_HIDDEN = re.compile(rb'<(?:\w+:)?row [^>]*?hidden="(?:1|true)"')
_NO_VALUE = "a formula without a value; open the workbook in a spreadsheet program and save it"

ShowNumber = Callable[[str, int], str]
"""The text of a stored number, of a style."""


class SheetError(Exception):
    """A sheet that no program writes."""


@dataclass(frozen=True, slots=True)
class SheetRow:
    """A row: its number, the text of its cells, and by column (from 0) what cannot be read."""

    number: int
    cells: list[str]
    bad: dict[int, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Scan:
    """What is known of a sheet before it is parsed: `last` is where its last value ends, in bytes.

    `merged` holds, by its first row, the column of each merged range of several rows and its last
    row.
    """

    last: int
    merged: dict[int, list[tuple[int, int]]]
    hidden: int


def scan(part: IO[bytes]) -> Scan:
    """Look through the bytes of a sheet."""
    last = at = hidden = ranges = 0
    merged: dict[int, list[tuple[int, int]]] = defaultdict(list)
    tail = b""
    while piece := part.read(_PIECE):
        both = tail + piece
        start = at - len(tail)
        end = max(both.rfind(sign) for sign in _ENDS)
        last = max(last, start + end + 8) if end >= 0 else last
        for found in _MERGED.finditer(both):
            ranges += found.end() > len(tail)
            top, bottom = int(found[2]), int(found[4])
            if found.end() > len(tail) and bottom > top and ranges <= _MOST_MERGED:
                merged[top].append((column_of(found[1].decode()) - 1, bottom))
        hidden += sum(m.end() > len(tail) for m in _HIDDEN.finditer(both))
        at += len(piece)
        tail = both[-_OVERLAP:]
    return Scan(last, merged, hidden)


@lru_cache(maxsize=1 << 15)
def column_of(letters: str) -> int:
    """The number of a column, from 1; beyond the last one for what is no column.

    >>> column_of("A"), column_of("AB"), column_of("XFD")
    (1, 28, 16384)
    """
    if not re.fullmatch("[A-Z]{1,3}", letters):
        return _MOST_COLUMNS + 1
    number = 0
    for letter in letters:
        number = number * 26 + ord(letter) - 64
    return number


def rows(
    part: IO[bytes], strings: Sequence[str], show: ShowNumber, found: Scan | None = None
) -> Iterator[SheetRow]:
    """The rows of a sheet that hold something.

    Raises
    ------
    SheetError
        If it is not what a spreadsheet program writes.
    """
    reader = _Reader(strings, show)
    fed = 0
    filling = _Filling(found.merged if found else {})
    while piece := part.read(_PIECE):
        try:
            reader.parser.Parse(piece)
        except expat.ExpatError as error:
            raise SheetError(str(error)) from None
        fed += len(piece)
        for row in reader.take():
            if any(c.strip() for c in row.cells) or row.bad:
                filling.fill(row)
                yield row
        if found and fed >= found.last and reader.between_rows:
            return


class _Filling:
    """The value of a merged range counts for each of its rows."""

    def __init__(self, merged: dict[int, list[tuple[int, int]]]) -> None:
        self.merged = merged
        self.open: dict[int, tuple[int, str]] = {}

    def fill(self, row: SheetRow) -> None:
        if not self.merged:
            return
        for column, (bottom, text) in list(self.open.items()):
            if row.number > bottom:
                del self.open[column]
            elif text:
                row.cells.extend([""] * (column + 1 - len(row.cells)))
                row.cells[column] = row.cells[column] or text
        for column, bottom in self.merged.get(row.number, ()):
            self.open[column] = bottom, row.cells[column] if column < len(row.cells) else ""


class _Reader:
    """Takes the events of the XML, gives rows."""

    def __init__(self, strings: Sequence[str], show: ShowNumber) -> None:
        self.strings, self.show = strings, show
        self.parser = expat.ParserCreate()
        self.parser.buffer_text = True
        self.parser.StartElementHandler = self._start
        self.parser.EndElementHandler = self._end
        self.parser.StartDoctypeDeclHandler = self._refuse
        self.done: list[SheetRow] = []
        self.number = self.column = 0
        self.between_rows = True
        self.inside: list[str] = []
        self.text: list[str] = []

    def take(self) -> list[SheetRow]:
        done, self.done = self.done, []
        return done

    @staticmethod
    def _refuse(*_: object) -> None:
        raise SheetError("a document type")

    def _start(self, tag: str, attributes: dict[str, str]) -> None:
        name = tag.rpartition(":")[2]
        if name == "c":
            self._cell(attributes)
        elif name == "row":
            self.number = self._whole(attributes.get("r", ""), self.number + 1, _MOST_ROWS)
            self.column = 0
            self.cells: list[str] = []
            self.bad: dict[int, str] = {}
            self.between_rows = False
        elif name in ("v", "t"):
            self.text, self.length = [], 0
            self.has_value = True
            self.parser.CharacterDataHandler = self._data
        elif name == "f":
            self.formula = True
        elif name == "rPh":
            self.spoken = True

    def _cell(self, attributes: dict[str, str]) -> None:
        letters = attributes.get("r", "").rstrip("0123456789")
        self.column = column_of(letters) if letters else self.column + 1
        if self.column > _MOST_COLUMNS or self.between_rows:
            raise SheetError("a cell off the sheet")
        self.type = attributes.get("t", "n")
        style = attributes.get("s", "")
        self.style = self._whole(style, 0, 1 << 20) if style else 0
        self.value = ""
        self.has_value = self.formula = self.spoken = False

    @staticmethod
    def _whole(text: str, other: int, most: int) -> int:
        if not text:
            return other
        if not text.isdecimal() or len(text) > 8 or int(text) > most:
            raise SheetError(f"a number {text[:20]}")
        return int(text)

    def _data(self, data: str) -> None:
        self.length += len(data)
        if self.length > _LONGEST:
            raise SheetError("a cell without end")
        self.text.append(data)

    def _end(self, tag: str) -> None:
        name = tag.rpartition(":")[2]
        if name in ("v", "t"):
            self.parser.CharacterDataHandler = None
            if not self.between_rows and self.column and not self.spoken:
                self.value += "".join(self.text)
        elif name == "rPh":
            self.spoken = False
        elif name == "c":
            self._keep()
        elif name == "row":
            self.done.append(SheetRow(self.number, self.cells, self.bad))
            self.between_rows = True

    def _keep(self) -> None:
        at = self.column - 1
        text, why = self._told()
        if not text and not why:
            return
        self.cells.extend([""] * (at + 1 - len(self.cells)))
        self.cells[at] = text
        if why:
            self.bad[at] = why

    def _told(self) -> tuple[str, str]:
        """The text of a cell, and why it cannot be read."""
        if not self.has_value:
            return "", _NO_VALUE if self.formula else ""
        if self.type == "s":
            at = int(self.value) if self.value.strip().isdecimal() else -1
            if not 0 <= at < len(self.strings):
                raise SheetError("a text that is not there")
            return self.strings[at], ""
        if self.type in ("str", "inlineStr", "d"):
            return self.value, ""
        if self.type == "b":
            return ("TRUE" if self.value.strip() in ("1", "true") else "FALSE"), ""
        if self.type == "e":
            unknown = self.value.strip() == "#N/A"
            return self.value, "" if unknown else f"the error {self.value.strip()[:20]}"
        return (self.show(self.value, self.style), "") if self.value.strip() else ("", "")
