"""What commands cost as whole processes, against a floor that is measured in the same run.

The floor is what any program of these libraries pays before its first line:
`python -c "import sqlalchemy.orm, typer, rich.table"`. `core` is the same without the mapper, which
no command loads. Processor time is measured: other work on the machine changes it less than the
clock. All byte code is kept, as that of an installed program is: of a source tree in an environment
that keeps none, our modules would be compiled at every start, and the libraries not. Not on Windows,
which does not say processor time.

    python benchmarks/whole_commands.py [ROUNDS]
"""

from __future__ import annotations

import os
import resource
import statistics
import subprocess
import sys
import tempfile
from pathlib import Path

PYTHON = sys.executable
PROGRAM = [PYTHON, "-m", "wellbook"]
FLOOR = "floor"
COMMANDS = {
    FLOOR: [PYTHON, "-c", "import sqlalchemy.orm, typer, rich.table"],
    "core": [PYTHON, "-c", "import sqlalchemy, typer, rich.table"],
    "--help": [*PROGRAM, "--help"],
    "find": [*PROGRAM, "find", "orla", "0131"],
    "due": [*PROGRAM, "due"],
    "hole": [*PROGRAM, "hole", "TF-0031"],
    "history": [*PROGRAM, "history", "TF-0031"],
}


def seconds(command: list[str]) -> float:
    """How much processor time a command takes as a process of its own."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run(command, check=True, stdout=subprocess.DEVNULL)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def main() -> None:
    """Each round runs the floor and every command once, so that all share the machine's moods."""
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else 15
    with tempfile.TemporaryDirectory() as folder:
        os.environ["WELLBOOK_BOOK"] = str(Path(folder) / "demo.book")
        os.environ["PYTHONPYCACHEPREFIX"] = str(Path(folder) / "byte-code")
        os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
        subprocess.run([*PROGRAM, "demo"], check=True, stdout=subprocess.DEVNULL)
        took: dict[str, list[float]] = {name: [] for name in COMMANDS}
        for command in COMMANDS.values():
            seconds(command)  # that what it loads is compiled
        for _ in range(rounds):
            for name, command in COMMANDS.items():
                took[name].append(seconds(command))
    for name, times in took.items():
        ratios = [one / floor for one, floor in zip(times, took[FLOOR], strict=True)]
        print(
            f"{name:<8} {statistics.median(times) * 1000:5.0f} ms"
            f"   {statistics.median(ratios):.2f} floors ({min(ratios):.2f} to {max(ratios):.2f})"
        )


if __name__ == "__main__":
    main()
