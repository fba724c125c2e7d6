"""Each row of the table of formulas of cable, tank and chlorine gives what it says."""

import pytest
from formula import Formula
from formulas_electrics import FORMULAS


@pytest.mark.parametrize("row", FORMULAS, ids=lambda row: f"{row.name}: {row.case}")
def test_the_program_gives_the_check_value(row: Formula) -> None:
    assert row.gives() == pytest.approx(row.check, rel=row.within, abs=1e-9)
