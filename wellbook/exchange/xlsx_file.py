"""A workbook: which of its sheets is read, where its header is, and the rows below it."""

from __future__ import annotations

import warnings
from collections.abc import Iterable, Iterator
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import cached_property, lru_cache
from itertools import islice
from pathlib import Path
from typing import Any
from zipfile import ZipFile

from wellbook.errors import WellbookError
from wellbook.exchange import xlsx_guard, xlsx_sheet
from wellbook.exchange.cell_dates import SERIALS
from wellbook.exchange.csv_rows import FileRow
from wellbook.exchange.header_lines import header_at, header_in
from wellbook.exchange.headers import matched
from wellbook.exchange.layout import REASON, Layout
from wellbook.exchange.mapping import WellMapping, is_date, places_of
from wellbook.exchange.xlsx_cells import number_text

_SAMPLE = 400
_FIRST = 60
"""Rows of each sheet by which the one to read is chosen."""
_START = xlsx_sheet.Scan(last=2_000_000, merged={}, hidden=0)
"""They stand in its first bytes, or the sheet is empty there."""


@dataclass(frozen=True)
class _Sheet:
    """A sheet: its name, where its XML is, and whether it is hidden."""

    name: str
    part: str
    hidden: bool


@dataclass(frozen=True)
class _Workbook:
    """What the sheets of a workbook share: texts, the formats of styles, the first day."""

    sheets: tuple[_Sheet, ...]
    strings: tuple[str, ...]
    formats: tuple[str, ...]
    epoch: datetime

    @cached_property
    def show(self) -> xlsx_sheet.ShowNumber:
        """The text of a stored number; the same numbers come again and again."""

        @lru_cache(maxsize=1 << 15)
        def show(raw: str, style: int) -> str:
            code = self.formats[style] if style < len(self.formats) else "General"
            return number_text(raw, code, self.epoch)

        return show


def look(path: Path, sheet: str = "") -> Layout:
    """Which sheet is read, its header and its first rows.

    Raises
    ------
    WellbookError
        If it is no workbook, has no such sheet, or the sheet is empty.
    """
    book = _load(path)
    chosen, counts = _chosen(path, book, sheet)
    found = _scanned(path, chosen)
    first = list(islice(_rows(path, book, chosen, found), _SAMPLE))
    if not first:
        raise WellbookError(f"the sheet '{chosen.name}' is empty", where=str(path))
    header = header_in([(r.number, r.cells) for r in first])
    said = {}
    if len(book.sheets) > 1 or chosen.hidden:
        said["sheet"] = _told_sheets(book, chosen, counts)
    if found.hidden:
        said["hidden"] = f"rows: {found.hidden:,} are hidden in the sheet, and are read as others"
    if found.merged:
        said["merged"] = "cells: the value of merged cells counts for each of their rows"
    return Layout(
        encoding="utf-8",
        delimiter=",",
        header_row=header.row,
        header_lines=header.lines,
        headers=header.names,
        sample=tuple(tuple(r.cells) for r in first if r.number > header.row),
        form="xlsx",
        sheet=chosen.name,
        said=said,
    )


def header_of(path: Path, mapping: WellMapping) -> tuple[str, ...]:
    """The header of the sheet; empty where there is none."""
    if not mapping.header_row:
        return ()
    book = _load(path)
    rows = _rows(path, book, _named(path, book, mapping.sheet), None)
    at = (FileRow(r.number, r.cells) for r in rows)
    return header_at(at, mapping.header_row, mapping.header_lines)


def data_rows(path: Path, mapping: WellMapping) -> Iterator[FileRow]:
    """The rows below the header. What cannot be read is a fault in a column that is read."""
    book = _load(path)
    sheet = _named(path, book, mapping.sheet)
    header = header_of(path, mapping)
    used = {n: t for t, c in mapping.columns.items() for n in places_of(c, header)}
    dates = {n for n, t in used.items() if is_date(t) or t == "visit.on"}
    for row in _rows(path, book, sheet, _scanned(path, sheet)):
        if row.number > mapping.header_row:
            faults = [
                f"{_place(n, row.number)} is {why}" for n, why in row.bad.items() if n in used
            ]
            cells = [_dated(c, book) if n in dates else c for n, c in enumerate(row.cells)]
            yield FileRow(row.number, cells, "; ".join(faults))


def write_refused(
    path: Path,
    mapping: WellMapping,
    header: tuple[str, ...],
    rows: Iterable[tuple[list[str], str]],
) -> None:
    """Write rows with a last column as a sheet of the same name; all cells are text.

    Raises
    ------
    OSError
        If it cannot be written.
    """
    from openpyxl import Workbook
    from openpyxl.cell import WriteOnlyCell
    from openpyxl.cell.cell import ILLEGAL_CHARACTERS_RE

    book = Workbook(write_only=True)
    sheet: Any = book.create_sheet(mapping.sheet or "Sheet1")

    def cell(text: str) -> Any:
        # A text that begins with "=" would be a formula, and run.
        made: Any = WriteOnlyCell(sheet, "")
        made._value = ILLEGAL_CHARACTERS_RE.sub("", text)[:32_767]
        made.data_type = "s"
        return made

    for _ in range(mapping.header_row - 1):
        sheet.append([])
    if header:
        sheet.append([cell(c) for c in (*header, REASON)])
    for cells, reason in rows:
        blanks = [""] * (len(header) - len(cells))
        last = reason if header else f"{REASON}: {reason}"
        sheet.append([cell(c) for c in (*cells, *blanks, last)])
    book.save(path)


def _place(n: int, row: int) -> str:
    from openpyxl.utils import get_column_letter

    return f"{get_column_letter(n + 1)}{row}"


def _dated(text: str, book: _Workbook) -> str:
    """A date that was kept as a plain number in a workbook that counts from 1904."""
    if book.epoch.year != 1904 or not text.isdecimal() or int(text) not in SERIALS:
        return text
    return (book.epoch + timedelta(days=int(text))).date().isoformat()


# -- sheets ------------------------------------------------------------------------------------


def _chosen(path: Path, book: _Workbook, wanted: str) -> tuple[_Sheet, dict[str, int]]:
    """The sheet that is wanted, else the one with most known headers; how many each has."""
    if wanted:
        return _named(path, book, wanted), {}
    counts = {}
    for sheet in book.sheets:
        first = list(islice(_rows(path, book, sheet, _START), _FIRST))
        header = header_in([(r.number, r.cells) for r in first]) if first else None
        counts[sheet.name] = matched(header.names) if header else -1
    best = max(book.sheets, key=lambda s: (counts[s.name], not s.hidden))
    return best, counts


def _named(path: Path, book: _Workbook, wanted: str) -> _Sheet:
    if not wanted:
        return next((s for s in book.sheets if not s.hidden), book.sheets[0])
    for sheet in book.sheets:
        if sheet.name.strip().lower() == wanted.strip().lower():
            return sheet
    names = ", ".join(f"'{s.name}'" for s in book.sheets)
    raise WellbookError(f"there is no sheet '{wanted}'; there are {names}", where=str(path))


def _told_sheets(book: _Workbook, chosen: _Sheet, counts: dict[str, int]) -> str:
    def told(sheet: _Sheet) -> str:
        known = counts.get(sheet.name)
        words = ["empty"] if known == -1 else [f"{known} headers known"] if known else []
        words += ["hidden"] if sheet.hidden else []
        return f"'{sheet.name}'" + (f" ({', '.join(words)})" if words else "")

    others = ", ".join(told(s) for s in book.sheets if s is not chosen)
    said = f"sheet: {told(chosen)} is read"
    return f"{said}; others: {others}; --sheet NAME reads another" if others else said


def _rows(
    path: Path, book: _Workbook, sheet: _Sheet, found: xlsx_sheet.Scan | None
) -> Iterator[xlsx_sheet.SheetRow]:
    try:
        with ZipFile(path) as archive, archive.open(sheet.part) as part:
            yield from xlsx_sheet.rows(part, book.strings, book.show, found)
    except WellbookError:
        raise
    except Exception as error:  # a damaged ZIP or XML fails in many ways
        raise xlsx_guard.damaged(path) from error


def _scanned(path: Path, sheet: _Sheet) -> xlsx_sheet.Scan:
    stat = path.stat()
    return _scan(path, sheet.part, stat.st_mtime_ns, stat.st_size)


@lru_cache(maxsize=1)
def _scan(path: Path, part_name: str, _changed_ns: int, _size: int) -> xlsx_sheet.Scan:
    """What the bytes of a sheet tell, kept for the next pass over the same file."""
    try:
        with ZipFile(path) as archive, archive.open(part_name) as part:
            return xlsx_sheet.scan(part)
    except Exception as error:  # a damaged ZIP fails in many ways
        raise xlsx_guard.damaged(path) from error


def _load(path: Path) -> _Workbook:
    try:
        stat = path.stat()
        return _loaded(path, stat.st_mtime_ns, stat.st_size)
    except OSError as error:
        raise WellbookError(error.strerror or "cannot be read", where=str(path)) from None


@lru_cache(maxsize=1)
def _loaded(path: Path, _changed_ns: int, _size: int) -> _Workbook:
    """What the sheets share, kept for the next pass over the same file."""
    xlsx_guard.check(path)
    try:
        with warnings.catch_warnings():
            # What it warns of (styles, headers and footers of the page) is nothing to a reader.
            warnings.simplefilter("ignore")
            return _not_empty(_shared(path), path)
    except (WellbookError, OSError):
        raise
    except Exception as error:  # a damaged workbook fails in many ways
        raise xlsx_guard.damaged(path) from error


def _shared(path: Path) -> _Workbook:
    # The library's own way goes through every sheet that does not say how large it is.
    from openpyxl.reader.excel import ExcelReader
    from openpyxl.styles.stylesheet import apply_stylesheet

    reader: Any = ExcelReader(path, read_only=True, data_only=True, keep_links=False)
    try:
        reader.read_manifest()
        with suppress(KeyError):  # some programs announce a table of texts and write none
            reader.read_strings()
        reader.read_workbook()
        apply_stylesheet(reader.archive, reader.wb)
        sheets = tuple(
            _Sheet(sheet.name, relation.target, sheet.state != "visible")
            for sheet, relation in reader.parser.find_sheets()
            if relation.Type.endswith("/worksheet")
        )
        strings = tuple(map(str, reader.shared_strings))
        formats = tuple(_format(reader.wb, style.numFmtId) for style in reader.wb._cell_styles)
        return _Workbook(sheets, strings, formats, reader.wb.epoch)
    finally:
        reader.archive.close()


def _not_empty(book: _Workbook, path: Path) -> _Workbook:
    if not book.sheets:
        raise WellbookError("the workbook has no sheet", where=str(path))
    return book


def _format(book: Any, number: int) -> str:
    from openpyxl.styles.numbers import BUILTIN_FORMATS

    own: list[str] = book._number_formats
    if number < 164:
        return str(BUILTIN_FORMATS.get(number, "General"))
    return own[number - 164] if number - 164 < len(own) else "General"
