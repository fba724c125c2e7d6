"""The rows of the table of formulas hold what they say."""

import pytest
from formula import Formula
from formulas_hydraulics import FORMULAS


@pytest.mark.parametrize("row", FORMULAS, ids=lambda f: f"{f.name}, {f.case}")
def test_a_row_is_within_what_it_says(row: Formula) -> None:
    assert row.gives() == pytest.approx(row.check, rel=row.within or 1e-12)
