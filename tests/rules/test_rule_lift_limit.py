"""Lift limit: total head is level, rise and 2.31 ft for each psi at the top (NDSU AE1057).

That 3/4 hp rated 10 gpm lifts from about 280 ft, and 3/4 hp rated 5 gpm from 415 to 420 ft, is common
practice, no published source; the estimates for them are 174 to 285 ft and 289 to 485 ft at 50 psi.
"""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st
from lift_holes import CURVE, SET, checked, lifting
from rule_holes import cable, component, judged, level, the_one

from wellbook.engineering.curves import HeadCurve
from wellbook.engineering.operating import System
from wellbook.hole.parts import Control, Pipe
from wellbook.hole.records import System as WaterSystem
from wellbook.rules.duty import duties, meeting
from wellbook.rules.lift import lift_of, lifter_of, missing_for_lift
from wellbook.rules.lift_limit import DRAWN_DOWN, RATED, REACHES, RULE, STALLS
from wellbook.rules.reach import reach_of
from wellbook.rules.well_asks import runs_of, system_of
from wellbook.terms import Basis, LevelState, Occasion, PumpType, Severity, Verdict

READ = date(2024, 5, 1)


def pumping(feet, on=READ, **more):
    return [level(feet, LevelState.PUMPING, on, **more)]


@pytest.mark.parametrize(
    ("feet", "verdict", "severity"),
    [(200, Verdict.PASS, None), (200.1, Verdict.FAIL, Severity.PLAN)],
)
def test_by_its_curve_it_reaches_the_cut_out_from_200_ft(feet, verdict, severity):
    well = lifting(250, curve=CURVE, observations=pumping(feet))
    assert checked(RULE, well)[REACHES].verdict is verdict
    assert [f.severity for f in judged(RULE, well)] == ([severity] if severity else [])


@pytest.mark.parametrize(
    ("feet", "verdict", "severity"),
    [
        (174, Verdict.PASS, None),
        (175, Verdict.CANNOT_SAY, Severity.WATCH),
        (285, Verdict.CANNOT_SAY, Severity.WATCH),
        (286, Verdict.FAIL, Severity.PLAN),
    ],
)
def test_by_an_estimate_it_is_a_band(feet, verdict, severity):
    well = lifting(400, observations=pumping(feet))
    made = checked(RULE, well)[REACHES]
    assert made.verdict is verdict
    assert ("curve of the pump" in made.missing) is (verdict is Verdict.CANNOT_SAY)
    assert "common practice" in made.source
    found = judged(RULE, well)
    assert [f.severity for f in found] == ([severity] if severity else [])
    assert all((f.surely_from is None) is (f.severity is Severity.WATCH) for f in found)


def test_the_same_motor_with_more_stages_lifts_deeper():
    for gpm, verdict in ((10.0, Verdict.FAIL), (5.0, Verdict.CANNOT_SAY)):
        well = lifting(450, rated_gpm=gpm, observations=pumping(400))
        assert checked(RULE, well)[REACHES].verdict is verdict


def test_it_holds_since_the_level_was_read_or_the_pump_was_set():
    found = the_one(RULE, lifting(250, curve=CURVE, observations=pumping(210)))
    assert (found.may_from, found.surely_from, found.occasion) == (READ, READ, Occasion.NEXT_PULL)
    early = the_one(RULE, lifting(250, curve=CURVE, observations=pumping(210, date(2010, 1, 1))))
    assert early.may_from == SET


def test_an_uncertain_reading():
    found = the_one(RULE, lifting(250, curve=CURVE, observations=pumping(210, "2021/2023")))
    assert (found.may_from, found.surely_from) == (date(2021, 1, 1), date(2023, 12, 31))


def test_a_level_on_a_log_is_only_worth_a_watch():
    logged = pumping(210, basis=Basis.DRILLERS_LOG)
    found = the_one(RULE, lifting(250, curve=CURVE, observations=logged))
    assert (found.severity, found.surely_from) == (Severity.WATCH, None)


def test_a_static_level_out_of_reach_is_enough_and_one_in_reach_says_nothing():
    def at_rest(feet):
        return lifting(250, curve=CURVE, observations=[level(feet, LevelState.STATIC, READ)])

    assert the_one(RULE, at_rest(201)).severity is Severity.PLAN
    made = checked(RULE, at_rest(150))[REACHES]
    assert (made.verdict, made.missing) == (Verdict.CANNOT_SAY, ("pumping level",))


def test_a_pump_hung_within_reach_passes_at_any_level():
    made = checked(RULE, lifting(200, curve=CURVE))
    assert made[REACHES].verdict is Verdict.PASS
    assert made[DRAWN_DOWN].verdict is Verdict.PASS


@pytest.mark.parametrize(
    ("set_ft", "drawn_down", "stalls"),
    [
        (200, Verdict.PASS, Verdict.PASS),
        (201, Verdict.FAIL, Verdict.PASS),
        (315, Verdict.FAIL, Verdict.PASS),
        (316, Verdict.FAIL, Verdict.FAIL),
    ],
)
def test_the_setting_is_judged_apart_and_left_to_useless_depth(set_ft, drawn_down, stalls):
    well = lifting(set_ft, curve=CURVE, observations=pumping(100))
    made = checked(RULE, well)
    assert (made[DRAWN_DOWN].verdict, made[STALLS].verdict) == (drawn_down, stalls)
    assert judged(RULE, well) == []


def test_less_than_the_rated_flow_is_said_and_no_fault():
    """220 ft at 10 gpm less 115.5 ft is 104.5 ft."""
    for feet, verdict in ((104, Verdict.PASS), (105, Verdict.FAIL)):
        well = lifting(200, curve=CURVE, observations=pumping(feet))
        made = checked(RULE, well)[RATED]
        assert (made.verdict, made.finding) == (verdict, None)
    assert checked(RULE, lifting(200, curve=CURVE))[RATED].missing == ("pumping level",)


def test_the_rise_and_a_drive_s_setpoint_take_off_the_lift():
    up = WaterSystem("y", "", 40.0, (), ())
    drive = component(Control(setpoint_psi=60.0), set_on=SET)
    assert the_one(RULE, lifting(250, curve=CURVE, system=up, observations=pumping(161)))
    assert judged(RULE, lifting(250, curve=CURVE, system=up, observations=pumping(160))) == []
    # 315.5 - 138.6 = 176.9 ft
    driven = lifting(250, drive, curve=CURVE, cut_out_psi=None, observations=pumping(177))
    assert the_one(RULE, driven).numbers["reaches_high_ft"] == 176


def test_an_unrecorded_cut_out_is_taken_as_usual_and_never_sure():
    well = lifting(250, curve=CURVE, cut_out_psi=None, observations=pumping(210))
    found = the_one(RULE, well)
    assert found.surely_from is None
    assert "usual one taken" in found.reason
    assert judged(RULE, well, usual_cut_out_psi=40) == []


@pytest.mark.parametrize(
    ("facts", "missing"),
    [
        ({"hp": None}, ("horsepower",)),
        ({"rated_gpm": None}, ("rated flow",)),
        ({"hp": None, "rated_gpm": None}, ("horsepower", "rated flow")),
        ({"type": None}, ("kind of pump",)),
        ({"hp": 40.0, "rated_gpm": 0.01}, ("horsepower and rated flow that go together",)),
    ],
)
def test_what_is_missing_is_said(facts, missing):
    well = lifting(250, **facts)
    assert missing_for_lift(well) == missing
    made = checked(RULE, well)[REACHES]
    assert (made.verdict, made.missing) == (Verdict.CANNOT_SAY, missing)


def test_jets_hand_pumps_and_wells_without_a_pump_are_not_judged():
    for kind in (PumpType.SHALLOW_JET, PumpType.DEEP_JET, PumpType.HAND, PumpType.LINESHAFT):
        assert checked(RULE, lifting(250, type=kind)) == {}
    assert missing_for_lift(lifting(250, type=PumpType.HAND)) == ()


def test_a_pump_with_a_cable_down_the_hole_is_a_submersible():
    assert lifter_of(lifting(250, cable(SET), type=None)) is not None


def test_a_curve_that_begins_later_says_nothing_of_the_cut_out():
    begun = HeadCurve(((2, 300), (10, 220)))
    made = checked(RULE, lifting(250, curve=begun, observations=pumping(100)))
    assert made[REACHES].missing == ("curve of the pump at no flow",)


# -- what the well asks of it --------------------------------------------------------------------


def piped(nominal_in="1-1/2", wall="SIDR 7"):
    return component(Pipe("pe4710", nominal_in, wall, 250.0, 0.0, 220.0), set_on=SET)


def at_rest_and_pumped():
    still = level(80, LevelState.STATIC, READ)
    return [still, level(120, LevelState.PUMPING, READ, at_gpm=8.0)]


def test_each_duty_lies_on_both_curves():
    """At the flow it gives the pump makes just what level, pressure and friction ask for."""
    well = lifting(220, piped(), curve=CURVE, observations=at_rest_and_pumped())
    made = list(duties(well, 50, READ))
    assert [(d.where, d.level_ft) for d in made] == [
        ("at the static level", 80),
        ("at the pumping level", 120),
        ("drawn down to the pump", 220),
    ]
    assert (made[2].high_gpm, made[2].lifts) == (0, True)


@given(
    st.floats(0, 400),
    st.sampled_from(["3/4", "1", "1-1/2", None]),
    st.integers(20, 90),
    st.booleans(),
)
def test_each_flow_lies_on_both_curves_or_says_why_not(feet, size, psi, known):
    """Of the pump's curve, and of an estimate's two, against level, pressure and friction."""
    seen = [level(feet, LevelState.STATIC, READ)]
    curve = CURVE if known else None
    well = lifting(220, piped(size), curve=curve, cut_out_psi=float(psi), observations=seen)
    duty = next(duties(well, 50, READ))
    assert duty.unsaid == ("" if size else "without the friction of pipe of unknown size")
    asked = System(duty.level_ft, 0.0, float(psi), runs_of(well, READ).known)
    curves = lifter_of(well).curves
    for gpm, head in ((duty.low_gpm, curves.low), (duty.high_gpm, curves.high)):
        if gpm is None:
            assert head.head_ft(head.most_gpm) > asked.head_ft(head.most_gpm)
        elif gpm == 0:
            assert head.head_ft(0) <= asked.head_ft(0) + 0.01
        elif gpm < head.most_gpm:
            assert head.head_ft(gpm) == pytest.approx(asked.head_ft(gpm), abs=0.01)


def test_a_meeting_lies_on_both_curves_and_the_level_falls_with_it():
    well = lifting(220, piped(), curve=CURVE, observations=at_rest_and_pumped())
    met, system = meeting(well, CURVE, 50, READ), system_of(well, 50)
    assert met is not None and system is not None
    assert system.specific_capacity_gpm_per_ft == pytest.approx(0.2)
    assert CURVE.head_ft(met.point.gpm) == pytest.approx(system.head_ft(met.point.gpm), abs=0.01)
    assert meeting(lifting(220, curve=CURVE), CURVE, 50, READ) is None


def test_pipe_of_unknown_size_is_left_out_and_said():
    def given(section):
        return lifting(220, *section, curve=CURVE, observations=at_rest_and_pumped())

    unsaid = "without the friction of pipe of unknown size"
    wide, narrow, unknown, bare = (
        next(duties(given(section), 50, READ))
        for section in ([piped("1-1/2")], [piped("3/4")], [piped(None)], [])
    )
    assert wide.low_gpm > narrow.low_gpm and unknown.low_gpm > narrow.low_gpm
    assert (wide.unsaid, narrow.unsaid) == ("", "")
    assert unknown.unsaid == bare.unsaid == unsaid
    assert unsaid in checked(RULE, given([piped(None)]))[RATED].says
    assert unsaid not in checked(RULE, given([piped("3/4")]))[RATED].says


def test_below_the_first_flow_of_its_curve_nobody_knows_whether_it_gives_any():
    """`calc operating-point` says the same of the same curve: it begins at 5 gpm, with 290 ft."""
    begun = HeadCurve(((5, 290), (10, 220), (14, 120)))
    # 174.5 ft and 115.5 ft for 50 psi are the 290 ft.
    for feet, known in ((174, True), (175, False)):
        seen = [level(feet, LevelState.STATIC, READ)]
        duty = next(duties(lifting(None, curve=begun, observations=seen), 50, READ))
        assert duty.begins_later is not known
        assert (duty.low_gpm > 5) if known else ((duty.low_gpm, duty.high_gpm) == (0, 5))
    deep = [level(300, LevelState.STATIC, READ)]
    assert next(duties(lifting(None, curve=begun, observations=deep), 50, READ)).lifts is None


@pytest.mark.parametrize(
    ("states", "at_rest_ft"),
    [
        ([(80, LevelState.STATIC, 2020)], 80),
        ([(80, LevelState.STATIC, 2020), (None, LevelState.DRY, 2026)], None),
        ([(None, LevelState.DRY, 2020), (80, LevelState.STATIC, 2026)], 80),
        ([(None, LevelState.FLOWING, 2026)], 0),
        ([(80, LevelState.STATIC, 2020), (-3, LevelState.FLOWING, 2026)], -3),
        ([(80, LevelState.PUMPING, 2026)], None),
        ([], None),
    ],
)
def test_where_the_water_stands_at_rest_is_one_answer(states, at_rest_ft):
    seen = [level(feet, state, date(year, 5, 1)) for feet, state, year in states]
    well = lifting(220, curve=CURVE, observations=seen)
    assert well.at_rest_ft() == at_rest_ft
    assert reach_of(well, 50).static_ft == at_rest_ft
    system, made = system_of(well, 50), list(duties(well, 50, READ))
    rests = [d.level_ft for d in made if "static" in d.where or "at rest" in d.where]
    if at_rest_ft is None:
        assert system is None and rests == []
    else:
        assert system is not None and system.static_level_ft == max(at_rest_ft, 0)
        assert rests == [at_rest_ft]


def test_absurd_records_are_no_reason_to_raise():
    still = level(36_000.0, LevelState.STATIC, READ)
    well = lifting(36_000.0, curve=CURVE, observations=[still], cut_out_psi=30_000.0)
    assert lift_of(well, 50) is None
    assert system_of(well, 50) is None
    assert judged(RULE, well) == []


def test_only_what_rests_on_the_cut_out_says_that_it_was_taken():
    made = checked(RULE, lifting(220, piped(), curve=CURVE, cut_out_psi=None))
    assert made[DRAWN_DOWN].taken == ("a cut-out of 50 psi",)
    assert made[STALLS].taken == ()
    assert "usual one taken" not in made[STALLS].says
