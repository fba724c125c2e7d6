"""What a hole says of itself: what still holds, what is in store, what is sealed in.

The holes are invented; they are held against the rules of the issue.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from wellbook.dates import When
from wellbook.hole.component import Absence, Claim, Component
from wellbook.hole.hole import Hole
from wellbook.hole.parts import Cap, Pipe, Pump, Tank
from wellbook.hole.records import Observation, Visit
from wellbook.terms import (
    Basis,
    Construction,
    Kind,
    LevelState,
    Quantity,
    Reason,
    Role,
    SheetKind,
    WellStatus,
)

WORK = date(2022, 6, 3)


def visit(uid: str, start: date, reason: Reason, end: date | None = None, **more: bool) -> Visit:
    flags = {"left_without_pump": False, "opened": False, "disinfected": False, **more}
    return Visit(
        uid=uid,
        kind=SheetKind.VISIT,
        start=start,
        end=end or start,
        reason=reason,
        crew=(),
        left_for_next_time="",
        notes="",
        **flags,
    )


def hole(*visits: Visit, status: WellStatus = WellStatus.IN_USE, **more: object) -> Hole:
    return Hole(
        uid="w",
        tag="W-1",
        permit_no="",
        role=Role.OURS,
        use="",
        status=status,
        construction=Construction.DRILLED,
        flowing=None,
        driller="",
        drilled_on=When.unknown(),
        stick_up_ft=None,
        frost_depth_ft=None,
        entered_on=date(2020, 1, 1),
        visits=visits,
        **more,  # type: ignore[arg-type]
    )


def seen(quantity: Quantity, value: float, when: When | date, sheet: str | None) -> Observation:
    day = When.on(when) if isinstance(when, date) else when
    return Observation(f"o{value}", quantity, value, day, Basis.MEASURED, sheet_uid=sheet)


@pytest.mark.parametrize(
    ("sheet", "when", "holds"),
    [
        ("work", WORK, True),  # how the crew left it
        ("after", WORK, True),  # a sheet entered after the work's, of the same day
        ("before", WORK, False),  # a sheet entered before it, of the same day
        (None, WORK, False),
        (None, date(2022, 6, 4), True),
        ("work", date(2022, 6, 1), False),  # the sheet of the work tells what it gave before
        (None, When.between(None, None), False),
    ],
)
def test_of_the_day_of_the_work_only_what_can_be_of_the_new_hole_holds(
    sheet: str | None, when: When | date, holds: bool
) -> None:
    visits = (
        visit("before", WORK, Reason.YIELD_TEST),
        visit("work", date(2022, 6, 1), Reason.HYDROFRACTURING, WORK),
        visit("after", WORK, Reason.YIELD_TEST),
    )
    well = hole(*visits, observations=(seen(Quantity.YIELD_GPM, 5.0, when, sheet),))
    assert bool(well.valid_observations(Quantity.YIELD_GPM)) is holds


def test_before_and_after_on_one_sheet_the_last_counts() -> None:
    work = visit("work", WORK, Reason.HYDROFRACTURING)
    rows = [seen(Quantity.YIELD_GPM, gpm, WORK, "work") for gpm in (0.5, 4.0)]
    fact = hole(work, observations=tuple(rows)).fact(Quantity.YIELD_GPM)
    assert fact is not None
    assert fact.value == 4.0


def test_the_water_level_is_the_one_at_rest() -> None:
    def level(value: float, on: date, state: LevelState) -> Observation:
        return replace(seen(Quantity.WATER_LEVEL_FT, value, on, None), state=state)

    rows = (
        level(141, date(2024, 5, 1), LevelState.STATIC),
        level(228, date(2025, 5, 1), LevelState.PUMPING),
    )
    fact = hole(observations=rows).fact(Quantity.WATER_LEVEL_FT)
    assert fact is not None
    assert (fact.value, fact.state) == (141, LevelState.STATIC)


@pytest.mark.parametrize(
    ("status", "owes"),
    [
        (WellStatus.IN_USE, True),
        (WellStatus.SEASONAL, True),
        (WellStatus.STANDBY, True),
        (WellStatus.SEALED, False),
    ],
)
def test_all_but_a_sealed_well_are_in_use(status: WellStatus, owes: bool) -> None:
    assert hole(status=status).owes is owes
    assert replace(hole(status=status), role=Role.REFERENCE).owes is False


def part(uid: str, what: Pump | Pipe | Tank | Cap, **more: object) -> Component:
    since = When.on(date(2015, 6, 1))
    return Component(
        uid,
        what,
        since,
        Basis.MEASURED,
        date(2015, 6, 1),
        "r1",
        **more,  # type: ignore[arg-type]
    )


def test_what_was_left_in_a_sealed_well_hangs_there_no_more() -> None:
    parts = (part("p", Pipe(to_ft=100)), part("t", Tank()), part("c", Cap()))
    sealing = visit("s", date(2021, 1, 1), Reason.DECOMMISSIONING)
    well = hole(sealing, status=WellStatus.SEALED, components=parts)
    assert [well.down(kind) for kind in (Kind.PIPE, Kind.CAP)] == [(), ()]
    assert [c.uid for kind in Kind for c in well.sealed_in(kind)] == ["c", "p"]
    assert [c.uid for c in well.down(Kind.TANK)] == ["t"]
    assert well.on(date(2020, 12, 31)).sealed_in(Kind.PIPE) == ()
    assert [c.uid for c in well.on(date(2020, 12, 31)).down(Kind.PIPE)] == ["p"]


def test_a_closed_place_is_closed_until_it_is_opened() -> None:
    closed = visit("v1", date(2025, 10, 12), Reason.CLOSING_DOWN, left_without_pump=True)
    sampled = visit("v2", date(2025, 11, 1), Reason.WATER_SAMPLE)
    opened = visit("v3", date(2026, 5, 2), Reason.OPENING_UP)
    assert hole(closed, sampled).closed_without_pump is closed
    assert hole(closed, sampled, opened).closed_without_pump is None
    assert hole(replace(closed, left_without_pump=False)).closed_without_pump is None
    assert hole(opened).closed_without_pump is None


def test_a_part_that_was_away_was_down_before_and_after() -> None:
    away = Absence(date(2025, 10, 12), date(2026, 5, 2), "v1", "v3", "winter")
    pump = part("p", Pump(), absences=(away,))
    days = [date(2025, 10, 11), date(2025, 10, 12), date(2026, 5, 1), date(2026, 5, 2)]
    assert [pump.was_down(day) for day in days] == [True, False, False, True]
    stored = pump.on(date(2026, 1, 1))
    assert (str(stored.pulled_on), stored.pulled_by, stored.why_pulled) == (
        "2025-10-12",
        "v1",
        "winter",
    )
    assert pump.on(date(2026, 5, 2)) == pump


# -- what holds after work on the hole ------------------------------------------------------------


@pytest.mark.parametrize(
    ("reason", "depth", "yields"),
    [
        (Reason.HYDROFRACTURING, True, False),
        (Reason.DEEPENING, False, False),
        (Reason.CLEANING_OUT, False, False),
        (Reason.YIELD_TEST, True, True),
    ],
)
def test_fracturing_leaves_the_bottom_where_it_is_and_other_work_does_not(
    reason: Reason, depth: bool, yields: bool
) -> None:
    before = date(2010, 5, 1)
    rows = (
        seen(Quantity.DEPTH_FT, 428.0, before, None),
        seen(Quantity.YIELD_GPM, 2.0, before, None),
    )
    well = hole(visit("work", WORK, reason), observations=rows)
    for quantity, holds, old in ((Quantity.DEPTH_FT, depth, 428), (Quantity.YIELD_GPM, yields, 2)):
        assert (well.fact(quantity) is not None) is holds
        last = well.before_work(quantity)
        assert (last is None) is holds
        if last is not None:
            assert (last[0].value, last[1].start) == (old, WORK)
            assert well.worked_on(quantity) == WORK


def test_what_was_copied_from_paper_after_the_work_is_not_of_the_new_hole() -> None:
    paper = seen(Quantity.DEPTH_FT, 300.0, When.between(None, date(2026, 1, 1)), "entered")
    work = visit("work", WORK, Reason.DEEPENING)
    entered = visit("entered", date(2026, 1, 1), Reason.OTHER)
    assert hole(work, entered, observations=(paper,)).depth_ft() is None
    assert hole(entered, observations=(paper,)).depth_ft() == 300
    slip = replace(paper, when=When.between(None, WORK), sheet_uid="work")
    assert hole(work, observations=(slip,)).depth_ft() == 300


# -- what changes and what stays ----------------------------------------------------------------


@pytest.mark.parametrize("quantity", sorted(set(Quantity) - {Quantity.WATER_LEVEL_FT}))
def test_of_what_changes_the_newest_counts_and_of_a_depth_the_best_basis(
    quantity: Quantity,
) -> None:
    old = replace(seen(quantity, 5.0, date(2010, 1, 1), None), basis=Basis.PAPER_RECORD)
    new = replace(seen(quantity, 2.0, date(2026, 1, 1), None), basis=Basis.CUSTOMER_TOLD)
    fact = hole(observations=(new, old)).fact(quantity)
    assert fact is not None
    assert fact.value == (5 if quantity is Quantity.DEPTH_FT else 2)


@pytest.mark.parametrize(
    "undated", [When.unknown(), When.between(None, date(2026, 1, 1)), When.between(None, WORK)]
)
def test_a_paper_without_a_date_loses_to_any_dated_measurement(undated: When) -> None:
    paper = replace(seen(Quantity.YIELD_GPM, 8.0, undated, None), basis=Basis.DRILLERS_LOG)
    tested = seen(Quantity.YIELD_GPM, 2.0, date(2018, 6, 3), None)
    fact = hole(observations=(tested, paper)).fact(Quantity.YIELD_GPM)
    assert fact is not None
    assert fact.value == 2
    alone = hole(observations=(paper,)).fact(Quantity.YIELD_GPM)
    assert alone is not None
    assert alone.value == 8


# -- as of a past day -----------------------------------------------------------------------------


def test_a_depth_that_was_sounded_later_was_there_before_unless_the_hole_was_worked_on() -> None:
    sounded = seen(Quantity.DEPTH_FT, 428.0, date(2018, 6, 3), None)
    level = replace(
        seen(Quantity.WATER_LEVEL_FT, 90.0, date(2018, 6, 3), None), state=LevelState.STATIC
    )
    drilled = When.between(date(1997, 1, 1), date(1999, 12, 31), "about 1998")
    well = replace(hole(observations=(sounded, level)), drilled_on=drilled)
    assert well.on(date(2010, 1, 1)).depth_ft() == 428
    assert well.on(date(2010, 1, 1)).level_ft(LevelState.STATIC) is None
    for reason, depth in ((Reason.DEEPENING, None), (Reason.HYDROFRACTURING, 428)):
        worked = replace(well, visits=(visit("work", date(2015, 1, 1), reason),))
        assert worked.on(date(2010, 1, 1)).depth_ft() == depth
        assert worked.on(date(2016, 1, 1)).depth_ft() == 428


def test_before_a_well_was_drilled_nothing_of_it_is_there() -> None:
    since = When.between(None, date(2020, 1, 1))
    own, other = (
        replace(part(uid, Tank()), set_on=since, well_uid=well)
        for uid, well in (("a", "w"), ("b", "older"))
    )
    paper = seen(Quantity.DEPTH_FT, 300.0, since, None)
    drilled = When.between(date(1999, 8, 1), date(1999, 8, 31), "1999-08")
    well = replace(hole(observations=(paper,), components=(own, other)), drilled_on=drilled)
    before = well.on(date(1990, 1, 1))
    assert before.not_yet_drilled
    assert before.depth_ft() is None
    assert [c.uid for c in before.down(Kind.TANK)] == ["b"]
    for later in (well, well.on(date(1999, 8, 15))):
        assert not later.not_yet_drilled
        assert later.depth_ft() == 300
        assert len(later.down(Kind.TANK)) == 2


def test_a_place_of_a_past_day_is_known_as_it_was_known_then() -> None:
    paper, moved = date(2001, 1, 1), date(2018, 6, 3)
    learnt = Claim("serial", "A1", Basis.MEASURED, moved, True, "v")
    claims = (Claim("set_depth_ft", 400.0, Basis.MEASURED, moved, True, "v", 300.0), learnt)
    pump = replace(
        part("p", Pump(set_depth_ft=400.0, serial="A1")),
        set_on=When.between(None, paper),
        basis=Basis.PAPER_RECORD,
        noted_on=paper,
        claims=claims,
    )
    fact = pump.on(date(2010, 1, 1)).fact("set_depth_ft")
    assert fact is not None
    # Paper is as old as the paper, and was there by then.
    assert (fact.value, fact.basis, fact.as_of) == (
        300,
        Basis.PAPER_RECORD,
        When.between(None, paper),
    )
    serial = pump.on(date(2010, 1, 1)).fact("serial")
    assert serial is not None
    assert serial.basis is Basis.MEASURED
    unknown = replace(pump, claims=(replace(claims[0], was=None), learnt))
    assert unknown.on(date(2010, 1, 1)).part.set_depth_ft == 400  # type: ignore[attr-defined]


def test_a_day_before_the_sealing_shows_what_the_well_was_then() -> None:
    sealing = visit("s", date(2021, 1, 1), Reason.DECOMMISSIONING)
    well = replace(hole(sealing, status=WellStatus.SEALED), status_unsealed=WellStatus.SEASONAL)
    assert well.on(date(2020, 1, 1)).status is WellStatus.SEASONAL
    assert well.on(date(2021, 1, 1)).status is WellStatus.SEALED
