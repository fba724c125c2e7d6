"""Backups, restore and doctor as commands: what they say, and what they never stand in the way of."""

from __future__ import annotations

import os
import shutil
import sqlite3
import stat
from contextlib import closing
from pathlib import Path
from zipfile import ZipFile

import pytest

from tests.cli.commands import Commands
from tests.store.small_shop import FOLDER, small_shop
from wellbook.store.book import SCHEMA_REVISION
from wellbook.store.daily_backups import backups_folder


@pytest.fixture
def place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A small shop's book, of which a daily backup is made as of anybody's."""
    monkeypatch.setenv("WELLBOOK_TODAY", "2026-11-25")
    monkeypatch.setenv("WELLBOOK_WHO", "Ida")
    monkeypatch.chdir(tmp_path)
    made = small_shop(tmp_path / "shop.book").path
    monkeypatch.setenv("WELLBOOK_BOOK", str(made))
    return made


@pytest.fixture
def wellbook(place: Path, capsys: pytest.CaptureFixture[str]) -> Commands:
    return Commands(capsys)


def in_folder(place: Path) -> list[str]:
    return sorted(path.name for path in backups_folder(place).iterdir())


# -- by hand -----------------------------------------------------------------------------------


def test_a_backup_by_hand_and_back(wellbook: Commands, place: Path, tmp_path: Path) -> None:
    out = wellbook.fine("backup", "stick.zip")
    assert "3 wells, 4 customers, 4 sheets, no files of wells; read back and whole" in out
    wellbook.fine("customer", "edit", "1", "--notes", "came later")
    out = wellbook.fine("restore", "stick.zip")
    assert "is the book of" in out
    assert "is kept: " in out
    assert "came later" not in wellbook.fine("customer", "show", "1")
    assert "there is such a file already" in wellbook.refused("backup", "stick.zip")


def test_without_a_name_it_stands_beside_the_book_under_the_next_free_one(
    wellbook: Commands, place: Path, tmp_path: Path
) -> None:
    wellbook.fine("backup")
    wellbook.fine("backup")
    assert in_folder(place) == [
        "by-hand-2026-11-25-2.zip",
        "by-hand-2026-11-25.zip",
        "daily-2026-11-25.zip",
    ]
    (tmp_path / "stick").mkdir()
    wellbook.fine("backup", "stick")
    assert [p.name for p in (tmp_path / "stick").iterdir()] == ["shop.book-2026-11-25.zip"]


def test_which_there_are(wellbook: Commands, place: Path, tmp_path: Path) -> None:
    assert "there is none yet" in wellbook.refused("backup", "--list", status=1)
    wellbook.fine("backup", "stick.zip")
    (tmp_path / "usb").mkdir()
    wellbook.fine("backup", "deleted.zip")
    (tmp_path / "deleted.zip").unlink()
    made = wellbook.json("backup", "usb/other.zip")
    assert made["schema"] == {"name": "wellbook.backup", "version": 1}
    assert (made["rows"]["well"], made["revision"], made["files_missing"]) == (
        3,
        SCHEMA_REVISION,
        {},
    )
    wellbook.fine("restore", "stick.zip")
    # It is not plugged in.
    (tmp_path / "usb").rename(tmp_path / "drawer")
    (tmp_path / "shop.book.before-0008-20261120-120000").write_bytes(b"not a book any more")
    listed = wellbook.json("backup", "--list")["backups"]
    kinds = {Path(one["file"]).name.split("-2026")[0]: one["kind"] for one in listed}
    assert kinds == {
        "stick.zip": "by_hand",
        "other.zip": "by_hand",
        "daily": "daily",
        "shop.book.replaced": "before_a_restore",
        "shop.book.before-0008": "before_an_upgrade",
    } | {k: v for k, v in kinds.items() if k.startswith("shop.book.replaced")}
    wrong = {Path(one["file"]).name: one["wrong"] for one in listed if one["wrong"]}
    assert wrong["other.zip"] == "no such file or directory"
    assert len(wrong) == 2
    # What cannot be used stands last.
    assert [bool(one["wrong"]) for one in listed] == sorted(bool(one["wrong"]) for one in listed)
    assert "stick.zip" in wellbook.fine("backup", "--list")


@pytest.mark.parametrize("whole", [0.0, 0.3, 0.6, 0.999])
def test_a_backup_that_was_cut_off_is_told_from_a_whole_one(
    wellbook: Commands, place: Path, tmp_path: Path, whole: float
) -> None:
    """A stick that was pulled out while it was copied: with a workbook in it, which is such a file itself."""
    with ZipFile(tmp_path / "sums.xlsx", "w") as workbook:
        workbook.writestr("sheet", "x" * 300_000)
    wellbook.fine("attach", "SB-0001", "sums.xlsx")
    wellbook.fine("backup", "stick.zip")
    wellbook.fine("restore", "stick.zip")
    kept = next(tmp_path.glob("shop.book.replaced-*"))
    assert not [b for b in wellbook.json("backup", "--list")["backups"] if b["wrong"]]
    for path in (tmp_path / "stick.zip", kept):
        os.truncate(path, int(path.stat().st_size * whole))
    listed = wellbook.json("backup", "--list")["backups"]
    assert {Path(b["file"]) for b in listed if b["wrong"]} == {tmp_path / "stick.zip", kept}
    assert len(listed) == 3


def test_where_there_is_no_folder(wellbook: Commands) -> None:
    assert "there is no folder nowhere" in wellbook.refused("backup", "nowhere/x.zip")


def test_restore_answers_programs(wellbook: Commands, place: Path) -> None:
    wellbook.fine("backup", "stick.zip")
    said = wellbook.json("restore", "stick.zip")
    assert said["rows"]["sheet"] == 4
    assert Path(said["kept_as"]).exists()


def test_an_older_backup_is_brought_up_and_that_is_said(wellbook: Commands) -> None:
    status, out, err = wellbook("restore", str(FOLDER / "0001.zip"))
    assert status == 0
    assert "bringing the backup up from 0001 to " in err
    assert "3 wells" in out
    assert "another one (Sedge Bottom Wells, an invented shop)" in out
    assert "水野 渚" in wellbook.fine("find", "0142")


def test_a_server_has_its_own(wellbook: Commands) -> None:
    url = "postgresql+psycopg://nobody@127.0.0.1:1/none"
    assert "wherever they were put" in wellbook.refused("--book", url, "backup", "--list")


# -- daily -------------------------------------------------------------------------------------


def test_the_answer_is_shown_first(
    wellbook: Commands,
    place: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    from wellbook.store import daily_backups

    seen = []
    monkeypatch.setattr(
        daily_backups, "make_daily", lambda *_: seen.append(capsys.readouterr().out)
    )
    wellbook("hole", "SB-0001")
    assert "SB-0001" in seen[0]


def test_who_does_not_wait_for_it_has_his_answer(
    wellbook: Commands, place: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from wellbook.store import daily_backups

    def stopped(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(daily_backups, "make_daily", stopped)
    status, out, err = wellbook("hole", "SB-0001")
    assert (status, err) == (0, "wellbook: today's backup was stopped; the next use makes it\n")
    assert "SB-0001" in out
    # Before a change it stops the change.
    assert wellbook("customer", "edit", "1", "--notes", "new")[0] == 130
    assert "  new\n" not in wellbook("customer", "show", "1")[1]


def test_one_is_made_on_the_first_use_of_a_day(
    wellbook: Commands, place: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    wellbook.fine("hole", "SB-0001")
    assert in_folder(place) == ["daily-2026-11-25.zip"]
    wellbook.fine("customer", "edit", "1", "--notes", "new")
    monkeypatch.setenv("WELLBOOK_TODAY", "2026-11-26")
    wellbook.fine("customer", "edit", "1", "--notes", "newer")
    assert in_folder(place) == ["daily-2026-11-25.zip", "daily-2026-11-26.zip"]
    wellbook.fine("restore", str(backups_folder(place) / "daily-2026-11-26.zip"))
    assert "  new\n" in wellbook.fine("customer", "show", "1")


def test_where_it_cannot_be_made_that_is_a_line_and_no_more(
    wellbook: Commands, place: Path
) -> None:
    backups_folder(place).write_text("a file where the folder would be")
    status, out, err = wellbook("customer", "edit", "1", "--notes", "new")
    assert (status, out) == (0, "customer 1 is changed\n")
    assert err.count("\n") == 1
    assert "today's backup was not made" in err


def test_the_demo_wants_none(
    wellbook: Commands, shop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("WELLBOOK_BOOK", str(shop))
    wellbook.fine("find", "orla")
    assert not backups_folder(shop).exists()


def test_a_command_that_was_refused_makes_none(wellbook: Commands, place: Path) -> None:
    wellbook.refused("hole", "nobody", status=1)
    assert not backups_folder(place).exists()


def test_a_book_whose_rows_point_nowhere_is_copied_and_that_is_said(
    wellbook: Commands, place: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with closing(sqlite3.connect(place)) as file:
        file.execute("DELETE FROM customer WHERE id = 1")
        file.commit()
        lost = len(file.execute("PRAGMA foreign_key_check").fetchall())
    assert lost > 1
    line = f"in this book {lost} rows point to a row that is not there; see what that is: wellbook doctor\n"
    status, out, err = wellbook("customer", "edit", "2", "--notes", "new")
    assert (status, out, err) == (0, "customer 2 is changed\n", f"wellbook: {line}")
    assert in_folder(place) == ["daily-2026-11-25.zip"]
    # By the next command it is said no more; by hand and on the next day it is.
    wellbook.fine("customer", "edit", "2", "--notes", "newer")
    assert wellbook.fine("backup", "stick.zip").endswith(line)
    assert wellbook.json("backup", "other.zip")["links_lost"] == lost
    monkeypatch.setenv("WELLBOOK_TODAY", "2026-11-26")
    assert line in wellbook("customer", "edit", "2", "--notes", "newest")[2]


# -- who was forgotten -------------------------------------------------------------------------


def test_the_backups_that_still_hold_a_name_are_listed(
    wellbook: Commands, place: Path, tmp_path: Path
) -> None:
    wellbook.fine("backup", "stick.zip")
    out = wellbook.fine("customer", "forget", "2", "--yes")
    assert "still hold the name" in out
    assert str(tmp_path / "stick.zip") in out
    assert "daily-2026-11-25.zip" in out
    wellbook.fine("backup", "clean.zip")
    held = wellbook.json("backup", "--list", "--forgotten")["backups"]
    assert {Path(one["file"]).name for one in held} == {"stick.zip", "daily-2026-11-25.zip"}
    for one in held:
        Path(one["file"]).unlink()
    said = wellbook.refused("backup", "--list", "--forgotten", status=1)
    assert "no backup holds anybody" in said


def test_what_a_killed_backup_left_is_named_too_and_taken_away_after_an_hour(
    wellbook: Commands, place: Path, tmp_path: Path
) -> None:
    (tmp_path / "stick").mkdir()
    wellbook.fine("backup", "stick/shop.zip")
    left = tmp_path / "stick" / ".shop.zip.k3jx9a2b.part"
    left.mkdir()
    shutil.copy(place, left / "book.sqlite")
    out = wellbook.fine("customer", "forget", "2", "--yes")
    assert f"{left}  being made, or broken off" in out
    for more in ([], ["--forgotten"]):
        listed = wellbook.json("backup", "--list", *more)["backups"]
        assert (listed[-1]["file"], listed[-1]["kind"]) == (str(left), "part")
    wellbook.fine("doctor")
    assert left.exists()
    os.utime(left, (0, 0))
    assert "mended: 1" in wellbook.fine("doctor", "--mend")
    assert not left.exists()
    assert not [b for b in wellbook.json("backup", "--list")["backups"] if b["kind"] == "part"]


@pytest.mark.skipif(os.name == "nt", reason="there a name is text")
def test_a_backup_whose_name_is_no_text_is_made_and_remembered(
    wellbook: Commands, tmp_path: Path
) -> None:
    name = os.fsdecode(b"caf\xe9.zip")
    out = wellbook.fine("backup", name)
    assert "read back and whole" in out
    assert "nothing was written" not in out
    wellbook.fine("backup", "büro stick.zip")
    found = {Path(one["file"]).name for one in wellbook.json("backup", "--list")["backups"]}
    assert {"büro stick.zip"} <= found
    wellbook.fine("customer", "forget", "2", "--yes")
    assert wellbook.fine("backup", "--list", "--forgotten").count(".zip") == 3


def test_where_the_list_beside_the_book_cannot_be_kept_the_backup_is_made(
    wellbook: Commands, place: Path
) -> None:
    backups_folder(place).write_text("no folder")
    status, out, err = wellbook("backup", "stick.zip")
    assert status == 0
    assert "read back and whole" in out
    assert "where the backup is cannot be kept beside the book (file exists)" in err


def test_copies_of_a_book_in_brackets_are_known(wellbook: Commands, place: Path) -> None:
    odd = place.with_name("shop [old].book")
    place.rename(odd)
    wellbook.fine("--book", str(odd), "backup", "stick.zip")
    wellbook.fine("--book", str(odd), "restore", "stick.zip")
    kinds = [b["kind"] for b in wellbook.json("--book", str(odd), "backup", "--list")["backups"]]
    assert "before_a_restore" in kinds


def test_a_restore_does_not_bring_a_person_back(wellbook: Commands) -> None:
    wellbook.fine("backup", "stick.zip")
    wellbook.fine("customer", "forget", "2", "--yes")
    out = wellbook.fine("restore", "stick.zip")
    assert "1 customer forgotten since the backup" in out
    assert "水野" not in wellbook.fine("hole", "SB-0001")


def test_a_restore_is_not_taken_back(wellbook: Commands) -> None:
    """The way back is the book that was kept."""
    wellbook.fine("backup", "stick.zip")
    wellbook.fine("restore", "stick.zip")
    refused = wellbook.refused("undo", "--yes")
    assert (
        "the book that was there is kept: wellbook backup --list, then wellbook restore FILE"
        in refused
    )


# -- doctor ------------------------------------------------------------------------------------


def test_doctor_says_that_nothing_is_wrong(wellbook: Commands) -> None:
    assert wellbook.fine("doctor").endswith("Nothing is wrong.\n")
    said = wellbook.json("doctor", "--mend")
    assert (said["wrong"], said["mended"], said["backup"]) == (0, 0, None)


def test_doctor_finds_and_mends_after_a_backup(wellbook: Commands, place: Path) -> None:
    with closing(sqlite3.connect(place)) as connection:
        connection.execute("DELETE FROM due WHERE well_id = 1")
        connection.commit()
    status, out, _ = wellbook("doctor")
    assert status == 1
    assert "SB-0001: the ledger has not what the rules say" in out
    assert "1 thing wrong; 1 can be mended: wellbook doctor --mend" in out
    out = wellbook.fine("doctor", "--mend")
    assert "mended: 1; the book as it was before is at" in out
    assert "before-mending-2026-11-25.zip" in in_folder(place)
    kinds = {b["kind"] for b in wellbook.json("backup", "--list")["backups"]}
    assert kinds == {"before_mending", "daily"}


def test_a_book_that_cannot_be_read_is_told_with_its_newest_backup(
    wellbook: Commands, place: Path
) -> None:
    wellbook.fine("backup", "stick.zip")
    data = place.read_bytes()
    place.write_bytes(data[:1024] + bytes(8192) + data[9216:])
    said = wellbook.refused("doctor")
    assert "the book is damaged" in said
    assert "wellbook restore" in said
    newest = Path(said.rsplit("wellbook restore ", 1)[1].strip())
    wellbook("restore", str(newest))
    wellbook.fine("doctor")


def test_a_book_that_was_replaced_is_not_the_backup_that_is_named(
    wellbook: Commands, place: Path, tmp_path: Path
) -> None:
    (tmp_path / "a stick").mkdir()
    wellbook.fine("shop", "set", "daily_backups", "0")
    for daily in backups_folder(place).glob("daily-*"):
        daily.unlink()
    wellbook.fine("backup", "a stick/copy.zip")
    wellbook.fine("restore", "a stick/copy.zip")
    place.write_bytes(b"rubbish" * 3000)
    said = wellbook.refused("doctor")
    assert said.strip().endswith(f'wellbook restore "{tmp_path}/a stick/copy.zip"')


def test_a_damaged_book_without_a_backup(wellbook: Commands, place: Path) -> None:
    place.write_bytes(b"rubbish" * 3000)
    assert "there is no backup of it that the program knows of" in wellbook.refused("doctor")


def test_no_book_at_all_is_no_damage(wellbook: Commands, place: Path) -> None:
    place.unlink()
    assert "wellbook init" in wellbook.refused("doctor")
    # A backup can be put where no book is.
    status, _, _ = wellbook("restore", str(FOLDER / "0009.zip"))
    assert status == 0


def test_a_restored_book_keeps_who_may_read_it(wellbook: Commands, place: Path) -> None:
    wellbook.fine("backup", "stick.zip")
    place.chmod(0o600)
    wellbook.fine("restore", "stick.zip")
    assert stat.S_IMODE(place.stat().st_mode) == 0o600
