"""How a CSV file is written, and its rows one by one: never the whole file at once."""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import islice
from pathlib import Path

from wellbook.errors import WellbookError
from wellbook.exchange.headers import matched
from wellbook.exchange.mapping import WellMapping

_SAMPLE = 400


@dataclass(frozen=True, slots=True)
class Layout:
    """How a file is written, as found by looking into it."""

    encoding: str
    delimiter: str
    header_row: int
    headers: tuple[str, ...]
    sample: tuple[tuple[str, ...], ...]


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
    delimiter = _delimiter(head)
    rows = list(islice(_rows(path, encoding, delimiter), _SAMPLE))
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
    headers = tuple(h.strip() for h in header[1])
    sample = tuple(tuple(r[1]) for r in rows if r[0] > header[0])
    return Layout(encoding, delimiter, header[0], headers, sample)


def _encoding(path: Path) -> str:
    try:
        with path.open("rb") as file:
            start = file.read(4)
        if start.startswith((b"PK\x03\x04", b"\xd0\xcf\x11\xe0")):
            raise WellbookError("this is a spreadsheet; save it as CSV first", where=str(path))
        if start.startswith((b"\xff\xfe", b"\xfe\xff")):
            return "utf-16"
        return next((e for e in ("utf-8-sig", "cp1252") if _reads_as(path, e)), "latin-1")
    except OSError as error:
        raise WellbookError(error.strerror or "cannot be read", where=str(path)) from None


def _reads_as(path: Path, encoding: str) -> bool:
    try:
        with path.open(encoding=encoding, newline="") as file:
            while file.read(1 << 20):
                pass
    except UnicodeDecodeError:
        return False
    return True


def _delimiter(head: str) -> str:
    """The sign that parts the cells: the one that gives most lines the same many cells."""
    lines = head.splitlines()[:40]

    def even(sign: str) -> tuple[int, int]:
        counts = [len(r) for r in csv.reader(lines, delimiter=sign) if len(r) > 1]
        usual = max(set(counts), key=counts.count, default=0)
        return counts.count(usual), usual

    return max(",\t;|", key=even)


def _rows(path: Path, encoding: str, delimiter: str) -> Iterator[tuple[int, list[str]]]:
    """Rows with their numbers as a spreadsheet counts them; comments and empty ones left out."""
    try:
        with path.open(encoding=encoding, newline="") as file:
            for number, row in enumerate(csv.reader(file, delimiter=delimiter), 1):
                if row and row[0].startswith("#"):
                    continue
                if any(c.strip() for c in row):
                    yield number, row
    except OSError as error:
        raise WellbookError(error.strerror or "cannot be read", where=str(path)) from None
    except (csv.Error, UnicodeError) as error:
        raise WellbookError(f"cannot be read as CSV: {error}", where=str(path)) from None


def _no_names(cells: Sequence[str]) -> tuple[str, ...]:
    # A first row of data that a program took for headers, its blanks "named".
    return tuple("" if re.fullmatch(r"Unnamed: \d+", c) else c for c in cells)


def header_of(path: Path, mapping: WellMapping) -> tuple[str, ...]:
    """The header line of a file as it stands; empty where there is none."""
    rows = _rows(path, mapping.encoding, mapping.delimiter)
    return next((tuple(c) for n, c in rows if mapping.header_row and n >= mapping.header_row), ())


def data_rows(path: Path, mapping: WellMapping) -> Iterator[tuple[int, list[str]]]:
    """The rows below the header, with their numbers; a line of column widths is none."""
    begun = not mapping.header_row
    for number, cells in _rows(path, mapping.encoding, mapping.delimiter):
        if not begun:
            begun = number >= mapping.header_row
        elif not all(re.fullmatch(r"\d+[sdn]", c) for c in cells):
            yield number, cells if mapping.header_row else list(_no_names(cells))
