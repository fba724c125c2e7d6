"""Ctrl-C in a command: one line that says what came of it by then, and says no more than is so."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
import typer

from tests.cli.commands import Commands
from tests.store.small_shop import small_shop
from wellbook.store import wells


@pytest.fixture
def wellbook(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Commands:
    monkeypatch.setenv("WELLBOOK_TODAY", "2026-11-25")
    monkeypatch.setenv("WELLBOOK_BOOK", str(small_shop(tmp_path / "shop.book").path))
    return Commands(capsys)


def stop(*_: object, **__: object) -> None:
    raise KeyboardInterrupt


def test_before_anything_was_kept(wellbook: Commands, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(wells, "edit_customer", stop)
    status, out, err = wellbook("customer", "add", "Ulla Zwiebel")
    assert (status, out) == (130, "")
    assert err == "wellbook: stopped; nothing was written into the book\n"
    assert "Ulla" not in wellbook.fine("customer", "list")


def test_after_something_was_kept(wellbook: Commands, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("wellbook.cli.customer._tell_doubts", stop)
    status, _, err = wellbook("customer", "add", "Ulla Zwiebel")
    assert status == 130
    assert err == "wellbook: stopped; what was kept by then stays; what that is: wellbook log\n"
    assert "Ulla" in wellbook.fine("customer", "list")


def test_before_there_was_a_book(wellbook: Commands, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("wellbook.store.book.open_book", stop)
    assert wellbook("customer", "list") == (130, "", "wellbook: stopped\n")


def test_at_a_question(wellbook: Commands, monkeypatch: pytest.MonkeyPatch) -> None:
    def away(_question: str) -> str:
        raise typer.Abort

    monkeypatch.setattr("wellbook.cli.session.can_ask", lambda: True)
    monkeypatch.setattr("wellbook.cli.session.prompt", away)
    status, _, err = wellbook("customer", "forget", "2")
    assert (status, err) == (130, "wellbook: stopped; nothing was written into the book\n")


def test_programs_are_told_in_json(wellbook: Commands, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("wellbook.store.doctor.look_through", stop)
    status, out, _ = wellbook("doctor", "--json")
    assert status == 130
    assert json.loads(out)["error"]["code"] == "stopped"
