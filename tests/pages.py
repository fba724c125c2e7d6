"""The pages of the documentation as they are played: files that are written, commands and what they say."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest

from wellbook import cli

WEEK = sorted((Path(__file__).parents[1] / "docs" / "week").glob("*.md"))
BLOCK = re.compile(r"<!-- (screen|file): ([^\n]+) -->\n```\w*\n(.*?)```\n<!-- end -->", re.DOTALL)


def as_shown(command: str, capsys: pytest.CaptureFixture[str]) -> str:
    """A command's line and what it says, as a page has both."""
    cli.run(shlex.split(command))
    said = capsys.readouterr()
    return f"$ wellbook {command}\n{(said.out + said.err).rstrip()}\n"
