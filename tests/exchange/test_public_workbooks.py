"""Workbooks that others collected because readers fail at them, each with what it says as CSV.

From the tests of xlsx2csv 0.8.6 (MIT, its licence beside them): parts that an archiver put in, a table of
texts that is announced and not there, cells without an address, rows with nothing in them, many scripts.
Seven of its twenty-two are here; of the others many differ in how they show dates and numbers.
"""

from __future__ import annotations

import csv
from dataclasses import replace
from pathlib import Path

import pytest

from wellbook.exchange.proposing import propose
from wellbook.exchange.reading import data_rows, look

FOLDER = Path(__file__).parent / "workbooks"
FILES = sorted(FOLDER.glob("*.xlsx"))


def filled(cells: list[str]) -> list[str]:
    """Cells on one line each, without the empty ones behind the last."""
    # Its answers write what ends a line within a cell as two signs.
    said = [" ".join(c.replace("\\n", "\n").replace("\\t", "\t").split()) for c in cells]
    while said and not said[-1]:
        said.pop()
    return said


def test_they_are_there() -> None:
    assert len(FILES) == 7


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_a_public_workbook_is_read_as_its_answer_says(path: Path) -> None:
    mapping = replace(propose(look(path), "x"), header_row=0, columns={})
    ours = [some for row in data_rows(path, mapping) if (some := filled(row.cells))]
    with path.with_suffix(".csv").open(encoding="utf-8", newline="") as file:
        answer = [some for row in csv.reader(file) if (some := filled(row))]
    assert ours == answer
