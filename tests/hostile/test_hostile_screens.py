"""Whatever stands in a book, every command that reads shows it harmless, on a screen and in JSON."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from tests.hostile.shelf import hostile as hostile  # noqa: PLC0414 - a fixture
from tests.hostile.shelf import made as made  # noqa: PLC0414 - a fixture
from tests.hostile.texts import NEVER_SHOWN, TEXTS
from wellbook import cli
from wellbook.cli.index import COMMANDS

READING: dict[str, list[list[str]]] = {
    "find": [["Q-1"], ["Mossiter"], [TEXTS["formula"]], ["--", TEXTS["option"]]],
    "hole": [["Q-1"], ["Q-2"], ["L-1"]],
    "history": [["Q-1"], ["Q-2"], ["L-1"]],
    "near": [["42.0,-101.3", "--within", "9mi"]],
    "plan": [["Q-1", "--depth", "180"]],
    "check": [["Q-1"]],
    "draw": [["Q-1"]],
    "pump": [["list"]],
    "sample": [["list", "Q-1"]],
    "papers": [[]],
    "files": [["list"], ["list", "Q-1"], ["check"]],
    "due": [[], ["--within", "600d"]],
    "remind": [[]],
    "contact": [["Q-1"]],
    "checkups": [[], ["--days", "2", "--per-day", "3"]],
    "rules": [[], ["explain", "pump-age"]],
    "customer": [["list"], *(["show", str(n)] for n in range(1, 9))],
    "site": [["list"], *(["show", str(n)] for n in range(1, 5))],
    "well": [["list"], ["show", "Q-1"], ["show", "L-1"]],
    "doubles": [[], ["decided"]],
    "shop": [["show"], ["letter"]],
    "import": [["runs"]],
    "log": [["--limit", "300"], ["1"], ["--well", "Q-1"], ["--customer", "1"]],
    "undo": [[]],
    "backup": [["--list"]],
    "doctor": [[]],
}
NOT_READING = {
    *("call", "calc", "visit", "correct", "withdraw", "attach", "init", "demo", "upgrade", "merge"),
    # Into files: see test_hostile_files.
    *("calendar", "print", "export", "copy", "restore"),
}
CASES = [(name, words) for name, some in READING.items() for words in some]


def test_every_command_is_here() -> None:
    assert READING.keys() | NOT_READING >= COMMANDS.keys()
    assert not READING.keys() & NOT_READING


@pytest.mark.parametrize(
    ("name", "words"), CASES, ids=[re.sub(r"\W+", "-", f"{n} {' '.join(w)}")[:40] for n, w in CASES]
)
def test_what_is_shown_is_harmless(
    name: str, words: list[str], hostile: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    ends = {}
    for more in ([], ["--json"]):
        # Behind -- all are words.
        given = [name, *more, *words] if "--" in words else [name, *words, *more]
        status = cli.run(given)
        said = capsys.readouterr()
        assert status in (0, 1, 2), said.err
        assert "Traceback" not in said.err
        for text in (said.out, said.err):
            found = NEVER_SHOWN.search(text)
            assert not found, (given, text[max(0, found.start() - 80) : found.end() + 20])
        ends[bool(more)] = (status, said)
    status, said = ends[True]
    if status == 0 and "No such option" not in said.err:
        json.loads(said.out)
    assert "no such option" not in said.err.lower() or name in ("rules", "shop", "draw"), said.err
    if words != ["letter"] and name != "undo":
        assert ends[False][0] in (0, 1), ends[False][1].err
