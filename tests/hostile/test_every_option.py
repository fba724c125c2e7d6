"""Every option and every argument that takes a text is given a hostile one, and shows it harmless."""

from __future__ import annotations

import shutil
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import pytest
from typer._click.core import Context
from typer.main import get_command

from tests.hostile.shelf import made as made  # noqa: PLC0414 - a fixture
from tests.hostile.texts import ALL, NEVER_SHOWN
from wellbook import cli

GIVEN: Mapping[str, str] = {
    "words": "Q-1",
    "well": "Q-1",
    "wells": "Q-1",
    "place": "Q-1",
    "customer": "1",
    "site": "1",
    "visit": "1",
    "number": "1",
    "keep": "1",
    "gone": "2",
    "one": "1",
    "other": "2",
    "kind": "pump_report",
    "way": "phone",
    "answer": "yes",
    "rule": "pump-age",
    "name": "licence",
    "value": "L-1",
    "because": "why",
    "file": "there.txt",
    "paths": "there.txt",
    "target": "out.json",
    "source": "h/h.book",
}
"""What stands in a place that has to be given, while another is hostile."""
NOT_HERE = {"demo", "init", "upgrade", "doctor"}
"""They take no text, or make a book; see `test_a_place_of_a_book_is_shown_harmless`."""


def _commands(command: Any, path: tuple[str, ...] = ()) -> Iterator[tuple[tuple[str, ...], Any]]:
    if hasattr(command, "list_commands"):
        context = Context(command)
        for name in command.list_commands(context):
            yield from _commands(command.get_command(context, name), (*path, name))
    else:
        yield path, command


COMMANDS = {
    " ".join(path): command
    for path, command in _commands(get_command(cli.app))
    if path[0] not in NOT_HERE
}


def _lines(command: Any, path: list[str]) -> Iterator[list[str]]:
    """The command, each time with a hostile text in another place."""
    takes = [p for p in command.params if p.type.name not in ("boolean", "integer range", "float")]
    for hostile in takes:
        arguments: list[str] = []
        options: list[str] = []
        for one in command.params:
            said = ALL if one is hostile else GIVEN.get(one.name, "x")
            if one.param_type_name == "argument":
                arguments += [said] if one.required or one is hostile else []
            elif one.required or one is hostile:
                options.append(f"{one.opts[0]}={said}")
        yield [*path, *options, "--", *arguments]


@pytest.fixture(scope="module")
def room(made: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """A copy of the hostile book, which all the commands of this module change in turn."""
    room = tmp_path_factory.mktemp("options")
    shutil.copytree(made, room / "h")
    (room / "there.txt").write_text("id,town\n1,Ambelow\n", "utf-8")
    with pytest.MonkeyPatch.context() as patch:
        patch.chdir(room)
        patch.setenv("WELLBOOK_BOOK", str(room / "h" / "h.book"))
        patch.setenv("WELLBOOK_TODAY", "2026-11-25")
        yield room


@pytest.mark.parametrize("name", COMMANDS)
def test_what_is_given_is_shown_harmless(
    name: str, room: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = set(room.parent.iterdir())
    for words in _lines(COMMANDS[name], name.split()):
        status = cli.run(words)
        said = capsys.readouterr()
        assert status in (0, 1, 2), (words, said.err)
        for shown in (said.out, said.err):
            found = NEVER_SHOWN.search(shown)
            assert not found, (words, shown[max(0, found.start() - 80) : found.end() + 20])
        assert "Traceback" not in said.err
        lines = said.err.splitlines()
        assert all(line.startswith("wellbook: ") for line in lines), said.err
        # A list of valves may be wrong in several places; a break of the text's own is none.
        assert status != 2 or len(lines) == 1 or words[0] == "plan", said.err
        assert not any(line.startswith("wellbook: Bcc") for line in lines)
    assert set(room.parent.iterdir()) == before
