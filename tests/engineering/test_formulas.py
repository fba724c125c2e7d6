"""Each row of the page of formulas holds within its tolerance."""

import math
import re
from decimal import Decimal
from importlib import import_module
from pathlib import Path

import pytest
from arithmetic import AREAS, formulas
from formula import Formula, NotMet
from formulas_electrics import CHART_WITHIN
from printed_otherwise import chart_apart, chart_rows, is_met, rows

EVIDENCE = ("published", "another program", "common practice", "from memory", "own answer")


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


@pytest.mark.parametrize("row", formulas(), ids=lambda row: f"{row.area}: {row.name}")
def test_what_is_beyond_the_last_printed_place_says_why(row: Formula) -> None:
    """A tolerance that is only as wide as the gap would make every row pass."""
    place = Decimal(repr(row.check)).normalize().as_tuple().exponent
    assert isinstance(place, int)
    # Last bits of a float are no difference; nor is a fraction that has no last place.
    rounding = max(0.5001 * 10.0 ** min(place, 0), 1e-9 * abs(row.check))
    assert abs(row.gives() - row.check) <= rounding or row.allowed


def test_what_is_not_met_says_what_and_why() -> None:
    told = rows()
    for row in told:
        assert row.area in AREAS
        assert all(text.strip() for text in (row.printed, row.shown, row.why))
    assert [row.area for row in told] == sorted((r.area for r in told), key=AREAS.index)


@pytest.mark.parametrize(
    "row", [r for r in rows() if isinstance(r, NotMet)], ids=lambda row: row.printed
)
def test_nothing_that_is_called_not_met_is_met(row: NotMet) -> None:
    assert math.isfinite(row.gives())
    assert row.off > 0
    assert not is_met(row)
    # The number that is held against is the one in the words.
    said = re.findall(r"[\d.]+(?:e-?\d+)?", row.printed.replace(",", ""))
    assert row.check in [float(number) for number in said if number.strip(".")]


def test_of_the_chart_of_longest_runs_one_row_is_not_met() -> None:
    beyond = [row for row in chart_rows() if abs(chart_apart(*row)) > CHART_WITHIN]
    assert beyond == [(0.75, 12, 480)]
    assert len(chart_rows()) == 36
