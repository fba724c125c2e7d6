"""A clock that was set back, and right again: nothing is lost, and all is as if it had been right."""

from __future__ import annotations

import json
import re
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import select

from wellbook import cli
from wellbook.rules import catalogue
from wellbook.store import book as books
from wellbook.store import identity, ledger
from wellbook.store import tables as t
from wellbook.store.book import open_book
from wellbook.store.holes import load_hole
from wellbook.store.settings import settings

RIGHT, BACK = "2026-11-25", "2026-11-10"


def _run(monkeypatch: pytest.MonkeyPatch, place: Path, day: str, *words: object) -> None:
    """A command on a day, by the clock and by the calendar."""

    class Clock(identity.datetime):  # type: ignore[name-defined, misc]
        @classmethod
        def now(cls, tz: Any = None) -> Any:
            said = identity.datetime.fromisoformat(f"{day}T09:00:00+00:00")
            return said.astimezone(tz)

    with monkeypatch.context() as there:
        there.setenv("WELLBOOK_TODAY", day)
        there.setattr(identity, "datetime", Clock)
        assert cli.run(["--book", str(place), *map(str, words)]) == 0


def _sheet(folder: Path, day: str, more: str = "") -> Path:
    file = folder / f"sheet-{day}.toml"
    file.write_text(f'date = {day}\nreason = "check up"\nnotes = "of {day}"\n{more}', "utf-8")
    return file


def _said(place: Path, capsys: pytest.CaptureFixture[str]) -> list[Any]:
    """What the commonest commands answer, apart from identities and moments of entry."""
    capsys.readouterr()
    answers = []
    for words in (["hole", "A-1"], ["history", "A-1"], ["due", "--within", "400d"]):
        assert cli.run(["--book", str(place), *words, "--json"]) == 0
        text = re.sub("[0-9a-f]{32}", "uid", capsys.readouterr().out)
        answers.append(json.loads(re.sub(r'"recorded_(at|on)": "[^"]+"', '"recorded": ""', text)))
    return answers


def test_a_clock_that_was_set_back_costs_nothing(
    folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    place = folder / "shop.book"
    as_always = folder / "as-always.book"
    as_always.write_bytes(place.read_bytes())
    level = "[measured]\nstatic_level_ft = {}\n"
    first = _sheet(folder, "2026-11-24", level.format(40))
    second = _sheet(folder, BACK, level.format(44))
    third = _sheet(folder, RIGHT)
    for book, days in ((place, (RIGHT, BACK, RIGHT)), (as_always, (RIGHT, RIGHT, RIGHT))):
        for day, sheet in zip(days, (first, second, third), strict=True):
            _run(monkeypatch, book, day, "visit", "A-1", "--from", sheet)
    assert _said(place, capsys) == _said(as_always, capsys)
    with open_book(place).reading() as connection:
        # What was written in which order is told by the numbers, and not by the clock.
        order = list(connection.execute(select(t.sheet.c.notes).order_by(t.sheet.c.id)).scalars())
        assert order[-3:] == ["of 2026-11-24", f"of {BACK}", f"of {RIGHT}"]
        at = list(connection.execute(select(t.change.c.at).order_by(t.change.c.id)).scalars())
        assert at != sorted(at)
        for well in connection.execute(select(t.well.c.id)).scalars():
            found = catalogue.judge(load_hole(connection, well), settings(connection))
            assert ledger.ledger_of(connection, well) == found


@pytest.mark.parametrize("day", ["1970-01-01", "2000-02-29", BACK])
def test_every_look_goes_while_the_clock_is_wrong(
    folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], day: str
) -> None:
    """A visit that lies ahead by that clock is shown where it belongs, or not yet."""
    place = folder / "shop.book"
    sheet = _sheet(folder, "2026-11-24", "[measured]\nstatic_level_ft = 40\n")
    _run(monkeypatch, place, RIGHT, "visit", "A-1", "--from", sheet)
    monkeypatch.setenv("WELLBOOK_TODAY", day)
    for words in (
        ["hole", "A-1"],
        ["history", "A-1"],
        ["due", "--within", "30d"],
        ["remind"],
        ["checkups"],
        ["near", "A-1", "--within", "1"],
        ["papers"],
    ):
        capsys.readouterr()
        status = cli.run(["--book", str(place), *words])
        said = capsys.readouterr()
        assert status in (0, 1, 2), words
        assert said.err.count("\n") == (status != 0), said.err
    monkeypatch.setenv("WELLBOOK_TODAY", RIGHT)
    capsys.readouterr()
    assert cli.run(["--book", str(place), "history", "A-1", "--json"]) == 0
    sheets = json.loads(capsys.readouterr().out)["sheets"]
    assert "of 2026-11-24" in json.dumps(sheets)


def test_a_visit_that_lies_ahead_is_refused_with_its_day(
    folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """So a wrong clock is seen as soon as somebody writes."""
    monkeypatch.setenv("WELLBOOK_TODAY", BACK)
    ahead = date.fromisoformat(BACK) + timedelta(days=1)
    sheet = _sheet(folder, ahead.isoformat())
    assert cli.run(["--book", str(folder / "shop.book"), "visit", "A-1", "--from", str(sheet)]) == 2
    err = capsys.readouterr().err
    assert err.count("\n") == 1
    assert ahead.isoformat() in err


def test_a_second_safety_copy_of_one_second_takes_no_other_s_place(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    book = open_book(folder / "shop.book")

    class Clock(books.datetime):  # type: ignore[name-defined, misc]
        @classmethod
        def now(cls, tz: Any = None) -> Any:
            return books.datetime(2026, 11, 25, 9, tzinfo=tz)

    with monkeypatch.context() as there:
        there.setattr(books, "datetime", Clock)
        one, other = books.safety_copy(book, "0009"), books.safety_copy(book, "0009")
    assert one != other
    assert one.exists() and other.exists()
