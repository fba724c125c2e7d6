"""Whole processes, in processor time: what else the machine does counts for little."""

from __future__ import annotations

import resource
import subprocess
from collections.abc import Sequence


def processor_seconds() -> float:
    """How much processor time all processes had so far that were run to their end; a timer."""
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def run(command: Sequence[str]) -> None:
    """Run a command to its end."""
    subprocess.run(command, check=True, stdout=subprocess.DEVNULL)
