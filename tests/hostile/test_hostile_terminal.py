"""On a real terminal, at several widths, no text breaks the screen or reaches the terminal itself."""

from __future__ import annotations

import csv
import json
import re
import shlex
import shutil
import sqlite3
import sys
import unicodedata
from collections.abc import Iterator, Mapping
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest

from tests.faults.warm import picture
from tests.hostile.shelf import made as made  # noqa: PLC0414 - a fixture
from tests.hostile.terminal import Shown, Terminal, in_turn, terminal, typed
from tests.hostile.test_hostile_screens import CASES
from tests.hostile.texts import ALL, NEVER_SHOWN, TEXTS
from wellbook import cli
from wellbook.cli.draft import MARK

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="there is no such terminal there")

# ECMA-48, SGR: what the program itself may say to a terminal without colour (bold, faint, italic, off).
_STYLE = re.compile("\x1b\\[(?:0|[123]|22|23)(?:;(?:[123]|22|23))*m")
_LONG = "Nettlewickbarnstovenorthpasture" * 20


def columns(line: str) -> int:
    """How many columns a line takes: Unicode Standard Annex 11 (wide, fullwidth), marks take none; what a
    joiner joins is one sign (Unicode Technical Standard 51)."""
    taken, before = 0, ""
    for sign in line:
        if unicodedata.category(sign) not in ("Mn", "Me", "Cf") and before != "\u200d":
            taken += 2 if unicodedata.east_asian_width(sign) in "WF" else 1
        before = sign
    return taken


# What counts what is done hides the cursor and goes back over its own line.
_COUNTING = re.compile("\x1b\\[(?:\\?25[hl]|1A|2K)")


def screen(shown: str) -> list[str]:
    """The lines on a terminal, on which nothing of what it must not be told is left."""
    text = _STYLE.sub("", shown)
    text = re.sub("\r+(?:\n|(?=\x1b))", "\n", text)
    text = _COUNTING.sub("", text)
    found = NEVER_SHOWN.search(text)
    assert not found, ascii(text[max(0, found.start() - 80) : found.end() + 20])
    return text.split("\n")


def check(shown: Shown, width: int) -> None:
    """Both terminals are as they should be."""
    for line in screen(shown.out):
        assert columns(line) <= max(width, 40), (width, columns(line), line)
    for line in screen(shown.err):
        # One word too long, such as a path, is left to the terminal to fold.
        assert columns(line) <= max(width, 40) or len(line.split()) == 1, (width, line)


@pytest.fixture(scope="module")
def desk(made: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Terminal]:
    """A terminal at which the hostile book is open, with a well of nothing but very long words."""
    room = tmp_path_factory.mktemp("terminal")
    shutil.copytree(made, room / "h")
    book = str(room / "h" / "h.book")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("WELLBOOK_TODAY", "2026-11-25")
        for words in (
            ["customer", "add", _LONG, "--notes", _LONG],
            ["site", "add", "--road", _LONG, "--town", _LONG, "--access", _LONG],
            ["well", "edit", "Q-2", "--notes", f"{_LONG} {'漢' * 300}", "--driller", _LONG],
            ["call", "Q-2", "--symptom", _LONG, "--caller", _LONG],
        ):
            assert cli.run(["--book", book, *words]) == 0
    shutil.copyfile(book, room / "other.book")
    for where, notes in ((book, f"here {ALL}"), (str(room / "other.book"), f"there {ALL}")):
        assert cli.run(["--book", where, "customer", "edit", "2", "--notes", notes]) == 0
    with (room / "list.csv").open("w", encoding="utf-8", newline="") as file:
        # A file with controls in it is no text, and is refused whole.
        text = re.sub("[\x00-\x1f\x7f-\x9f;|,]", "", ALL)
        rows = [["Tag", "Customer", "Phone", "Address", "Town", "Depth (ft)", "Equipment", "Notes"]]
        for n, equipment in enumerate(("1/2hp 7gpm 2011", f"1/2hp 7gpm 2011 {text}")):
            rows.append([f"Z-{n}", text, text, text, text, "310", equipment, text])
        csv.writer(file).writerows(rows)
    (room / "editor.py").write_text(_EDITOR, "utf-8")
    editor = f"{shlex.quote(sys.executable)} {shlex.quote(str(room / 'editor.py'))}"
    with terminal(room, WELLBOOK_BOOK=book, EDITOR=editor) as one:
        yield one


_EDITOR = """
import pathlib, sys
here, sheet = pathlib.Path(__file__).parent, pathlib.Path(sys.argv[1])
with (here / "seen").open("ab") as seen:
    seen.write(sheet.read_bytes() + bytes([0]))
rounds = sorted(here.glob("round-*"))
if rounds:
    sheet.write_bytes(rounds[0].read_bytes())
    rounds[0].unlink()
"""
"""It writes one round after the other into the sheet, and keeps what it was shown."""


@pytest.mark.parametrize("width", [40, 80, 200])
def test_a_screen_holds_at_any_width(width: int, desk: Terminal) -> None:
    wrong = []
    for name, words in [*CASES, ("customer", ["list", _LONG]), ("well", ["show", "Q-2"])]:
        shown = desk.run(name, *words, width=width)
        assert shown.status in (0, 1, 2, 130), shown.err
        try:
            check(shown, width)
        except AssertionError as error:
            wrong.append(f"{name} {words}: {error}")
    assert not wrong, "\n".join(wrong)


@pytest.mark.parametrize("width", [40, 80])
def test_what_reads_and_writes_files_holds_too(width: int, desk: Terminal) -> None:
    name = re.sub("[/\x00]", "", ALL).encode()[:240].decode("utf-8", "ignore")
    (desk.folder / f"{name}.csv").write_text("Tag,Customer,Depth (ft)\nZ-9,Ida,310\n", "utf-8")
    for words in (
        ["import", f"{name}.csv", "--source", ALL, "--as", "ours"],
        ["export", f"{name} {width}/"],
        ["calendar", f"{name} {width}.ics"],
        ["print", "hole", "Q-1", "--to", f"{width}.pdf"],
        ["restore", name],
        [ALL],
        ["hole", f"--{ALL}"],
    ):
        check(desk.run(*words, width=width, answer=in_turn("stop", "n")), width)


# -- the editor --------------------------------------------------------------------------------


def toml(text: str) -> str:
    """A text as TOML 1.0 has it in quotes: controls written out, all else as it is."""
    return re.sub(
        "[\x7f-\x9f]", lambda m: f"\\u{ord(m[0]):04x}", json.dumps(text, ensure_ascii=False)
    )


def last_sheet(room: Path) -> dict[str, Any]:
    """The sheet that was recorded last."""
    with closing(sqlite3.connect(room / "h" / "h.book")) as connection:
        row = connection.execute("SELECT document FROM sheet ORDER BY id DESC LIMIT 1").fetchone()
    document: dict[str, Any] = json.loads(row[0])
    return document


SHEET = 'date = "2026-01-05"\nreason = {reason}\nnotes = {notes}\n'
# A line separator ends no line of TOML, and what follows it is no line of the program's own.
NOTES = f"{ALL} \u2028{MARK}stays"
GOOD = SHEET.format(reason='"other"', notes=toml(NOTES))
WRONG = {
    "reason": SHEET.format(reason=toml(ALL), notes='"n"'),
    "lines": SHEET.format(reason=toml(TEXTS["lines"]), notes='"n"'),
    "name": f"{GOOD}{toml(ALL)} = 1\n",
    "table": f'{GOOD}[set.{toml(ALL)}]\nhp = 1\n[found.{toml(TEXTS["lines"])}]\nx = "1"\n',
    "controls": SHEET.format(reason='"other"', notes=f'"{TEXTS["plus"]}"'),
    "no toml": f"{ALL}\n{TEXTS['lines']}\n",
    "dates": GOOD.replace("2026-01-05", TEXTS["pile"]),
}


@pytest.mark.parametrize("name", WRONG)
def test_a_sheet_from_the_editor_is_mended_or_kept(name: str, desk: Terminal) -> None:
    room = desk.folder
    (room / "seen").unlink(missing_ok=True)
    (room / "round-1").write_text(WRONG[name], "utf-8", newline="")
    shown = desk.run("visit", "Q-1", "--dry-run")
    check(shown, 80)
    assert shown.status == 1 and "your sheet is kept in" in " ".join(shown.err.split())
    marked = (room / "seen").read_bytes().split(b"\0")[1].decode()
    above = [line for line in marked.split("\n") if line.startswith(MARK)]
    assert len(above) > 1 and marked.startswith(MARK)
    assert marked.split("\n", len(above))[-1] == WRONG[name].replace("\r\n", "\n")
    for line in above:
        assert not NEVER_SHOWN.search(line) and columns(line) <= 80
    # The next run finds it again, and it is mended there.
    (room / "round-2").write_text(GOOD, "utf-8", newline="")
    shown = desk.run("visit", "Q-1", answer=in_turn(ALL, "y", ALL, "y"))
    check(shown, 80)
    assert shown.status == 0, shown.err
    assert last_sheet(room)["notes"] == NOTES


# -- questions ---------------------------------------------------------------------------------


class Typist:
    """Answers each question with a hostile text, and where that is refused as it should be."""

    def __init__(self, then: Mapping[str, str]) -> None:
        self.then = then
        self.asked: list[str] = []

    def __call__(self, shown: str) -> str | None:
        question = shown.replace("\r\n", "\n").rpartition("\n")[2]
        if self.asked.count(question) > 3:
            return None
        self.asked.append(question)
        if self.asked.count(question) == 1:
            return ALL
        return next((answer for word, answer in self.then.items() if word in question), "")


def test_a_visit_by_questions(desk: Terminal) -> None:
    typist = Typist({"Reason": "other", "y/n": "y", "[y]es": "y"})
    shown = desk.run("visit", "Q-1", "--ask", answer=typist)
    check(shown, 80)
    assert shown.status == 0, shown.err
    assert len(set(typist.asked)) > 20
    document = last_sheet(desk.folder)
    assert document["notes"] == document["left_for_next_time"] == typed(ALL)
    assert document["reason"] == "other"


def test_a_visit_by_questions_that_is_stopped_is_found_again(desk: Terminal) -> None:
    shown = desk.run("visit", "Q-1", "--ask", answer=in_turn("other", "", ALL))
    check(shown, 80)
    assert shown.status == 130 and "kept in" in shown.err, shown.err
    shown = desk.run("visit", "Q-1", "--ask", answer=in_turn(ALL, "n"))
    check(shown, 80)
    assert "it is put aside as" in shown.err


def test_bytes_that_are_no_text_are_asked_for_again(desk: Terminal) -> None:
    shown = desk.run("visit", "Q-1", "--ask", answer=in_turn("other", "", b"Lu\xff\xfe", "Lu"))
    check(shown, 80)
    assert shown.status == 130
    assert "what was typed is no text in UTF-8; type it again" in shown.err
    (sheet,) = (desk.folder / "h").glob("h-visit-Q-1.toml")
    assert 'crew = ["Lu"]' in sheet.read_text("utf-8")
    sheet.unlink()
    shown = desk.run("customer", "forget", "1", answer=in_turn(b"\xff", "n"))
    screen(shown.err)
    assert "no text in UTF-8" in shown.err and "nothing is forgotten" in shown.err


@pytest.mark.parametrize("width", [40, 80, 200])
@pytest.mark.parametrize(
    "words",
    [
        ["customer", "forget", "1"],
        ["undo"],
        ["rules", "set", "pump-age.may_years", "3"],
        ["import", "list.csv", "--source", ALL, "--as", "ours"],
        ["merge", "other.book", "--write"],
    ],
    ids=lambda words: words[0],
)
def test_what_is_asked_holds_and_takes_no_text_for_a_yes(
    words: list[str], width: int, desk: Terminal
) -> None:
    before = picture(desk.folder / "h" / "h.book")
    typist = Typist({"[y]es": "n"})
    shown = desk.run(*words, width=width, answer=typist)
    assert typist.asked, shown
    for line in screen(shown.out):
        assert columns(line) <= width, line
    for line in screen(shown.err):
        # A question is left to the terminal to fold.
        asked = any(line.startswith(question[:30]) for question in typist.asked)
        assert asked or columns(line) <= width or len(line.split()) <= 2, line
    # What can be answered by no text is asked until the input ends.
    assert shown.status in (0, 1, 130), shown.err
    assert picture(desk.folder / "h" / "h.book") == before
