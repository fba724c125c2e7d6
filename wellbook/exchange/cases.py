"""A file of cases for a calculator: its headers are the calculator's options, each row is one case."""

from __future__ import annotations

import io
import re
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from wellbook.calculators.calculator import Answer, Option
from wellbook.calculators.units import in_unit
from wellbook.errors import WellbookError
from wellbook.exchange.case_headers import GIVEN, meant_by, option_of
from wellbook.exchange.csv_file import delimiter_of
from wellbook.exchange.csv_rows import FileRow, text_rows
from wellbook.exchange.encodings import encoding_of
from wellbook.exchange.headers import plain_header
from wellbook.quantities import quoted

WorkOut = Callable[[Mapping[str, Any]], Answer]
Filled = Callable[[Mapping[str, Any]], Mapping[str, Any]]

# Lines that begin with #, unless that is all of a first header: a column of numbers.
_COMMENTS = re.compile(r"\A(?:[ \t]*#(?![ \t]*[,;|\t])[^\r\n]*(?:[\r\n]+|\Z))+")


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
        for row in self.rows:
            if row.fault:
                raise WellbookError(row.fault, where=f"{self.name}:{row.number}")
        return [dict(zip(self.names, row.cells, strict=False)) for row in self.rows]

    @property
    def names(self) -> tuple[str, ...]:
        """The headers in small letters with `_` between words; one without letters as it stands."""
        return tuple(plain_header(h) or h for h in self.headers)

    def asked(self, results: Collection[str], remarks: Collection[str]) -> CaseFile:
        """The file without an earlier answer, if it has one.

        So what came out can go in again, with other numbers if need be, and is worked out anew. An
        answer is there where all its numbers are, or one of them beside what the file gave by that
        name. One number alone may be the file's own, unless the remarks are there, too.

        Parameters
        ----------
        results
            The numbers of an answer.
        remarks
            What else stands in it; some may have been taken out.
        """
        names = set(self.names)
        whole = {*results, *remarks} if len(results) == 1 else set(results)
        given_beside = any({n, f"{GIVEN}{n}"} <= names for n in (*results, *remarks))
        if not whole <= names and not given_beside:
            return self
        gone = {*results, *remarks}
        keep = [at for at, name in enumerate(self.names) if name not in gone]
        rows = tuple(FileRow(r.number, [r.cells[at] for at in keep], r.fault) for r in self.rows)
        return CaseFile(self.name, self.delimiter, tuple(self.headers[at] for at in keep), rows)

    def written_headers(self, results: Sequence[str]) -> list[str]:
        """Its headers in the answer, and the results': each of these stands under its own name."""
        written: list[str] = []
        for header, name in zip(self.headers, self.names, strict=True):
            own = f"{GIVEN}{name}" if name in results else header
            while own and own in written:
                own = f"{GIVEN}{own}"
            written.append(own)
        return [*written, *results]

    def columns(
        self,
        options: Sequence[Option],
        results: Sequence[str],
        beside: Callable[[str], Collection[str]],
    ) -> dict[str, Column]:
        """Which column is which option, at least one.

        Parameters
        ----------
        options
            What the calculator can be given.
        results
            What the answer adds: a column of such a name that is no option is no slip of one.
        beside
            Which options say in another way what one says.

        Raises
        ------
        WellbookError
            Where none is, two are headed alike or are the same option, or one is nearly one of them.
        """
        heads = [(at, name) for at, name in enumerate(self.names) if name]
        for n, (at, name) in enumerate(heads):
            before = [other for other, same in heads[:n] if same == name]
            if before:
                raise self._two_are(name, before[0], at)
        found: dict[str, Column] = {}
        others: list[int] = []
        for at, name in heads:
            match = option_of(name, options, results)
            if match is None:
                others.append(at)
                continue
            option, unit = match
            if option.name in found:
                raise self._two_are(option.name, found[option.name].at, at)
            found[option.name] = Column(at, unit)
        self._refuse_slips(
            [at for at in others if self.names[at] not in results],
            {
                o: [found[n].at for n in beside(o.name) if n in found]
                for o in options
                if o.name not in found
            },
        )
        if not found:
            there = ", ".join(o.name for o in options)
            raise WellbookError(
                f"no column is headed by an option; there are: {there}", where=self.name
            )
        return found

    def _two_are(self, name: str, one: int, other: int) -> WellbookError:
        both = f"{quoted(self.headers[one])} and {quoted(self.headers[other])}"
        return WellbookError(f"two columns are {name}: {both}", where=self.name)

    def _refuse_slips(self, others: Sequence[int], wanted: Mapping[Option, Sequence[int]]) -> None:
        """A header that is nearly an option was meant for one: left unread, the answer would be wrong.

        A column is a label of that name where no cell of it is a value of the option, but beside
        others that say the same in another way.

        Parameters
        ----------
        others
            The columns that are no option.
        wanted
            The options that no column is, each with the columns that say the same in another way.
        """
        for at in others:
            name = self.names[at]
            near = [] if name.startswith(GIVEN) else meant_by(name, tuple(wanted))
            meant = [o.name for o in near if any(_reads(o, c) for c in self._said(at, wanted[o]))]
            if meant:
                raise WellbookError(
                    f"{quoted(self.headers[at])} is no option; did you mean {' or '.join(meant)}?"
                    " A column that is carried through has a name of its own",
                    where=self.name,
                )

    def _said(self, at: int, otherwise: Sequence[int]) -> set[str]:
        """The cells of a column, of those rows that do not say it in another way."""
        return {
            row.cells[at]
            for row in self.rows
            if row.cells[at].strip() and not any(row.cells[n].strip() for n in otherwise)
        }


def _reads(option: Option, cell: str) -> bool:
    try:
        option.read(cell)
    except ValueError:
        return False
    return True


@dataclass(frozen=True, slots=True)
class Column:
    """Where an option stands in a file, and the unit of its bare numbers; "" for the option's own."""

    at: int
    unit: str


def read_cases(data: bytes, name: str) -> CaseFile:
    """A file of cases.

    Parameters
    ----------
    data
        The whole file: parted by commas, tabs or semicolons. Lines above the header that begin
        with # are left out. Below a header of one cell each line is one cell, whatever is in it.
    name
        What it is called in messages.

    Raises
    ------
    WellbookError
        If it is no text, or has no row below a header.
    """
    text = data.decode(encoding_of(io.BytesIO(data), name), errors="replace")
    delimiter = delimiter_of(_COMMENTS.sub("", text[:65536]))
    rows = list(text_rows(io.StringIO(text, newline=""), delimiter))
    while rows and _COMMENTS.match(delimiter.join(rows[0].cells)):
        del rows[0]
    if not rows:
        raise WellbookError("the file is empty", where=name)
    header, *below = rows
    if not below:
        raise WellbookError("there is no row below the header", where=name)
    headers = tuple(h.strip() for h in header.cells)
    if len(headers) == 1:
        # Blank cells at the end are a spreadsheet's, and part nothing.
        whole = (delimiter.join(r.cells).rstrip(f"{delimiter} ") for r in below)
        below = [FileRow(r.number, [w], r.fault) for r, w in zip(below, whole, strict=True)]
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
    file: CaseFile, columns: Mapping[str, Column], filled: Filled, work_out: WorkOut
) -> Iterator[Case]:
    """Every case of a file, in order; one that cannot be worked out has the reason, whatever it is.

    Parameters
    ----------
    columns
        Those of `CaseFile.columns`.
    filled
        What a row says, with what is taken where it says nothing.
    work_out
        Gives the answer, or raises an error with the reason.
    """
    used = {column.at for column in columns.values()}
    for row in file.rows:
        said = {
            name: in_unit(row.cells[column.at], column.unit)
            for name, column in columns.items()
            if row.cells[column.at].strip()
        }
        carried = {
            header or f"column {at + 1}": cell
            for at, (header, cell) in enumerate(zip(file.headers, row.cells, strict=True))
            if at not in used and (header or cell)
        }
        case = Case(row, said, error=row.fault, carried=carried)
        yield case if row.fault else _tried(case, filled, work_out)


def _tried(case: Case, filled: Filled, work_out: WorkOut) -> Case:
    try:
        case = replace(case, given=filled(case.given))
        return replace(case, answer=work_out(case.given))
    except (ValueError, WellbookError) as error:
        return replace(case, error=str(error))
    except Exception as error:
        # A defect of the program in one row must not take the others with it.
        return replace(case, error=f"cannot be worked out ({type(error).__name__}: {error})")
