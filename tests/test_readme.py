"""The README stays true: its help and its screen are made from the program.

WELLBOOK_RENEW=1 writes them anew.
"""

from __future__ import annotations

import os
import re
from pathlib import Path

import pytest

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


def test_the_list_of_commands_is_true(capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.run(["--help"]) == 0
    kept("commands", capsys.readouterr().out)


def test_the_screen_is_true(
    shop: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("WELLBOOK_TODAY", "2026-11-25")
    assert cli.run(["hole", "TF-0031", "--book", str(shop)]) == 0
    kept("screen: hole TF-0031", capsys.readouterr().out)


def test_every_command_is_spoken_of() -> None:
    text = README.read_text("utf-8")
    for name in cli.COMMANDS:
        assert f"wellbook {name}" in text, name


def test_every_rule_is_explained_in_the_docs() -> None:
    from wellbook.rules.catalogue import RULES

    text = (README.parent / "docs" / "rules.md").read_text("utf-8")
    for rule in RULES:
        assert f"## {rule.name}" in text, rule.name
        for number in rule.thresholds:
            assert f"`{number.name}`" in text, (rule.name, number.name)
