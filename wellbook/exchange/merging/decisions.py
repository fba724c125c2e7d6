"""The file of decisions: what a look found on both sides, one line each, with a column to fill in."""

from __future__ import annotations

import csv
import hashlib
import io
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path

from wellbook.errors import WellbookError
from wellbook.exchange.merging.words import Shown

COLUMNS = (
    *("number", "what", "field", "here", "here_by", "there", "there_by"),
    *("choices", "decision", "mark"),
)


def marks(conflicts: Iterable[Shown]) -> Iterator[str]:
    """By which each line is known to speak of the same two values, whatever a spreadsheet made of
    them."""
    seen: Counter[str] = Counter()
    for one in conflicts:
        text = "\n".join((one.what, one.field, one.here, one.there))
        seen[text] += 1
        whole = f"{text}\n{seen[text]}"
        # A letter at the end, lest a spreadsheet takes it for a number.
        yield hashlib.sha256(whole.encode()).hexdigest()[:8] + "x"


def decisions_text(conflicts: Iterable[Shown]) -> str:
    """The file, as CSV."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(COLUMNS)
    listed = list(conflicts)
    for one, mark in zip(listed, marks(listed), strict=True):
        row = [one.what, one.field, one.here, one.here_by, one.there, one.there_by]
        cells = [_cell(text) for text in row]
        choices = " ".join(one.choices)
        writer.writerow([one.number, *cells, choices, one.decision, mark])
    return out.getvalue()


def _cell(text: str) -> str:
    """A text that no spreadsheet takes for a formula."""
    return f"'{text}" if text[:1] in ("=", "+", "-", "@", "\t") else text


def read_decisions(path: Path, conflicts: Sequence[Shown]) -> dict[int, str]:
    """The decisions in a file, by the numbers that the conflicts have now.

    Raises
    ------
    WellbookError
        Naming the first line that will not do.
    """
    rows = _rows(path)
    known = dict(zip(marks(conflicts), conflicts, strict=True))
    found: dict[int, str] = {}
    for line, row in rows:
        place = f"{path}, line {line}"
        said = row["decision"].strip().lower()
        if not said:
            continue
        one = known.get(row["mark"].strip())
        if one is None:
            raise WellbookError(
                f"what it decides is not to be decided, or not between these values (any more);"
                f" take the line out, or let a new file be made ({row['what'] or 'no name'})",
                where=place,
            )
        if said not in one.choices:
            raise WellbookError(
                f"decision '{said}' is not one of: {', '.join(one.choices)}", where=place
            )
        if found.setdefault(one.number, said) != said:
            raise WellbookError(f"{one.what} is decided twice, in two ways", where=place)
    return found


def _rows(path: Path) -> list[tuple[int, dict[str, str]]]:
    try:
        text = path.read_text("utf-8-sig")
    except UnicodeDecodeError:
        raise WellbookError("is not UTF-8 text; save it as CSV UTF-8", where=str(path)) from None
    header = text.split("\n", 1)[0]
    delimiter = max(",;\t", key=header.count)
    reader = csv.DictReader(io.StringIO(text, newline=""), delimiter=delimiter, restval="")
    missing = [c for c in ("decision", "mark") if c not in (reader.fieldnames or ())]
    if missing:
        raise WellbookError(
            f"no column '{missing[0]}'; the columns are: {', '.join(COLUMNS)}",
            where=f"{path}, line 1",
        )
    try:
        return [(reader.line_num, {k: v or "" for k, v in row.items() if k}) for row in reader]
    except csv.Error as error:
        raise WellbookError(f"cannot be read as CSV: {error}", where=str(path)) from None
