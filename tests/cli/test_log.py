"""`wellbook log` and `wellbook undo`: what was done, by whom, from what to what, and back."""

from __future__ import annotations

import re
import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from commands import Commands

from wellbook.store.book import make_book


@pytest.fixture
def say(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> Commands:
    """Commands on a new book, by Ida, on the days of the test's choice."""
    make_book(tmp_path / "x.book").close()
    monkeypatch.setenv("WELLBOOK_WHO", "Ida")
    monkeypatch.setenv("WELLBOOK_BOOK", str(tmp_path / "x.book"))
    monkeypatch.chdir(tmp_path)
    return Commands(capsys)


@contextmanager
def make_reading(path: Path) -> Iterator[str]:
    """All that stands in the tables of a file's book."""
    book = sqlite3.connect(path)
    yield "\n".join(book.iterdump())
    book.close()


SHEET = """\
date = "2026-01-05"
reason = "no water"
set.pump = {hp = 1, rated_gpm = 10, set_depth_ft = 180}
measured.static_level_ft = 40
"""


def test_what_one_command_did_is_one_entry(say: Commands) -> None:
    say("customer", "add", "Orla Finch", "--phone", "207 555 0147", "--email", "o@x.example")
    say("customer", "edit", "1", "--name", "Orla Finch-Tey", "--notes", "[red]rings[/red] twice")
    out = say.fine("log")
    assert "customer Orla Finch-Tey changed: name Orla Finch -> Orla Finch-Tey" in out
    assert "notes [red]rings[/red] twice" in out
    assert "customer customer" not in out
    entries = say.json("log")["entries"]
    assert [len(e["lines"]) for e in entries] == [1, 3]
    assert [e["who"] for e in entries] == ["Ida", "Ida"]
    assert entries[0]["lines"][0]["fields"] == [
        {"field": "name", "old": "Orla Finch", "new": "Orla Finch-Tey"},
        {"field": "notes", "old": "", "new": "[red]rings[/red] twice"},
    ]
    first = entries[1]["number"]
    for line in range(first, first + 3):
        assert say.json("log", str(line))["entries"][0]["number"] == first


def test_it_is_narrowed_by_well_customer_who_and_day(say: Commands) -> None:
    say("well", "add", "A-1")
    say("well", "add", "A-2")
    Path("sheet.toml").write_text(SHEET, "utf-8")
    say.fine("visit", "A-1", "--from", "sheet.toml")
    out = say.fine("log", "--well", "A-1")
    assert "A-1: visit 1 of 2026-01-05 recorded: reason no water; set pump; measured" in out
    assert "A-2" not in out
    assert len(say.json("log", "--well", "A-2")["entries"]) == 1
    assert len(say.json("log", "--who", "Ida")["entries"]) == 3
    assert say.json("log", "--since", "2001", "--until", "2100-01-01")["entries"]
    assert "no change fits" in say.refused("log", "--who", "Bo", status=1)
    assert "no change fits" in say.refused("log", "--until", "2001", status=1)
    assert "no change fits" in say.refused("log", "--since", "2100", status=1)
    assert "no entry 99" in say.refused("log", "99", status=1)
    assert "alone" in say.refused("log", "1", "--who", "Ida")
    older = say.fine("log", "--limit", "1")
    assert "older ones: wellbook log --before" in older
    last = older.split()[-1]
    assert len(say.json("log", "--before", last)["entries"]) == 2


def test_a_visit_is_undone_and_done_again(say: Commands) -> None:
    say("well", "add", "A-1")
    Path("sheet.toml").write_text(SHEET, "utf-8")
    say("visit", "A-1", "--from", "sheet.toml")
    with_pump = say.json("hole", "A-1")
    assert "--yes" in say.refused("undo")
    assert "taken back:" in say.fine("undo", "--yes")
    assert "undone" in say.fine("history", "A-1")
    assert say.json("hole", "A-1") != with_pump
    assert "(taken back)" in say.fine("log")
    done = say.fine("undo", "--again", "--yes")
    assert "done again:" in done
    assert "(taken back)" not in done
    assert say.json("hole", "A-1") == with_pump
    say.fine("undo", "--yes")
    say.fine("undo", "--yes")
    assert "nothing was done" in say.refused("undo", "--yes", status=1)
    assert "no wells" in say.refused("well", "list", status=1)


def test_what_would_be_taken_back_is_shown_and_asked_and_then_the_one_before(
    say: Commands, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    for tag in ("A-1", "A-2", "A-3"):
        say("well", "add", tag)
    answers = iter(["no", "yes", "yes", "yes"])
    shown = []

    def prompt(_question: str) -> str:
        shown.append(capsys.readouterr().out)
        return next(answers)

    monkeypatch.setattr("wellbook.cli.session.can_ask", lambda: True)
    monkeypatch.setattr("wellbook.cli.session.prompt", prompt)
    assert "nothing is changed" in say.refused("undo", status=1)
    for _ in range(3):
        say.fine("undo")
    asked = [re.search(r"(?s)^this would take back:.* well (A-\d) added", text) for text in shown]
    assert [found and found[1] for found in asked] == ["A-3", "A-3", "A-2", "A-1"]
    assert "nothing was done" in say.refused("undo", status=1)


def test_what_something_hangs_on_is_not_undone(say: Commands) -> None:
    say("customer", "add", "Orla Finch", "--phone", "207 555 0147")
    say("customer", "forget", "1", "--yes")
    said = say.refused("undo", "--yes")
    assert "forgotten on his wish" in said
    assert "Orla" not in say.fine("log") + say.fine("log", "1") + str(say.json("log"))
    log = [line.strip() for line in say.fine("log").splitlines()]
    assert "customer forgotten on a wish" in log
    assert "customer who was forgotten on a wish added" in log
    assert "way to reach of a customer who was forgotten on a wish added" in log


def test_what_was_undone_of_a_person_is_forgotten_too(say: Commands, tmp_path: Path) -> None:
    say("customer", "add", "Orla Finch", "--phone", "207 555 0147")
    say("customer", "edit", "1", "--phone", "207 555 0199", "--email", "orla@x.example")
    say("well", "add", "A-1")
    say("well", "edit", "A-1", "--notes", "ring Orla Finch on 207 555 0199 or 207 555 0147")
    say.fine("undo", "--yes")
    say.fine("undo", "--yes")
    say.fine("undo", "--yes")
    say("customer", "forget", "1", "--yes")
    for words in (["log"], ["log", "1"], ["log", "--customer", "1"]):
        shown = say.fine(*words) + str(say.json(*words))
        assert not re.search("Orla|Finch|0147|0199|x.example", shown), shown
    assert "was taken back" in say.refused("undo", "--again", "--yes", status=1)
    with make_reading(tmp_path / "x.book") as text:
        assert not re.search("orla@x|555 0199|555 0147", text)


def _words(path: Path) -> set[str]:
    """The words by which wells are found, and what stands for them where a letter is left out."""
    book = sqlite3.connect(path)
    query = "SELECT word FROM search_word UNION SELECT variant FROM search_variant"
    words = {word for (word,) in book.execute(query)}
    book.close()
    return words


def test_an_import_is_undone_whole(say: Commands, tmp_path: Path) -> None:
    rows = "id,town,well_depth_ft\n900,Ambelow,410\n901,Ambelow,380\n"
    Path("county.csv").write_text(rows, "utf-8")
    say("import", "county.csv", "--source", "county", "--as", "reference", "--write")
    assert "brought in" in say.fine("log", "--limit", "1")
    assert _words(tmp_path / "x.book") >= {"ambelow"}
    say.fine("undo", "--yes")
    assert "no wells" in say.refused("well", "list", status=1)
    assert _words(tmp_path / "x.book") == set()
    assert "bring its file in again" in say.refused("undo", "--again", "--yes")


# -- whoever was added, undone, and wishes to be forgotten ----------------------------------------


def test_a_customer_whose_adding_was_undone_can_be_forgotten(say: Commands, tmp_path: Path) -> None:
    say("customer", "add", "Ulla Zwiebel", "--phone", "207 555 0142", "--notes", "has a dog, Hasso")
    say("customer", "edit", "1", "--name", "Ulla Lauch")
    say.fine("undo", "--yes")
    say.fine("undo", "--yes")
    say.fine("backup", "still.zip")
    # Another has the number since, and keeps what is his.
    say("customer", "add", "Rolf Recht", "--phone", "207 555 0199")
    assert "0199" in say.fine("customer", "list")
    say.fine("undo", "--yes")
    say("customer", "add", "Rita Recht", "--phone", "207 555 0188")
    assert "would be forgotten" in say.refused("customer", "forget", "ulla")
    out = say.fine("customer", "forget", "zwiebel", "--yes")
    assert "customer 1 is forgotten" in out
    assert "still.zip" in out
    with make_reading(tmp_path / "x.book") as all_of_it:
        # With what is before it: four figures alone can be part of an identity.
        for word in ("Zwiebel", "zbl", "Lauch", "555 ?0142", "Hasso"):
            assert not re.search(word, all_of_it)
        for word in ("Rolf Recht", "555 ?0199", "Rita Recht", "555 ?0188"):
            assert re.search(word, all_of_it)
    assert "Rita Recht" in say.fine("customer", "list")
    assert "forgotten on a wish" in say.fine("log")
    say.refused("customer", "forget", "zwiebel", "--yes", status=1)
    held = say.json("backup", "--list", "--forgotten")["backups"]
    assert [Path(one["file"]).name for one in held] == ["still.zip"]
    say.fine("backup", "clean.zip")
    assert len(say.json("backup", "--list", "--forgotten")["backups"]) == 1
    # Nor does the other book that has her, and the backup from before brings nobody back.
    say.fine("restore", "still.zip")
    with make_reading(tmp_path / "x.book") as all_of_it:
        assert "Zwiebel" not in all_of_it
        assert "0142" not in all_of_it


def test_who_was_added_twice_and_undone_once_is_forgotten_whole(
    say: Commands, tmp_path: Path
) -> None:
    say("customer", "add", "Ulla Zwiebel", "--phone", "207 555 0142")
    say.fine("undo", "--yes")
    say("customer", "add", "Ulla Zwiebel", "--phone", "207 555 0143")
    say.fine("customer", "forget", "ulla", "--yes")
    with make_reading(tmp_path / "x.book") as all_of_it:
        assert "Zwiebel" not in all_of_it
        assert "014" not in re.sub(r"[0-9a-f]{32,}|\d{4}-\d\d-\d\dT[0-9:.+]+", "", all_of_it)


def test_a_merge_does_not_bring_back_the_name_of_one_who_was_undone_there(
    say: Commands, tmp_path: Path
) -> None:
    """In the office she is forgotten; on the truck her adding was undone, and its log has the name."""
    say("customer", "add", "Ulla Zwiebel", "--phone", "207 555 0142")
    shutil.copy(tmp_path / "x.book", tmp_path / "truck.book")
    say.fine("--book", "truck.book", "undo", "--yes")
    say.fine("customer", "forget", "ulla", "--yes")
    say.fine("merge", "truck.book", "--write")
    with make_reading(tmp_path / "x.book") as all_of_it:
        assert "Zwiebel" not in all_of_it
        assert "0142" not in all_of_it


def test_several_whose_adding_was_undone_are_listed_and_not_guessed_between(say: Commands) -> None:
    for name in ("Ulla Zwiebel", "Ulla Lauch"):
        say("customer", "add", name)
        say.fine("undo", "--yes")
    said = say.refused("customer", "forget", "ulla", "--yes")
    assert "Ulla Zwiebel, 1 Ulla Lauch" in said
    say.fine("customer", "forget", "lauch", "--yes")
    say.refused("customer", "forget", "rolf", "--yes", status=1)
