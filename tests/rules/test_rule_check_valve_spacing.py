"""Check valves: at the pump, 25 ft above the lowest pumping level, then every 200 ft (The Driller
85101). That near 400 ft upwards of 200 psi stand on the pump's valve is common practice, no published
source.
"""

from datetime import date

import pytest
from rule_holes import component, hole, judged, level, pump, the_one, visit

from wellbook.hole.parts import CheckValve, Switch
from wellbook.hole.records import System
from wellbook.rules import string_fittings
from wellbook.rules.check_valve_spacing import RULE
from wellbook.rules.finding import Settings
from wellbook.terms import LevelState, Occasion, PumpType, Reason, Severity, Verdict

SET = date(2019, 6, 3)
JOB = visit(SET, Reason.REPLACEMENT, uid="job", opened=True)


def seen(set_depth_ft, *valves_ft, pumping_ft=None, cut_out_psi=50.0, more=(), **facts):
    """A string that a crew of the shop's own set, with valves at these depths."""
    fields = facts.pop("pump", {})
    parts = [pump(SET, set_depth_ft=set_depth_ft, set_by="job", noted_on=SET, **fields)]
    parts += [component(CheckValve(depth_ft=ft), set_on=SET, noted_on=SET) for ft in valves_ft]
    if cut_out_psi is not None:
        parts.append(component(Switch(cut_out_psi=cut_out_psi), set_on=SET, noted_on=SET))
    water = [] if pumping_ft is None else [level(pumping_ft, LevelState.PUMPING, SET)]
    known = {"visits": [JOB], "components": [*parts, *more], "observations": water}
    return hole(**{**known, **facts})


def checked(well, **changed):
    changed = {f"{RULE.name}.{name}": value for name, value in changed.items()}
    return {c.aspect: c for c in RULE.checks(well, Settings(changed).numbers(RULE))}


def verdicts(well, **changed):
    return {aspect: made.verdict for aspect, made in checked(well, **changed).items()}


FIRST, SPACING = "first valve above the water", "valve spacing"
AT_THE_PUMP = "pressure at the pump's valve"


def test_the_published_example_passes():
    well = seen(750.0, 675.0, 475.0, 275.0, 75.0, pumping_ft=700.0)
    made = checked(well)
    assert made[FIRST].verdict is made[SPACING].verdict is Verdict.PASS
    # Every 200 ft, and valves stand between joints of 20 ft.
    assert (made[FIRST].margin, made[SPACING].margin) == (0.0, 20.0)
    # 750 x 0.4335 + 50 = 375 psi.
    assert made[AT_THE_PUMP].verdict is Verdict.FAIL
    assert made[AT_THE_PUMP].value == pytest.approx(375.1, abs=0.1)


@pytest.mark.parametrize(
    ("lowest_ft", "verdict"),
    [(310.0, Verdict.PASS), (275.0, Verdict.PASS), (274.9, Verdict.FAIL), (170.0, Verdict.FAIL)],
)
def test_the_first_one_above_the_water(lowest_ft, verdict):
    well = seen(340.0, lowest_ft, 120.0, pumping_ft=300.0)
    assert verdicts(well)[FIRST] is verdict
    found = [f for f in judged(RULE, well) if f.subject == "check valves, first"]
    assert bool(found) is (verdict is Verdict.FAIL)
    for one in found:
        assert (one.severity, one.occasion) == (Severity.WATCH, Occasion.NEXT_PULL)
        assert "at 275, 75 ft" in one.action


@pytest.mark.parametrize(
    ("valves_ft", "verdict"),
    [
        ((275.0, 55.0), Verdict.PASS),
        ((275.0, 54.9), Verdict.FAIL),
        ((220.0,), Verdict.PASS),
        ((220.1,), Verdict.FAIL),
    ],
)
def test_one_every_200_ft_give_or_take_a_joint(valves_ft, verdict):
    assert verdicts(seen(340.0, *valves_ft))[SPACING] is verdict


def test_a_maker_s_100_ft():
    assert verdicts(seen(340.0, 275.0, 75.0), spacing_ft=100)[SPACING] is Verdict.FAIL


def test_a_level_below_the_pump_counts_as_at_the_pump():
    assert verdicts(seen(300.0, 275.0, 75.0, pumping_ft=350.0))[FIRST] is Verdict.PASS


@pytest.mark.parametrize(
    ("set_depth_ft", "cut_out_psi", "verdict"),
    [
        # (200 - 50) / 0.4335 = 346.02 ft and 200 / 0.4335 = 461.4 ft, computed here.
        (346.0, 50.0, Verdict.PASS),
        (347.0, 50.0, Verdict.FAIL),
        (400.0, 50.0, Verdict.FAIL),
        (461.0, None, Verdict.CANNOT_SAY),
        (462.0, None, Verdict.FAIL),
    ],
)
def test_pressure_at_the_pump_s_valve(set_depth_ft, cut_out_psi, verdict):
    well = seen(set_depth_ft, 190.0, cut_out_psi=cut_out_psi)
    assert verdicts(well)[AT_THE_PUMP] is verdict
    found = [f for f in judged(RULE, well) if f.subject == "check valve at the pump"]
    assert bool(found) is (verdict is Verdict.FAIL)
    assert all((f.severity, f.occasion) == (Severity.WATCH, Occasion.NEXT_PULL) for f in found)


def test_the_rise_to_the_tank_is_part_of_the_column():
    system = System("y", "", 10.0, (), ())
    assert verdicts(seen(340.0, system=system))[AT_THE_PUMP] is Verdict.FAIL
    assert verdicts(seen(340.0), usual_valve_psi=190)[AT_THE_PUMP] is Verdict.FAIL


def test_no_second_valve_is_said_in_one_place():
    well = seen(340.0, pumping_ft=300.0)
    assert list(checked(well)) == [AT_THE_PUMP]
    assert judged(RULE, well) == []
    assert the_one(string_fittings.RULE, well).subject == "check valve"


@pytest.mark.parametrize(
    ("well", "aspect", "missing"),
    [
        (seen(340.0, 275.0), FIRST, "pumping level"),
        (seen(340.0, None), SPACING, "depth of the check valve"),
        (seen(None, 275.0), AT_THE_PUMP, "set depth"),
        (seen(340.0, cut_out_psi=None), AT_THE_PUMP, "cut-out of the switch"),
        (seen(340.0, 275.0, visits=[]), SPACING, "check valves of the string, seen by a crew"),
        (seen(340.0, 275.0, visits=[]), AT_THE_PUMP, "check valves of the string, seen by a crew"),
    ],
)
def test_missing_facts(well, aspect, missing):
    made = checked(well)[aspect]
    assert made.verdict is Verdict.CANNOT_SAY
    assert made.missing == (missing,)


def test_other_pumps_and_none():
    assert checked(hole()) == {}
    assert checked(seen(340.0, 275.0, pump={"type": PumpType.LINESHAFT})) == {}
    assert SPACING in checked(seen(340.0, 275.0, pump={"type": PumpType.SUBMERSIBLE}))


def test_absurd_depths():
    assert judged(RULE, seen(30_000.0, 25_000.0, 39_000.0, pumping_ft=-40_000.0))
    # A valve that is said to hang below the pump stands at it.
    assert list(checked(seen(300.0, 320.0))) == [AT_THE_PUMP]


def test_it_holds_from_the_last_that_was_changed():
    gone = component(CheckValve(depth_ft=75.0), set_on=SET, pulled_on=date(2023, 5, 2))
    found = the_one(RULE, seen(340.0, 275.0, more=[gone]))
    assert (found.may_from, found.surely_from) == (date(2023, 5, 2), date(2023, 5, 2))
    new = component(CheckValve(depth_ft=290.0), set_on="2021", noted_on=date(2024, 5, 2))
    found = the_one(RULE, seen(340.0, more=[new]))
    assert (found.may_from, found.surely_from) == (date(2021, 1, 1), date(2021, 12, 31))


def test_a_pumping_level_of_later_counts_from_its_day():
    later = level(330.0, LevelState.PUMPING, "May 2023")
    found = the_one(RULE, seen(340.0, 275.0, 75.0, observations=[later]))
    assert (found.may_from, found.surely_from) == (date(2023, 5, 1), date(2023, 5, 31))
    assert found.numbers["above_level_ft"] == 55.0
