"""What a drawing is told of a hole's limits is what the rules say of it.

0.4335 psi a foot is fresh water at 40 F (computed); that 160 psi pipe comes to 369 ft for the bare
column and to far less with a switch on top is common practice, no published source.
"""

from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rule_holes import component, hole, judged, pipe, pump, reading

from wellbook.dates import When
from wellbook.engineering.curves import HeadCurve
from wellbook.hole.parts import Pipe, Switch
from wellbook.hole.records import Interval, PumpModel, System
from wellbook.rules.pipe_rating import RULE
from wellbook.rules.reach import reach_of
from wellbook.terms import Basis, IntervalKind, LevelState, PumpType, Quantity, Severity

SET = date(2019, 6, 3)
SUB = PumpType.SUBMERSIBLE
CURVE = HeadCurve(((0, 330), (5, 300), (10, 230)))


def bore(to_ft=400.0, diameter_in=6.0):
    return Interval(
        "i", IntervalKind.OPEN_HOLE, 0, to_ft, diameter_in, "", Basis.DRILLERS_LOG, When.unknown()
    )


def level(feet, state=LevelState.STATIC):
    return reading(Quantity.WATER_LEVEL_FT, feet, SET, state=state)


def switch(cut_out_psi=50.0):
    return component(Switch(cut_in_psi=30.0, cut_out_psi=cut_out_psi), set_on=SET)


def with_curve(there, curve=CURVE):
    model = PumpModel("Kesp", "K-9", 0.75, 10, curve=curve)
    found = [c for c in there.components if c.kind.value == "pump"]
    return replace(there, pump_models={c.uid: model for c in found})


def test_limits_of_160_psi_pipe_and_a_50_psi_switch():
    there = hole(components=[pipe(SET, rating_psi=160.0, to_ft=300.0), switch()])
    (section,) = reach_of(there, 40).pipes
    assert (section.limits.bare_column_ft, section.limits.drawn_down_ft) == (369, 253)
    assert (section.too_deep, section.too_deep_with_cut_out) == (False, True)


def test_the_rise_to_the_tank_comes_off():
    system = System("s", "house", 20.0, (), ())
    there = hole(components=[pipe(SET, rating_psi=160.0, to_ft=300.0), switch()], system=system)
    assert reach_of(there, 40).pipes[0].limits.bare_column_ft == 349


def test_the_usual_cut_out_is_taken_and_said_where_none_is_on_record():
    reach = reach_of(hole(components=[pipe(SET, rating_psi=160.0, to_ft=300.0)]), 60)
    assert (reach.cut_out_psi, reach.cut_out_known) == (60, False)
    assert reach.pipes[0].limits.drawn_down_ft == 230


@given(st.floats(1, 1200), st.floats(20, 400), st.floats(0, 150))
def test_it_is_too_deep_where_the_rule_says_so(to_ft, rating_psi, cut_out_psi):
    section = pipe(SET, rating_psi=rating_psi, to_ft=to_ft)
    there = hole(components=[section, switch(cut_out_psi)])
    (seen,) = reach_of(there, 50).pipes
    graves = {f.severity for f in judged(RULE, there)}
    assert seen.too_deep == (Severity.ACT in graves)
    assert seen.too_deep_with_cut_out == bool(graves)


def test_an_upper_section_limits_only_where_it_goes_past_its_limit():
    weak = Pipe(material="pvc", rating_psi=100.0, from_ft=0.0, to_ft=100.0)
    strong = Pipe(material="pvc", rating_psi=200.0, from_ft=100.0, to_ft=300.0)
    short = hole(components=[component(weak), component(strong), switch()])
    assert reach_of(short, 50).past_limits == ()
    deep = hole(
        components=[
            component(replace(weak, to_ft=200.0)),
            component(replace(strong, from_ft=200.0)),
            switch(),
        ]
    )
    assert [p.limits.rating_psi for p in reach_of(deep, 50).past_limits] == [100]


def test_what_is_not_known_has_no_limit():
    (steel,) = reach_of(hole(components=[pipe(SET, material="steel", to_ft=300.0)]), 50).pipes
    assert steel.limits is None and steel.needs_no_limit
    (odd,) = reach_of(hole(components=[pipe(SET, to_ft=300.0)]), 50).pipes
    assert odd.limits is None and not odd.needs_no_limit
    bare = reach_of(hole(), 50)
    assert (bare.pipes, bare.lift, bare.water) == ((), None, None)


def test_usable_water_ends_at_the_intake_where_the_pump_lifts_from_there():
    there = hole(
        components=[pump(SET, type=SUB, hp=0.75, rated_gpm=10.0, set_depth_ft=200.0)],
        observations=[level(60)],
        intervals=[bore()],
    )
    water = reach_of(with_curve(there), 50).water
    # 6 in is 1.47 gal a foot (Colorado DRMS file, Apr 2013, Table 2-1); 140 ft of it.
    assert water.usable_gal.low == pytest.approx(140 * 1.47, rel=0.002)
    assert water.usable_gal.low == water.above_intake_gal
    assert water.useless_ft.high == 0


def test_water_below_the_lift_of_the_pump_is_of_no_use():
    there = hole(
        components=[pump(SET, type=SUB, hp=0.75, rated_gpm=10.0, set_depth_ft=380.0)],
        observations=[level(60)],
        intervals=[bore()],
    )
    reach = reach_of(with_curve(there), 50)
    known = reach.water
    # A curve of 330 ft at no flow, less 50 psi x 2.31 ft (NDSU AE1057): 214 ft; below 330 ft nothing.
    assert (reach.short_from_ft, reach.dry_from_ft) == (214, 330)
    assert (known.useless_ft.low, known.useless_ft.high) == (166, 166)
    assert known.usable_gal.low == pytest.approx(154 * 1.47, rel=0.002)
    guessed = reach_of(there, 50).water
    assert guessed.useless_ft.low < guessed.useless_ft.high
    assert guessed.usable_gal.low < guessed.usable_gal.high


def test_gallons_are_not_known_without_a_width_nor_water_after_a_dry_reading():
    sub = pump(SET, type=SUB, set_depth_ft=300.0)
    wet = reach_of(hole(components=[sub], observations=[level(60)]), 50)
    assert wet.water.usable_gal is None and wet.water.to_ft == 300
    dry = hole(components=[sub], observations=[level(60), level(None, LevelState.DRY)])
    assert reach_of(dry, 50).water is None
    above = hole(components=[sub], observations=[level(310)])
    assert reach_of(above, 50).water is None


def test_a_flowing_well_is_full_to_the_ground():
    sub = pump(SET, type=SUB, set_depth_ft=100.0)
    for feet in (-3.0, None):
        there = hole(
            components=[sub], observations=[level(feet, LevelState.FLOWING)], intervals=[bore()]
        )
        water = reach_of(there, 50).water
        assert water.from_ft == 0
        assert water.above_intake_gal == pytest.approx(146.9, rel=0.002)
