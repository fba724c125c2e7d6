"""Pipe rating: 0.4335 psi a foot is fresh water at 40 F (62.4 lb a cubic foot, computed). That 160
psi pipe is not put deeper than about 360 ft, and that 450 ft on it is wrong, is common practice,
no published source.
"""

import re
from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rule_holes import component, hole, judged, pipe, pump, reading, the_one, visit

from wellbook.hole.component import Claim
from wellbook.hole.parts import Control, Pipe, Switch
from wellbook.hole.records import System
from wellbook.rules.pipe_rating import RULE
from wellbook.terms import Basis, Occasion, Quantity, Reason, Severity

SET = date(2019, 6, 3)


def hung(to_ft, rating_psi=160.0, *more, cut_out_psi=50.0, **facts):
    switch = component(Switch(cut_in_psi=30.0, cut_out_psi=cut_out_psi), set_on=SET)
    section = pipe(SET, rating_psi=rating_psi, to_ft=to_ft)
    return hole(components=[section, switch, *more], **facts)


@pytest.mark.parametrize(
    ("to_ft", "severity"),
    [
        # (160 - 50) / 0.4335 = 253.7 ft and 160 / 0.4335 = 369.1 ft, computed here.
        (253, None),
        (254, Severity.PLAN),
        (360, Severity.PLAN),
        (369, Severity.PLAN),
        (370, Severity.ACT),
        (450, Severity.ACT),
    ],
)
def test_160_psi_pipe(to_ft, severity):
    found = judged(RULE, hung(to_ft))
    assert [f.severity for f in found] == ([severity] if severity else [])


def test_published_worked_example_330_ft_at_50_psi_needs_200_psi_pipe():
    """Selecting well pipe, a trade page: 330 x 0.433 + 50 = 192.9 psi."""
    assert judged(RULE, hung(330, 200.0)) == []
    found = the_one(RULE, hung(330, 160.0))
    assert found.numbers["with_cut_out_psi"] == pytest.approx(192.9, abs=0.3)


def test_the_rise_to_the_tank_is_part_of_the_column():
    system = System("y", "", 40.0, (), ())
    assert the_one(RULE, hung(330, system=system)).severity is Severity.ACT
    assert the_one(RULE, hung(329, system=system)).severity is Severity.PLAN


def test_each_section_at_its_own_bottom():
    upper = pipe(SET, rating_psi=160.0, from_ft=0.0, to_ft=200.0)
    lower = pipe(SET, rating_psi=160.0, from_ft=200.0, to_ft=420.0)
    found = the_one(RULE, hole(components=[upper, lower]))
    assert found.counts_from == lower.uid


def test_without_its_own_end_a_section_reaches_the_pump():
    assert the_one(RULE, hung(None, 160.0, pump(SET, set_depth_ft=450.0))).severity is Severity.ACT


def test_an_unrecorded_cut_out_is_taken_as_usual_and_never_sure():
    found = the_one(RULE, hole(components=[pipe(SET, rating_psi=160.0, to_ft=300.0)]))
    assert (found.may_from, found.surely_from) == (SET, None)
    assert "not recorded" in found.reason


def test_a_drive_s_setpoint_is_its_cut_out():
    drive = component(Control(setpoint_psi=60.0), set_on=SET)
    section = pipe(SET, rating_psi=160.0, to_ft=240.0)
    assert the_one(RULE, hole(components=[section, drive])).numbers["cut_out_psi"] == 60.0


def test_the_same_ratio_is_two_ratings_in_two_polyethylenes():
    """SIDR 9 is 160 psi in PE3408 and 200 psi in PE4710 (ASTM D2239 by the published formula)."""
    for material, severities in (("pe3408", [Severity.PLAN]), ("pe4710", [])):
        section = pipe(SET, material=material, wall="SIDR 9", to_ft=300.0)
        found = judged(RULE, hole(components=[section, *hung(1).components[1:]]))
        assert [f.severity for f in found] == severities


def test_an_uncertain_setting():
    found = the_one(RULE, hole(components=[pipe("2005/2009", rating_psi=100.0, to_ft=300.0)]))
    assert (found.may_from, found.surely_from) == (date(2005, 1, 1), date(2009, 12, 31))


@pytest.mark.parametrize(
    "section",
    [
        pipe(SET, to_ft=450.0),
        pipe(SET, rating_psi=160.0),
        pipe(SET, material="galvanized", wall="sch 40", to_ft=450.0),
        pipe(SET, material="pvc", wall="sch 80", nominal_in="0", to_ft=450.0),
        pipe(SET, rating_psi=160.0, to_ft=36_000.0),
    ],
    ids=["no rating", "no end", "steel", "no such size", "no such depth"],
)
def test_nothing_to_judge(section):
    assert judged(RULE, hole(components=[section])) == []


# -- since when ----------------------------------------------------------------------------------

MOVED = date(2018, 6, 3)


def let_down():
    """Hung at 300 ft from 1999, let down to 400 ft."""
    end, depth = (
        Claim(field, 400.0, Basis.MEASURED, MOVED, True, "back", 300.0)
        for field in ("to_ft", "set_depth_ft")
    )
    section = pipe("1999", rating_psi=160.0, to_ft=400.0, claims=(end,))
    return hole(
        components=[section, pump("1999", set_depth_ft=400.0, claims=(depth,))],
        visits=[visit(MOVED, Reason.PULL_AND_INSPECT, opened=True, uid="back")],
    )


def test_a_pipe_let_down_hangs_there_since_that_day():
    found = the_one(RULE, let_down())
    assert found.severity is Severity.ACT
    assert (found.may_from, found.surely_from) == (MOVED, MOVED)
    earlier = the_one(RULE, let_down().on(date(2010, 1, 1)))
    assert (earlier.severity, earlier.subject) == (Severity.PLAN, "pipe to 300 ft")


def test_a_better_reading_of_where_it_ends_may_have_been_so_all_along():
    seen = replace(let_down(), visits=(visit(MOVED, Reason.CHECK_UP, uid="back"),))
    found = the_one(RULE, seen)
    assert (found.may_from, found.surely_from) == (date(1999, 1, 1), MOVED)


@pytest.mark.parametrize("part", [Switch(cut_out_psi=60.0), Control(setpoint_psi=60.0)])
def test_a_switch_or_drive_of_later_counts_from_its_day(part):
    section = pipe(date(2005, 5, 1), rating_psi=160.0, to_ft=250.0)
    old = component(Switch(cut_out_psi=50.0), set_on=date(2005, 5, 1), pulled_on=date(2024, 3, 1))
    found = the_one(RULE, hole(components=[section, old, component(part, set_on=date(2024, 3, 1))]))
    assert (found.may_from, found.surely_from) == (date(2024, 3, 1), date(2024, 3, 1))


@pytest.mark.parametrize(
    ("on", "basis", "cut_out"),
    [
        (date(2024, 3, 1), Basis.MEASURED, 60.0),
        (SET, Basis.MEASURED, 60.0),
        (date(2018, 3, 1), Basis.MEASURED, 50.0),
        ("2019", Basis.MEASURED, 50.0),
        (date(2024, 3, 1), Basis.CUSTOMER_TOLD, 50.0),
    ],
    ids=["later", "at the setting", "of the switch before", "perhaps before", "only told"],
)
def test_a_cut_out_that_was_measured_since_counts(on, basis, cut_out):
    well = hung(300, observations=[reading(Quantity.CUT_OUT_PSI, 60.0, on, basis=basis)])
    switch = replace(well.components[1], noted_on=SET)
    found = the_one(RULE, replace(well, components=(well.components[0], switch)))
    assert found.numbers["cut_out_psi"] == cut_out
    if on == date(2024, 3, 1) and cut_out == 60.0:
        assert (found.may_from, found.surely_from) == (on, on)


def test_a_bare_column_does_not_wait_for_a_switch():
    section = pipe(date(2005, 5, 1), rating_psi=160.0, to_ft=400.0)
    new = component(Switch(cut_out_psi=60.0), set_on=date(2024, 3, 1))
    assert the_one(RULE, hole(components=[section, new])).surely_from == date(2005, 5, 1)


def test_the_usual_cut_out_is_not_taken_before_a_known_one_was_gone():
    section = pipe(date(2005, 5, 1), rating_psi=160.0, to_ft=300.0)
    gone = component(Switch(cut_out_psi=30.0), set_on="2005", pulled_on=date(2024, 3, 1))
    found = the_one(RULE, hole(components=[section, gone]))
    assert (found.may_from, found.surely_from) == (date(2024, 3, 1), None)


def test_what_is_left_of_a_section_ends_there_since_it_was_cut():
    rest = component(
        Pipe(rating_psi=100.0, to_ft=300.0), set_on=date(2005, 5, 1), cut_on=date(2019, 4, 2)
    )
    found = the_one(RULE, hole(components=[rest]))
    assert (found.may_from, found.surely_from) == (date(2019, 4, 2), date(2019, 4, 2))


def test_without_its_own_end_it_counts_from_the_pump_s_setting():
    section = pipe(date(2005, 5, 1), rating_psi=160.0)
    deep = pump(date(2020, 2, 1), set_depth_ft=450.0)
    assert the_one(RULE, hole(components=[section, deep])).may_from == date(2020, 2, 1)


# -- a pump below its pipe -----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("pump_ft", "severity", "sure"),
    [
        (300, Severity.PLAN, True),
        (310, Severity.PLAN, True),
        (360, Severity.PLAN, True),
        (370, Severity.ACT, False),
        (450, Severity.ACT, False),
    ],
)
def test_a_pump_below_its_pipe_on_record(pump_ft, severity, sure):
    """450 ft on 160 psi pipe is wrong (common practice), though nobody wrote the pipe down."""
    found = the_one(RULE, hung(300, 160.0, pump(SET, set_depth_ft=float(pump_ft))))
    assert found.severity is severity
    assert (found.surely_from is not None) is sure
    assert found.may_from == SET
    assert (
        f"ends at 300 ft on record, but its pump hangs at {pump_ft} ft" in found.reason
    ) is not sure


def test_the_new_pump_s_day_counts_for_what_hangs_below():
    later = date(2025, 4, 1)
    found = the_one(RULE, hung(300, 160.0, pump(later, set_depth_ft=450.0)))
    assert (found.may_from, found.surely_from) == (later, None)


def test_only_the_lowest_section_reaches_down_to_the_pump():
    upper = pipe(SET, rating_psi=100.0, from_ft=0.0, to_ft=100.0)
    lower = pipe(SET, rating_psi=250.0, from_ft=100.0, to_ft=200.0)
    deep = pump(SET, set_depth_ft=500.0)
    assert judged(RULE, hole(components=[upper, lower, deep])) != []
    for only, count in ((upper, 0), (lower, 1)):
        found = judged(RULE, hole(components=[upper, lower, deep]))
        assert sum(f.counts_from == only.uid for f in found) == count


def test_a_section_without_an_end_ends_where_the_next_begins():
    upper = pipe(SET, rating_psi=100.0, from_ft=0.0)
    lower = pipe(SET, rating_psi=250.0, from_ft=100.0, to_ft=400.0)
    deep = pump(SET, set_depth_ft=400.0)
    assert judged(RULE, hole(components=[upper, lower, deep])) == []


# -- digits --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("to_ft", "said"),
    [
        # 0.4335 x feet, computed: 160.395, 160.00485 and 195.075 psi.
        (370.0, "rated 160 psi hangs to 370 ft: column alone 160.4 psi"),
        (369.1, "rated 160 psi hangs to 369.1 ft: column alone 160.005 psi"),
        (450.0, "rated 160 psi hangs to 450 ft: column alone 195 psi"),
    ],
)
def test_the_reason_shows_which_is_more(to_ft, said):
    assert said in the_one(RULE, hung(to_ft)).reason


def test_a_rating_that_is_just_reached_holds():
    """160 psi of 0.4335 psi a foot, in floats a hair more or less."""
    assert the_one(RULE, hung(160 / 0.4335)).severity is Severity.PLAN


@given(
    to_ft=st.floats(1, 2000), rating=st.sampled_from([100.0, 160.0, 200.0]), rise=st.floats(0, 99)
)
def test_the_numbers_that_are_shown_compare_as_the_verdict_does(to_ft, rating, rise):
    system = System("y", "", rise, (), ())
    for found in judged(RULE, hung(to_ft, rating, system=system)):
        column, both = (float(n) for n in re.findall(r"([0-9.]+) psi(?:;|$)", found.reason)[-2:])
        assert (column > rating) is (found.severity is Severity.ACT)
        assert both > rating


def test_it_waits_for_the_next_pull():
    assert the_one(RULE, hung(450)).occasion is Occasion.NEXT_PULL
