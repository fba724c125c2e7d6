"""Two people at one well: whoever writes second is told what the first wrote, sees both, and decides."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import select, text

from wellbook.cli import run, session, sheet_entry
from wellbook.store import tables as t
from wellbook.store.book import Book, make_book

SHEET = """\
date = "2026-11-20"
reason = "check up"
notes = "{notes}"
[measured]
static_level_ft = {level}
"""


class Desk:
    """One person at the editor, and another who writes while it is open; on either engine."""

    def __init__(
        self, place: str, folder: Path, patch: pytest.MonkeyPatch, said: pytest.CaptureFixture[str]
    ) -> None:
        self.folder, self.patch, self.said = folder, patch, said
        self.book: Book = make_book(place)
        patch.setenv("WELLBOOK_TODAY", "2026-11-25")
        patch.setenv("WELLBOOK_BOOK", place)
        patch.setenv("XDG_DATA_HOME", str(folder))
        patch.setenv("EDITOR", "true")
        patch.setattr(sheet_entry, "can_ask", lambda: True)
        patch.setattr("wellbook.cli.rules.can_ask", lambda: True)
        self.as_who("Ida", "well", "add", "W-1")
        self.said.readouterr()

    def as_who(self, who: str, *words: str) -> str:
        """A command of somebody that is done at once; what it noted."""
        self.patch.setenv("WELLBOOK_WHO", who)
        assert run(list(words)) == 0
        return self.said.readouterr().err

    def sheet(self, notes: str, level: int) -> str:
        path = self.folder / f"{notes}.toml"
        path.write_text(SHEET.format(notes=notes, level=level), "utf-8")
        return str(path)

    def edits(self, monkeypatch: pytest.MonkeyPatch, *rounds: Callable[[str], str]) -> None:
        """What the user does to the text, each time that the editor is opened; then nothing more."""
        left = iter(rounds)

        def edit(_command: Any, draft: Any, text: str, _wrong: Any) -> int:
            draft.put(next(left, lambda same: same)(text))
            return 0

        monkeypatch.setattr(sheet_entry, "edit", edit)

    def answers(self, monkeypatch: pytest.MonkeyPatch, *given: str | Callable[[], str]) -> None:
        """What is typed, one after the other; a function is what happens before it is typed."""
        left = iter(given)

        def prompt(_question: str) -> str:
            said = next(left)
            return said if isinstance(said, str) else said()

        monkeypatch.setattr(session, "prompt", prompt)

    def notes(self) -> list[str]:
        """Of the sheets that count."""
        with self.book.reading() as connection:
            sheet = t.sheet
            query = select(sheet.c.notes).where(sheet.c.status == "valid").order_by(sheet.c.id)
            return list(connection.execute(query).scalars())


@pytest.fixture
def desk(
    place: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> Desk:
    return Desk(place, tmp_path, monkeypatch, capsys)


def test_a_visit_that_another_recorded_while_the_editor_was_open_is_told(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    def theirs_first(_blank: str) -> str:
        desk.as_who("Lu", "visit", "W-1", "--from", desk.sheet("by Lu", 50), "--yes")
        monkeypatch.setenv("WELLBOOK_WHO", "Ida")
        return SHEET.format(notes="by Ida", level=60)

    desk.edits(monkeypatch, theirs_first)
    desk.answers(monkeypatch, "n")
    assert run(["visit", "W-1"]) == 1
    said = desk.said.readouterr()
    assert "while this sheet was being written:" in said.err
    assert "Lu wrote at" in said.err
    assert "visit of 2026-11-20: check up, 'by Lu'" in said.err
    assert "static water level 50 ft" in said.err, "theirs"
    assert "static water level 60 ft" in said.out, "what mine would change"
    assert desk.notes() == ["by Lu"]
    desk.edits(monkeypatch)
    desk.answers(monkeypatch, "y", "y")
    assert run(["visit", "W-1"]) == 0
    # Of what he has seen nobody is told again.
    assert "Lu wrote" not in desk.said.readouterr().err
    assert desk.notes() == ["by Lu", "by Ida"]


def test_what_is_written_between_the_question_and_the_answer_is_told_and_asked_again(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    def meanwhile() -> str:
        desk.as_who("Lu", "visit", "W-1", "--from", desk.sheet("by Lu", 50), "--yes")
        monkeypatch.setenv("WELLBOOK_WHO", "Ida")
        assert desk.notes() == ["by Lu"]
        return "y"

    desk.edits(monkeypatch, lambda _: SHEET.format(notes="by Ida", level=60))
    desk.answers(monkeypatch, meanwhile, "y")
    assert run(["visit", "W-1"]) == 0
    assert "Lu wrote at" in desk.said.readouterr().err
    assert desk.notes() == ["by Lu", "by Ida"]


def test_who_would_not_be_asked_writes_nothing_over_news(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    def theirs_first(_blank: str) -> str:
        desk.as_who("Lu", "well", "edit", "W-1", "--notes", "soft ground")
        return SHEET.format(notes="by Ida", level=60)

    desk.edits(monkeypatch, theirs_first)
    assert run(["visit", "W-1", "--yes"]) == 1
    err = desk.said.readouterr().err
    assert "Lu changed well at" in err and "notes 'soft ground' (was nothing)" in err
    assert "another wrote of it while you did; nothing was written; your sheet is kept" in err
    assert desk.notes() == []
    desk.answers(monkeypatch, "y")
    desk.edits(monkeypatch, lambda same: same + "\n")
    assert run(["visit", "W-1", "--yes"]) == 0
    assert desk.notes() == ["by Ida"]


def test_two_corrections_of_one_sheet(desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    """The second sees what stood there, what the first put there and his own, field by field."""
    desk.as_who("Ida", "visit", "W-1", "--from", desk.sheet("first", 40), "--yes")

    def theirs_first(text: str) -> str:
        desk.as_who("Lu", "correct", "1", "--from", desk.sheet("by Lu", 50), "--yes")
        monkeypatch.setenv("WELLBOOK_WHO", "Ida")
        return text.replace("first", "by Ida").replace("40", "45")

    desk.edits(monkeypatch, theirs_first)
    desk.answers(monkeypatch, "n")
    assert run(["correct", "1"]) == 1
    err = desk.said.readouterr().err
    assert "visit 2 stands in the place of visit 1 now:" in err
    assert "measured.static_level_ft: was '40'; is '50'; yours '45'" in err
    assert "notes: was 'first'; is 'by Lu'; yours 'by Ida'" in err
    assert desk.notes() == ["by Lu"]


def test_mine_in_the_place_of_theirs(desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    desk.as_who("Ida", "visit", "W-1", "--from", desk.sheet("first", 40), "--yes")

    def theirs_first(text: str) -> str:
        desk.as_who("Lu", "correct", "1", "--from", desk.sheet("by Lu", 50), "--yes")
        monkeypatch.setenv("WELLBOOK_WHO", "Ida")
        return text.replace("first", "by Ida")

    desk.edits(monkeypatch, theirs_first)
    desk.answers(monkeypatch, "y")
    assert run(["correct", "1"]) == 0
    assert desk.notes() == ["by Ida"]
    with desk.book.reading() as connection:
        sheet = t.sheet
        rows = connection.execute(select(sheet.c.status, sheet.c.notes).order_by(sheet.c.id))
        assert [tuple(row) for row in rows] == [
            ("superseded", "first"),
            ("superseded", "by Lu"),
            ("valid", "by Ida"),
        ]


def test_a_finished_correction_of_what_was_corrected_names_who_and_what_counts_now(
    desk: Desk,
) -> None:
    desk.as_who("Ida", "visit", "W-1", "--from", desk.sheet("first", 40), "--yes")
    desk.as_who("Lu", "correct", "1", "--from", desk.sheet("by Lu", 50), "--yes")
    assert run(["correct", "1", "--from", desk.sheet("by Ida", 60), "--yes"]) == 2
    err = desk.said.readouterr().err
    assert "visit 1 is superseded already by Lu on " in err
    assert "the sheet that counts now is 2" in err
    assert run(["withdraw", "1"]) == 2
    assert desk.notes() == ["by Lu"]


FIELDS = [
    (("customer", "edit", "1", "--notes"), "a cat", "a dog", "notes"),
    (("site", "edit", "1", "--access"), "gate 4417", "gate 18", "access"),
    (("well", "edit", "W-1", "--notes"), "soft ground", "planks", "notes"),
    (("shop", "set", "phone"), "(207) 555-0100", "(207) 555-0101", "phone"),
    (("rules", "set", "check-up.months"), "13", "14", "check-up.months"),
    (("pump", "edit", "P-1", "--hp"), "1", "1.5", "hp"),
]


def test_over_whose_word_a_field_was_written_is_told(desk: Desk) -> None:
    desk.as_who("Ida", "customer", "add", "Ada Fenwick")
    desk.as_who("Ida", "site", "add", "--road", "1 Fen Lane")
    pump = ("--hp", "2", "--rated-gpm", "5", "--points", "0:300, 10:100")
    desk.as_who("Ida", "pump", "add", "P-1", "--maker", "Oskerby", *pump)
    for words, first, second, field in FIELDS:
        more = ("--yes",) if words[0] == "rules" else ()
        assert desk.as_who("Lu", *words, first, *more) == ""
        assert desk.as_who("Lu", *words, first, *more) == "", "his own word is no news"
        err = desk.as_who("Ida", *words, second, *more)
        assert err.startswith(f"wellbook: {field}: Lu wrote '{first}' at "), err
        assert f"yours counts now, '{second}'" in err and err.count("\n") == 1
        assert desk.as_who("Ida", *words, second, *more) == ""
    with desk.book.writing() as connection:
        connection.execute(text("UPDATE change SET at = '2020-01-02T08:00:00+00:00'"))
    for words, first, _, _ in FIELDS:
        more = ("--yes",) if words[0] == "rules" else ()
        assert desk.as_who("Lu", *words, first, *more) == "", "what is old is known"


def test_whom_another_let_in_a_moment_ago_is_named_as_he_is_taken_for_gone(desk: Desk) -> None:
    desk.as_who("Ida", "site", "add", "--road", "1 Fen Lane")
    for name in ("Ada Fenwick", "Bo Fenwick"):
        desk.as_who("Ida", "customer", "add", name)
    move = ("site", "moved-in", "1", "--since", "2026-11-20", "--customer")
    assert run([*move, "ada"]) == 0
    assert desk.said.readouterr().out == "site 1 is customer 1's, since 2026-11-20\n"
    assert run([*move, "bo"]) == 0
    assert desk.said.readouterr().out == (
        "site 1 is customer 2's, since 2026-11-20; until then it was of customer 1 (Ada Fenwick)\n"
    )
    assert run([*move, "bo"]) == 0
    assert desk.said.readouterr().out.startswith("nothing to change: site 1 is customer 2's")


def test_another_field_is_nobodys_news(desk: Desk) -> None:
    desk.as_who("Ida", "customer", "add", "Ada Fenwick")
    desk.as_who("Lu", "customer", "edit", "1", "--notes", "a cat")
    assert desk.as_who("Ida", "customer", "edit", "1", "--contract-month", "4") == ""


def test_numbers_that_another_changed_while_wells_were_shown_are_looked_at_anew(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    def meanwhile() -> str:
        desk.as_who("Lu", "rules", "set", "cable-age.may_years", "12", "--yes")
        return "y"

    desk.answers(monkeypatch, meanwhile)
    assert run(["rules", "set", "check-up.months", "10"]) == 2
    assert "another changed the numbers while you looked" in desk.said.readouterr().err
    with desk.book.reading() as connection:
        rows = connection.execute(select(t.setting)).all()
        assert [(row.name, json.loads(row.value)) for row in rows] == [("cable-age.may_years", 12)]


def test_an_import_is_looked_at_anew_where_another_wrote_while_it_was_decided(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What was shown is what is written: here a well of the file came into the book meanwhile."""
    path = desk.folder / "list.csv"
    path.write_text("Tag,Depth (ft),Town\nL-1,100,Ambelow\nL-2,110,Ambelow\n", "utf-8")
    bring = ("import", str(path), "--as", "ours", "--source", "old list")

    def meanwhile() -> str:
        desk.as_who("Lu", *bring, "--write", "--json")
        monkeypatch.setenv("WELLBOOK_WHO", "Ida")
        return "y"

    monkeypatch.setattr("wellbook.cli.imports.can_ask", lambda: True)
    desk.answers(monkeypatch, meanwhile)
    assert run(list(bring)) == 0
    said = desk.said.readouterr()
    assert "another wrote into the book while this was decided" in said.err
    assert "nothing in this file is new" in said.out
    with desk.book.reading() as connection:
        tags = sorted(connection.execute(select(t.well.c.tag)).scalars())
        assert tags == ["L-1", "L-2", "W-1"]
        assert len(connection.execute(select(t.import_run.c.id)).all()) == 1


def test_nobody_is_forgotten_whose_record_became_anothers_meanwhile(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    for name in ("Ada Fenwick", "A. Fenwick"):
        desk.as_who("Ida", "customer", "add", name)
    monkeypatch.setattr("wellbook.cli.session.can_ask", lambda: True)

    def renamed() -> str:
        desk.as_who("Lu", "customer", "edit", "1", "--name", "Bo Quill")
        return "y"

    def joined() -> str:
        desk.as_who("Lu", "doubles", "join", "1", "2")
        return "y"

    desk.answers(monkeypatch, renamed)
    assert run(["customer", "forget", "1"]) == 2
    assert "was Ada Fenwick when you were asked and is Bo Quill now" in desk.said.readouterr().err
    desk.answers(monkeypatch, joined)
    assert run(["customer", "forget", "2"]) == 1
    assert desk.said.readouterr().err.count("\n") == 1
    with desk.book.reading() as connection:
        assert connection.execute(select(t.forgotten)).all() == []
