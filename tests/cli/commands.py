"""Commands as a user gives them, and what they say."""

from __future__ import annotations

import json
from typing import Any

import pytest

from wellbook import cli


class Commands:
    """Runs a command and keeps what it said; `first` are words that each begins with."""

    def __init__(self, capsys: pytest.CaptureFixture[str], *first: str) -> None:
        self._capsys, self._first = capsys, first

    def __call__(self, *words: str) -> tuple[int, str, str]:
        status = cli.run([*self._first, *words])
        said = self._capsys.readouterr()
        return status, said.out, said.err

    def json(self, *words: str) -> Any:
        """What it answers to a program; it has to do what it is asked."""
        status, out, err = self(*words, "--json")
        assert status == 0, err
        return json.loads(out)

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
