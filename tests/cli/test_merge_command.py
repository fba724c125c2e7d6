"""`wellbook merge` and `wellbook customer forget` as a user meets them."""

from __future__ import annotations

import csv
import json
import shutil
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, closing
from pathlib import Path

import pytest

from wellbook import cli

pytestmark = pytest.mark.usefixtures("at_the_demo")


class Desk:
    """Runs commands on this book and on the copy, and keeps what they said."""

    def __init__(self, capsys: pytest.CaptureFixture[str], here: Path, there: Path) -> None:
        self._capsys, self.here, self.there = capsys, here, there

    def __call__(self, *words: str, at: Path | str | None = None) -> tuple[int, str, str]:
        status = cli.run(["--book", str(at or self.here), *words])
        said = self._capsys.readouterr()
        return status, said.out, said.err

    def merge(self, *words: str) -> tuple[int, str, str]:
        return self("merge", str(self.there), *words)


@pytest.fixture
def desk(capsys: pytest.CaptureFixture[str], shop: Path, tmp_path: Path) -> Iterator[Desk]:
    """Two copies of the demo book in which one customer got two notes, and one a contract."""
    there = Path(shutil.copy(shop, tmp_path / "laptop.book"))
    made = Desk(capsys, shop, there)
    made("customer", "edit", "1", "--notes", "a cat")
    made("customer", "edit", "1", "--notes", "=a dog", at=there)
    made("customer", "edit", "2", "--contract-month", "4", at=there)
    yield made


def notes(desk: Desk) -> str:
    _, out, _ = desk("customer", "show", "1", "--json")
    return str(json.loads(out)["customer"]["notes"])


def test_a_look_shows_both_sides_and_writes_nothing(desk: Desk) -> None:
    before = desk.there.read_bytes()
    status, out, err = desk.merge()
    assert (status, err) == (0, "")
    assert "HERE  Ida" in out and "THERE  Ida" in out
    assert "a cat                                  =a dog" in out
    assert "nothing is written yet; next: 1 to decide" in out
    assert max(map(len, out.splitlines())) <= 100
    assert notes(desk) == "a cat"
    assert desk.there.read_bytes() == before
    assert not list(desk.here.parent.glob("*.before-*"))


def test_a_book_on_a_server_is_not_copied_first_and_that_is_said(
    desk: Desk, new_place: Callable[[], AbstractContextManager[str]]
) -> None:
    with new_place() as url:
        desk("init", at=url)
        _, out, _ = desk("merge", str(desk.there), "--unrelated", at=url)
        assert "this book is on a server and is not copied first: back it up there" in out
    assert "on a server" not in desk.merge()[1]


def test_undecided_nothing_is_written(desk: Desk) -> None:
    status, _, err = desk.merge("--write")
    assert status == 2
    assert err.count("\n") == 1
    assert "1 is changed in both books and undecided; nothing was written" in err
    assert notes(desk) == "a cat"
    assert not list(desk.here.parent.glob("*.before-*"))


def test_decisions_by_file(desk: Desk, tmp_path: Path) -> None:
    path = tmp_path / "decide.csv"
    status, _, err = desk.merge("--decisions", str(path))
    assert status == 0
    assert err == f"wellbook: 1 to decide in {path}: fill in the column 'decision'\n"
    with path.open(encoding="utf-8", newline="") as file:
        (row,) = csv.DictReader(file)
    # No spreadsheet takes a note for a formula.
    assert (row["what"], row["here"], row["there"]) == ("customer Hob Tamsley", "a cat", "'=a dog")
    text = path.read_text("utf-8")
    path.write_text(text.replace("both,,", "both,their,"), "utf-8")
    status, _, err = desk.merge("--decisions", str(path), "--write")
    assert (status, err) == (
        2,
        f"wellbook: {path}, line 2: decision 'their' is not one of: here, there, both\n",
    )
    # As some spreadsheets save it.
    path.write_text("\ufeff" + text.replace("both,,", "both,There,").replace(",", ";"), "utf-8")
    status, out, _ = desk.merge("--decisions", str(path), "--write")
    assert status == 0
    assert "decided: there" in out
    assert notes(desk) == "=a dog"
    (copy,) = desk.here.parent.glob("*.before-merge-*")
    assert str(copy) in out
    with closing(sqlite3.connect(copy)) as before:
        query = "SELECT notes FROM customer WHERE id = 1"
        assert before.execute(query).fetchone() == ("a cat",)
    assert desk.merge()[1] == "nothing new: this book has all that the other one has\n"


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("number,what\n1,x\n", "line 1: no column 'decision'"),
        ("decision,what,mark\nhere,someone,12345678x\n", "line 2: what it decides is not"),
        (b"\xff\xfe\x00", "is not UTF-8 text"),
    ],
)
def test_a_file_of_decisions_that_will_not_do(
    desk: Desk, tmp_path: Path, text: str | bytes, says: str
) -> None:
    path = tmp_path / "decide.csv"
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    status, _, err = desk.merge("--decisions", str(path), "--write")
    assert status == 2
    assert says in err and err.count("\n") == 1
    assert notes(desk) == "a cat"


def test_a_decision_about_other_values_is_refused(desk: Desk, tmp_path: Path) -> None:
    path = tmp_path / "decide.csv"
    desk.merge("--decisions", str(path))
    path.write_text(path.read_text("utf-8").replace("both,,", "both,here,"), "utf-8")
    desk("customer", "edit", "1", "--notes", "two cats")
    status, _, err = desk.merge("--decisions", str(path), "--write")
    assert status == 2
    assert "not between these values (any more)" in err


def test_asked_on_a_terminal(desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    answers = iter(["x", "b"])
    monkeypatch.setattr("wellbook.cli.merge.can_ask", lambda: True)
    monkeypatch.setattr("wellbook.cli.session.prompt", lambda _question: next(answers))
    status, out, err = desk.merge("--write")
    assert status == 0
    assert "answer by one of the letters: h, t, b" in err
    assert out.count("THERE  Ida") == 2
    assert notes(desk) == "a cat\n=a dog"


def test_as_json(desk: Desk) -> None:
    status, out, _ = desk.merge("--json")
    assert status == 0
    found = json.loads(out)
    assert found["schema"] == {"name": "wellbook.merge", "version": 1}
    assert found["counts"] == [{"table": "customer", "new": 0, "changed": 1, "taken_out": 0}]
    assert (found["written"], found["conflicts"][0]["choices"]) == (
        False,
        ["here", "there", "both"],
    )


@pytest.mark.parametrize(
    ("name", "says"),
    [
        ("none.book", "there is no book here"),
        ("notes.txt", "this file is not a book"),
        (".", "is a folder; name the book's file"),
    ],
)
def test_what_is_no_other_book(desk: Desk, tmp_path: Path, name: str, says: str) -> None:
    (tmp_path / "notes.txt").write_text("ring Hob\n" * 200, "utf-8")
    status, _, err = desk("merge", str(tmp_path / name))
    assert status == 2
    assert says in err and err.count("\n") == 1
    status, _, err = desk("merge", str(desk.here))
    assert status == 2
    assert "this is the open book itself" in err


# -- forgetting --------------------------------------------------------------------------------


def test_a_person_is_forgotten_and_the_file_holds_no_trace(desk: Desk) -> None:
    desk("call", "TF-0031", "--symptom", "Orla Venterick has no water", "--caller", "O. Venterick")
    status, _, err = desk("customer", "forget", "venterick")
    assert status == 2
    assert "33, Orla Venterick, would be forgotten for good; say so: --yes" in err
    status, out, _ = desk("customer", "forget", "venterick", "--yes")
    assert status == 0
    assert "Copies, backups, exports and printed letters that were made before" in out
    assert b"orla venterick" not in desk.here.read_bytes().lower()
    assert desk("find", "venterick")[0] == 1
    status, out, _ = desk("hole", "TF-0031")
    assert status == 0
    assert "forgotten customer" in out


def test_who_is_not_sure_forgets_nobody(desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("wellbook.cli.session.can_ask", lambda: True)
    monkeypatch.setattr("wellbook.cli.session.prompt", lambda _question: "n")
    status, _, err = desk("customer", "forget", "venterick")
    assert (status, err) == (1, "wellbook: nothing is forgotten\n")
    assert desk("find", "venterick")[0] == 0


def test_files_come_along_and_what_is_gone_there_is_said(desk: Desk, tmp_path: Path) -> None:
    """The files of rows that come in are beside this book; one content of both is one file."""
    names = ("roof.txt", "well.txt")
    for name in names:
        (tmp_path / name).write_text(name)
    desk("attach", "TF-0006", str(tmp_path / names[0]), "--note", "from above")
    desk("attach", "TF-0006", *(str(tmp_path / n) for n in names), at=desk.there)
    desk("customer", "edit", "1", "--notes", "=a dog")
    folder = desk.there.with_name("laptop.book.files")
    away = folder.rename(tmp_path / "mislaid")
    before = desk.here.read_bytes()
    status, _, err = desk.merge("--write")
    assert status == 2
    assert err.count("\n") == 1
    assert "the other book's file 'well.txt' of TF-0006 is gone" in err
    assert desk.here.read_bytes() == before
    away.rename(folder)
    _, out, _ = desk.merge("--json")
    assert [f["file"] for f in json.loads(out)["files"]] == ["well.txt"]
    status, out, err = desk.merge("--write")
    assert (status, err) == (0, "")
    _, out, _ = desk("files", "list", "--json")
    assert [(f["name"], f["note"]) for f in json.loads(out)["files"]] == [
        ("roof.txt", "from above"),
        ("well.txt", ""),
    ]
    assert desk("files", "check")[0] == 0
    assert "nothing new" in desk.merge()[1]
    assert desk("merge", str(desk.here), "--write", at=desk.there)[0] == 0
    assert "nothing new" in desk("merge", str(desk.here), at=desk.there)[1]
    assert "from above" in desk("files", "list", at=desk.there)[1]
