"""How a CSV file is written, where its header is, and the rows below it."""

from __future__ import annotations

import csv
import re
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from itertools import islice
from pathlib import Path

from wellbook.errors import WellbookError
from wellbook.exchange.csv_rows import LONGEST, FileRow, file_rows, too_long
from wellbook.exchange.encodings import encoding_of
from wellbook.exchange.header_lines import header_at, header_in
from wellbook.exchange.layout import REASON, Layout
from wellbook.exchange.mapping import WellMapping

_SAMPLE = 400
_FEW_LINES = 3
_COMMENTS = re.compile(r"^#(?:[#!\s].*)?(?:\r\n?|\n|$)", re.MULTILINE)


def look(path: Path) -> Layout:
    """Encoding, delimiter and header of a file.

    Raises
    ------
    WellbookError
        If it is no text, or empty.
    """
    encoding = _encoding(path)
    with path.open(encoding=encoding, errors="replace", newline="") as file:
        head = file.read(65536)
    delimiter = delimiter_of(_COMMENTS.sub("", head))
    escape, rows = _sample(path, encoding, delimiter, head)
    if not rows:
        raise WellbookError("the file is empty", where=str(path))
    if _parted_by_blanks(head, rows):
        raise WellbookError(
            "its columns are parted by blanks alone; open it in a spreadsheet program as text of fixed"
            " width, and save it as CSV",
            where=str(path),
        )
    header = header_in([(r.number, r.cells) for r in rows])
    below = [r.cells for r in rows if r.number > header.row and not _is_widths(r.cells)]
    return Layout(
        encoding,
        delimiter,
        header.row,
        header.names,
        tuple(tuple(c) if header.row else _no_names(c) for c in below),
        escape=escape,
        header_lines=header.lines,
    )


def _sample(path: Path, encoding: str, delimiter: str, head: str) -> tuple[str, list[FileRow]]:
    """The first rows, and the sign before a quote within quotes if they read better with one."""

    def read(escape: str) -> list[FileRow]:
        return list(islice(file_rows(path, encoding, delimiter, escape), _SAMPLE))

    plain = read("")
    if '\\"' not in head:
        return "", plain
    escaped = read("\\")

    def faults(rows: list[FileRow]) -> tuple[int, int]:
        return sum(bool(r.fault) for r in rows), len({len(r.cells) for r in rows})

    return ("\\", escaped) if faults(escaped) < faults(plain) else ("", plain)


def _encoding(path: Path) -> str:
    try:
        with path.open("rb") as file:
            first = file.read(LONGEST * 4)
            if len(first) == LONGEST * 4 and not re.search(rb"[\r\n]", first):
                raise WellbookError(too_long().message, where=str(path))
            file.seek(0)
            return encoding_of(file, str(path))
    except OSError as error:
        raise WellbookError(error.strerror or "cannot be read", where=str(path)) from None


def delimiter_of(head: str) -> str:
    """The sign that parts the cells: the one that gives most rows the same many cells.

    What stands in quotes parts nothing, whichever sign it is.

    >>> delimiter_of('no,notes\\n1,"a; b\\nc; d"\\n2,"e; f\\ng; h"\\n')
    ','
    """
    first = next(iter(head.splitlines()), "")
    if named := re.fullmatch(r'sep=([^"])', first.strip(" "), re.IGNORECASE):
        return named[1]
    rows = _QUOTED.sub(r"\1", head).splitlines()[:40]

    def even(sign: str) -> tuple[int, int]:
        counts = [row.count(sign) for row in rows if sign in row]
        usual = max(set(counts), key=counts.count, default=0)
        return counts.count(usual), usual

    return max(_SIGNS, key=even)


_SIGNS = ",\t;|"
# A cell in quotes, to the quote that is no half of a pair, or to the end. It begins behind any of the signs.
_QUOTED = re.compile(r'(\A|[,\t;|\r\n]) *"(?:[^"]|"")*+"?')


def _parted_by_blanks(head: str, rows: Sequence[FileRow]) -> bool:
    """Whether no sign parts the cells, but in most lines several wide gaps stand at the same places."""
    if sum(len(r.cells) > 1 for r in rows) > len(rows) / 2:
        return False
    lines = [line.rstrip() for line in head.splitlines()[:40] if line.strip()]
    ends = [{m.end() for m in re.finditer(r"\S\s{2,}(?=\S)", line)} for line in lines]
    if len(lines) < _FEW_LINES:
        return False
    at = Counter(end for some in ends for end in some)
    return sum(n > 0.8 * len(lines) for n in at.values()) > 1


def _no_names(cells: Sequence[str]) -> tuple[str, ...]:
    # A first row of data that a program took for headers, its blanks "named".
    return tuple("" if re.fullmatch(r"Unnamed: \d+", c) else c for c in cells)


def _is_widths(cells: Sequence[str]) -> bool:
    """Whether a row only says how wide the columns are, as in the RDB form: `5s`, `15s`."""
    return all(re.fullmatch(r"\d+[sdn]", c) for c in cells)


def _rows(path: Path, mapping: WellMapping) -> Iterator[FileRow]:
    return file_rows(path, mapping.encoding, mapping.delimiter, mapping.escape)


def header_of(path: Path, mapping: WellMapping) -> tuple[str, ...]:
    """The header of a file; empty where there is none."""
    if not mapping.header_row:
        return ()
    return header_at(_rows(path, mapping), mapping.header_row, mapping.header_lines)


def data_rows(path: Path, mapping: WellMapping) -> Iterator[FileRow]:
    """The rows below the header; a line of column widths is none."""
    begun = not mapping.header_row
    for row in _rows(path, mapping):
        if not begun:
            begun = row.number >= mapping.header_row
        elif not _is_widths(row.cells):
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
