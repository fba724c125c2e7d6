"""A shop on the demo book that has said what its messages need; and its commands."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from wellbook import cli

SHOP = {
    "name": "Tarn Fork Pumps",
    "address": "18 Foundry Lane, Nettlewick, ST 00000",
    "phone": "555-0100",
    "email": "desk@tarnfork.example",
    "mail_server": "127.0.0.1",
    "mail_security": "none",
    "time_zone": "America/Chicago",
}


class Commands:
    """Runs a command and keeps what it said."""

    def __init__(self, capsys: pytest.CaptureFixture[str]) -> None:
        self._capsys = capsys

    def __call__(self, *words: str) -> tuple[int, str, str]:
        status = cli.run(list(words))
        said = self._capsys.readouterr()
        return status, said.out, said.err

    def fine(self, *words: str) -> str:
        """What it answered; it has to do what it is asked."""
        status, out, err = self(*words)
        assert (status, err) == (0, ""), err
        return out

    def refused(self, *words: str, status: int = 2) -> str:
        """The one line with which it says no; nothing else is said."""
        got, out, err = self(*words)
        assert (got, out) == (status, "")
        assert err.count("\n") == 1, err
        return err

    def json(self, *words: str) -> Any:
        return json.loads(self.fine(*words, "--json"))

    def settle_in(self, folder: Path, **more: str) -> Path:
        """Say what the shop's messages need; a folder for what is made."""
        for name, value in {**SHOP, **more}.items():
            self.fine("shop", "set", name, value)
        made = folder / "made"
        made.mkdir()
        return made
