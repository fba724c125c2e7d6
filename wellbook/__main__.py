"""The program, as `wellbook` and as `python -m wellbook`.

What is loaded stays until the end. So the collector of garbage looks for none while the program loads, and
none when it ends, which would take longer than most commands do.
"""

from __future__ import annotations

import gc

_OBJECTS_BEFORE_A_LOOK = 10_000
"""So many new objects are waited for, not some hundreds: a long list has as many, and none is garbage."""

_STOPPED = 130
"""Stopped at the keyboard (128 and the signal's number, as shells have it)."""


def main() -> None:
    """Load the program, run one command, and end with its exit status."""
    gc.disable()
    try:
        from wellbook.cli import main as command_line
    except KeyboardInterrupt:
        raise SystemExit(_STOPPED) from None

    gc.freeze()
    gc.set_threshold(_OBJECTS_BEFORE_A_LOOK)
    gc.enable()
    try:
        command_line()
    finally:
        gc.freeze()


if __name__ == "__main__":
    main()
