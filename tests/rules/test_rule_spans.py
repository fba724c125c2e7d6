"""From when a finding holds: the arithmetic that the rules share."""

from datetime import date

import pytest
from rule_holes import ENTERED, depth, hole, interval, pump, visit, when

from wellbook.hole.component import Claim
from wellbook.rules.finding import since
from wellbook.rules.spans import both, hangs_since, none_since, read_since, said_since
from wellbook.terms import Basis, Kind, Quantity, Reason, SheetKind

NOTED = date(2020, 6, 15)


@pytest.mark.parametrize(
    ("said", "span"),
    [
        ("2011-05-14", (date(2011, 5, 14), date(2011, 5, 14))),
        ("2005/2009", (date(2005, 1, 1), date(2009, 12, 31))),
        ("before 2010", (None, date(2009, 12, 31))),
        ("since 2010", (date(2010, 1, 1), NOTED)),
        ("unknown", (None, NOTED)),
        ("2020", (date(2020, 1, 1), NOTED)),
        ("2020-06-15/2020-06-18", (NOTED, date(2020, 6, 18))),
    ],
    ids=["a day", "years", "before", "since", "unknown", "the year of the sheet", "the job itself"],
)
def test_what_was_noted_surely_held_by_then(said, span):
    assert since(when(said), NOTED) == span


def test_a_reading_is_not_of_a_later_day_than_its_sheet():
    sheet = visit(NOTED, uid="v", kind=SheetKind.OPENING)
    told = depth(300, "2020", uid="d", sheet_uid="v")
    well = hole(observations=[told], visits=[sheet])
    assert read_since(well, "d") == (date(2020, 1, 1), NOTED)


def test_a_reading_without_a_sheet_came_with_the_well():
    well = hole(observations=[depth(300, None, uid="d"), depth(310, "2024", uid="later")])
    assert read_since(well, "d") == (None, ENTERED)
    assert read_since(well, "later") == (date(2024, 1, 1), date(2024, 12, 31))


def test_a_stretch_of_the_bore():
    casing = interval(0, 64)
    assert read_since(hole(intervals=[casing]), casing.uid) == (None, ENTERED)


def test_a_pump_in_a_hole_that_was_cleaned_out_since():
    part = pump(date(2015, 1, 1))
    cleaned = visit(date(2022, 3, 1), Reason.CLEANING_OUT, end=date(2022, 3, 2))
    well = hole(components=[part], visits=[cleaned])
    assert hangs_since(well, part, "set_depth_ft", Quantity.DEPTH_FT) == (
        date(2022, 3, 2),
        date(2022, 3, 2),
    )


def test_a_fracturing_leaves_the_bottom_where_it_was():
    part = pump(date(2015, 1, 1))
    done = visit(date(2022, 3, 1), Reason.HYDROFRACTURING)
    well = hole(components=[part], visits=[done])
    bottom = hangs_since(well, part, "set_depth_ft", Quantity.DEPTH_FT)
    assert bottom == (date(2015, 1, 1), date(2015, 1, 1))
    water = hangs_since(well, part, "set_depth_ft", Quantity.WATER_LEVEL_FT)
    assert water == (date(2022, 3, 1), date(2022, 3, 1))


MOVED = date(2023, 4, 1)


@pytest.mark.parametrize(
    ("was", "by", "span"),
    [
        (280.0, "pull", (MOVED, MOVED)),
        (280.0, "look", (date(2015, 1, 1), MOVED)),
        (None, "pull", (date(2015, 1, 1), MOVED)),
        (300.0, "pull", (date(2015, 1, 1), date(2015, 1, 1))),
    ],
    ids=["moved", "a better reading", "read for the first time", "read again, the same"],
)
def test_a_part_moves_only_where_the_well_was_opened(was, by, span):
    said = Claim("set_depth_ft", 300.0, Basis.MEASURED, MOVED, True, by, was)
    part = pump(date(2015, 1, 1), set_depth_ft=300.0, claims=(said,))
    visits = [
        visit(MOVED, Reason.PULL_AND_INSPECT, uid="pull", opened=True),
        visit(MOVED, Reason.CHECK_UP, uid="look"),
    ]
    assert said_since(hole(components=[part], visits=visits), part, "set_depth_ft") == span


def test_what_does_not_count_or_is_another_field_moves_nothing():
    claims = (
        Claim("set_depth_ft", 280.0, Basis.CUSTOMER_TOLD, MOVED, False, "call", 300.0),
        Claim("hp", 1.0, Basis.MEASURED, MOVED, True, "pull", 0.5),
    )
    part = pump(date(2015, 1, 1), set_depth_ft=300.0, claims=claims)
    day = date(2015, 1, 1)
    assert said_since(hole(components=[part]), part, "set_depth_ft") == (day, day)


def test_a_part_is_missing_since_the_last_of_its_kind_came_out():
    gone = [pump("1990", pulled_on="2005"), pump("2005", pulled_on="2018")]
    well = hole(components=gone)
    assert none_since(well, Kind.PUMP) == (date(2018, 1, 1), date(2018, 12, 31))
    assert none_since(well, Kind.SWITCH) == (None, date.min)


def test_what_can_never_be_sure_keeps_the_whole_from_being_sure():
    one, two = date(2010, 1, 1), date(2012, 1, 1)
    assert both((one, one), (two, None)) == (two, None)
    assert both((None, one), (None, two)) == (None, two)
