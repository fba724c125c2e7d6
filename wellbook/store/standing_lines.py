"""Which lines of the change log about one column still tell of what was done, and was not undone."""

from __future__ import annotations

import json
from collections.abc import Iterable
from typing import Any

from wellbook.store.rows import UNDO, Record


def standing_lines(lines: Iterable[Record], column: str) -> list[tuple[Record, Any]]:
    """Of lines about one row, oldest first, those that gave a column a value, each with it.

    A line that was undone is as if it had never been, and one that was then done again stands as it
    stood: since when a well feeds a system, and who last said how it stands, hang on these lines.
    """
    stands: list[tuple[Record, Any, Any]] = []
    undone: list[tuple[Record, Any, Any]] = []
    for line in lines:
        old, new = (json.loads(line[name] or "{}") for name in ("old", "new"))
        if column not in new:
            continue
        was, is_now = old.get(column), new[column]
        if line["action"] != UNDO:
            stands.append((line, was, is_now))
            undone.clear()
        elif stands and stands[-1][1:] == (is_now, was):
            undone.append(stands.pop())
        elif undone and undone[-1][1:] == (was, is_now):
            stands.append(undone.pop())
    return [(line, value) for line, _, value in stands]
