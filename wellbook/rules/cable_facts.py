"""What is known of a cable's age and wear, and what is done about either."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Final

from wellbook.dates import When
from wellbook.hole.component import Component
from wellbook.hole.hole import Hole
from wellbook.hole.parts import Cable

REPLACE: Final = "when the string is up, replace the cable"


def born(component: Component, cable: Cable) -> When:
    """When a cable was new: its own age where known, else when it was set."""
    return cable.made if cable.made is not None and cable.made.known else component.set_on


Counts = tuple[tuple[date, int], ...]
"""What was counted at each inspection, oldest first."""


@dataclass(frozen=True, slots=True)
class Wear:
    """Splices and rubs of one cable, as they were counted; the latest count is what it has."""

    splice_counts: Counts
    rub_counts: Counts

    @property
    def splices(self) -> int | None:
        """How many splices it has; None where they were never counted."""
        return self.splice_counts[-1][1] if self.splice_counts else None

    @property
    def splices_on(self) -> date | None:
        """When they were counted, or the last of them made."""
        return self.splice_counts[-1][0] if self.splice_counts else None

    @property
    def rubs(self) -> int | None:
        """How many rubs it has; None where they were never counted."""
        return self.rub_counts[-1][1] if self.rub_counts else None

    @property
    def rubs_on(self) -> date | None:
        """When they were counted."""
        return self.rub_counts[-1][0] if self.rub_counts else None


def wear(hole: Hole, component: Component) -> Wear:
    """What was counted at the inspections, splices added since included."""
    splices: list[tuple[date, int]] = []
    rubs: list[tuple[date, int]] = []
    rows = [i for i in hole.inspections if i.component_uid == component.uid]
    for row in sorted(rows, key=lambda i: i.on):
        before = splices[-1][1] if splices else 0
        counted = before if row.splices is None else row.splices
        if row.splices is not None or row.splices_added:
            splices.append((row.on, counted + row.splices_added))
        if row.rubs is not None:
            rubs.append((row.on, row.rubs))
    return Wear(tuple(splices), tuple(rubs))


def reached_on(counts: Counts, limit: float) -> date | None:
    """Since when a count has been as high as a limit without a break; None where it is lower."""
    begun: date | None = None
    for on, count in counts:
        begun = (begun or on) if count >= limit else None
    return begun
