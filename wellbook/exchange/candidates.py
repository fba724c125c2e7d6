"""A column that may be a target, and how sure that is."""

from __future__ import annotations

from dataclasses import dataclass

FOR, _AGAINST = 0.8, 0.1
"""Shares of the cells that could be a target's, from which on they speak for it, or against it."""
_FEWEST = 3
"""Cells: fewer speak against nothing."""
_SURE = 0.99


@dataclass(frozen=True, slots=True)
class Candidate:
    """A column that may be a target, how sure, and what its cells say."""

    target: str
    at: int
    by_header: float
    fits: float | None
    values: int

    @property
    def speaks(self) -> str:
        """Whether the cells speak "for" it, "against" it, or not."""
        if self.fits is None or not self.values:
            return ""
        if self.fits >= FOR:
            return "for"
        return "against" if self.fits <= _AGAINST and self.values >= _FEWEST else ""

    @property
    def confidence(self) -> float:
        """From 0 to 1, of the header and the cells together."""
        told = {"for": 0.08, "against": -0.6}.get(self.speaks, 0.0)
        return min(_SURE, self.by_header + told)
