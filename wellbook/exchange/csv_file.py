"""How a CSV file is written, where its header is, and the rows below it."""

from __future__ import annotations

import codecs
import csv
import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from itertools import islice
from pathlib import Path
from typing import BinaryIO

from wellbook.errors import WellbookError
from wellbook.exchange.csv_rows import FileRow, file_rows
from wellbook.exchange.headers import matched
from wellbook.exchange.layout import REASON, Layout, told_apart
from wellbook.exchange.mapping import WellMapping

_SAMPLE = 400


def look(path: Path) -> Layout:
    """Encoding, delimiter and header of a file.

    Raises
    ------
    WellbookError
        If it is no text, or empty.
    """
    encoding = _encoding(path)
    with path.open(encoding=encoding, newline="") as file:
        head = file.read(65536)
    delimiter = delimiter_of(head)
    rows = [(r.number, r.cells) for r in islice(file_rows(path, encoding, delimiter), _SAMPLE)]
    if not rows:
        raise WellbookError("the file is empty", where=str(path))
    # Banners stand above a header: the line with most known names is it.
    best = max(rows[:12], key=lambda r: (matched(r[1]), -r[0]))
    first = next((r for r in rows if len(r[1]) > 1), rows[0])
    if matched(best[1]):
        header = best
    elif sum(bool(re.fullmatch(r"-?[0-9]+(\.[0-9]+)?", c.strip())) for c in first[1]) > 1:
        return Layout(encoding, delimiter, 0, (), tuple(_no_names(r[1]) for r in rows))
    else:
        header = first
    sample = tuple(tuple(r[1]) for r in rows if r[0] > header[0])
    return Layout(encoding, delimiter, header[0], told_apart(header[1]), sample)


def _encoding(path: Path) -> str:
    try:
        with path.open("rb") as file:
            return encoding_of(file, str(path))
    except OSError as error:
        raise WellbookError(error.strerror or "cannot be read", where=str(path)) from None


def encoding_of(file: BinaryIO, name: str) -> str:
    """The encoding of an open file, which it leaves anywhere.

    Raises
    ------
    WellbookError
        If it is no text; `name` says which file.
    """
    start = file.read(4)
    if start.startswith((b"PK\x03\x04", b"\xd0\xcf\x11\xe0")):
        raise WellbookError("this is a spreadsheet; save it as CSV first", where=name)
    if start in (codecs.BOM_UTF32_LE, codecs.BOM_UTF32_BE):
        return "utf-32"
    if start.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        return "utf-16"
    # Text of one byte a letter has none of zero; one of two or four bytes is full of them.
    if b"\0" in start + file.read(1 << 12):
        raise WellbookError("not readable text; save it as UTF-8", where=name)
    return next((e for e in ("utf-8-sig", "cp1252") if _reads_as(file, e)), "latin-1")


def _reads_as(file: BinaryIO, encoding: str) -> bool:
    file.seek(0)
    decoder = codecs.getincrementaldecoder(encoding)()
    try:
        while some := file.read(1 << 20):
            decoder.decode(some)
        decoder.decode(b"", final=True)
    except UnicodeDecodeError:
        return False
    return True


def delimiter_of(head: str) -> str:
    """The sign that parts the cells: the one that gives most lines the same many cells."""
    lines = head.splitlines()[:40]

    def even(sign: str) -> tuple[int, int]:
        counts = [len(r) for r in csv.reader(lines, delimiter=sign) if len(r) > 1]
        usual = max(set(counts), key=counts.count, default=0)
        return counts.count(usual), usual

    return max(",\t;|", key=even)


def _no_names(cells: Sequence[str]) -> tuple[str, ...]:
    # A first row of data that a program took for headers, its blanks "named".
    return tuple("" if re.fullmatch(r"Unnamed: \d+", c) else c for c in cells)


def header_of(path: Path, mapping: WellMapping) -> tuple[str, ...]:
    """The header line of a file; empty where there is none."""
    rows = file_rows(path, mapping.encoding, mapping.delimiter)
    at = mapping.header_row
    return next((told_apart(r.cells) for r in rows if at and r.number >= at), ())


def data_rows(path: Path, mapping: WellMapping) -> Iterator[FileRow]:
    """The rows below the header; a line of column widths is none."""
    begun = not mapping.header_row
    for row in file_rows(path, mapping.encoding, mapping.delimiter):
        if not begun:
            begun = row.number >= mapping.header_row
        elif not all(re.fullmatch(r"\d+[sdn]", c) for c in row.cells):
            yield row if mapping.header_row else replace(row, cells=list(_no_names(row.cells)))


def write_refused(
    path: Path,
    mapping: WellMapping,
    header: tuple[str, ...],
    rows: Iterable[tuple[list[str], str]],
) -> None:
    """Write rows with a last column, as the file that a mapping reads; blank lines above it.

    Raises
    ------
    OSError
        If it cannot be written.
    """
    # What reads a byte-order mark also reads a file without one.
    encoding = "utf-8" if mapping.encoding == "utf-8-sig" else mapping.encoding
    with path.open("w", encoding=encoding, errors="replace", newline="") as file:
        writer = csv.writer(
            file,
            delimiter=mapping.delimiter,
            escapechar=mapping.escape or None,
            doublequote=not mapping.escape,
        )
        file.write("\r\n" * (mapping.header_row - 1))
        if header:
            writer.writerow([*header, REASON])
        for cells, reason in rows:
            blanks = [""] * (len(header) - len(cells))
            writer.writerow([*cells, *blanks, reason if header else f"{REASON}: {reason}"])
