"""Published values that stand beside a checkout; where they do not, the tests of them say so."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

FOLDER = Path(__file__).resolve().parents[2] / "shared" / "reference"
ENGINEERING, SERVICE = "engineering_checks.json", "service_checks.json"
ABSENT = "no file of published values beside this checkout"

beside_them = pytest.mark.skipif(not FOLDER.exists(), reason=ABSENT)
"""For a test of published values: where the folder is there and a file is not, it fails."""


def published(name: str) -> list[dict[str, Any]]:
    """The checks of one file."""
    checks: list[dict[str, Any]] = json.loads((FOLDER / name).read_text("utf-8"))["checks"]
    return checks


def each(name: str, keep: Callable[[dict[str, Any]], bool]) -> list[Any]:
    """A parameter for each check that is kept; one that is skipped where there are none to read."""
    if not FOLDER.exists():
        return [pytest.param({}, marks=pytest.mark.skip(reason=ABSENT), id="absent")]
    return [pytest.param(check, id=check["id"]) for check in published(name) if keep(check)]
