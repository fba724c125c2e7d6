"""A file of records, whatever its form: how it is written, its header, its rows, and the refused.

What a file is, is told from what stands in it and not from its name. Each form has a module of its
own; nobody else asks which form a file has.
"""

from __future__ import annotations

import re
from codecs import BOM_UTF8
from collections.abc import Iterable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import Protocol

from wellbook.errors import WellbookError
from wellbook.exchange import csv_file, vcard_file, xlsx_file, xlsx_guard
from wellbook.exchange.csv_rows import FileRow
from wellbook.exchange.layout import Layout
from wellbook.exchange.mapping import WellMapping
from wellbook.exchange.well_record import Remark, reason_of
from wellbook.limits import LONGEST_TEXT, too_long


class _Form(Protocol):
    """What the module of a form gives."""

    def header_of(self, path: Path, mapping: WellMapping) -> tuple[str, ...]: ...
    def data_rows(self, path: Path, mapping: WellMapping) -> Iterator[FileRow]: ...


_MODULES: dict[str, _Form] = {"csv": csv_file, "xlsx": xlsx_file, "vcard": vcard_file}


def look(path: Path, sheet: str = "") -> Layout:
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
    form = form_of(path)
    if form == "xlsx":
        return xlsx_file.look(path, sheet)
    if sheet:
        raise WellbookError("only a workbook has sheets", where="--sheet")
    return vcard_file.look(path) if form == "vcard" else csv_file.look(path)


def form_of(path: Path) -> str:
    """The form of a file, "csv", "xlsx" or "vcard", by its first bytes.

    Raises
    ------
    WellbookError
        If it cannot be read, or is known to be something else.
    """
    try:
        with path.open("rb") as file:
            head = file.read(1 << 16)
    except OSError as error:
        raise WellbookError(error.strerror or "cannot be read", where=str(path)) from None
    if head.startswith(b"PK"):
        return "xlsx"
    if head.startswith(b"\xd0\xcf\x11\xe0"):
        raise xlsx_guard.of_old(head, path)
    if re.match(rb"\s*(?:<!doctype html|<html|<table|<\?xml)", head.removeprefix(BOM_UTF8), re.I):
        said = "this is a web page or XML; open it in a spreadsheet program and save it as XLSX"
        raise WellbookError(said, where=str(path))
    if head.startswith(b"%PDF"):
        raise WellbookError("this is a PDF; a table of rows is wanted", where=str(path))
    return "vcard" if vcard_file.begins(head) else "csv"


_DITTO = frozenset(
    case(mark)
    for mark in ('"', "''", "”", "〃", "do.", "ditto", "same as above", "as above")
    for case in (str.lower, str.upper, str.capitalize)
)
"""Marks in a cell for what stands above it."""


def header_of(path: Path, mapping: WellMapping) -> tuple[str, ...]:
    """The header of a file, read as a mapping says; empty where there is none."""
    return _MODULES[_form(path, mapping)].header_of(path, mapping)


def data_rows(path: Path, mapping: WellMapping) -> Iterator[FileRow]:
    """The rows below the header one by one, each with what is wrong in its writing."""
    return map(_checked, _as_above(_MODULES[_form(path, mapping)].data_rows(path, mapping)))


def _checked(row: FileRow) -> FileRow:
    """A row, refused where a cell holds more than any text of a book can."""
    if row.fault or all(len(cell) <= LONGEST_TEXT for cell in row.cells):
        return row
    return replace(row, fault=next(wrong for cell in row.cells if (wrong := too_long(cell))))


def _as_above(rows: Iterator[FileRow]) -> Iterator[FileRow]:
    """Rows in which a ditto mark is what stands above it."""
    above: list[str] = []
    for row in rows:
        cells = row.cells
        if above and not _DITTO.isdisjoint(cells):
            cells = [
                above[n] if cell in _DITTO and n < len(above) else cell
                for n, cell in enumerate(cells)
            ]
        if not row.fault:
            above = cells
        yield row if cells is row.cells else replace(row, cells=cells)


def _form(path: Path, mapping: WellMapping) -> str:
    """The form that both the file and its mapping have."""
    found = form_of(path)
    if found != mapping.form:
        said = f"the mapping is for a file of the form {mapping.form}, this one is {found}"
        raise WellbookError(said, where=str(path))
    return found


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
        if mapping.form == "vcard":
            vcard_file.write_refused(path, source_path, rows)
        elif mapping.form == "xlsx":
            xlsx_file.write_refused(path, mapping, header, told)
        else:
            csv_file.write_refused(path, mapping, header, told)
    except OSError as error:
        raise WellbookError(error.strerror or "cannot be written", where=str(path)) from None
