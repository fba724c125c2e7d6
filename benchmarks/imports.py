"""What a command loads before it does anything, and what that takes: each library with all that it brings along.

As a share of all that is loaded, which another program on the machine changes less than times. Of our own
packages each module counts for itself; a library, for all that was first loaded by it, also of Python's own.

    python benchmarks/imports.py [ROUNDS]
"""

from __future__ import annotations

import os
import re
import statistics
import subprocess
import sys
import tempfile
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

COMMANDS = (["--help"], ["find", "orla", "0131"], ["due"], ["hole", "TF-0031"])
SHOWN = 12
_LINE = re.compile(r"import time:\s+(\d+) \|\s+\d+ \|( +)(\S+)")


def loaded(words: list[str]) -> Iterator[tuple[str, int]]:
    """Each module that a command loads: what it is counted to, and its own microseconds."""
    command = [sys.executable, "-X", "importtime", "-m", "wellbook", *words]
    done = subprocess.run(command, check=True, capture_output=True, text=True)
    above: list[tuple[int, str]] = []
    # A module stands below all that it loaded: read from the end, what loaded it comes first.
    for took, indent, name in reversed(_LINE.findall(done.stderr)):
        while above and above[-1][0] >= len(indent):
            above.pop()
        group = _group(name, above[-1][1] if above else "")
        above.append((len(indent), group))
        yield group, int(took)


def _group(name: str, loaded_by: str) -> str:
    first, *rest = name.split(".")
    if first == "wellbook":
        return ".".join([first, *rest[: 1 if len(rest) > 1 else 0]])
    if loaded_by and not loaded_by.startswith(("wellbook", "Python")):
        return loaded_by
    return "Python" if first in sys.stdlib_module_names else first


def main() -> None:
    """For each command the dearest, by the median of their shares."""
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else 9
    with tempfile.TemporaryDirectory() as folder:
        os.environ["WELLBOOK_BOOK"] = str(Path(folder) / "demo.book")
        os.environ["PYTHONPYCACHEPREFIX"] = str(Path(folder) / "byte-code")
        os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
        demo = [sys.executable, "-m", "wellbook", "demo"]
        subprocess.run(demo, check=True, capture_output=True)
        for words in COMMANDS:
            _show(words, [list(loaded(words)) for _ in range(rounds + 1)][1:])


def _show(words: list[str], runs: list[list[tuple[str, int]]]) -> None:
    shares: dict[str, list[float]] = {}
    for run in runs:
        took: Counter[str] = Counter()
        for group, microseconds in run:
            took[group] += microseconds
        for group, microseconds in took.items():
            shares.setdefault(group, []).append(microseconds / took.total())
    modules = Counter(group for group, _ in runs[0])
    print(f"wellbook {' '.join(words)}: {modules.total()} modules")
    by_share = sorted(shares.items(), key=lambda item: -statistics.median(item[1]))
    for group, of_all in by_share[:SHOWN]:
        print(f"  {statistics.median(of_all):4.0%}  {group} ({modules[group]})")


if __name__ == "__main__":
    main()
