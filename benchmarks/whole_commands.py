"""What commands cost as whole processes, against a floor that is measured in the same run.

The floor is what any program of these libraries pays before its first line:
`python -c "import sqlalchemy.orm, typer, rich.table"`. Run it on a quiet machine:

    python benchmarks/whole_commands.py [ROUNDS]
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

FLOOR = [sys.executable, "-c", "import sqlalchemy.orm, typer, rich.table"]
COMMANDS = {
    "hole": ["hole", "TF-0031"],
    "find": ["find", "orla", "0131"],
    "due": ["due"],
    "history": ["history", "TF-0031"],
}


def seconds(command: list[str]) -> float:
    """How long a command takes as a process of its own."""
    begin = time.perf_counter()
    subprocess.run(command, check=True, stdout=subprocess.DEVNULL)
    return time.perf_counter() - begin


def main() -> None:
    """Each round runs the floor and every command once, so that all share the machine's moods."""
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else 9
    with tempfile.TemporaryDirectory() as folder:
        os.environ["WELLBOOK_BOOK"] = str(Path(folder) / "demo.book")
        program = [sys.executable, "-m", "wellbook"]
        subprocess.run([*program, "demo"], check=True, stdout=subprocess.DEVNULL)
        took: dict[str, list[float]] = {name: [] for name in ("floor", *COMMANDS)}
        for _ in range(rounds):
            took["floor"].append(seconds(FLOOR))
            for name, words in COMMANDS.items():
                took[name].append(seconds([*program, *words]))
    for name, times in took.items():
        ratios = [one / floor for one, floor in zip(times, took["floor"], strict=True)]
        print(
            f"{name:<8} {statistics.median(times) * 1000:5.0f} ms"
            f"   {statistics.median(ratios):.2f} floors ({min(ratios):.2f} to {max(ratios):.2f})"
        )


if __name__ == "__main__":
    main()
