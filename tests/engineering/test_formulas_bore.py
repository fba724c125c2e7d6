"""Every row of the bore's table of formulas holds."""

import pytest
from formula import Formula
from formulas_bore import FORMULAS


@pytest.mark.parametrize("row", FORMULAS, ids=lambda row: f"{row.name}: {row.case}")
def test_the_program_gives_what_the_table_says(row: Formula) -> None:
    assert row.gives() == pytest.approx(row.check, rel=row.within)
    assert row.evidence in ("published", "another program", "own answer")
