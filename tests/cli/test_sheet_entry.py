"""A sheet through the editor, and by questions. The editor is a small script."""

from __future__ import annotations

import os
import re
import shlex
import subprocess
import sys
import threading
import tomllib
from datetime import date
from pathlib import Path

import pytest
import typer

from wellbook.cli import editor, run, session, sheet_entry
from wellbook.cli.sheet_questions import Questions
from wellbook.errors import WellbookError
from wellbook.hole.sheet import read_sheet
from wellbook.hole.sheet_text import sheet_text
from wellbook.store.book import Book, make_book
from wellbook.store.holes import load_hole
from wellbook.store.wells import add_well

TODAY = date(2026, 11, 25)
FILL = "text = text.replace('reason = \"\"', 'reason = \"no water\"')"


class Shop:
    """A book with one well, and an editor that does as it is told, round by round."""

    def __init__(self, folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        self.folder = folder
        self.patch = monkeypatch
        self.book: Book = make_book(folder / "shop.book")
        with self.book.writing() as connection:
            self.well = add_well(connection, "test", "W-1", {}, today=TODAY)
        monkeypatch.setenv("WELLBOOK_TODAY", TODAY.isoformat())
        monkeypatch.delenv("VISUAL", raising=False)
        monkeypatch.setattr(sheet_entry, "can_ask", lambda: True)
        self.editor()
        self.answers()

    def editor(self, *rounds: str) -> None:
        """Each round is a line of Python that changes `text`; later rounds change nothing."""
        script = self.folder / "editor.py"
        script.write_text(
            "import pathlib, sys\n"
            f"seen = pathlib.Path({str(self.folder)!r})\n"
            "n = len(list(seen.glob('seen-*')))\n"
            "path = pathlib.Path(sys.argv[1])\n"
            "text = path.read_text('utf-8')\n"
            "(seen / f'seen-{n}').write_text(text, 'utf-8')\n"
            f"rounds = {list(rounds)!r}\n"
            "if n < len(rounds):\n"
            "    exec(rounds[n])\n"
            "path.write_text(text, 'utf-8')\n",
            "utf-8",
        )
        self.patch.setenv("EDITOR", f"{shlex.quote(sys.executable)} {shlex.quote(str(script))}")

    def answers(self, *given: str | type[BaseException]) -> None:
        """What is typed at the questions, one after the other; then Enter alone, or Ctrl-C."""
        left = iter(given)
        self.asked: list[str] = []

        def prompt(question: str) -> str:
            self.asked.append(question)
            # Where a letter is wanted Enter alone would be asked again for ever.
            answer = next(left, typer.Abort if "[y]es" in question else "")
            if isinstance(answer, str):
                return answer
            raise answer

        self.patch.setattr(sheet_entry, "prompt", prompt)
        self.patch.setattr(session, "prompt", prompt)

    def visit(self, *options: str) -> int:
        return run(["--book", str(self.book.path), "visit", "W-1", *options])

    def correct(self, number: int, *options: str) -> int:
        return run(["--book", str(self.book.path), "correct", str(number), *options])

    def seen(self, n: int) -> str:
        return (self.folder / f"seen-{n}").read_text("utf-8")

    def sheets(self) -> int:
        with self.book.reading() as connection:
            return int(connection.exec_driver_sql("SELECT count(*) FROM sheet").scalar_one())

    def kept(self) -> list[Path]:
        return sorted(self.folder.glob("shop-*.toml"))

    def notes(self) -> list[str]:
        """The notes of the sheets that count."""
        with self.book.reading() as connection:
            rows = connection.exec_driver_sql("SELECT notes FROM sheet WHERE status = 'valid'")
            return [str(row[0]) for row in rows]


@pytest.fixture
def shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Shop:
    return Shop(tmp_path, monkeypatch)


def test_a_filled_sheet_is_recorded(shop: Shop, capsys: pytest.CaptureFixture[str]) -> None:
    shop.editor(FILL)
    assert shop.visit("--yes") == 0
    assert shop.sheets() == 1
    assert "is recorded" in capsys.readouterr().out
    assert shop.kept() == []


def test_a_mistake_comes_back_with_its_line(shop: Shop) -> None:
    typed = FILL + "; text = text.replace('# flow_gpm =', 'flow_gpm = \"lots\"  # by eye')"
    shop.editor(typed, "text = text.replace('\"lots\"', '7')")
    assert shop.visit("--yes") == 0
    assert shop.sheets() == 1
    again = shop.seen(1).splitlines()
    line = next(n for n, text in enumerate(again, 1) if text.startswith("flow_gpm"))
    assert again[1].startswith(f"# !! line {line}: measured.flow_gpm: ")
    assert "# by eye" in again[line - 1]


@pytest.mark.parametrize(
    ("typed", "line", "says"),
    [
        ("crew = [", "crew = [", "each [ is closed by a ]"),
        ('crew = ["Ida]', "crew = [", "a quote is not closed"),
        ("crew = []\ncrew = []", "crew = []", "'crew' stands twice, here and 1 line above"),
        ("crew = Ida", "crew = Ida", "text stands in quotes"),
        ("crew", "crew", "a line is NAME = VALUE"),
    ],
)
def test_text_that_is_no_toml_comes_back_whole(
    shop: Shop, typed: str, line: str, says: str
) -> None:
    left = "\n# a word of my own\n"
    shop.editor(
        f"text = text.replace('crew = []', {typed!r}) + {left!r}",
        f"{FILL}; text = text.replace({typed!r}, 'crew = []')",
    )
    assert shop.visit("--yes") == 0
    again = shop.seen(1).splitlines(keepends=True)
    marks = [x for x in again if x.startswith("# !! ")]
    assert says in " ".join("".join(x.removeprefix("# !! ") for x in marks).split())
    assert max(map(len, marks)) < 80
    assert "".join(again[len(marks) :]) == shop.seen(0).replace("crew = []", typed) + left
    named = int(re.findall(r"# !! line (\d+):", "".join(marks))[0])
    # The reader may only stumble on a line after the one that is wrong.
    assert line in "".join(again[len(marks) : named])


def test_every_mistake_is_named_at_once_by_the_line_in_the_editor(shop: Shop) -> None:
    shop.editor(
        "text = text.replace('reason = \"\"', 'reason = \"no watr\"')"
        ".replace('# flow_gpm =', 'flow_gpm = \"lots\"').replace('# supply_v =', 'volts = 2')",
        FILL.replace('""', '"no watr"'),
        "text = text.replace('\"lots\"', '7').replace('volts', 'supply_v')",
    )
    assert shop.visit("--yes") == 0
    for n, wrong in ((1, ("reason", "flow_gpm", "volts")), (2, ("flow_gpm", "volts"))):
        again = shop.seen(n).splitlines()
        named = [int(x) for x in re.findall(r"# !! line (\d+):", shop.seen(n))]
        assert [again[line - 1].split(" =")[0] for line in named] == list(wrong)


def test_a_very_long_line_is_kept_as_it_is(shop: Shop) -> None:
    words = "word " * 4000
    shop.editor(f"text = text.replace('# notes = \"\"', 'notes = \"' + {words!r} + 'end\"')", FILL)
    assert shop.visit("--yes") == 0
    assert shop.notes() == [words + "end"]


def test_given_up_after_a_mistake(shop: Shop, capsys: pytest.CaptureFixture[str]) -> None:
    shop.editor("text += '\\nnonsense = 1\\n'")
    assert shop.visit("--yes") == 1
    assert shop.sheets() == 0
    (kept,) = shop.kept()
    text = kept.read_text("utf-8")
    assert "nonsense = 1" in text
    assert "# !!" not in text
    assert str(kept) in capsys.readouterr().err


def test_unchanged_or_emptied_nothing_is_written(shop: Shop) -> None:
    assert shop.visit("--yes") == 1
    shop.editor("", "text = ''")
    assert shop.visit("--yes") == 1
    assert (shop.sheets(), shop.kept()) == (0, [])


def test_emptied_after_a_mistake_keeps_what_was_saved_before(shop: Shop) -> None:
    shop.editor("text += '\\nnonsense = 1\\n'", "text = ''")
    assert shop.visit("--yes") == 1
    (kept,) = shop.kept()
    assert "nonsense = 1" in kept.read_text("utf-8")


def test_a_no_keeps_the_sheet_and_the_same_command_goes_on(
    shop: Shop, capsys: pytest.CaptureFixture[str]
) -> None:
    shop.editor(FILL)
    shop.answers("", "n")
    assert shop.visit() == 1
    assert shop.sheets() == 0
    (kept,) = shop.kept()
    assert f"kept in {kept}; the same command goes on with it" in capsys.readouterr().err
    shop.answers("y", "y")
    assert shop.visit() == 0
    assert shop.seen(1) == kept_text(shop.seen(0))
    assert (shop.sheets(), shop.kept()) == (1, [])


def kept_text(text: str) -> str:
    return text.replace('reason = ""', 'reason = "no water"')


def test_a_sheet_that_is_not_gone_on_with_is_put_aside(shop: Shop) -> None:
    shop.editor(FILL)
    shop.answers("n")
    assert shop.visit() == 1
    shop.answers("n")
    assert shop.visit() == 1
    (aside,) = shop.kept()
    assert 'reason = "no water"' in aside.read_text("utf-8")
    shop.answers()
    assert shop.visit() == 1
    assert shop.asked == []


def test_back_to_the_editor_from_the_question(shop: Shop) -> None:
    more = "text = text.replace('# notes = \"\"', 'notes = \"more\"')"
    shop.editor(FILL, more)
    shop.answers("e", "y")
    assert shop.visit() == 0
    assert shop.notes() == ["more"]


@pytest.mark.parametrize("stop", [typer.Abort, KeyboardInterrupt])
def test_ctrl_c_at_the_question_keeps_the_sheet(
    shop: Shop, stop: type[BaseException], capsys: pytest.CaptureFixture[str]
) -> None:
    shop.editor(FILL)
    shop.answers(stop)
    assert shop.visit() == 130
    assert "stopped; nothing was written; your sheet is kept" in capsys.readouterr().err
    assert (shop.sheets(), len(shop.kept())) == (0, 1)


def test_an_editor_that_fails_writes_nothing_and_loses_nothing(
    shop: Shop, capsys: pytest.CaptureFixture[str]
) -> None:
    shop.editor(FILL + "; path.write_text(text, 'utf-8'); sys.exit(3)")
    assert shop.visit("--yes") == 1
    assert "the editor ended with status 3" in capsys.readouterr().err
    (kept,) = shop.kept()
    assert 'reason = "no water"' in kept.read_text("utf-8")
    shop.editor("sys.exit(1)")
    shop.answers("n")
    assert shop.visit("--yes") == 1
    assert len(shop.kept()) == 1, "an untouched sheet is not worth keeping"


def test_dry_run_only_shows(shop: Shop) -> None:
    shop.editor(FILL)
    assert shop.visit("--dry-run") == 0
    assert shop.sheets() == 0
    assert len(shop.kept()) == 1


def test_a_book_that_cannot_be_written_keeps_the_sheet(
    shop: Shop, capsys: pytest.CaptureFixture[str]
) -> None:
    shop.editor(
        FILL + "; import sqlite3; book = sqlite3.connect(seen / 'shop.book');"
        " book.execute('DROP TABLE crew'); book.commit(); book.close()"
    )
    assert shop.visit("--yes") == 2
    (kept,) = shop.kept()
    assert str(kept) in capsys.readouterr().err
    assert 'reason = "no water"' in kept.read_text("utf-8")


def test_a_sheet_on_record_is_corrected_in_the_editor(
    shop: Shop, capsys: pytest.CaptureFixture[str]
) -> None:
    shop.editor(FILL + "; text = text.replace('# flow_gpm =', 'flow_gpm = 70')")
    assert shop.visit("--yes") == 0
    shop.editor("", "text = text.replace('= 70', '= lots')", "text = text.replace('lots', '7')")
    shop.answers("y")
    capsys.readouterr()
    assert shop.correct(1) == 0
    assert "Visit 1, as it is on record" in shop.seen(1)
    assert "flow_gpm = 70" in shop.seen(1)
    assert "flow_gpm = lots" in shop.seen(2)
    out = capsys.readouterr().out
    assert "gone: flow 70 gpm" in out
    assert "note: flow 7 gpm" in out
    assert "visit 2 of 2026-11-25 is recorded" in out
    assert (shop.sheets(), shop.kept()) == (2, [])


def test_a_correction_that_is_not_wanted_leaves_the_sheet_on_record(shop: Shop) -> None:
    shop.editor(FILL + "; text = text.replace('# notes = \"\"', 'notes = \"first\"')")
    assert shop.visit("--yes") == 0
    assert shop.correct(1) == 1, "closed as it was opened"
    assert shop.kept() == []
    shop.editor("", "", "text = text.replace('first', 'second')")
    shop.answers("n")
    assert shop.correct(1) == 1
    assert shop.notes() == ["first"]
    assert [p.name for p in shop.kept()] == ["shop-correct-1.toml"]
    shop.answers("y", "y")
    assert shop.correct(1) == 0
    assert shop.notes() == ["second"]


@pytest.mark.parametrize("way", [[], ["--ask"]])
def test_without_a_terminal_it_says_so(
    shop: Shop, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], way: list[str]
) -> None:
    monkeypatch.setattr(sheet_entry, "can_ask", lambda: False)
    assert shop.visit(*way, "--yes") == 2
    assert "--from FILE" in capsys.readouterr().err


def test_an_editor_that_is_not_there(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("EDITOR", "no-such-editor-here")
    with pytest.raises(WellbookError, match="not found"):
        editor.editor_command()


QUESTIONS = (
    "", "maybe", "no water", "", "Ida, Ben", "141", "12 gpm", "200 ft", "ground", "7", "", "5.2",
    "240", "", "y", "3", "0", "y", "1/2", "10", "2026", "280", "n", "y", "12", "3", "280",
)  # fmt: skip


def test_questions_give_a_valid_sheet(shop: Shop) -> None:
    given = iter(QUESTIONS)
    asked: list[str] = []

    def ask(question: str) -> str:
        asked.append(question)
        return next(given, "")

    with shop.book.reading() as connection:
        questions = Questions(load_hole(connection, shop.well), TODAY, ask, lambda _line: None)
    questions.all()
    sheet = read_sheet(tomllib.loads(sheet_text(questions.document)), today=TODAY)
    assert sheet.crew == ("Ida", "Ben")
    assert [(m.quantity.value, m.value) for m in sheet.measured][:2] == [
        ("water_level_ft", 141.0),
        ("water_level_ft", 200.0),
    ]
    assert [p.kind.value for p in sheet.set] == ["pump", "cable"]
    assert sheet.set[0].values["hp"] == 0.5
    # Three answers were not taken, and their questions came again.
    assert len([q for q in asked if q.startswith("Reason")]) == 3
    assert len([q for q in asked if q.startswith("Pumping level")]) == 2


def test_questions_end_in_the_same_check(shop: Shop) -> None:
    shop.answers("other")
    assert shop.visit("--ask", "--yes") == 0
    assert shop.sheets() == 1


def test_a_no_after_the_questions_keeps_the_answers(shop: Shop) -> None:
    shop.answers("no water", "", "Ida", *[""] * 11, "n")
    assert shop.visit("--ask") == 1
    assert shop.asked[-1].startswith("Write it?")
    (kept,) = shop.kept()
    assert 'crew = ["Ida"]' in kept.read_text("utf-8")
    shop.editor("text += '\\nnotes = \"mended\"\\n'")
    shop.answers("y", "y")
    assert shop.visit("--ask") == 0
    assert (shop.notes(), shop.kept()) == (["mended"], [])


def test_after_the_questions_the_editor_is_offered(shop: Shop) -> None:
    shop.editor("text += '\\nnotes = \"mended\"\\n'")
    shop.answers("no water", *[""] * 13, "e", "y")
    assert shop.visit("--ask") == 0
    assert (shop.notes(), shop.kept()) == (["mended"], [])


def test_answers_that_do_not_fit_together_may_be_mended_in_the_editor(
    shop: Shop, capsys: pytest.CaptureFixture[str]
) -> None:
    # Each depth by itself is one; only together they make no section of pipe.
    pipe = ["y", "", "", "", "300", "100"]
    shop.answers("no water", *[""] * 9, "y", "", "", "n", "n", "", *pipe, "n", *[""] * 4, "n")
    assert shop.visit("--ask") == 1
    assert shop.asked[-1].startswith("Mend it in the editor?")
    assert "set.pipe[1].to_ft: ends at 100 ft" in capsys.readouterr().err
    (kept,) = shop.kept()
    assert "to_ft = 100" in kept.read_text("utf-8")


def test_ctrl_c_among_the_questions_keeps_what_was_answered(shop: Shop) -> None:
    shop.answers("no water", "", "Ida", "141", "", "ground", KeyboardInterrupt)
    assert shop.visit("--ask") == 130
    (kept,) = shop.kept()
    assert tomllib.loads(kept.read_text("utf-8"))["measured"] == {
        "static_level_ft": {"value": 141, "point": "ground"}
    }


def test_nothing_answered_leaves_nothing_behind(shop: Shop) -> None:
    shop.answers(KeyboardInterrupt)
    assert shop.visit("--ask") == 130
    assert shop.kept() == []


# -- at a terminal of its own --------------------------------------------------------------------


@pytest.mark.skipif(os.name == "nt", reason="a pseudo-terminal is not there")
def test_a_killed_session_is_found_again(shop: Shop) -> None:
    shop.editor(FILL)
    with Terminal(shop) as terminal:
        terminal.until("Write it?")
        terminal.process.kill()
    (kept,) = shop.kept()
    assert 'reason = "no water"' in kept.read_text("utf-8")
    with Terminal(shop) as terminal:
        terminal.until("visit to W-1, last saved")
        terminal.until("Go on with it?")
        terminal.type("y\n")
        terminal.until("Write it?")
        terminal.type("n\n")
        terminal.until("the same command goes on with it")
        assert terminal.process.wait() == 1
    assert shop.sheets() == 0


class Terminal:
    """The program at a pseudo-terminal."""

    def __init__(self, shop: Shop) -> None:
        import pty

        self.here, there = pty.openpty()
        # The first terminal that a new session opens is its own: Ctrl-C then reaches it.
        own = "import os, sys; os.setsid(); os.open(os.ttyname(0), os.O_RDWR);"
        own += "from wellbook.cli import main; main()"
        self.process = subprocess.Popen(
            [sys.executable, "-c", own, "--book", str(shop.book.path), "visit", "W-1"],
            stdin=there,
            stdout=there,
            stderr=there,
        )
        os.close(there)
        self.shown = ""
        # A program that waits for what is not typed must not hold up the tests for ever.
        self.patience = threading.Timer(60, self.process.kill)
        self.patience.start()

    def __enter__(self) -> Terminal:
        return self

    def __exit__(self, *_: object) -> None:
        self.patience.cancel()
        self.process.kill()
        self.process.wait()
        os.close(self.here)

    def type(self, keys: str) -> None:
        os.write(self.here, keys.encode())

    def until(self, words: str) -> None:
        """Read until the words were on the screen, however they were wrapped."""
        while words not in " ".join(self.shown.split()):
            try:
                read = os.read(self.here, 4096).decode()
            except OSError:
                read = ""
            assert read, f"it ended without '{words}': {self.shown}"
            self.shown += read
