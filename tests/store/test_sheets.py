"""Sheets in, the string out: recording, reuse, late slips, corrections, withdrawals.

The components and sheets are invented; they are held against the rules of the issue.
"""

from __future__ import annotations

import tomllib
from datetime import date
from typing import Any

import pytest

from wellbook.errors import ReplayError, WellbookError
from wellbook.hole.hole import Hole
from wellbook.hole.parts import Cable, Pipe, Pump, Tank
from wellbook.hole.sheet import SheetError
from wellbook.rules import catalogue
from wellbook.store import sheets
from wellbook.store.book import Book
from wellbook.store.holes import load_hole
from wellbook.store.judging import judged
from wellbook.store.ledger import ledger_of
from wellbook.store.settings import settings
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
    from wellbook.rules.cable_facts import wear

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

    from wellbook.store.tables import pipe

    number = well(book)
    record(book, number, 'date = 2019-06-03\nreason = "other"\n[set.pipe]\nmaterial = "pvc"')
    with book.writing() as connection:
        connection.execute(update(pipe).values(material="SCH 80 PVC", wall=None))
    ((_, pipe),) = hole(book, number).parts(Pipe)
    assert (pipe.material, pipe.wall) == ("pvc", "SCH 80")


# -- out and back ------------------------------------------------------------------------------

CABIN = """
date = 2015-06-01
reason = "opening up"
[set.pump]
hp = "1/2"
serial = "A77"
set_depth_ft = 100
[set.pipe]
material = "HDPE 4710"
to_ft = 100
[set.cable]
awg = 12
splices_added = 2
"""
CLOSED = """
date = 2025-10-12
reason = "closing down"
[pulled.pump]
[pulled.pipe]
[pulled.cable]
"""
OPENED = """
date = 2026-05-02
reason = "opening up"
[back.pump]
set_depth_ft = 98
[back.pipe]
[back.cable]
splices_added = 1
"""


def cabin(book: Book) -> int:
    with book.writing() as connection:
        number = add_well(connection, "me", "C-1", {"status": "seasonal"}, today=date(2015, 6, 1))
    for text in (CABIN, CLOSED):
        record(book, number, text)
    return number


def due_now(book: Book, number: int, on: date) -> set[tuple[str, str]]:
    with book.reading() as connection:
        return {(f.rule, f.subject) for f in ledger_of(connection, number) if f.holds(on)}


def test_a_closed_place_has_its_string_in_store_and_misses_no_pump(book: Book) -> None:
    number = cabin(book)
    seen = hole(book, number)
    assert seen.the(Pump) is None
    assert [c.kind for kind in Kind for c in seen.stored(kind)] == [
        Kind.PIPE,
        Kind.CABLE,
        Kind.PUMP,
    ]
    rules = {rule for rule, _ in due_now(book, number, date(2026, 2, 1))}
    assert not rules & {"unfinished", "samples-owed"}


def test_what_went_back_at_the_opening_is_what_was_there(book: Book) -> None:
    from wellbook.rules.cable_facts import wear

    number = cabin(book)
    before = hole(book, number)
    record(book, number, OPENED)
    seen = hole(book, number)
    component, pump = seen.the(Pump) or pytest.fail("no pump")
    assert (pump.serial, pump.set_depth_ft) == ("A77", 98)
    assert component.set_on.earliest == date(2015, 6, 1)
    assert {c.uid for c in seen.components} == {c.uid for c in before.components}
    ((cable, _),) = seen.parts(Cable)
    assert wear(seen, cable).splices == 3
    (away,) = component.absences
    assert (away.out_on, away.back_on) == (date(2025, 10, 12), date(2026, 5, 2))
    owed = due_now(book, number, date(2026, 5, 20))
    assert ("samples-owed", "disinfection owed") in owed
    assert ("samples-owed", "bacteria sample owed") in owed
    assert not {rule for rule, _ in owed} & {"unfinished"}


def test_a_day_of_the_winter_shows_it_in_store_though_it_went_back_since(book: Book) -> None:
    number = cabin(book)
    record(book, number, OPENED)
    winter = hole(book, number).on(date(2026, 1, 15))
    assert winter.the(Pump) is None
    (stored,) = winter.stored(Kind.PUMP)
    assert stored.part.set_depth_ft == 100  # type: ignore[attr-defined]
    assert str(stored.pulled_on) == "2025-10-12"
    summer = hole(book, number).on(date(2020, 7, 1)).the(Pump)
    assert summer is not None
    assert summer[0].absences == ()


def test_a_place_that_was_opened_up_without_its_pump_misses_it(book: Book) -> None:
    number = cabin(book)
    record(book, number, 'date = 2026-05-02\nreason = "opening up"')
    assert ("unfinished", "pump") in due_now(book, number, date(2026, 5, 3))
    assert ("unfinished", "pump") not in due_now(book, number, date(2026, 5, 1))


def test_another_pump_at_the_opening_is_a_new_one(book: Book) -> None:
    number = cabin(book)
    record(book, number, 'date = 2026-05-02\nreason = "opening up"\n[set.pump]\nserial = "B1"')
    old, new = [c for c in hole(book, number).components if c.kind is Kind.PUMP]
    assert old.pulled_on is not None
    assert new.set_on.earliest == date(2026, 5, 2)
    with pytest.raises(ReplayError, match=r"\[back.pipe\] puts the same one back"):
        record(book, number, 'date = 2026-05-03\nreason = "other"\n[down.pipe]\nto_ft = 90')


def test_a_pump_that_came_back_from_repair_keeps_why_it_was_out(book: Book) -> None:
    number = well(book)
    record(book, number, SET_2019)
    out = 'date = 2024-07-01\nreason = "no water"\nleft_without_pump = true\n'
    record(book, number, out + '[pulled.pump]\nwhy = "to be wound"\ncause = "lightning"')
    record(book, number, 'date = 2024-07-09\nreason = "replacement"\n[back.pump]')
    component, _ = hole(book, number).the(Pump) or pytest.fail("no pump")
    (away,) = component.absences
    assert (away.why, away.cause) == ("to be wound", Cause.LIGHTNING)
    assert component.why_pulled == ""


def test_without_the_closing_the_opening_still_makes_sense(book: Book) -> None:
    with book.writing() as connection:
        number = add_well(connection, "me", "C-1", {}, today=TODAY)
    record(book, number, CABIN)
    closing = record(book, number, CLOSED)
    record(book, number, OPENED)
    with book.writing() as connection:
        sheets.withdraw(connection, "me", closing.number, today=TODAY)
    component, _ = hole(book, number).the(Pump) or pytest.fail("no pump")
    assert component.absences == ()


# -- one of two --------------------------------------------------------------------------------

TWO_TANKS = """
date = 2018-06-01
reason = "other"
[[set.tank]]
volume_gal = 44
[[set.tank]]
volume_gal = 62
"""


def tanks(book: Book, number: int) -> list[tuple[float | None, float | None]]:
    return [(p.volume_gal, p.precharge_psi) for _, p in hole(book, number).parts(Tank)]


def test_what_is_said_of_one_of_two_tanks_names_it(book: Book) -> None:
    number = well(book)
    record(book, number, TWO_TANKS)
    check = 'date = 2024-05-01\nreason = "check up"\n[down.tank]\nprecharge_psi = 38\n'
    with pytest.raises(ReplayError, match=r"one of 2 tanks.*volume_gal = 44, or volume_gal = 62"):
        record(book, number, check)
    record(book, number, check + "volume_gal = 62")
    assert tanks(book, number) == [(44, None), (62, 38)]


def test_two_tables_of_one_sheet_are_two_tanks(book: Book) -> None:
    number = well(book)
    there = "[[down.tank]]\nvolume_gal = 44\n[[down.tank]]\nvolume_gal = 44\n"
    record(book, number, 'date = 2024-05-01\nreason = "check up"\n' + there)
    assert tanks(book, number) == [(44, None), (44, None)]
    pressed = there.replace("44\n", "44\nprecharge_psi = 30\n")
    record(book, number, 'date = 2025-05-01\nreason = "check up"\n' + pressed)
    assert tanks(book, number) == [(44, 30), (44, 30)]


def test_a_new_tank_takes_the_place_of_the_one_that_was_pulled(book: Book) -> None:
    number = well(book)
    record(book, number, TWO_TANKS)
    new = 'date = 2024-05-01\nreason = "replacement"\n[set.tank]\nvolume_gal = 80\n'
    with pytest.raises(ReplayError, match=r"say which came out under \[pulled.tank\]"):
        record(book, number, new)
    with pytest.raises(ReplayError, match="one of 2 tanks"):
        record(book, number, new + '[pulled.tank]\nwhy = "waterlogged"')
    record(book, number, new + "[pulled.tank]\nvolume_gal = 44")
    assert tanks(book, number) == [(62, None), (80, None)]


def test_a_second_tank_beside_one_that_stays(book: Book) -> None:
    number = well(book)
    record(book, number, 'date = 2018-06-01\nreason = "other"\n[set.tank]\nvolume_gal = 44')
    record(
        book,
        number,
        'date = 2024-05-01\nreason = "other"\n[back.tank]\n[set.tank]\nvolume_gal = 20',
    )
    assert tanks(book, number) == [(44, None), (20, None)]


def test_a_pressure_tank_takes_no_cisterns_place_and_a_softener_no_filters(book: Book) -> None:
    from wellbook.hole.parts import Treatment

    number = well(book)
    record(
        book,
        number,
        """
        date = 2018-06-01
        reason = "other"
        [set.tank]
        type = "cistern"
        volume_gal = 1500
        [set.treatment]
        type = "sediment filter"
        """,
    )
    record(
        book,
        number,
        """
        date = 2020-06-01
        reason = "other"
        [set.tank]
        type = "pressure"
        volume_gal = 44
        [set.treatment]
        type = "softener"
        """,
    )
    record(
        book,
        number,
        'date = 2022-06-01\nreason = "other"\n[set.treatment]\ntype = "Sediment filter"',
    )
    assert [volume for volume, _ in tanks(book, number)] == [1500, 44]
    kinds = [p.type for _, p in hole(book, number).parts(Treatment)]
    assert kinds == ["softener", "Sediment filter"]


def test_a_tank_on_record_whose_size_was_told_otherwise_is_still_the_one(book: Book) -> None:
    number = well(book)
    record(book, number, 'date = 2018-06-01\nreason = "other"\n[set.tank]\nvolume_gal = 44')
    told = "date = 2020-06-01\n[down.tank]\nvolume_gal = 40"
    record(book, number, told, kind=SheetKind.CALL)
    assert tanks(book, number) == [(44, None)]


def test_one_of_two_check_valves_is_named_by_its_depth_and_an_unnamed_pipe_is_all_of_it(
    book: Book,
) -> None:
    from wellbook.hole.parts import CheckValve

    number = well(book)
    record(
        book,
        number,
        SET_2019 + "[[set.check_valve]]\ndepth_ft = 20\n[[set.check_valve]]\ndepth_ft = 180\n",
    )
    check = 'date = 2024-05-01\nreason = "pull and inspect"\n'
    with pytest.raises(ReplayError, match="one of 2 check valves"):
        record(book, number, check + '[down.check_valve]\nmaterial = "brass"')
    record(book, number, check + '[down.check_valve]\nmaterial = "brass"\ndepth_ft = 180')
    assert [p.material for _, p in hole(book, number).parts(CheckValve)] == [None, "brass"]
    record(book, number, 'date = 2024-06-01\nreason = "other"\n[down.pipe]\nnominal_in = "1"')
    assert [p.nominal_in for _, p in hole(book, number).parts(Pipe)] == ["1", "1"]
    out = 'date = 2025-05-01\nreason = "replacement"\n[pulled.check_valve]\n[pulled.pipe]'
    record(book, number, out)
    assert hole(book, number).down(Kind.CHECK_VALVE) == ()


# -- sealed ------------------------------------------------------------------------------------


def test_what_nobody_pulled_is_sealed_in(book: Book) -> None:
    from wellbook.hole.sheet_text import prefilled_text
    from wellbook.present.changes import changes

    number = well(book)
    record(book, number, SET_2019 + "[set.tank]\nvolume_gal = 44\n")
    made = record(book, number, 'date = 2021-01-01\nreason = "decommissioning"\n[pulled.pump]')
    seen = hole(book, number)
    assert seen.down(Kind.PIPE) == ()
    assert [c.part.to_ft for c in seen.sealed_in(Kind.PIPE)] == [180, 260]  # type: ignore[attr-defined]
    assert seen.sealed_in(Kind.PUMP) == ()
    assert len(seen.down(Kind.TANK)) == 1
    lines = changes(made.before, made.after)
    assert [line.split(":")[0] for line in lines] == ["left"] * 3 + ["out", "status"]
    assert "[[back." not in prefilled_text(seen, TODAY)
    before = seen.on(date(2020, 1, 1))
    assert [p.to_ft for _, p in before.parts(Pipe)] == [180, 260]


# -- what a sample rests on ----------------------------------------------------------------------


def test_a_sample_bears_the_basis_of_what_tells_of_it(book: Book) -> None:
    number = well(book)
    result = '[sample]\nbacteria = "absent"'
    record(book, number, f'date = 2024-05-01\nreason = "water sample"\n{result}')
    record(book, number, f"date = 2025-05-01\n{result}", kind=SheetKind.CALL)
    record(book, number, f'date = 2025-06-01\nreason = "other"\nbasis = "paper record"\n{result}')
    assert [s.basis for s in hole(book, number).samples] == [
        Basis.MEASURED,
        Basis.CUSTOMER_TOLD,
        Basis.PAPER_RECORD,
    ]


def test_a_ledger_of_an_older_version_of_the_rules_is_renewed_before_it_is_read(
    book: Book,
) -> None:
    from sqlalchemy import delete, update

    from wellbook import versions
    from wellbook.store import tables as t
    from wellbook.store.freshness import freshen

    number = well(book)
    record(book, number, SET_2019)
    freshen(book)
    with book.writing() as connection:
        connection.execute(delete(t.due))
        old = versions.REPLAY + "-of the rules before"
        connection.execute(update(t.book).values(ledger_fingerprint=old))
    assert freshen(book)
    with book.reading() as connection:
        assert ledger_of(connection, number) == judged(connection, number)[1]
    assert not freshen(book)


def test_a_book_of_an_older_replay_is_replayed_before_it_is_read(book: Book) -> None:
    from sqlalchemy import delete, update

    from wellbook.store import tables as t
    from wellbook.store.freshness import freshen

    number = well(book)
    record(book, number, SET_2019)
    freshen(book)
    with book.reading() as connection:
        before = load_hole(connection, number)
    assert before.components
    with book.writing() as connection:
        for table in (t.component_claim, t.pump):
            connection.execute(delete(table))
        connection.execute(update(t.book).values(ledger_fingerprint="1-0"))
    assert freshen(book)
    with book.reading() as connection:
        assert load_hole(connection, number) == before
