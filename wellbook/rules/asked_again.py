"""What many rules ask of one hole, worked out once.

A hole never changes, and the rules are gone through hole by hole: it is enough to remember the last.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import TypeVar

from wellbook.hole.hole import Hole

T = TypeVar("T")


def once_a_hole(function: Callable[[Hole], T]) -> Callable[[Hole], T]:
    """The function, which of the same hole (the very object) gives what it gave before."""
    last: tuple[Hole, T] | None = None

    @wraps(function)
    def asked(hole: Hole) -> T:
        nonlocal last
        # One read and one write, so that two threads that ask do not mix their holes.
        known = last
        if known is None or known[0] is not hole:
            last = known = (hole, function(hole))
        return known[1]

    return asked
