"""What a merge comes to, for whoever looks at it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from wellbook.exchange.merging.sides import Plan
from wellbook.exchange.merging.words import Shown


@dataclass(frozen=True, slots=True)
class Count:
    """What becomes of one table: rows that come in, are changed, go, or are otherwise only here."""

    table: str
    new: int
    changed: int
    taken_out: int


@dataclass(frozen=True, slots=True)
class FileComing:
    """A file of a well that comes in: the sum of its content, its name and the well's tag."""

    sha256: str
    file_name: str
    tag: str


@dataclass(slots=True)
class Merged:
    """What a merge comes to.

    Parameters
    ----------
    lines
        How many lines of the other's change log this book lacked.
    forgotten
        How many people were forgotten in the other book.
    joined
        How many doubles were joined in the other book, and now are here too.
    visits
        The first of the visits, calls and opening records that come in, in words.
    files
        The files of wells whose rows come in; whoever has the books brings their content.
    """

    counts: list[Count] = field(default_factory=list)
    conflicts: list[Shown] = field(default_factory=list)
    lines: int = 0
    forgotten: int = 0
    joined: int = 0
    visits: list[str] = field(default_factory=list)
    files: list[FileComing] = field(default_factory=list)

    @property
    def undecided(self) -> list[Shown]:
        """The conflicts that wait for a decision."""
        return [one for one in self.conflicts if not one.decision]

    @property
    def nothing_new(self) -> bool:
        """Whether this book has all that the other one has."""
        return not (self.counts or self.conflicts or self.lines or self.forgotten or self.joined)


def counts_of(plan: Plan) -> Iterator[Count]:
    """The tables of which something comes in, is changed or goes."""
    for table, part in plan.tables.items():
        numbers = len(part.insert), len(part.update), len(part.delete)
        if any(numbers):
            yield Count(table, *numbers)
