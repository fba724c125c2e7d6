"""Whatever a calculator is given: an answer of finite numbers, or one line that names an option."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from wellbook.calculators.calculator import Option
from wellbook.calculators.shelf import NAMES, the_calculator

SIZES = st.sampled_from(
    [
        *("1e-12", "1e-8", "0.001", "0.5", "1", "2", "7", "12", "40", "60", "100", "230", "4000"),
        *("1e5", "1e9", "1e11", "0", "-3", "x", "1e400", "nan", "9" * 500),
    ]
)
POINTS = st.lists(st.tuples(SIZES, SIZES), min_size=2, max_size=6)


def written(option: Option) -> Any:
    """How an option of its kind may be written."""
    if option.choices:
        return st.sampled_from([*option.choices, "x"])
    if option.kind is bool:
        return st.sampled_from(["yes", "no", "x"])
    return st.one_of(
        SIZES,
        SIZES,
        POINTS.map(lambda points: ", ".join(f"{a}:{b}" for a, b in points)),
        st.sampled_from(
            ["pe4710", "PE", "pvc", "steel", "sch 40", "1-1/4", "51, 46, 53", "0-99 1"]
        ),
    )


@pytest.mark.parametrize("name", NAMES)
@settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck))
@given(data=st.data())
def test_it_answers_or_names_an_option(name: str, data: st.DataObject) -> None:
    calculator = the_calculator(name)
    options = {o.name: o for o in calculator.options}
    some = data.draw(st.sets(st.sampled_from(sorted(options))))
    needed = {n for n, o in options.items() if o.required}
    asked = {n: data.draw(written(options[n]), label=n) for n in sorted(some | needed)}
    try:
        found = calculator.work_out(asked)
    except ValueError as error:
        front, colon, _ = str(error).partition(": ")
        assert colon, error
        assert set(front.split(", ")) <= options.keys(), error
        assert len(str(error)) < 700
        return
    numbers = [n for n in found.results.values() if isinstance(n, int | float)]
    assert all(math.isfinite(n) for n in numbers), found.results
