"""What a file says is down the hole: opening sheets, by the check and the replay of any sheet."""

from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from import_files import count, well, written

from wellbook.hole.parts import Cable, Pipe, Pump, Switch
from wellbook.store import sheets
from wellbook.store import tables as t
from wellbook.store.book import Book
from wellbook.store.ledger import ledger_of
from wellbook.store.sheets import versions
from wellbook.terms import Basis, PumpType, Role, SheetKind

Answer = Callable[..., dict[str, Any]]
TODAY = date(2026, 11, 25)
HEAD = "Well No,Depth (ft),Checked on,Pump HP,Pump type,Pump depth (m),Pump set on,Drop pipe,Wire size\n"


@pytest.fixture
def own(tmp_path: Path, book: Book, answer: Answer) -> Callable[..., dict[str, Any]]:
    """The shop's own list of wells, brought in as it stands now."""

    def bring(*lines: str, role: str = "ours", more: tuple[str, ...] = ()) -> dict[str, Any]:
        path = written(tmp_path / "own.csv", HEAD + "".join(f"{x}\n" for x in lines))
        return answer(path, "--as", role, *more)

    return bring


def test_parts_are_down_the_hole_and_judged(own: Answer, book: Book) -> None:
    assert own("M-1,400,2019-06-01,1/2,sub,100,about 2006,PE3408,#12")["written"] == 1
    number, hole = well(book, "M-1")
    pump = hole.the(Pump)
    assert pump is not None
    assert (pump[1].hp, pump[1].type, pump[1].set_depth_ft) == (
        *(0.5, PumpType.SUBMERSIBLE),
        pytest.approx(328.084, abs=0.005),
    )
    assert (str(pump[0].set_on), pump[0].basis) == ("about 2006", Basis.PAPER_RECORD)
    assert pump[0].noted_on == date(2019, 6, 1)
    assert [p.material for _, p in hole.parts(Pipe)] == ["pe3408"]
    assert [c.awg for _, c in hole.parts(Cable)] == [12]
    assert [v.start for v in hole.visited(SheetKind.OPENING)] == [date(2019, 6, 1)]
    with book.reading() as connection:
        rules = {f.rule for f in ledger_of(connection, number)}
    assert {"pump-age", "check-up"} <= rules


def test_the_same_file_next_year_adds_nothing(
    own: Answer, book: Book, monkeypatch: pytest.MonkeyPatch
) -> None:
    line = "M-1,400,,1/2,sub,100,10 years old,PE3408,#12"
    own(line)
    monkeypatch.setenv("WELLBOOK_TODAY", "2027-12-01")
    assert own(line)["unchanged"] == 1
    assert (count(book, t.sheet), count(book, t.component)) == (1, 3)


def test_a_changed_cell_corrects_the_sheet(own: Answer, book: Book) -> None:
    own("M-1,400,2019-06-01,1/2,,100,,,", "M-2,90,,1,,20,,,")
    before = well(book, "M-1")[1].the(Pump)
    said = own("M-1,400,2019-06-01,3/4,,110,,,", "M-2,90,,1,,20,,,")
    assert (said["changed"], said["unchanged"]) == (1, 1)
    _, hole = well(book, "M-1")
    after = hole.the(Pump)
    assert before and after and before[0].uid == after[0].uid
    assert (after[1].hp, after[1].set_depth_ft) == (0.75, pytest.approx(360.892, abs=0.005))
    with book.reading() as connection:
        (opening,) = hole.visited(SheetKind.OPENING)
        statuses = [v["status"] for v in versions(connection, opening.number)]
    assert statuses == ["superseded", "valid"]


def test_what_the_source_takes_back_is_withdrawn_and_may_come_again(
    own: Answer, book: Book
) -> None:
    line = "M-1,400,2019-06-01,1/2,,100,,,"
    own(line)
    assert own("M-1,400,2019-06-01,,,,,,")["changed"] == 1
    assert well(book, "M-1")[1].the(Pump) is None
    assert own(line)["changed"] == 1
    assert well(book, "M-1")[1].the(Pump) is not None
    assert count(book, t.component) == 1


def test_what_was_put_right_by_hand_stays(own: Answer, book: Book) -> None:
    own("M-1,400,2019-06-01,1/2,,100,,,", "M-2,90,2019-06-01,1,,20,,,")
    for tag, by_hand in (
        ("M-1", {"date": "2019-06-01", "down": {"pump": {"hp": 1}}}),
        ("M-2", None),
    ):
        _, hole = well(book, tag)
        (opening,) = hole.visited(SheetKind.OPENING)
        with book.writing() as connection:
            if by_hand:
                sheets.correct(connection, "me", opening.number, by_hand, today=TODAY)
            else:
                sheets.withdraw(connection, "me", opening.number, today=TODAY)
    # Another cell of the row changes: no more is said of the pump than before.
    said = own("M-1,410,2019-06-01,1/2,,100,,,", "M-2,95,2019-06-01,1,,20,,,")
    assert (said["changed"], said["doubtful"]) == (2, 0)
    said = own("M-1,410,2019-06-01,3/4,,100,,,", "M-2,95,2019-06-01,1,,25,,,")
    assert (said["changed"], said["doubtful"]) == (2, 2)
    _, hole = well(book, "M-1")
    pump = hole.the(Pump)
    assert pump and pump[1].hp == 1 and hole.depth_ft() == 410
    assert well(book, "M-2")[1].the(Pump) is None


def test_a_record_that_the_visits_speak_against_is_refused_whole(own: Answer, book: Book) -> None:
    own("M-1,400,2019-06-01,1/2,,100,,,", "M-2,90,2019-06-01,1,,20,,,")
    number, _ = well(book, "M-1")
    visit = {
        "date": "2020-01-01",
        "reason": "no water",
        "pulled": {"pump": {}},
        "left_without_pump": True,
    }
    with book.writing() as connection:
        sheets.record(connection, "me", number, visit, today=TODAY)
    lines = ("M-1,410,2022-06-01,1/2,,100,,,", "M-2,95,2022-06-01,1,,20,,,")
    for more in (("--look",), ()):
        said = own(*lines, more=more)
        assert (said["changed"], said["refused"]) == (1, 1)
        (refusal,) = said["refusals"]
        assert (refusal["row"], refusal["value"]) == (2, "M-1")
        assert "2020-01-01 pulled it" in refusal["reason"]
    _, hole = well(book, "M-1")
    assert hole.the(Pump) is None and hole.depth_ft() == 400
    assert well(book, "M-2")[1].depth_ft() == 95


@pytest.mark.parametrize(
    ("line", "column", "reason"),
    [
        ("M-1,90,,big,,,,,", "Pump HP", "horsepower"),
        ("M-1,90,,,,7 gpm,,,", "Pump depth (m)", "feet"),
        ("M-1,90,,1,,,2031,,", "Pump set on", "ahead"),
        ("M-1,90,,,,,,,twelve", "Wire size", "whole number"),
    ],
)
def test_a_cell_that_no_sheet_would_take_is_refused(
    own: Answer, line: str, column: str, reason: str
) -> None:
    said = own(line, "M-2,90,,1,,20,,,")
    assert (said["written"], said["refused"]) == (1, 1)
    (refusal,) = said["refusals"]
    assert (refusal["row"], refusal["column"]) == (2, column)
    assert reason in refusal["reason"]


def test_a_word_that_is_not_known_is_kept_as_a_note(own: Answer, book: Book) -> None:
    said = own("M-1,90,,1,solar 4in,20,,,", "M-2,90,,1,Deep-well jet pump / deep jet,0,,,")
    assert (said["written"], said["doubtful"]) == (2, 2)
    _, hole = well(book, "M-1")
    assert "solar 4in" in hole.notes
    pump = well(book, "M-2")[1].the(Pump)
    assert pump and (pump[1].type, pump[1].set_depth_ft) == (PumpType.DEEP_JET, None)


def test_a_setting_dates_the_pump_and_no_other_part(own: Answer, book: Book) -> None:
    # The row was written after its own date, since it tells of a later setting: when is not known.
    own("M-1,400,2019-06-01,1/2,,100,2021,PE3408,")
    _, hole = well(book, "M-1")
    pump, (pipe,) = hole.the(Pump), hole.down(Pipe.kind)
    assert pump and str(pump[0].set_on) == "2021"
    assert (pipe.set_on.earliest, pipe.set_on.latest) == (None, TODAY)


def test_a_repair_later_in_the_file_is_a_sheet_of_its_own_day(own: Answer, book: Book) -> None:
    own("M-1,,2019-06-01,1/2,,100,,,", "M-2,,,,,,,,", "M-1,,2021-06-01,1,,,,,")
    _, hole = well(book, "M-1")
    assert [v.start.year for v in hole.visited(SheetKind.OPENING)] == [2019, 2021]
    then, now = hole.on(date(2020, 1, 1)).the(Pump), hole.the(Pump)
    assert then and now and now[1].hp == 1
    assert now[1].set_depth_ft == pytest.approx(328.084, abs=0.005)


def test_reference_wells_have_their_parts_and_owe_nothing_until_they_are_ours(
    own: Answer, book: Book
) -> None:
    line = "M-1,400,2019-06-01,1/2,,100,,,"
    own(line, role="reference")
    assert (count(book, t.component), count(book, t.due)) == (1, 0)
    said = own(line)
    assert (said["changed"], said["made_ours"], count(book, t.sheet)) == (1, 1, 1)
    assert well(book, "M-1")[1].role is Role.OURS and count(book, t.due)
    said = own(line, role="reference")
    assert (said["unchanged"], said["stay_ours"]) == (1, 1)
    assert well(book, "M-1")[1].role is Role.OURS


def test_pressure_switch_and_pump_size_by_their_headers(
    tmp_path: Path, book: Book, answer: Answer
) -> None:
    text = "id,cut_in_psi,cut_out_psi,motor_kw,pipe_length_ft\n1,40,60,0.75,300\n"
    assert answer(written(tmp_path / "a.csv", text))["written"] == 1
    _, hole = well(book, "R-1")
    switch, pump = hole.the(Switch), hole.the(Pump)
    assert switch and (switch[1].cut_in_psi, switch[1].cut_out_psi) == (40, 60)
    assert pump and pump[1].hp == pytest.approx(1.006, abs=0.001)
    assert [p.to_ft for _, p in hole.parts(Pipe)] == [300]
