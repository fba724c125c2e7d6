"""Eight processes write into one book at once, on either engine: all that was confirmed is there."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

SCRIPT = Path(__file__).parents[2] / "benchmarks" / "eight_writers.py"


def test_nothing_is_lost_and_nobody_is_refused(place: str) -> None:
    """The script counts what was confirmed and what is there; here its counts are held to the rounds."""
    rounds = 1
    command = [sys.executable, str(SCRIPT), place, "--rounds", str(rounds)]
    ran = subprocess.run(command, capture_output=True, text=True, check=False)
    assert (ran.returncode, ran.stderr) == (0, ""), ran.stdout
    counts = {what: int(n) for n, what in re.findall(r"(\d+) ([a-z ]+?)(?:,|$)", _told(ran.stdout))}
    each = 8 * rounds
    assert counts == {
        **dict.fromkeys(
            ("call", "contact", "correction", "edit", "list", "look", "note", "one more"), each
        ),
        "visit": 2 * each,
        "setting": rounds,
        "import": rounds,
    }
    assert "refused: 0; lost: 0; ledger equal" in ran.stdout


def _told(out: str) -> str:
    return out.splitlines()[0].split(" s: ")[1]
