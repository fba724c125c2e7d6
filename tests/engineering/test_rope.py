"""Rope: the factors of the regulations, and the strength a load asks for."""

import math

import pytest

from wellbook.engineering.rope import least_breaking_lb, rope_design_factor


@pytest.mark.parametrize(
    ("use", "factor"),
    # Mich. Admin. Code R 408.12013; 29 CFR 1926.1414(e)(2); Mich. Admin. Code R 408.15732.
    [
        ("hoisting", 5),
        ("rotation_resistant", 3.5),
        ("rotation_resistant_repeated", 5),
        ("well_service", 3),
        ("well_service_stuck", 2),
    ],
)
def test_factors_of_the_regulations(use: str, factor: float) -> None:
    assert rope_design_factor(use) == factor
    assert least_breaking_lb(100, use=use) == 100 * factor


def test_the_worked_string() -> None:
    # Computed: 400 ft of 1-1/4 in polyethylene, 532 lb on the hook.
    assert least_breaking_lb(532) == 2660


@pytest.mark.parametrize("bad", [0.0, -1.0, math.nan, math.inf, 1e12])
def test_wrong_loads_name_their_field(bad: float) -> None:
    with pytest.raises(ValueError, match=r"^hook_lb: "):
        least_breaking_lb(bad)


def test_a_use_that_is_not_there() -> None:
    with pytest.raises(ValueError, match=r"^use: 'sling' is not one of: hoisting, "):
        least_breaking_lb(100, use="sling")
