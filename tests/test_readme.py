"""The README and the pages in docs stay true: help, rules and screens are made from the program.

WELLBOOK_RENEW=1 writes them anew.
"""

from __future__ import annotations

import os
import re
import shlex
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import typer

from wellbook import cli

README = Path(__file__).parents[1] / "README.md"


def kept(name: str, made: str) -> None:
    """Compare (or renew) the block of that name."""
    text = README.read_text("utf-8")
    pattern = re.compile(rf"(<!-- {re.escape(name)} -->\n).*?(<!-- end -->)", re.DOTALL)
    block = f"```\n{made.rstrip()}\n```\n"
    renewed = pattern.sub(lambda m: m.group(1) + block + m.group(2), text)
    if os.environ.get("WELLBOOK_RENEW"):
        README.write_text(renewed, "utf-8")
    assert pattern.search(text), f"the README has no block '{name}'"
    assert renewed == README.read_text("utf-8"), "run: WELLBOOK_RENEW=1 pytest tests/test_readme.py"


@pytest.fixture(autouse=True)
def fixed_width(monkeypatch: pytest.MonkeyPatch) -> None:
    """Help is as wide as the terminal that the tests run in."""
    monkeypatch.setenv("COLUMNS", "80")


def test_the_list_of_commands_is_true(capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.run(["--help"]) == 0
    kept("commands", capsys.readouterr().out)


PAGES = [README, *sorted((README.parent / "docs" / "week").glob("*.md"))]
_BLOCK = re.compile(r"<!-- (screen|file): ([^\n]+) -->\n```\w*\n(.*?)```\n<!-- end -->", re.DOTALL)


@pytest.mark.parametrize("page", PAGES, ids=lambda p: p.name)
def test_a_page_played_on_the_demo_book_says_what_it_says(
    page: Path,
    shop: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
    tmp_path: Path,
) -> None:
    """From top to bottom: its files are written, its commands run, on one copy of the book."""
    monkeypatch.setenv("WELLBOOK_TODAY", "2026-11-25")
    monkeypatch.setenv("WELLBOOK_WHO", "Marit")
    monkeypatch.setenv("WELLBOOK_BOOK", str(shop))
    monkeypatch.chdir(tmp_path)

    def play(block: re.Match[str]) -> str:
        kind, name, text = block.groups()
        if kind == "file":
            Path(name).write_text(text, "utf-8")
            return block[0]
        cli.run(shlex.split(name))
        said = capsys.readouterr()
        made = f"$ wellbook {name}\n{(said.out + said.err).rstrip()}\n"
        return f"<!-- screen: {name} -->\n```\n{made}```\n<!-- end -->"

    text = page.read_text("utf-8")
    played = _BLOCK.sub(play, text)
    if os.environ.get("WELLBOOK_RENEW"):
        page.write_text(played, "utf-8")
    assert played == page.read_text("utf-8"), "run: WELLBOOK_RENEW=1 pytest tests/test_readme.py"


def test_every_command_is_spoken_of() -> None:
    text = README.read_text("utf-8")
    for name in cli.COMMANDS:
        assert f"wellbook {name}" in text, name


# -- the pages in docs ---------------------------------------------------------------------------


def kept_page(name: str, made: str) -> None:
    """Compare (or renew) a whole page."""
    page = README.parent / "docs" / name
    if os.environ.get("WELLBOOK_RENEW"):
        page.write_text(made, "utf-8")
    assert made == page.read_text("utf-8"), "run: WELLBOOK_RENEW=1 pytest tests/test_readme.py"


def test_the_page_of_commands_is_true(capsys: pytest.CaptureFixture[str]) -> None:
    parts = [
        "# All commands, with their options\n\n"
        "As each says it with `--help`. `--book` may stand anywhere on the line.\n"
    ]
    for name in cli.COMMANDS:
        parts.append(f"\n## {name}\n")
        for words in _with_subcommands([name]):
            assert cli.run([*words, "--help"]) == 0
            parts.append(f"\n```\n{capsys.readouterr().out.rstrip()}\n```\n")
    kept_page("commands.md", "".join(parts))


def _with_subcommands(words: list[str]) -> Iterator[list[str]]:
    yield words
    program: Any = typer.main.get_group(cli.app)
    command = program.get_command(typer.Context(program), words[0])
    for name in getattr(command, "commands", {}):
        yield [*words, name]


def test_the_page_of_rules_is_true() -> None:
    from wellbook.present.rule_lines import limits
    from wellbook.rules.catalogue import RULES

    parts = [
        "# The rules\n\n"
        "Each is a small pure function (`wellbook/rules/`); `wellbook rules explain RULE` shows the"
        " same with the\nshop's own numbers. Change one with"
        " `wellbook rules set RULE.NUMBER VALUE`.\n\n"
        "Only wells that are the shop's own and in use owe anything. In use are wells of the status"
        " `in_use`,\n`seasonal` (somebody will drink from it again) and `standby` (it is kept for the"
        " day on which the other\none fails, and what is overdue is found out on that very day). A"
        " `sealed` well and a reference well owe\nnothing. The status is the switch:"
        " `wellbook well edit WELL --status sealed`.\n"
    ]
    for rule in RULES:
        parts.append(f"\n## {rule.name}\n\n**{rule.title}**\n\n{rule.why.strip()}\n")
        if rule.thresholds:
            parts.append(
                "\n| number | default | what it can be | meaning | source |\n|---|---|---|---|---|\n"
            )
        for x in rule.thresholds:
            default = f"{x.default:g}" if isinstance(x.default, (int, float)) else x.default
            cells = (f"`{x.name}`", default, limits(rule, x), x.meaning, x.source)
            parts.append(f"| {' | '.join(cells)} |\n")
    kept_page("rules.md", "".join(parts))
