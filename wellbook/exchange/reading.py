"""A file of records, whatever its form: how it is written, its header, its rows, and the refused.

What a file is, is told from what stands in it and not from its name. Each form has a module of its
own; nobody else asks which form a file has.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from pathlib import Path

from wellbook.errors import WellbookError
from wellbook.exchange import csv_file
from wellbook.exchange.csv_rows import FileRow
from wellbook.exchange.layout import Layout
from wellbook.exchange.mapping import WellMapping
from wellbook.exchange.well_record import Remark


def look(path: Path, sheet: str = "") -> Layout:  # noqa: ARG001
    """How a file is written, where its header is, and its first rows.

    Parameters
    ----------
    path
        The file: text parted by a sign, a workbook, or contacts.
    sheet
        Of a workbook, the sheet that is wanted; "" for the one with the most known headers.

    Raises
    ------
    WellbookError
        If it is none of these, is empty, or has no such sheet.
    """
    return csv_file.look(path)


def header_of(path: Path, mapping: WellMapping) -> tuple[str, ...]:
    """The header of a file, read as a mapping says; empty where there is none."""
    return csv_file.header_of(path, mapping)


def data_rows(path: Path, mapping: WellMapping) -> Iterator[FileRow]:
    """The rows below the header one by one, each with what is wrong in its writing."""
    return csv_file.data_rows(path, mapping)


def write_refused(
    path: Path,
    source_path: Path,
    mapping: WellMapping,
    header: tuple[str, ...],
    rows: Iterable[tuple[list[str], list[Remark]]],
) -> None:
    """Write refused rows as they stood, in the form of their file, with a column for the reason.

    The header stands in the row in which the source has it, so that the same mapping reads both.

    Parameters
    ----------
    path
        The file to write; what was there is lost.
    source_path
        The file that the rows are from.
    mapping
        How that was read.
    header
        Its header.
    rows
        The cells of each row, and what is wrong with it.

    Raises
    ------
    WellbookError
        If it cannot be written, or is the source.
    """
    try:
        if path.exists() and path.samefile(source_path):
            raise WellbookError("that is the file that is read", where=str(path))
        told = ((cells, reason_of(remarks)) for cells, remarks in rows)
        csv_file.write_refused(path, mapping, header, told)
    except OSError as error:
        raise WellbookError(error.strerror or "cannot be written", where=str(path)) from None


def reason_of(remarks: Iterable[Remark]) -> str:
    """Why a row is refused, on one line."""
    return "; ".join(f"{x.column}: {x.reason}".removeprefix(": ") for x in remarks)
