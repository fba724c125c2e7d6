"""Sheets in, the string out: recording, reuse, late slips, corrections, withdrawals.

The components and sheets are invented; they are held against the rules of the issue.
"""

from __future__ import annotations

import tomllib
from datetime import date
from typing import Any

import pytest

from wellbook.errors import ReplayError, WellbookError
from wellbook.hole.parts import Cable, Pipe, Pump
from wellbook.hole.records import Hole
from wellbook.hole.sheet import SheetError
from wellbook.rules import catalogue
from wellbook.store import sheets
from wellbook.store.book import Book
from wellbook.store.holes import load_hole
from wellbook.store.ledger import judged, ledger_of, settings
from wellbook.store.wells import add_well, join_systems
from wellbook.terms import Basis, Cause, Kind, SheetKind, WellStatus

TODAY = date(2026, 11, 25)


def well(book: Book, tag: str = "W-1") -> int:
    with book.writing() as connection:
        return add_well(connection, "me", tag, {}, today=TODAY)


def record(book: Book, number: int, text: str, **more: Any) -> sheets.Recording:
    with book.writing() as connection:
        return sheets.record(connection, "me", number, tomllib.loads(text), today=TODAY, **more)


def hole(book: Book, number: int) -> Hole:
    with book.reading() as connection:
        return load_hole(connection, number)


SET_2019 = """
date = 2019-06-03
reason = "replacement"
crew = ["Ida", "Ben"]
[set.pump]
hp = "3/4"
rated_gpm = 10
set_depth_ft = 260
model_year = "2018 model"
[[set.pipe]]
material = "galvanized"
to_ft = 180
[[set.pipe]]
material = "pvc"
from_ft = 180
to_ft = 260
[set.cable]
awg = 12
conductors = 3
to_ft = 280
"""


def test_what_is_set_hangs_there_with_its_basis_and_date(book: Book) -> None:
    number = well(book)
    record(book, number, SET_2019)
    seen = hole(book, number)
    component, pump = seen.the(Pump) or pytest.fail("no pump")
    assert (pump.hp, pump.rated_gpm, pump.set_depth_ft) == (0.75, 10, 260)
    assert str(pump.model_year) == "2018 model"
    assert component.set_on.earliest == date(2019, 6, 3)
    fact = component.fact("hp", "hp")
    assert fact is not None
    assert fact.basis is Basis.MEASURED
    assert [p.to_ft for _, p in seen.parts(Pipe)] == [180, 260]
    assert seen.visits[0].crew == ("Ida", "Ben")


def test_a_replaced_pump_ends_with_why_and_cause(book: Book) -> None:
    number = well(book)
    record(book, number, SET_2019)
    record(
        book,
        number,
        """
        date = 2024-03-01
        reason = "no water"
        [pulled.pump]
        why = "locked"
        cause = "sand"
        [set.pump]
        hp = "1/2"
        """,
    )
    old, new = [c for c in hole(book, number).components if c.kind is Kind.PUMP]
    assert old.cause is Cause.SAND
    assert old.why_pulled == "locked"
    assert old.pulled_on is not None
    assert old.pulled_on.earliest == date(2024, 3, 1)
    assert new.pulled_on is None


def test_what_comes_out_that_nobody_wrote_down_goes_on_record(book: Book) -> None:
    number = well(book)
    record(
        book,
        number,
        """
        date = 2024-03-01
        reason = "no water"
        [pulled.pump]
        hp = "1/2"
        set_on = "about 2006"
        """,
    )
    (pump,) = [c for c in hole(book, number).components if c.kind is Kind.PUMP]
    assert str(pump.set_on) == "about 2006"
    assert pump.set_on.earliest == date(2005, 1, 1)
    assert pump.pulled_on is not None


def test_the_same_cable_back_down_is_not_a_new_one(book: Book) -> None:
    from wellbook.rules.cable_wear import wear

    number = well(book)
    record(book, number, SET_2019)
    record(
        book,
        number,
        """
        date = 2023-05-05
        reason = "pull and inspect"
        [[found]]
        what = "splice"
        count = 1
        [[found]]
        what = "rub"
        count = 2
        [back.cable]
        splices_added = 1
        [back.pump]
        set_depth_ft = 240
        """,
    )
    seen = hole(book, number)
    ((component, _),) = seen.parts(Cable)
    assert component.set_on.earliest == date(2019, 6, 3)
    assert wear(seen, component).splices == 2
    assert wear(seen, component).rubs == 2
    moved = seen.the(Pump)
    assert moved is not None
    assert moved[1].set_depth_ft == 240
    before = seen.on(date(2022, 1, 1)).the(Pump)
    assert before is not None
    assert before[1].set_depth_ft == 260


def test_a_new_bottom_section_leaves_the_rest_of_the_old_pipe(book: Book) -> None:
    number = well(book)
    record(
        book,
        number,
        'date = 2010-04-01\nreason = "new well"\n[set.pipe]\nmaterial = "pvc"\nto_ft = 300',
    )
    record(
        book,
        number,
        """
        date = 2020-04-01
        reason = "pull and inspect"
        [set.pipe]
        material = "stainless steel"
        from_ft = 200
        to_ft = 300
        """,
    )
    seen = hole(book, number)
    old, new = list(seen.parts(Pipe))
    assert (old[1].from_ft or 0, old[1].to_ft) == (0, 200)
    assert old[0].set_on.earliest == date(2010, 4, 1)
    assert (new[1].from_ft, new[1].to_ft) == (200, 300)
    (whole,) = seen.on(date(2015, 1, 1)).parts(Pipe)
    assert whole[1].to_ft == 300


def test_a_slip_from_the_glovebox_goes_in_at_its_own_date(book: Book) -> None:
    number = well(book)
    record(book, number, SET_2019)
    record(book, number, 'date = 2008-02-02\nreason = "new well"\n[set.pump]\nhp = "1/2"')
    old, new = [c for c in hole(book, number).components if c.kind is Kind.PUMP]
    assert old.set_on.earliest == date(2008, 2, 2)
    assert old.pulled_on is not None
    assert old.pulled_on.earliest == date(2019, 6, 3)
    assert new.pulled_on is None


def test_told_facts_never_outweigh_measured_ones(book: Book) -> None:
    number = well(book)
    record(book, number, SET_2019)
    record(
        book,
        number,
        'date = 2026-11-20\n[down.pump]\nset_depth_ft = 300\nserial = "A1"\n[measured]\ndepth_ft = 400',
        kind=SheetKind.CALL,
    )
    found = hole(book, number).the(Pump)
    assert found is not None
    assert found[1].set_depth_ft == 260
    assert found[1].serial == "A1"
    serial = found[0].fact("serial")
    assert serial is not None
    assert serial.basis is Basis.CUSTOMER_TOLD


def test_pulling_what_was_pulled_is_refused_with_the_sheet_named(book: Book) -> None:
    number = well(book)
    record(book, number, 'date = 2018-01-05\nreason = "no water"\n[pulled.pump]\nhp = 1')
    with pytest.raises(ReplayError, match=r"2020-02-02 pulls a pump, but .*2018-01-05"):
        record(book, number, 'date = 2020-02-02\nreason = "no water"\n[pulled.pump]')
    assert len(hole(book, number).visits) == 1


def test_a_correction_keeps_the_old_sheet_and_the_occurrence(book: Book) -> None:
    number = well(book)
    made = record(book, number, SET_2019)
    with book.reading() as connection:
        before = {f.occurrence for f in ledger_of(connection, number)}
    with book.writing() as connection:
        data = tomllib.loads(SET_2019.replace("2019-06-03", "2018-06-03"))
        sheets.correct(connection, "me", made.number, data, today=TODAY, why="wrong year")
    seen = hole(book, number)
    assert [v.start for v in seen.visits] == [date(2018, 6, 3)]
    with book.reading() as connection:
        old, new = sheets.versions(connection, made.number)
        assert (old["status"], new["status"]) == ("superseded", "valid")
        assert "2019-06-03" in old["document"]
        assert {f.occurrence for f in ledger_of(connection, number)} == before
        with pytest.raises(WellbookError, match="superseded already"):
            sheets.the_sheet(connection, made.number)


def test_a_withdrawal_that_later_sheets_need_changes_nothing(book: Book) -> None:
    number = well(book)
    record(book, number, 'date = 2015-01-05\nreason = "no water"\n[pulled.pump]\nhp = 1')
    setting = record(book, number, 'date = 2016-01-05\nreason = "other"\n[set.pump]\nhp = 1')
    record(book, number, 'date = 2020-02-02\nreason = "no water"\n[pulled.pump]\nwhy = "worn"')
    before = hole(book, number)
    with pytest.raises(ReplayError, match="2020-02-02"), book.writing() as connection:
        sheets.withdraw(connection, "me", setting.number, today=TODAY)
    assert hole(book, number) == before


def test_a_sealed_well_owes_nothing_and_keeps_its_record(book: Book) -> None:
    number = well(book)
    record(book, number, SET_2019)
    sealing = record(
        book, number, 'date = 2021-01-01\nreason = "decommissioning"\n[pulled.pump]\n[pulled.pipe]'
    )
    assert hole(book, number).status is WellStatus.SEALED
    with book.reading() as connection:
        assert ledger_of(connection, number) == []
    with pytest.raises(ReplayError, match="sealed"):
        record(book, number, 'date = 2022-01-01\nreason = "other"\n[set.pump]\nhp = 1')
    with book.writing() as connection:
        sheets.withdraw(connection, "me", sealing.number, today=TODAY)
    assert hole(book, number).status is WellStatus.IN_USE


def test_two_wells_share_a_tank(book: Book) -> None:
    one, two = well(book, "W-1"), well(book, "W-2")
    with book.writing() as connection:
        join_systems(connection, "me", two, one)
    record(book, one, 'date = 2020-01-01\nreason = "other"\n[set.tank]\nvolume_gal = 44')
    assert [c.kind for c in hole(book, two).components] == [Kind.TANK]
    record(book, two, 'date = 2022-01-01\nreason = "other"\n[set.tank]\nvolume_gal = 62')
    assert len(hole(book, one).down(Kind.TANK)) == 1


@pytest.mark.parametrize(
    ("text", "where", "what"),
    [
        ('reason = "other"', "date", "has a date"),
        ("date = 2027-01-01\nreason = 'other'", "date", "after"),
        ("date = 2020-01-01", "reason", "one of"),
        ("date = 2020-01-01\nreason = 'picnic'", "reason", "picnic"),
        ("date = 2020-01-01\nreason = 'other'\n[set.pump]\nhp = '7 gpm'", "set.pump.hp", "flow"),
        ("date = 2020-01-01\nreason = 'other'\n[set.pomp]", "set.pomp", "pump"),
        ("date = 2020-01-01\nreason = 'other'\n[set.pump]\ndeph = 3", "set.pump.deph", "deph"),
        (
            "date = 2020-01-01\nreason = 'other'\n[set.cable]\nmade = '2021'",
            "set.cable.made",
            "after",
        ),
        (
            "date = 2020-01-01\nreason = 'other'\n[[set.pipe]]\nfrom_ft = 9\nto_ft = 3",
            "set.pipe[1].to_ft",
            "below",
        ),
        ("start = 2020-01-05\nend = 2020-01-01\nreason = 'other'", "end", "before it begins"),
        ("date = 2020-01-01\nreason = 'other'\n[measured]\nflow = 3", "measured.flow", "flow_gpm"),
        (
            "date = 2020-02-30\nreason = 'other'".replace("= 2020-02-30", "= '2020-02-30'"),
            "date",
            "",
        ),
    ],
)
def test_a_mistake_is_named_with_its_place_and_nothing_is_written(
    file_book: Book, text: str, where: str, what: str
) -> None:
    number = well(file_book)
    with pytest.raises(SheetError) as caught:
        record(file_book, number, text)
    assert where in [m.where for m in caught.value.mistakes]
    assert any(what in m.message for m in caught.value.mistakes)
    assert hole(file_book, number).visits == ()


def test_the_ledger_equals_judging_from_nothing(book: Book) -> None:
    number = well(book)
    record(book, number, SET_2019)
    with book.reading() as connection:
        seen, findings = judged(connection, number)
        assert ledger_of(connection, number) == findings
        assert catalogue.judge(seen, settings(connection)) == findings
        assert findings


def test_a_book_that_holds_an_older_spelling_is_read_in_the_books_word(book: Book) -> None:
    from sqlalchemy import update

    from wellbook.store.rows import table_of
    from wellbook.store.tables import Pipe as PipeTable

    number = well(book)
    record(book, number, 'date = 2019-06-03\nreason = "other"\n[set.pipe]\nmaterial = "pvc"')
    with book.writing() as connection:
        connection.execute(update(table_of(PipeTable)).values(material="SCH 80 PVC", wall=None))
    ((_, pipe),) = hole(book, number).parts(Pipe)
    assert (pipe.material, pipe.wall) == ("pvc", "SCH 80")
