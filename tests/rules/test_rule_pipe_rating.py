"""Pipe rating: 0.4335 psi a foot is fresh water at 40 F (62.4 lb a cubic foot, computed). That 160
psi pipe is not put deeper than about 360 ft, and that 450 ft on it is wrong, is common practice,
no published source.
"""

from datetime import date

import pytest
from rule_holes import component, hole, judged, pipe, pump, the_one

from wellbook.hole.parts import Control, Switch
from wellbook.hole.records import System
from wellbook.rules.pipe_rating import RULE
from wellbook.terms import Occasion, Severity

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


def test_it_waits_for_the_next_pull():
    assert the_one(RULE, hung(450)).occasion is Occasion.NEXT_PULL
