"""What commands cost as whole processes, against a floor that is measured in the same run.

    pytest benchmarks/bench_commands.py

The floor is what any program of these libraries pays before its first line:
`python -c "import sqlalchemy.orm, typer, rich.table"`. `core` is the same without the mapper, which no command
loads. On the demo book, in processor time, with all byte code kept, as that of an installed program is: of
a source tree in an environment that keeps none, our modules would be compiled at every start, and the
libraries not. Not on Windows, which does not say processor time.
"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

import pytest
from processes import processor_seconds, run

PYTHON = sys.executable
PROGRAM = [PYTHON, "-m", "wellbook"]
COMMANDS = {
    "floor": [PYTHON, "-c", "import sqlalchemy.orm, typer, rich.table"],
    "core": [PYTHON, "-c", "import sqlalchemy, typer, rich.table"],
    "--help": [*PROGRAM, "--help"],
    "find": [*PROGRAM, "find", "orla", "0131"],
    "due": [*PROGRAM, "due"],
    "hole": [*PROGRAM, "hole", "TF-0031"],
    "history": [*PROGRAM, "history", "TF-0031"],
}
ROUNDS = 15


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo book."""
    place = tmp_path_factory.mktemp("demo") / "demo.book"
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("WELLBOOK_BOOK", str(place))
        run([*PROGRAM, "demo"])
    return place


@pytest.mark.parametrize("command", list(COMMANDS))
@pytest.mark.benchmark(timer=processor_seconds, group="whole commands")
def test_command(benchmark: Any, demo: Path, command: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """A process from its begin to its end."""
    monkeypatch.setenv("WELLBOOK_BOOK", str(demo))
    run(COMMANDS[command])
    benchmark.pedantic(run, args=(COMMANDS[command],), rounds=ROUNDS)
