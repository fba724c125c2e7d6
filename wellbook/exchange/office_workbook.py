"""A workbook for the office: what one sorts, filters and prints, a sheet for each kind of thing.

It is for reading: nothing is read back from it. Every text is written as a text and never as a formula
(ECMA-376 part 1, 18.18.11: the type of a cell), so that nothing in it is run; a date that is known
to the day is a date, one that is uncertain stands in its own words. Rows go into the file as they come.
"""

from __future__ import annotations

import re
import tempfile
from collections.abc import Iterable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

from wellbook.errors import WellbookError
from wellbook.exchange.office_sheets import SHEETS, OfficeSheet
from wellbook.store.book import Book
from wellbook.terms import Role
from wellbook.whole_files import new_file

_MOST_ROWS = 1_048_576
_MOST_SIGNS = 32_767
"""What a sheet and a cell hold (published limits of the format's best-known programs). Signs are counted
in UTF-16, so that most pictures (emoji) are two."""
_CUT = " … (cut)"
_FIRST_DATE = date(1900, 3, 1)
"""Before it the serial numbers of days are counted in two ways: an older date stands as text."""
_ODD = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]|_(?=x[0-9A-Fa-f]{4}_)")


_HALF_CODE = re.compile("_(x[0-9A-F]{0,4})?$")


@dataclass(frozen=True, slots=True)
class Workbook:
    """What was written: how many rows of each sheet, and how many texts were too long for a cell."""

    rows: dict[str, int]
    cut: int


def write_workbook(book: Book, path: Path, today: date, role: Role | None) -> Workbook:
    """Write the workbook.

    Parameters
    ----------
    today
        The day as of which it is.
    role
        Only wells of this role; None for all.

    Raises
    ------
    WellbookError
        If there is something of that name, it cannot be written, or a sheet would be too long.
    """
    from openpyxl import Workbook as Office

    cells = _Cells()
    with new_file(path) as part, _underway(part.parent), book.reading() as connection:
        office = Office(write_only=True)
        try:
            pages = [_Page(office, cells, sheet) for sheet in SHEETS]
            for source in dict.fromkeys(sheet.source for sheet in SHEETS):
                its = [page for page in pages if page.sheet.source is source]
                for thing in source(connection, today, role):
                    for page in its:
                        page.take(thing)
            for page in pages:
                page.end()
        except BaseException:
            # Else the library complains at the program's end of a sheet that was never closed.
            for half in office.worksheets:
                with suppress(Exception):
                    half.close()
            raise
        office.save(part)
    return Workbook({page.sheet.title: page.count for page in pages}, cells.cut)


@contextmanager
def _underway(folder: Path) -> Iterator[None]:
    """Let the library keep its sheets there until they are put together, and not where all programs do.

    They hold what the workbook holds, and need more room than that; a run that is killed leaves them.
    """
    before = tempfile.tempdir
    tempfile.tempdir = str(folder)
    try:
        yield
    finally:
        tempfile.tempdir = before


class _Page:
    """A sheet that is being written, row by row."""

    def __init__(self, office: Any, cells: _Cells, sheet: OfficeSheet) -> None:
        from openpyxl.utils import get_column_letter

        self.sheet, self.cells, self.count = sheet, cells, 0
        self.page = office.create_sheet(sheet.title)
        self.page.freeze_panes = "B2"
        for n, (_, width) in enumerate(sheet.columns, 1):
            self.page.column_dimensions[get_column_letter(n)].width = width
        self.page.append(cells.header(self.page, [heading for heading, _ in sheet.columns]))

    def take(self, thing: Any) -> None:
        """Write the rows of one thing of the sheet's source."""
        for values in self.sheet.rows(thing):
            self.count += 1
            if self.count == _MOST_ROWS:
                raise WellbookError(
                    f"the sheet {self.sheet.title} would have more than {_MOST_ROWS:,} rows, the most"
                    " that a workbook holds; narrow it with --role ours, or take the package:"
                    " wellbook export FOLDER"
                )
            self.page.append(self.cells.row(self.page, values))

    def end(self) -> None:
        """Let all columns be filtered."""
        from openpyxl.utils import get_column_letter

        last = get_column_letter(len(self.sheet.columns))
        self.page.auto_filter.ref = f"A1:{last}{self.count + 1}"


class _Cells:
    """Makes cells, and counts the texts that were too long."""

    def __init__(self) -> None:
        self.cut = 0

    def header(self, page: Any, headings: Iterable[str]) -> Iterator[Any]:
        from openpyxl.styles import Alignment, Font

        for heading in headings:
            cell = self._text(page, heading)
            cell.font = Font(bold=True)
            cell.alignment = Alignment(wrap_text=True, vertical="top")
            yield cell

    def row(self, page: Any, values: Iterable[Any]) -> Iterator[Any]:
        from openpyxl.cell import WriteOnlyCell

        for value in values:
            if value is None or value == "":
                yield None
            elif isinstance(value, str):
                yield self._text(page, value)
            elif isinstance(value, date) and value < _FIRST_DATE:
                yield self._text(page, value.isoformat())
            else:
                cell = WriteOnlyCell(page, value)
                if isinstance(value, date):
                    cell.number_format = "yyyy-mm-dd"
                yield cell

    def _text(self, page: Any, text: str) -> Any:
        from openpyxl.cell import WriteOnlyCell

        fit = text.replace("\r\n", "\n").replace("\r", "\n")
        fit = _ODD.sub(_coded, fit)
        if _signs(fit) > _MOST_SIGNS:
            self.cut += 1
            fit = _cut(fit, _MOST_SIGNS - len(_CUT)) + _CUT
        cell = WriteOnlyCell(page, fit)
        # A text that begins with = was taken for a formula; the mark keeps it a text when edited.
        cell.data_type = "s"
        if fit.lstrip()[:1] in ("=", "+", "-", "@"):
            cell.quotePrefix = True
        return cell


def _signs(text: str) -> int:
    """How many signs a text has, as a workbook's programs count."""
    return len(text.encode("utf-16-le")) // 2


def _cut(text: str, most: int) -> str:
    """The beginning of a text, of so many signs at most; no sign and no code of one is left in half.

    >>> _cut("a\N{WATER WAVE}b", 2), _cut("ab_x0001_", 7), _cut("a_b", 2)
    ('a', 'ab', 'a')
    """
    short = text.encode("utf-16-le")[: 2 * most].decode("utf-16-le", "ignore")
    return _HALF_CODE.sub("", short)


def _coded(found: re.Match[str]) -> str:
    """A sign that XML cannot hold, and what would be read as one (ECMA-376 part 1, 22.9.2.19)."""
    sign = found[0]
    return "\N{REPLACEMENT CHARACTER}" if "\ud800" <= sign <= "\udfff" else f"_x{ord(sign):04X}_"
