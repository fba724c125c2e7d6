"""Head-capacity points as people type them."""

from __future__ import annotations

import pytest

from wellbook.engineering.curves import HeadCurve

POINTS = ((0.0, 330.0), (5.0, 300.0))


@pytest.mark.parametrize(
    "text",
    ["0:330, 5:300", "0:330 5:300", "0 330; 5 300", "0 gpm:330 ft, 5 gpm:300 ft", "0:330 ft 5:300 ft"],
)  # fmt: skip
def test_a_flow_and_a_head_may_bear_their_units(text: str) -> None:
    assert HeadCurve.parse(text).points == POINTS


def test_a_head_may_be_in_metres() -> None:
    # 1 m is 3.28084 ft (NIST SP 811).
    assert HeadCurve.parse("0:100m, 5:90 m").points[0][1] == pytest.approx(328.084)


@pytest.mark.parametrize("text", ["1_0:330, 12:300", "0:33O, 5:300", "0, 5:300", "0:330, 5 gpm"])
def test_what_is_no_number_is_no_point(text: str) -> None:
    with pytest.raises(ValueError, match="is no point of a curve"):
        HeadCurve.parse(text)


def test_a_curve_is_written_as_it_came() -> None:
    curve = HeadCurve(((0, 333.3333333), (7.125, 200)))
    assert str(curve) == "0:333.3333333, 7.125:200"
    assert HeadCurve.parse(str(curve)) == curve


def test_a_long_slip_is_cut_in_the_message() -> None:
    with pytest.raises(ValueError) as caught:
        HeadCurve.parse("x" * 10_000)
    assert len(str(caught.value)) < 300
