"""A falling level: the median of the slopes and its interval are Theil's and Sen's (tests of the trend
hold them against published values); five years ahead is common practice, no published source.
"""

import csv
from collections import defaultdict
from datetime import date, timedelta
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rule_holes import hole, judged, level, pump, visit

from wellbook.dates import When
from wellbook.rules.falling_level import RULE
from wellbook.rules.finding import Settings
from wellbook.rules.levels import day_of, year_of
from wellbook.terms import (
    Basis,
    LevelState,
    MeasuringPoint,
    Occasion,
    PumpType,
    Reason,
    Severity,
    Verdict,
)

LEVELS = Path(__file__).parents[3] / "shared" / "data" / "levels"
SET = date(2010, 5, 4)
FALLING = [60.0, 62.0, 64.0, 66.0, 68.0, 70.0]


def static(feet, on, **more):
    return level(feet, LevelState.STATIC, on, **more)


def at(feet, first=2015):
    """Static levels in May of one year after the other."""
    return [static(ft, date(first + n, 5, 1)) for n, ft in enumerate(feet)]


def well(observations, set_depth_ft=300.0, **facts):
    parts = [pump(SET, set_depth_ft=set_depth_ft, **facts.pop("pump", {}))]
    return hole(components=parts, observations=observations, **facts)


def pumped(year, feet, drawdown, **more):
    """A test: the level at rest, and drawn down."""
    day = date(year, 5, 1)
    return [level(feet + drawdown, LevelState.PUMPING, day, at_gpm=5.0, minutes=120.0, **more)]


def checked(well_, **changed):
    changed = {f"{RULE.name}.{name}": value for name, value in changed.items()}
    return {c.aspect: c for c in RULE.checks(well_, Settings(changed).numbers(RULE))}


def falls(well_, **changed):
    return [f for f in judged(RULE, well_, **changed) if f.subject == "static level"]


def reached(well_, **changed):
    return [f for f in judged(RULE, well_, **changed) if f.subject.startswith("pump")]


# -- the trend -----------------------------------------------------------------------------------


def test_a_clear_fall_is_watched_with_its_numbers():
    (found,) = falls(well(at(FALLING)))
    assert (found.severity, found.occasion) == (Severity.WATCH, Occasion.NEXT_VISIT)
    assert found.numbers["slope_ft_per_year"] == pytest.approx(2.0, abs=0.01)
    assert found.numbers["n"] == 6
    assert "falls 2 ft a year" in found.reason


@pytest.mark.parametrize(
    ("feet", "verdict", "word"),
    [
        (FALLING, Verdict.FAIL, "falls 2 ft a year"),
        # One reading out of its turn of six, and chance can explain it.
        ([60.0, 66.0, 62.0, 64.0, 70.0, 67.0], Verdict.PASS, "does not clearly fall"),
        ([60.0] * 6, Verdict.PASS, "does not clearly fall"),
        (FALLING[::-1], Verdict.PASS, "rises 2 ft a year"),
    ],
)
def test_only_a_clear_fall_counts(feet, verdict, word):
    made = checked(well(at(feet)))["static level over the years"]
    assert made.verdict is verdict
    assert word in made.says
    assert (made.finding is not None) is (verdict is Verdict.FAIL)


@pytest.mark.parametrize(
    ("feet_a_year", "verdict"), [(0.49, Verdict.PASS), (0.51, Verdict.FAIL), (3, Verdict.FAIL)]
)
def test_a_slow_fall_is_said_but_not_watched(feet_a_year, verdict):
    well_ = well(at([60 + feet_a_year * n for n in range(8)]))
    made = checked(well_)["static level over the years"]
    assert made.verdict is verdict
    assert f"falls {feet_a_year:g} ft a year" in made.says
    assert bool(falls(well_)) is (verdict is Verdict.FAIL)
    assert (made.margin >= 0) is (verdict is Verdict.PASS)
    assert falls(well_, least_ft_per_year=0.1)


@pytest.mark.parametrize(
    "observations",
    [
        [],
        at(FALLING[:4]),
        # Five readings of one summer are one year's.
        [static(60.0 + n, date(2020, 5 + n, 1)) for n in range(5)],
        [*at(FALLING[:4]), static(70.0, date(2020, 5, 1), basis=Basis.CUSTOMER_TOLD)],
        [*at(FALLING[:4]), static(70.0, None)],
        [*at(FALLING[:4]), static(70.0, "about 2010")],
        [*at(FALLING[:4]), static(None, date(2021, 5, 1))],
        [*at(FALLING[:4]), level(70.0, LevelState.PUMPING, date(2021, 5, 1))],
        [static(30_000.0 + ft, date(2015 + n, 5, 1)) for n, ft in enumerate(FALLING)],
    ],
)
def test_too_little_is_known(observations):
    (made,) = checked(well(observations)).values()
    assert made.verdict is Verdict.CANNOT_SAY
    assert made.missing == ("five static levels in different years",)
    assert made.finding is None


def test_levels_before_work_on_the_hole_are_of_another_hole():
    done = visit(date(2018, 1, 9), Reason.HYDROFRACTURING, uid="job")
    assert falls(well(at(FALLING), visits=[done])) == []
    (found,) = falls(well(at([*FALLING, 72.0, 74.0]), visits=[done]))
    assert found.counts_from == "job"
    assert found.may_from == date(2022, 5, 1)


def test_it_holds_from_the_reading_that_made_it_clear():
    (found,) = falls(well(at(FALLING)))
    # Five readings in order are the least that 95 per cent are said of.
    assert (found.may_from, found.surely_from) == (date(2019, 5, 1), date(2019, 5, 1))
    assert found.counts_from == "w"
    unclear_between = at([60.0, 62.0, 64.0, 66.0, 68.0, 50.0, 70.0, 72.0, 74.0, 76.0])
    (found,) = falls(well(unclear_between))
    assert found.may_from > date(2020, 5, 1)


def test_a_reading_of_an_uncertain_day():
    (found,) = falls(well([*at(FALLING[:4]), static(68.0, "2019")]))
    assert (found.may_from, found.surely_from) == (date(2019, 1, 1), date(2019, 12, 31))


def test_levels_from_the_casing_s_top_are_brought_to_the_ground():
    top = MeasuringPoint.CASING_TOP
    seen = [static(60.0, date(2015 + n, 5, 1)) for n in range(3)]
    seen += [static(61.5, date(2018 + n, 5, 1), point=top) for n in range(3)]
    assert falls(well(seen, stick_up_ft=1.5)) == []


# -- the pump ------------------------------------------------------------------------------------


def test_the_water_comes_to_the_pump():
    """2 ft a year from 70 ft in May 2020: with 40 ft of drawdown it is at 120 ft in May 2025."""
    seen = [*at(FALLING), *pumped(2020, 70.0, 40.0)]
    (found,) = reached(well(seen, 120.0))
    assert (found.severity, found.occasion) == (Severity.PLAN, Occasion.NEXT_PULL)
    assert "drawn down 40 ft comes to the pump at 120 ft about 2025" in found.reason
    # All slopes are alike but for leap years, so that all three years are: five years before.
    assert abs((found.may_from - date(2020, 5, 1)).days) < 8
    assert abs((found.surely_from - date(2020, 5, 1)).days) < 8


def test_without_a_drawdown_the_level_at_rest_is_taken_and_said():
    (found,) = reached(well(at(FALLING), 120.0))
    assert "at rest (no drawdown on record)" in found.reason
    assert abs((found.may_from - date(2040, 5, 1)).days) < 30


def test_a_drawdown_is_of_one_day():
    seen = [*at(FALLING), level(110.0, LevelState.PUMPING, date(2020, 6, 1))]
    assert "no drawdown on record" in reached(well(seen, 120.0))[0].reason


@pytest.mark.parametrize(
    ("set_depth_ft", "verdict"), [(119.0, Verdict.FAIL), (121.5, Verdict.PASS)]
)
def test_both_sides_of_the_years_ahead(set_depth_ft, verdict):
    seen = [*at(FALLING), *pumped(2020, 70.0, 40.0)]
    made = checked(well(seen, set_depth_ft))["years until it is at the pump"]
    assert made.verdict is verdict
    assert made.limit == 5
    assert made.at_least
    assert made.value == pytest.approx((set_depth_ft - 110) / 2, abs=0.2)
    assert checked(well(seen, set_depth_ft), years_ahead=3)[made.aspect].verdict is Verdict.PASS


def test_as_of_a_later_day_fewer_years_are_left():
    seen = [*at(FALLING), *pumped(2020, 70.0, 40.0)]
    later = checked(well(seen, 130.0).on(date(2026, 5, 1)))["years until it is at the pump"]
    assert later.verdict is Verdict.FAIL
    assert later.value == pytest.approx(4, abs=0.2)


def test_water_that_is_there_already():
    seen = [*at(FALLING), *pumped(2020, 70.0, 40.0)]
    (found,) = reached(well(seen, 105.0))
    assert "is at the pump, 105 ft, already" in found.reason
    assert found.may_from == date(2020, 5, 1)


def test_no_sooner_than_the_pump_hangs_there():
    part = pump(date(2024, 3, 1), set_depth_ft=105.0)
    (found,) = reached(hole(components=[part], observations=at([*FALLING, *[100.0] * 3])))
    assert found.may_from >= date(2024, 3, 1)


def test_what_a_later_century_brings_is_not_planned_for():
    made = checked(well(at([60.0, 60.1, 60.2, 60.3, 60.4]), 900.0))
    assert made["years until it is at the pump"].verdict is Verdict.PASS
    assert reached(well(at([60.0, 60.1, 60.2, 60.3, 60.4]), 900.0)) == []


def test_pumps_that_it_does_not_come_to():
    assert "years until it is at the pump" not in checked(hole(observations=at(FALLING)))
    jet = {"type": PumpType.SHALLOW_JET}
    assert reached(well(at(FALLING), 75.0, pump=jet)) == []
    made = checked(well(at(FALLING), None))["years until it is at the pump"]
    assert made.missing == ("set depth",)


def test_a_level_that_does_not_fall_never_comes_to_the_pump():
    assert list(checked(well(at(FALLING[::-1])))) == ["static level over the years"]


# -- as of a day ---------------------------------------------------------------------------------


@st.composite
def records(draw):
    """Levels of some years that mostly fall, some of uncertain days, and maybe work on the hole."""
    seen = []
    for n in range(draw(st.integers(4, 9))):
        day = date(2008 + n, draw(st.integers(1, 12)), draw(st.integers(1, 28)))
        feet = 60.0 + 3 * n + draw(st.integers(-4, 4))
        wide = draw(st.sampled_from([0, 0, 0, 40, 300]))
        seen.append(static(feet, When.between(day, day + timedelta(days=wide)), uid=f"s{n}"))
        if draw(st.integers(0, 3)) == 0:
            seen.append(level(feet + 30, LevelState.PUMPING, seen[-1].when, uid=f"p{n}"))
    work = [visit(date(2010, 6, 1), Reason.CLEANING_OUT)] if draw(st.booleans()) else []
    hung = pump(date(draw(st.sampled_from([2005, 2012])), 3, 1), set_depth_ft=120.0, uid="pump")
    return hole(components=[hung], observations=seen, visits=work)


@settings(max_examples=200)
@given(well_=records(), day=st.dates(date(2008, 1, 1), date(2022, 1, 1)))
def test_what_was_due_by_a_day_is_there_as_of_that_day(well_, day):
    then = {f.occurrence: f for f in judged(RULE, well_.on(day)) if f.holds(day)}
    for found in judged(RULE, well_):
        if found.holds(day):
            assert found.occurrence in then, (day, found)
        if found.surely_from is not None and found.surely_from <= day:
            surely = then[found.occurrence].surely_from
            assert surely is not None
            assert surely <= day


@given(st.dates(date(1800, 1, 1), date(2200, 1, 1)))
def test_a_day_is_a_year_and_back(day):
    assert abs((day_of(year_of(day)) - day).days) <= 1


# -- real levels ---------------------------------------------------------------------------------


@pytest.mark.realdata
def test_a_public_file_of_levels():
    """Wells of a public file with ten years and more: each is judged, and the numbers agree with it."""
    file = LEVELS / "usgs_nwis_vermont_gwlevels.tsv"
    if not file.exists():
        pytest.skip("no levels here")
    wells = defaultdict(list)
    with file.open(encoding="utf-8") as lines:
        for row in csv.DictReader((x for x in lines if not x.startswith("#")), delimiter="\t"):
            if len(row["lev_dt"]) == 10 and row["lev_va"]:
                wells[row["site_no"]].append(
                    (date.fromisoformat(row["lev_dt"]), float(row["lev_va"]))
                )
    long = {n: rows for n, rows in wells.items() if len({d.year for d, _ in rows}) >= 10}
    assert len(long) > 10
    for rows in list(long.values())[:40]:
        spring = [(d, ft) for d, ft in rows if d.month in (4, 5)]
        made = checked(well([static(ft, d) for d, ft in spring]))["static level over the years"]
        assert (made.verdict is Verdict.CANNOT_SAY) == (len({d.year for d, _ in spring}) < 5)
