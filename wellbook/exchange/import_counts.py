"""What became of the rows of a file, in numbers."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(slots=True)
class Counts:
    """The rows by what became of them, what was made, and what became of the wells' roles."""

    rows: int = 0
    wells: int = 0
    written: int = 0
    unchanged: int = 0
    changed: int = 0
    skipped: int = 0
    refused: int = 0
    new_customers: int = 0
    new_properties: int = 0
    new_wells: int = 0
    new_sheets: int = 0
    new_readings: int = 0
    made_ours: int = 0
    stay_ours: int = 0
    forgotten: int = 0
    run: int = 0

    @property
    def nothing_new(self) -> bool:
        """Whether the book has all that could come in."""
        return not (self.written or self.changed or self.made_ours)

    @property
    def by_row(self) -> dict[str, int]:
        """What is kept of a run."""
        names = ("rows", "written", "unchanged", "changed", "skipped", "refused")
        return {name: getattr(self, name) for name in names}
