"""The same look-up and the same list in a spreadsheet file, which a shop would use instead.

    pytest benchmarks/bench_spreadsheet.py --wells 10000

The wells of a `big_book` and what they owe are written into an XLSX file of two sheets. A look-up by
a part of the name, and the list of a month, are then asked of the file, by openpyxl row by row and by
pandas, and of the book by `wellbook find` and `wellbook due --month`: each a whole process, in
processor time. A sheet holds 1,048,576 rows: what 100,000 wells owe all but fills one.
"""

from __future__ import annotations

import os
import sqlite3
import sys
from pathlib import Path
from typing import Any

import pytest
from histories import households
from openpyxl import Workbook
from processes import processor_seconds, run

ROUNDS = 3
MONTH = ("2026-12-01", "2026-12-31")
SHEETS = {
    "wells": "SELECT w.tag, c.name, p.value, s.road, s.town FROM well w JOIN site s ON s.id = w.site_id"
    " JOIN occupancy o ON o.site_id = s.id JOIN customer c ON c.id = o.customer_id"
    " JOIN contact_point p ON p.customer_id = c.id ORDER BY w.id",
    "due": "SELECT w.tag, d.rule, d.from_day, coalesce(d.until, ''), d.severity, d.occasion, d.reason,"
    " d.action FROM due d JOIN well w ON w.id = d.well_id ORDER BY d.well_id, d.position",
}
OPENPYXL = """
import sys
from openpyxl import load_workbook
book = load_workbook(sys.argv[1], read_only=True)
if sys.argv[2] == "find":
    for row in book["wells"].iter_rows(values_only=True):
        if sys.argv[3] in row[1].lower():
            print(row)
else:
    for row in book["due"].iter_rows(values_only=True):
        begins, ends = row[2], row[3] or "9999"
        if sys.argv[3] <= begins <= sys.argv[4] < ends and row[5] != "next_pull":
            print(row)
"""
PANDAS = """
import sys
import pandas
if sys.argv[2] == "find":
    wells = pandas.read_excel(sys.argv[1], "wells", header=None)
    print(wells[wells[1].str.lower().str.contains(sys.argv[3], regex=False)])
else:
    due = pandas.read_excel(sys.argv[1], "due", header=None, keep_default_na=False)
    there = due[2].between(sys.argv[3], sys.argv[4]) & (due[5] != "next_pull")
    print(due[there & ((due[3] == "") | (due[3] > sys.argv[4]))])
"""


def write(place: Path, into: Path) -> None:
    """The wells and what they owe as two sheets."""
    file, workbook = sqlite3.connect(place), Workbook(write_only=True)
    for name, query in SHEETS.items():
        sheet = workbook.create_sheet(name)
        for row in file.execute(query):
            sheet.append(row)
    workbook.save(into)
    file.close()


@pytest.fixture(scope="session")
def sheet(place: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The spreadsheet file of a book."""
    made = tmp_path_factory.mktemp("sheet") / "wells.xlsx"
    write(place, made)
    return made


@pytest.mark.parametrize("way", ["wellbook", "openpyxl", "pandas"])
@pytest.mark.parametrize("what", ["a name", "a month"])
@pytest.mark.benchmark(timer=processor_seconds)
def test_spreadsheet(
    benchmark: Any, place: Path, sheet: Path, wells: int, what: str, way: str
) -> None:
    """A name is looked up; what comes due in a month is listed."""
    name = next(iter(households(1))).name.split()[-1].lower()
    ours, theirs = {
        "a name": (["find", name], ["find", name]),
        "a month": (["due", "--month", MONTH[0][:7]], ["due", *MONTH]),
    }[what]
    command = {
        "wellbook": [sys.executable, "-m", "wellbook", *ours],
        "openpyxl": [sys.executable, "-c", OPENPYXL, str(sheet), *theirs],
        "pandas": [sys.executable, "-c", PANDAS, str(sheet), *theirs],
    }[way]
    os.environ["WELLBOOK_BOOK"] = str(place)
    benchmark.group = f"{what} in a spreadsheet file, {wells:,} wells"
    benchmark.pedantic(run, args=(command,), rounds=ROUNDS, warmup_rounds=way == "wellbook")
