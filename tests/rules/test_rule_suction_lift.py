"""Suction lift: the weight of the air is 14.696 psi at sea level (a standard atmosphere), and 0.4335 psi
a foot of water makes 33.9 ft of it. That a jet hardly sucks from below 25 ft is common practice, no
published source.
"""

from __future__ import annotations

import math
from datetime import date

import pytest
from rule_holes import hole, judged, pump, reading, the_one

from wellbook.engineering.pressure import PSI_PER_FT
from wellbook.hole.hole import Hole
from wellbook.rules.finding import Settings
from wellbook.rules.suction_lift import RULE, SOURCE
from wellbook.terms import Basis, LevelState, Occasion, PumpType, Quantity, Severity, Verdict

SET, READ = date(2019, 6, 3), date(2021, 4, 1)


def sucking(kind: PumpType = PumpType.SHALLOW_JET, **levels: float) -> Hole:
    seen = [
        reading(Quantity.WATER_LEVEL_FT, ft, READ, state=LevelState(state), basis=Basis.MEASURED)
        for state, ft in levels.items()
    ]
    return hole(components=[pump(SET, noted_on=SET, type=kind, hp=0.5)], observations=seen)


def verdicts(well: Hole) -> list[Verdict]:
    return [c.verdict for c in RULE.checks(well, Settings().numbers(RULE))]  # type: ignore[misc]


def test_no_air_lifts_more_than_its_weight() -> None:
    feet = math.floor(14.696 / PSI_PER_FT * 10) / 10
    assert f"{feet} ft of water at sea level" in SOURCE
    assert RULE.thresholds[0].most < feet


@pytest.mark.parametrize(("pumping_ft", "trips"), [(25, False), (25.1, True)])
def test_the_level_that_it_is_drawn_down_to(pumping_ft: float, trips: bool) -> None:
    well = sucking(static=12, pumping=pumping_ft)
    found = [(f.severity, f.occasion) for f in judged(RULE, well)]
    assert found == [(Severity.PLAN, Occasion.NEXT_VISIT)] * trips
    assert verdicts(well) == [Verdict.FAIL if trips else Verdict.PASS]


def test_it_is_never_drawn_up() -> None:
    assert "static level of 41.5 ft" in the_one(RULE, sucking(static=41.5)).reason
    assert verdicts(sucking(static=24)) == [Verdict.CANNOT_SAY]
    assert verdicts(sucking()) == [Verdict.CANNOT_SAY]


@pytest.mark.parametrize("kind", [PumpType.DEEP_JET, PumpType.HAND])
def test_what_works_in_the_water_is_asked_after(kind: PumpType) -> None:
    assert verdicts(sucking(kind, static=41.5, pumping=60)) == [Verdict.CANNOT_SAY]


def test_a_submersible_pushes() -> None:
    assert verdicts(sucking(PumpType.SUBMERSIBLE, static=41.5, pumping=60)) == []


def test_it_holds_since_the_level_was_read() -> None:
    one = the_one(RULE, sucking(pumping=30))
    assert (one.may_from, one.surely_from) == (READ, READ)
