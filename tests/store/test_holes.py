"""What a book gives back of a hole is what its sheets come to, on each engine.

The wells are invented; they are held against the rules of the issue.
"""

from __future__ import annotations

import tomllib
from datetime import date
from typing import Any

import pytest
from sqlalchemy import select

from wellbook.errors import ReplayError, WellbookError
from wellbook.hole.hole import Hole
from wellbook.hole.parts import Cable, Pump
from wellbook.hole.sheet import SheetError, read_recorded, read_sheet
from wellbook.present.changes import changes
from wellbook.rules import catalogue
from wellbook.rules.finding import Settings
from wellbook.store import sheets
from wellbook.store import tables as t
from wellbook.store.book import Book
from wellbook.store.holes import load_hole
from wellbook.store.wells import add_well, edit_well
from wellbook.terms import Basis, IntervalKind, Kind, Quantity, SheetKind, WellStatus

TODAY = date(2026, 11, 25)


def well(book: Book, status: str = "in_use") -> int:
    with book.writing() as connection:
        return add_well(connection, "me", "W-1", {"status": status}, today=TODAY)


def record(book: Book, number: int, text: str, **more: Any) -> sheets.Recording:
    with book.writing() as connection:
        return sheets.record(connection, "me", number, tomllib.loads(text), today=TODAY, **more)


def edit(book: Book, number: int, status: str) -> None:
    with book.writing() as connection:
        edit_well(connection, "me", number, {"status": status})


def hole(book: Book, number: int) -> Hole:
    with book.reading() as connection:
        return load_hole(connection, number)


PUMP = """
date = 2015-05-05
reason = "replacement"
[set.pump]
hp = 1
rated_gpm = 10
set_depth_ft = 320
serial = "S1"
"""


def test_a_told_date_is_kept_beside_the_pump_and_ends_nothing(book: Book) -> None:
    number = well(book)
    record(book, number, PUMP)
    told = 'start = 2026-11-20\nend = 2026-11-25\n[down.pump]\nset_on = "5 years old"'
    record(book, number, told, kind=SheetKind.CALL)
    component, pump = hole(book, number).the(Pump) or pytest.fail("no pump")
    assert (pump.hp, pump.serial, component.set_on.edtf()) == (1, "S1", "2015-05-05")
    said = component.said_changed
    assert said is not None
    assert (str(said.value), said.basis, said.noted_on) == (
        '"5 years old" (said 2026-11-25)',
        Basis.CUSTOMER_TOLD,
        date(2026, 11, 20),
    )
    # Counted from the day on which it was said, whatever day the book keeps beside it.
    assert said.value.edtf() == "2020-11-26/2021-11-25"  # type: ignore[attr-defined]
    assert said.was == component.set_on


def test_what_a_date_was_before_is_given_back_with_its_own_bounds(book: Book) -> None:
    number = well(book)
    told = 'date = {}\n[down.cable]\nmade = "10 years old"'
    record(book, number, told.format("2010-06-01"), kind=SheetKind.CALL)
    record(book, number, told.format("2020-06-01"), kind=SheetKind.CALL)
    component, cable = hole(book, number).the(Cable) or pytest.fail("no cable")
    assert str(cable.made.edtf() if cable.made else "") == "2009-06-02/2010-06-01"
    (claim,) = component.claims
    assert claim.was.edtf() == "1999-06-02/2000-06-01"  # type: ignore[union-attr]


ZONES = """
date = 2020-06-01
reason = "hydrofracturing"
[[bore]]
kind = "fractured"
from_ft = 200
to_ft = 260
pressure_psi = 2800
volume_gal = 900
[[bore]]
kind = "fractured"
from_ft = 300
to_ft = 360
pressure_psi = "3,100 psi"
"""


def test_a_fractured_zone_keeps_its_pressure_and_volume(book: Book) -> None:
    number = well(book)
    made = record(book, number, ZONES)
    zones = [i for i in hole(book, number).intervals if i.kind is IntervalKind.FRACTURED]
    assert [(z.pressure_psi, z.volume_gal) for z in zones] == [(2800, 900), (3100, None)]
    with book.writing() as connection:
        data = tomllib.loads(ZONES.replace("2800", "2600"))
        sheets.correct(connection, "me", made.number, data, today=TODAY)
    assert hole(book, number).intervals[0].pressure_psi == 2600


# -- the status --------------------------------------------------------------------------------

SEALING = 'date = 2021-01-01\nreason = "decommissioning"'


def sealed_and_withdrawn(book: Book, number: int) -> None:
    made = record(book, number, SEALING)
    assert hole(book, number).status is WellStatus.SEALED
    with book.writing() as connection:
        sheets.withdraw(connection, "me", made.number, today=TODAY)


@pytest.mark.parametrize("status", ["in_use", "seasonal", "standby"])
def test_a_withdrawn_decommissioning_gives_the_status_back(book: Book, status: str) -> None:
    number = well(book, status)
    made = record(book, number, SEALING)
    assert hole(book, number).on(date(2020, 1, 1)).status.value == status
    with book.writing() as connection:
        sheets.withdraw(connection, "me", made.number, today=TODAY)
    assert hole(book, number).status.value == status


def test_a_well_that_was_sealed_by_hand_stays_sealed(book: Book) -> None:
    number = well(book)
    sealed_and_withdrawn(book, number)
    edit(book, number, "sealed")
    record(book, number, PUMP)
    assert hole(book, number).status is WellStatus.SEALED
    edit(book, number, "standby")
    sealed_and_withdrawn(book, number)
    assert hole(book, number).status is WellStatus.STANDBY


def test_nothing_is_hung_in_a_well_that_was_sealed_by_hand(book: Book) -> None:
    number = well(book)
    edit(book, number, "sealed")
    today = date.today()
    later = {"date": today.isoformat(), "reason": "replacement", "set": {"pump": {"hp": 1}}}
    with (
        pytest.raises(WellbookError, match="well edit W-1 --status in_use"),
        book.writing() as connection,
    ):
        sheets.record(connection, "me", number, later, today=today)
    assert hole(book, number).visits == ()
    # A slip of older days goes in at its own date.
    record(book, number, PUMP)
    assert len(hole(book, number).visits) == 1


REPLACED = 'date = 2018-06-03\nreason = "replacement"\n[set.pump]\nhp = 2'
CHECKED = 'date = 2022-06-03\nreason = "check up"'


def test_a_status_that_is_given_after_the_sealing_counts(book: Book) -> None:
    number = well(book)
    record(book, number, SEALING.replace("2021", "2010"))
    with pytest.raises(ReplayError, match="well edit WELL --status in_use"):
        record(book, number, REPLACED)
    edit(book, number, "in_use")
    record(book, number, CHECKED)
    record(book, number, "date = 2022-07-01", kind=SheetKind.CALL)
    assert hole(book, number).status is WellStatus.IN_USE
    record(book, number, REPLACED)
    edit(book, number, "standby")
    record(book, number, CHECKED.replace("2022", "2023"))
    seen = hole(book, number)
    assert seen.status is WellStatus.STANDBY
    assert seen.down(Kind.PUMP)[0].set_on.earliest == date(2018, 6, 3)
    assert seen.sealed_on is None


def test_a_sealing_that_is_corrected_stays_older_than_the_status(book: Book) -> None:
    number = well(book)
    made = record(book, number, SEALING)
    edit(book, number, "in_use")
    with book.writing() as connection:
        data = tomllib.loads(SEALING + '\ncrew = "Ida"')
        sheets.correct(connection, "me", made.number, data, today=TODAY)
    assert hole(book, number).status is WellStatus.IN_USE


def test_a_well_that_was_opened_again_can_be_sealed_again(book: Book) -> None:
    number = well(book)
    record(book, number, SEALING.replace("2021", "2010"))
    edit(book, number, "standby")
    made = record(book, number, SEALING)
    seen = hole(book, number)
    assert (seen.status, seen.sealed_on) == (WellStatus.SEALED, date(2021, 1, 1))
    with pytest.raises(ReplayError, match="2021-01-01 sealed"):
        record(book, number, REPLACED.replace("2018", "2022"))
    with book.writing() as connection:
        sheets.withdraw(connection, "me", made.number, today=TODAY)
    assert hole(book, number).status is WellStatus.STANDBY


def test_what_hung_there_after_it_was_opened_again_stays_when_it_is_sealed_by_hand(
    book: Book,
) -> None:
    number = well(book)
    record(book, number, SEALING.replace("2021", "2010"))
    edit(book, number, "in_use")
    record(book, number, REPLACED)
    edit(book, number, "sealed")
    record(book, number, CHECKED)
    seen = hole(book, number)
    assert seen.status is WellStatus.SEALED
    assert len(seen.sealed_in(Kind.PUMP)) == 1


# -- two sheets of one day ------------------------------------------------------------------------


def test_a_correction_keeps_the_place_of_its_sheet_in_the_day(book: Book) -> None:
    number = well(book)
    out = 'date = 2020-01-01\nreason = "no water"\nleft_without_pump = true\n[pulled.pump]'
    first = record(book, number, out)
    record(book, number, 'date = 2020-01-01\nreason = "replacement"\n[set.pump]\nhp = 2')
    with book.writing() as connection:
        data = tomllib.loads(out.replace("[", "crew = 'Ida'\n[", 1))
        made = sheets.correct(connection, "me", first.number, data, today=TODAY)
    assert changes(made.before, made.after) == []
    seen = hole(book, number)
    assert [v.left_without_pump for v in seen.visits] == [True, False]
    assert "unfinished" not in {f.rule for f in catalogue.judge(seen, Settings({}))}


# -- what opened the well ---------------------------------------------------------------------------


@pytest.mark.parametrize(("known", "opened"), [(PUMP, True), ("", False)])
def test_a_visit_that_left_the_pump_out_opened_the_well(
    book: Book, known: str, opened: bool
) -> None:
    number = well(book)
    if known:
        record(book, number, known)
    record(book, number, 'date = 2026-10-01\nreason = "no water"\nleft_without_pump = true')
    # Only where it came out then: that there is none is no opening.
    assert hole(book, number).visits[-1].opened is opened


# -- what a value can be -------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "where", "what"),
    [
        ("[measured]\nph = 99", "measured.ph", "pH 99 cannot be; it lies between 0 and 14"),
        ("[measured]\nyield_gpm = 1e9", "measured.yield_gpm", "1,000,000,000 gpm"),
        ("[measured]\nsupply_v = 100000", "measured.supply_v", "between 0 V and 5,000 V"),
        ("[measured]\nwater_level_ft = -5000", "measured.water_level_ft", "-1,000 ft"),
        ("[set.cable]\nconductors = 99", "set.cable.conductors", "between 2 and 12"),
        ("[set.pump]\nset_depth_ft = 12000", "set.pump.set_depth_ft", "10,000 ft"),
        ("[[bore]]\nkind = 'fractured'\npressure_psi = 20000", "bore.pressure_psi", "10,000 psi"),
        ("[[found]]\nwhat = 'splice'\ncount = 5000", "found.count", "0 and 1000"),
    ],
)
def test_what_cannot_be_is_refused_in_one_line(text: str, where: str, what: str) -> None:
    data = tomllib.loads(f"date = 2020-01-01\nreason = 'other'\n{text}")
    with pytest.raises(SheetError) as caught:
        read_sheet(data, today=TODAY)
    (mistake,) = caught.value.mistakes
    assert mistake.where.replace("[1]", "") == where
    assert what in mistake.message
    # On record already, it was taken as it is, and does not keep the book from being replayed.
    read_recorded(data, today=TODAY, kind=SheetKind.VISIT)


@pytest.mark.parametrize(
    ("said", "value", "over"),
    [
        ('"over 500"', 500, True),
        ('">500"', 500, True),
        ('"> 1 Gohm"', 1000, True),
        ('"500+"', 500, True),
        ('{ value = "more than 500 megohm", method = "meter of 500 V" }', 500, True),
        ("500", 500, False),
    ],
)
def test_a_needle_past_the_last_mark_is_at_least_that_mark(
    book: Book, said: str, value: float, over: bool
) -> None:
    number = well(book)
    text = f'date = 2020-01-01\nreason = "check up"\n[measured]\ninsulation_megohm = {said}'
    record(book, number, text)
    fact = hole(book, number).fact(Quantity.INSULATION_MEGOHM)
    assert fact is not None
    assert (fact.value, fact.at_least) == (value, over)
    assert ("meter of 500 V" in fact.method) is ("method" in said)
    with pytest.raises(SheetError, match="over 500"):
        record(book, number, text.split("[", maxsplit=1)[0] + '[measured]\nyield_gpm = "over 500"')


# -- a slip of older days -----------------------------------------------------------------------


def test_a_slip_that_turns_up_later_makes_no_pump_another(book: Book) -> None:
    number = well(book)
    known = "date = 2020-01-01\n[down.pump]\nhp = 1\n[down.tank]\nvolume_gal = 44"
    opening = record(book, number, known, kind=SheetKind.OPENING)
    before = {c.uid for c in hole(book, number).components}
    slip = 'date = 2015-01-01\nreason = "pull and inspect"\n[back.pump]\nhp = 1'
    made = record(book, number, slip)
    assert changes(made.before, made.after) == []
    assert {c.uid for c in hole(book, number).components} == before
    # Nor does a correction, which is entered later still.
    with book.writing() as connection:
        data = tomllib.loads(known.replace("hp = 1", "hp = 1\nserial = 'S1'"))
        sheets.correct(connection, "me", opening.number, data, today=TODAY)
    assert {c.uid for c in hole(book, number).components} == before


def test_what_is_copied_from_paper_is_as_old_as_the_paper(book: Book) -> None:
    number = well(book)
    tested = 'date = 2018-06-03\nreason = "yield test"\n[measured]\nyield_gpm = 2'
    record(book, number, tested)
    log = 'date = 2026-11-25\nbasis = "drillers log"\n[measured]\nyield_gpm = 8\ndepth_ft = 300'
    record(book, number, log, kind=SheetKind.OPENING)
    seen = hole(book, number)
    fact = seen.fact(Quantity.YIELD_GPM)
    assert fact is not None
    assert fact.value == 2
    assert seen.on(date(2010, 1, 1)).depth_ft() == 300
    with book.reading() as connection:
        kept = connection.execute(select(t.observation.c.when_earliest)).scalars().all()
    assert kept.count(None) == 2
    assert seen.down(Kind.PUMP) == ()
