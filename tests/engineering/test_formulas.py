"""Each row of the page of formulas holds within its tolerance."""

import math
from importlib import import_module
from pathlib import Path

import pytest
from arithmetic import AREAS, formulas
from formula import Formula
from printed_otherwise import rows

EVIDENCE = ("published", "another program", "common practice", "own answer")


@pytest.mark.parametrize("row", formulas(), ids=lambda row: f"{row.area}: {row.name}")
def test_the_program_gives_what_is_published(row: Formula) -> None:
    gives = row.gives()
    assert math.isfinite(gives)
    # A tolerance of nothing still allows for the last bits of a float.
    assert gives == pytest.approx(row.check, rel=max(row.within, 1e-9))


@pytest.mark.parametrize("row", formulas(), ids=lambda row: f"{row.area}: {row.name}")
def test_a_row_says_where_it_is_from(row: Formula) -> None:
    assert row.evidence in EVIDENCE
    for text in (row.area, row.name, row.formula, row.source, row.case):
        assert text.strip()


def test_no_two_rows_are_called_alike() -> None:
    names = [(row.area, row.name, row.case) for row in formulas()]
    assert len(set(names)) == len(names)


def test_every_file_of_formulas_has_some() -> None:
    for file in Path(__file__).parent.glob("formulas_*.py"):
        assert import_module(file.stem).FORMULAS, file.name


def test_what_is_answered_otherwise_says_what_and_why() -> None:
    told = rows()
    assert all(row.area in AREAS and all(text.strip() for text in row) for row in told)
    assert [row.area for row in told] == sorted((r.area for r in told), key=AREAS.index)
