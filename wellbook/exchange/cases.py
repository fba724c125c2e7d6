"""A file of cases for a calculator: its headers are the calculator's options, each row is one case."""

from __future__ import annotations

import io
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from difflib import get_close_matches
from typing import Any

from wellbook.calculators.calculator import Answer
from wellbook.errors import WellbookError
from wellbook.exchange.csv_file import delimiter_of, encoding_of
from wellbook.exchange.csv_rows import FileRow, text_rows
from wellbook.exchange.headers import plain_header

WorkOut = Callable[[Mapping[str, Any]], Answer]


@dataclass(frozen=True, slots=True)
class CaseFile:
    """The header and the rows of a file; a row has at least as many cells as the header."""

    name: str
    delimiter: str
    headers: tuple[str, ...]
    rows: tuple[FileRow, ...]

    def records(self) -> list[dict[str, str]]:
        """The rows, each as header -> cell, the header in small letters with `_` between words.

        Raises
        ------
        WellbookError
            Where a row cannot be read.
        """
        names = [plain_header(h) for h in self.headers]
        for row in self.rows:
            if row.fault:
                raise WellbookError(row.fault, where=f"{self.name}:{row.number}")
        return [dict(zip(names, row.cells, strict=False)) for row in self.rows]

    def _refuse_a_slip(self, header: str, name: str, names: Sequence[str]) -> None:
        """A header that is nearly an option was meant for one: left unread, the answer would be wrong."""
        # Two letters may be anything: an `id` is no inside diameter.
        parts = [n for n in names if n.startswith(f"{name}_") or n.endswith(f"_{name}")]
        meant = (parts if len(name) > 2 else []) or get_close_matches(
            name, list(names), n=1, cutoff=0.86
        )
        if meant:
            raise WellbookError(
                f"'{header}' is no option; did you mean {' or '.join(meant)}? A column that is carried"
                " through has a name of its own",
                where=self.name,
            )

    def columns(self, names: Sequence[str]) -> dict[str, int]:
        """Which column has which of these names, at least one.

        Raises
        ------
        WellbookError
            Where none has, two have the same, or one is nearly one of them.
        """
        found: dict[str, int] = {}
        for at, header in enumerate(self.headers):
            name = plain_header(header)
            if name not in names:
                self._refuse_a_slip(header, name, names)
                continue
            if name in found:
                raise WellbookError(
                    f"two columns are {name}: '{self.headers[found[name]]}' and '{header}'",
                    where=self.name,
                )
            found[name] = at
        if not found:
            raise WellbookError(
                f"no column is headed by an option; there are: {', '.join(names)}", where=self.name
            )
        return found


def read_cases(data: bytes, name: str) -> CaseFile:
    """A file of cases.

    Parameters
    ----------
    data
        The whole file: parted by commas, tabs or semicolons. Lines above the header that begin
        with # are left out.
    name
        What it is called in messages.

    Raises
    ------
    WellbookError
        If it is no text, or has no row below a header.
    """
    text = data.decode(encoding_of(io.BytesIO(data), name), errors="replace")
    delimiter = delimiter_of(text[:65536])
    rows = list(text_rows(io.StringIO(text, newline=""), delimiter))
    while rows and rows[0].cells[0].startswith("#") and len(rows[0].cells) == 1:
        del rows[0]
    if not rows:
        raise WellbookError("the file is empty", where=name)
    header, *below = rows
    if not below:
        raise WellbookError("there is no row below the header", where=name)
    headers = tuple(h.strip() for h in header.cells)
    return CaseFile(name, delimiter, headers, tuple(_fitted(row, headers) for row in below))


def _fitted(row: FileRow, headers: Sequence[str]) -> FileRow:
    """A row with a cell for each header; what is beyond them, unless blank, is a fault."""
    blanks = [""] * (len(headers) - len(row.cells))
    fault = row.fault
    if not fault and any(c.strip() for c in row.cells[len(headers) :]):
        fault = f"the row has {len(row.cells)} cells, the header {len(headers)}"
    return FileRow(row.number, [*row.cells, *blanks][: len(headers)], fault)


@dataclass(frozen=True, slots=True)
class Case:
    """One row: its cells, what was given with it, and its answer, or why there is none."""

    row: FileRow
    given: Mapping[str, Any]
    answer: Answer | None = None
    error: str = ""
    carried: Mapping[str, str] = field(default_factory=dict)


def worked_out(
    file: CaseFile, names: Sequence[str], fill: Mapping[str, Any], work_out: WorkOut
) -> Iterator[Case]:
    """Every case of a file, in order.

    Parameters
    ----------
    names
        What the calculator can be given.
    fill
        What is taken where a row has nothing.
    work_out
        Gives the answer, or raises ValueError with the reason.

    Raises
    ------
    WellbookError
        Where no column is known, or two are the same.
    """
    columns = file.columns(names)
    for row in file.rows:
        said = {n: row.cells[at] for n, at in columns.items() if row.cells[at].strip()}
        given = {**fill, **said}
        carried = {
            h: c
            for at, (h, c) in enumerate(zip(file.headers, row.cells, strict=True))
            if at not in columns.values()
        }
        if row.fault:
            yield Case(row, given, error=row.fault, carried=carried)
            continue
        try:
            yield Case(row, given, work_out(given), carried=carried)
        except ValueError as error:
            yield Case(row, given, error=str(error), carried=carried)
