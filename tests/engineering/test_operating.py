"""The operating point against other programs: EPANET (by way of wntr) and scipy's root finder."""

import csv
import math
from pathlib import Path

import pytest
import wntr
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.optimize import brentq

from wellbook.engineering.curves import HeadCurve
from wellbook.engineering.friction import FlowRun
from wellbook.engineering.lift import estimated_curves
from wellbook.engineering.operating import (
    Flow,
    NoOperatingPoint,
    OperatingPoint,
    System,
    Why,
    operating_point,
)

PUMP_CURVES = Path(__file__).parents[3] / "shared" / "data" / "pumpcurves"
FT_M, IN_M, GPM_M3S = 0.3048, 0.0254, 3.785411784e-3 / 60

SMALL = HeadCurve(((0, 420), (4, 400), (8, 345), (12, 240), (15, 130)))
DEEP = HeadCurve(((0, 560), (3, 530), (6, 440), (8, 330), (9, 250)))
BIG = HeadCurve(((0, 330), (10, 310), (20, 255), (28, 160), (32, 90)))


def met(curve: HeadCurve, system: System) -> OperatingPoint:
    found = operating_point(curve, system)
    assert isinstance(found, OperatingPoint), str(found)
    return found


def by_epanet(
    curve: HeadCurve, system: System, level_ft: float, folder: Path
) -> tuple[float, float]:
    """Flow (gpm) and head (ft) of the pump: the well a reservoir at a level, the tank another one.

    EPANET draws straight lines between points, so it is given many of them from our own curve.
    """
    net = wntr.network.WaterNetworkModel()
    net.options.hydraulic.headloss = "H-W"
    net.options.hydraulic.accuracy = 1e-6
    net.options.time.duration = 0
    net.add_reservoir("well", base_head=-level_ft * FT_M)
    net.add_reservoir("tank", base_head=(system.rise_ft + 2.31 * system.cut_out_psi) * FT_M)
    flows = [n * curve.most_gpm / 200 for n in range(201)]
    net.add_curve("c", "HEAD", [(q * GPM_M3S, curve.head_ft(q) * FT_M) for q in flows])
    stops = ["well", *(f"n{n}" for n in range(len(system.runs))), "tank"]
    for stop in stops[1:-1]:
        net.add_junction(stop, elevation=-level_ft * FT_M)
    net.add_pump("pump", "well", stops[1], "HEAD", "c")
    for n, run in enumerate(system.runs):
        net.add_pipe(
            f"p{n}",
            stops[n + 1],
            stops[n + 2],
            length=run.length_ft * FT_M,
            diameter=run.id_in * IN_M,
            roughness=run.c,
            minor_loss=run.k,
        )
    got = wntr.sim.EpanetSimulator(net).run_sim(file_prefix=str(folder / "net"))
    heads = got.node["head"].loc[0]
    gpm = float(got.link["flowrate"].loc[0, "pump"]) / GPM_M3S
    return gpm, float(heads[stops[1]] - heads["well"]) / FT_M


NETWORKS = {
    "poly at 50 psi": (SMALL, System(150, 10, 50, (FlowRun(300, 1.380), FlowRun(100, 1.380)))),
    "one inch, open": (SMALL, System(200, 0, 0, (FlowRun(320, 1.049, 150),))),
    "deep galvanized": (DEEP, System(320, 5, 60, (FlowRun(380, 1.380, 120),))),
    "old iron, fittings": (BIG, System(60, 12, 50, (FlowRun(150, 1.610, 100, 8.6),))),
    "two sizes": (BIG, System(100, 12, 50, (FlowRun(150, 1.610, 150), FlowRun(80, 1.380, 150)))),
    "well draws down": (SMALL, System(120, 8, 40, (FlowRun(300, 1.049),), 0.25)),
    "poor well": (DEEP, System(90, 8, 60, (FlowRun(420, 1.049, 140, 5.0),), 0.04)),
    "estimated": (estimated_curves(0.75, 10).middle, System(110, 0, 40, (FlowRun(300, 1.049),))),
}


@pytest.mark.parametrize("name", NETWORKS)
def test_epanet_finds_the_same_point(name: str, tmp_path: Path) -> None:
    curve, system = NETWORKS[name]
    ours = met(curve, system)
    gpm, head_ft = by_epanet(curve, system, ours.pumping_level_ft, tmp_path)
    # The two forms of Hazen-Williams differ by up to half a per cent of the friction.
    assert ours.gpm == pytest.approx(gpm, rel=0.004)
    assert ours.head_ft == pytest.approx(head_ft, rel=0.002)


@pytest.mark.parametrize("name", NETWORKS)
def test_scipy_finds_the_same_point(name: str) -> None:
    curve, system = NETWORKS[name]
    gpm = brentq(lambda q: curve.head_ft(q) - system.head_ft(q), 0, curve.most_gpm, xtol=1e-12)
    assert met(curve, system).gpm == pytest.approx(gpm, abs=1e-9)


# Town pumps of the example networks that come with EPANET. Of one point EPANET makes a parabola,
# of three a power function; a curve of ours through many points of it is held against the engine's
# own operating points. Flows over 10,000 gpm are no well's: those of pump 335 are taken as tenths.
TOWN_PUMPS = {
    ("Net1", "9"): ((0, 4 / 3 * 250), (1500, 250), (3000, 0)),
    ("Net3", "10"): ((0, 104), (2000, 92), (4000, 63)),
    ("Net3", "335"): ((0, 200), (8000, 138), (14000, 86)),
}


@pytest.mark.realdata
@pytest.mark.parametrize(("net", "pump"), TOWN_PUMPS)
def test_operating_points_of_example_networks(net: str, pump: str) -> None:
    file = PUMP_CURVES / f"{net}_epanet_operating_points.csv"
    if not file.exists():
        pytest.skip("the example networks are not beside this checkout")
    with file.open(newline="") as opened:
        points = [
            (float(r["flow_gpm"]), float(r["head_gain_ft"]))
            for r in csv.DictReader(opened)
            if r["pump"] == pump and float(r["flow_gpm"]) > 0
        ]
    assert len(points) >= 3
    (_, h0), (q1, h1), (q2, h2) = TOWN_PUMPS[net, pump]
    power = math.log((h0 - h2) / (h0 - h1)) / math.log(q2 / q1)
    fall = (h0 - h1) / q1**power
    scale = 0.1 if q2 > 10_000 else 1.0
    flows = [n * q2 / 100 for n in range(101)]
    many = HeadCurve(tuple((q * scale, max(0.0, h0 - fall * q**power)) for q in flows))
    three = HeadCurve(tuple((q * scale, h) for q, h in TOWN_PUMPS[net, pump]))
    for gpm, head_ft in points:
        assert many.head_ft(gpm * scale) == pytest.approx(head_ft, abs=0.02)
        # A system through the engine's point meets the curve at the engine's flow.
        found = met(many, System(head_ft))
        assert found.gpm == pytest.approx(gpm * scale, rel=2e-4)
        # Through the maker's three points alone a curve is as near as three points are.
        assert three.head_ft(gpm * scale) == pytest.approx(head_ft, rel=0.03)


levels = st.floats(min_value=0, max_value=400)
capacities = st.one_of(st.none(), st.floats(min_value=0.02, max_value=20))
runs = st.lists(
    st.builds(
        FlowRun,
        st.floats(min_value=0, max_value=600),
        st.floats(min_value=0.8, max_value=2.1),
        st.floats(min_value=90, max_value=150),
        st.floats(min_value=0, max_value=20),
    ),
    max_size=3,
)


@given(levels, st.floats(0, 60), st.floats(0, 80), runs, capacities)
def test_the_point_lies_on_both_curves(
    level: float, rise: float, psi: float, pipe: list[FlowRun], capacity: float | None
) -> None:
    system = System(level, rise, psi, tuple(pipe), capacity)
    found = operating_point(SMALL, system)
    if isinstance(found, OperatingPoint):
        assert SMALL.head_ft(found.gpm) == pytest.approx(found.head_ft, abs=1e-6)
        assert system.head_ft(found.gpm) == pytest.approx(found.head_ft, abs=1e-6)
        assert found.pumping_level_ft == system.pumping_level_ft(found.gpm) >= level
    elif found.why is Why.CANNOT_LIFT:
        assert system.head_ft(0) > SMALL.head_ft(0)
    else:
        assert found.why is Why.CURVE_ENDS
        assert system.head_ft(SMALL.most_gpm) < SMALL.head_ft(SMALL.most_gpm)


@given(levels, levels, runs, capacities)
def test_a_deeper_level_never_gives_more(
    a: float, b: float, pipe: list[FlowRun], capacity: float | None
) -> None:
    found = [
        operating_point(SMALL, System(level, 0, 40, tuple(pipe), capacity))
        for level in sorted((a, b))
    ]
    assume(all(isinstance(f, OperatingPoint) for f in found))
    assert found[0].gpm >= found[1].gpm - 1e-9


@given(st.floats(min_value=0, max_value=1), capacities)
def test_a_run_cut_in_two_gives_the_same(at: float, capacity: float | None) -> None:
    whole = (FlowRun(400, 1.049),)
    parts = (FlowRun(400 * at, 1.049), FlowRun(400 * (1 - at), 1.049))
    one, two = (met(SMALL, System(150, 0, 40, pipe, capacity)) for pipe in (whole, parts))
    assert one.gpm == pytest.approx(two.gpm)
    assert one.head_ft == pytest.approx(two.head_ft)


def test_a_pump_too_weak_says_so() -> None:
    found = operating_point(SMALL, System(330, 0, 60))
    assert isinstance(found, NoOperatingPoint)
    assert str(found) == ("cannot lift: the pump makes 420 ft at no flow, and 469 ft are asked for")


def test_a_crossing_past_the_end_of_the_curve_is_not_guessed() -> None:
    found = operating_point(SMALL, System(30))
    assert isinstance(found, NoOperatingPoint)
    assert str(found) == (
        "more than 15 gpm, where the curve ends: the pump still makes 130 ft there, and 30 ft"
        " are asked for"
    )


def test_a_crossing_before_the_first_point_is_not_guessed() -> None:
    found = operating_point(HeadCurve(((5, 300), (10, 230))), System(310))
    assert isinstance(found, NoOperatingPoint)
    assert found.why is Why.CURVE_BEGINS_LATER
    assert found.flow == Flow(0, 5)
    assert "whether it gives any water is not known" in str(found)


def test_a_pump_that_just_holds_the_column_gives_nothing() -> None:
    assert met(SMALL, System(420)).gpm == 0
    assert met(SMALL, System(130)).gpm == 15


@pytest.mark.parametrize("bad", [-1.0, math.nan, math.inf, 1e12])
def test_wrong_numbers_name_their_field(bad: float) -> None:
    for field in ("static_level_ft", "rise_ft", "cut_out_psi", "specific_capacity_gpm_per_ft"):
        with pytest.raises(ValueError, match=rf"^{field}: "):
            System(**({"static_level_ft": 100} | {field: bad}))
    with pytest.raises(ValueError, match=r"^gpm: "):
        System(100).head_ft(bad)
    with pytest.raises(ValueError, match=r"^specific_capacity_gpm_per_ft: "):
        System(100, specific_capacity_gpm_per_ft=0)
