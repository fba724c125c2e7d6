"""A sheet through the editor, and by questions. The editor is a small script."""

from __future__ import annotations

import shlex
import sys
import tomllib
from datetime import date
from pathlib import Path

import pytest

from wellbook.cli import run, sheet_entry
from wellbook.errors import WellbookError
from wellbook.hole.sheet import read_sheet
from wellbook.store.book import Book, make_book
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

    def visit(self, *options: str) -> int:
        return run(["--book", str(self.book.path), "visit", "W-1", *options])

    def seen(self, n: int) -> str:
        return (self.folder / f"seen-{n}").read_text("utf-8")

    def sheets(self) -> int:
        with self.book.reading() as connection:
            return int(connection.exec_driver_sql("SELECT count(*) FROM sheet").scalar_one())

    def kept(self) -> list[Path]:
        return sorted(self.folder.glob("visit-*.toml"))


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


def test_text_that_is_no_toml_comes_back_too(shop: Shop) -> None:
    shop.editor(
        "text = text.replace('crew = []', 'crew = [')",
        FILL + "; text = text.replace('[\\n', '[]\\n', 1)",
    )
    assert shop.visit("--yes") in (0, 1)
    assert "# !! line" in shop.seen(1)


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


def test_no_keeps_the_sheet(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("typer.confirm", lambda *_a, **_k: False)
    shop.editor(FILL)
    assert shop.visit() == 1
    assert shop.sheets() == 0
    assert len(shop.kept()) == 1


def test_dry_run_only_shows(shop: Shop) -> None:
    shop.editor(FILL)
    assert shop.visit("--dry-run") == 0
    assert shop.sheets() == 0


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
        sheet_entry.editor_command()


def test_questions_give_a_valid_sheet(shop: Shop) -> None:
    given = iter(
        [
            "",
            "maybe",
            "no water",
            "",
            "Ida, Ben",
            "141",
            "12 gpm",
            "200 ft",
            "ground",
            "7",
            "",
            "5.2",
            "240",
            "",
            "y",
            "3",
            "0",
            "y",
            "1/2",
            "10",
            "2026",
            "280",
            "n",
            "y",
            "12",
            "3",
            "280",
        ]
    )
    asked: list[str] = []

    def ask(question: str) -> str:
        asked.append(question)
        return next(given, "")

    data = tomllib.loads(sheet_entry.asked(shop.book, shop.well, TODAY, ask))
    sheet = read_sheet(data, today=TODAY)
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


def test_questions_end_in_the_same_check(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    given = iter(["other"])
    monkeypatch.setattr(sheet_entry, "_at_the_terminal", lambda _q: next(given, ""))
    assert shop.visit("--ask", "--yes") == 0
    assert shop.sheets() == 1
