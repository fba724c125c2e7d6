"""What the tests of faults share: a warm process, and a small shop's book to be harmed."""

from __future__ import annotations

import shutil
import sys
from collections.abc import Iterator
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import pytest

from tests.faults.bench import Bench
from tests.faults.warm import MEMORY, warm


@pytest.fixture(scope="session")
def forge() -> Iterator[Any]:
    """A warm process, the beginnings that it makes once, and room for what is killed."""
    if sys.platform == "win32":
        pytest.skip("nothing can be forked here")
    made: dict[str, Path] = {}
    with warm() as process, TemporaryDirectory(dir=MEMORY) as room:

        def beginning(name: str) -> Path:
            if name not in made:
                made[name] = Path(room) / name
                made[name].mkdir()
                assert process.order(name, made[name], "begin")["status"] == 0
            return made[name]

        yield process, beginning, Path(room)


@pytest.fixture
def bench(forge: Any, request: pytest.FixtureRequest) -> Iterator[Bench]:
    process, beginning, room = forge
    what, where, within = request.param
    with TemporaryDirectory(dir=room) as own:
        yield Bench(process, beginning(where) / within, Path(own), what)


@pytest.fixture(scope="session")
def _small(tmp_path_factory: pytest.TempPathFactory) -> Path:
    from tests.faults.victims import BEGINNINGS

    folder = tmp_path_factory.mktemp("small")
    BEGINNINGS["shop"](folder)
    return folder


@pytest.fixture
def folder(_small: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with a small shop's book, on the tests' day, with sheets and a list beside it."""
    monkeypatch.setenv("WELLBOOK_TODAY", "2026-11-25")
    monkeypatch.setenv("WELLBOOK_WHO", "Ida")
    return Path(shutil.copytree(_small, tmp_path / "shop"))
