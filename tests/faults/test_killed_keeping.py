"""Killed while a book is copied, put back, mended, or something is taken out of it: as in `test_killed`."""

from __future__ import annotations

import os
import re
import sys
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import select

from tests.faults.bench import Bench, Plan, at, confirmed
from tests.faults.fault_table import as_shown, the_line
from tests.faults.victims import FORGOTTEN, place
from tests.faults.warm import picture
from wellbook.errors import BookError
from wellbook.store import tables as t
from wellbook.store.attachments import verify
from wellbook.store.backup_file import opened
from wellbook.store.backups_there import PART, backups_of, that_hold
from wellbook.store.book import open_book
from wellbook.store.daily_backups import backups_folder
from wellbook.store.doctor import look_through, mend
from wellbook.store.forgotten import forgotten_rows
from wellbook.store.kept import kept_tables
from wellbook.store.restoring import restore

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="nothing can be forked here")

SHA256 = list(t.attachment.c.keys()).index("sha256")
PLANS = {
    "backup": Plan(14, 3, 1, last=4),
    "restore": Plan(8, 2, 1, last=16),
    "restore without links": Plan(0, last=10),
    "mend": Plan(8, 2, 1, last=2),
    "undo": Plan(14, 3, 1),
    "forget": Plan(12, 4, 2, last=4),
}


def zips(folder: Path) -> list[Path]:
    """Whatever lies there under a name of a backup."""
    return sorted([*folder.glob("*.zip"), *backups_folder(place(folder)).glob("*.zip")])


def pictured(backup: Path) -> dict[str, list[tuple[Any, ...]]]:
    """The book that is in a backup, which has to be whole, with every file that it has to have."""
    target = backup.with_name("looked-into")
    try:
        with opened(backup) as its:
            its.take_out(target)
            for sha256 in its.files:
                its.check_file(sha256)
            rows = picture(target)
            named = {row for row in its.manifest.rows.items() if row[0] == "attachment"}
            assert not its.manifest.missing
            if its.manifest.with_files:
                assert {("attachment", len(its.files))} == named
        return rows
    finally:
        target.unlink(missing_ok=True)


def in_parts(folder: Path) -> list[Path]:
    """The files in what was being made."""
    return [p for part in folder.rglob("*.part") for p in part.rglob("*") if p.is_file()]


def check_backups(folder: Path, beginning: Path) -> set[str]:
    """Every backup that is there is whole, of the book as it was, and shown; their names."""
    from_before = {path.read_bytes() for path in zips(beginning)}
    for path in zips(folder):
        assert path.read_bytes() in from_before or pictured(path) == picture(place(beginning)), path
    known = backups_of(place(folder))
    assert not [k for k in known if k.wrong and k.kind != PART]
    # What may hold a name and is no backup is named too.
    named = [k.path for k in known if k.kind == PART]
    assert not [p for p in in_parts(folder) if not any(p.is_relative_to(part) for part in named)]
    assert not [k for k in known if k.path.samefile(place(folder))], (
        "the book is no backup of itself"
    )
    assert {k.path for k in known if k.path.suffix == ".zip"} >= {
        *backups_folder(place(folder)).glob("*.zip")
    }
    return {path.name for path in zips(folder)}


def what_is_left(folder: Path) -> str:
    """What lies there, by names in which no moment and no chance is."""
    names = (str(p.relative_to(folder)) for p in folder.rglob("*"))
    return " ".join(sorted({re.sub(r"\.\w{8}(?=\.part)|[-\d]+", "", name) for name in names}))


def check_cleared(folder: Path) -> None:
    """What was left is found an hour later, taken away, and nothing else with it."""
    for part in folder.rglob("*.part"):
        os.utime(part, (0, 0))
    book = open_book(place(folder))
    before = {p for p in folder.rglob("*") if p.is_file() and ".part" not in str(p)}
    mend(book)
    assert not [w for looked in look_through(book) for w in looked.wrong]
    assert not in_parts(folder)
    gone = {p.name for p in before if not p.exists()}
    assert not {name for name in gone if not name.endswith(("-wal", "-shm"))}


@pytest.mark.parametrize("bench", [at("backup", "kept")], indirect=True, ids=["backup"])
def test_what_counts_as_a_backup_is_whole(bench: Bench) -> None:
    book = picture(place(bench.beginning))
    ways = set()
    for folder in bench.killed(PLANS["backup"]):
        assert picture(place(folder)) == book
        there = check_backups(folder, bench.beginning)
        told = confirmed(folder)
        assert "copied" not in told or "copy.zip" in there
        assert "by hand" not in told or "by-hand-2026-11-25.zip" in there
        dailies = {name for name in there if name.startswith("daily-")}
        assert dailies & {"daily-2026-11-24.zip", "daily-2026-11-25.zip"}
        if (left := what_is_left(folder)) not in ways:
            ways.add(left)
            bench.run("again", folder=folder)
            again = check_backups(folder, bench.beginning)
            assert "copy.zip" in again and any(
                name.startswith("by-hand-") for name in again - there
            )
            check_cleared(folder)
    assert len(ways) > 3


@pytest.mark.parametrize(
    "bench",
    [at("restore", "kept"), at("restore without links", "kept")],
    indirect=True,
    ids=["restore", "restore without links"],
)
def test_the_old_book_or_the_new_one_is_there_and_the_old_one_stays(bench: Bench) -> None:
    before, after = picture(place(bench.beginning)), picture(place(bench.after(1)))
    sums = {row[SHA256] for row in before["attachment"]}
    ways = set()
    for folder in bench.killed(PLANS[bench.what]):
        kept = [p for p in folder.glob("shop.book.replaced-*") if p.suffix not in ("-wal", "-shm")]
        if place(folder).exists():
            now = picture(place(folder))
            assert now == after or (now == before and not confirmed(folder))
            assert now == before or kept
            # The files that the book names are whole, whichever of the two it is, and others can be at it.
            found = verify(opened_again := open_book(place(folder)))
            with opened_again.reading() as connection:
                assert connection.exec_driver_sql("PRAGMA journal_mode").scalar() == "wal"
            assert (found.whole, found.wrong) == (len(now["attachment"]), [])
            ways.add("old" if now == before else "new")
        else:
            with pytest.raises(BookError) as said:
                open_book(place(folder))
            assert str(kept[0]) in str(said.value)
            assert as_shown(str(said.value), place(folder)) == the_line("kill restore")
            restore(kept[0], place(folder), "Ida")
            assert picture(place(folder))["sheet"] == before["sheet"]
            ways.add("none")
        assert all(picture(path) == before for path in kept)
        assert sums <= {p.name for p in (folder / "shop.book.files").rglob("*") if p.is_file()}
        check_backups(folder, bench.beginning)
        if (left := what_is_left(folder)) not in ways:
            ways.add(left)
            bench.run("again", folder=folder)
            assert picture(place(folder))["sheet"] == after["sheet"]
            check_backups(folder, bench.beginning)
            check_cleared(folder)
    assert ways >= {"old", "new"}
    assert ("none" in ways) == (bench.what == "restore without links")


TRUTH = {kept.name for kept in kept_tables()}
"""The tables of what people wrote; the rest follows from them."""


@pytest.mark.parametrize("bench", [at("mend", "harmed")], indirect=True, ids=["mend"])
def test_mending_loses_nothing_and_can_go_on(bench: Bench) -> None:
    harmed = picture(place(bench.beginning))
    whole = picture(place(bench.after(1)))
    seen: list[dict[str, list[tuple[Any, ...]]]] = []
    for folder in bench.killed(PLANS["mend"]):
        now = picture(place(folder))
        assert all(now[name] == harmed[name] for name in TRUTH)
        if confirmed(folder):
            look = look_through(open_book(place(folder)))
            assert not [w for looked in look for w in looked.wrong]
        # Before anything was changed there was a backup.
        there = check_backups(folder, bench.beginning)
        copied = any(name.startswith("before-mending") for name in there)
        assert copied or now == harmed
        if now not in seen:
            seen.append(now)
            bench.run("again", folder=folder)
            again = picture(place(folder))
            assert all(len(again[name]) == len(whole[name]) for name in whole)
    check_cleared(bench.after(1))
    assert len(seen) > 1


@pytest.mark.parametrize("bench", [at("undo", "kept")], indirect=True, ids=["undo"])
def test_it_is_taken_back_whole_or_not_at_all(bench: Bench) -> None:
    books = [picture(place(bench.beginning)), *(picture(place(bench.after(n))) for n in (1, 2))]
    assert books[0] != books[1] != books[2]
    for folder in bench.killed(PLANS["undo"]):
        assert books.index(picture(place(folder))) >= len(confirmed(folder))
        check_backups(folder, bench.beginning)


@pytest.mark.parametrize("bench", [at("forget", "kept")], indirect=True, ids=["forget"])
def test_a_person_is_forgotten_whole_or_not_at_all(bench: Bench) -> None:
    before, after = picture(place(bench.beginning)), picture(place(bench.after(1)))
    ways = set()
    for folder in bench.killed(PLANS["forget"]):
        now = picture(place(folder))
        forgotten = now == after
        assert forgotten or (now == before and not confirmed(folder))
        ways.add(forgotten)
        check_backups(folder, bench.beginning)
        if not forgotten:
            bench.run("again", folder=folder)
        book = open_book(place(folder))
        with book.reading() as connection:
            names = set(connection.execute(select(t.customer.c.name)).scalars())
            gone = set(forgotten_rows(connection, "customer"))
        book.close()
        assert FORGOTTEN not in names and len(gone) == 1
        # It is in no page of the file, and what was made before is named.
        assert FORGOTTEN.lower().encode() not in place(folder).read_bytes().lower()
        holding = that_hold(place(folder), gone)
        assert {k.path.name for k in holding.hold} == {p.name for p in zips(folder)}
        assert not [k for k in holding.unread if k.kind != PART]
    assert ways == {True, False}
