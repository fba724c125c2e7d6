"""What a sheet says, once it is read: one frozen shape for each kind of statement.

`sheet` reads and checks a document into these; `replay` works out the string from them.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date

from wellbook.dates import When
from wellbook.engineering.analytes import Result
from wellbook.terms import (
    IN_THE_HOLE,
    REWORKED,
    Bacteria,
    Basis,
    Cause,
    FoundKind,
    IntervalKind,
    Kind,
    LevelState,
    MeasuringPoint,
    Quantity,
    Reason,
    Severity,
    SheetKind,
)


@dataclass(frozen=True, slots=True)
class PartSaid:
    """One part that was set, went back down, or is said to be there: only the fields given."""

    kind: Kind
    values: Mapping[str, object]
    basis: Basis
    set_on: When | None = None
    splices_added: int = 0
    note: str = ""


@dataclass(frozen=True, slots=True)
class Pulled:
    """One part (or all sections of a kind) that came out for good, and why."""

    kind: Kind
    values: Mapping[str, object]
    basis: Basis
    why: str = ""
    cause: Cause | None = None
    set_on: When | None = None


@dataclass(frozen=True, slots=True)
class FoundSaid:
    """One thing found."""

    what: FoundKind
    part: Kind | None = None
    depth_ft: float | None = None
    count: int | None = None
    severity: Severity | None = None
    note: str = ""


@dataclass(frozen=True, slots=True)
class Measured:
    """One value measured or told."""

    quantity: Quantity
    value: float | None
    basis: Basis
    when: When
    point: MeasuringPoint | None = None
    state: LevelState | None = None
    method: str = ""
    at_gpm: float | None = None
    minutes: float | None = None


@dataclass(frozen=True, slots=True)
class IntervalSaid:
    """A stretch of the bore."""

    kind: IntervalKind
    from_ft: float | None
    to_ft: float | None
    diameter_in: float | None
    material: str
    basis: Basis
    pressure_psi: float | None = None
    volume_gal: float | None = None


@dataclass(frozen=True, slots=True)
class SampleSaid:
    """A water sample and its results."""

    taken_on: When
    bacteria: Bacteria | None = None
    laboratory: str = ""
    note: str = ""
    results: Mapping[str, Result] = field(default_factory=dict)
    """An analyte's word -> what the laboratory said of it."""


@dataclass(frozen=True, slots=True)
class Sheet:
    """One checked sheet. `end` is None while the job is still open."""

    kind: SheetKind
    start: date
    end: date | None
    reason: Reason
    basis: Basis
    crew: tuple[str, ...] = ()
    pulled: tuple[Pulled, ...] = ()
    back: tuple[PartSaid, ...] = ()
    set: tuple[PartSaid, ...] = ()
    down: tuple[PartSaid, ...] = ()
    found: tuple[FoundSaid, ...] = ()
    measured: tuple[Measured, ...] = ()
    bore: tuple[IntervalSaid, ...] = ()
    samples: tuple[SampleSaid, ...] = ()
    left_without_pump: bool = False
    left_for_next_time: str = ""
    disinfected: bool = False
    notes: str = ""
    as_of: When | None = None
    """Of an opening record: the date of the paper that it was copied from, as far as it is known."""

    @property
    def known_by(self) -> date:
        """The day by which what it says was so: its own, or the paper's where that has one."""
        paper = None if self.as_of is None else self.as_of.latest
        return self.start if paper is None else min(paper, self.start)

    @property
    def tells_from(self) -> date:
        """The day from which it may tell: a paper that may be older than other sheets is taken to be.

        Otherwise what an old paper says would be taken for what hangs there since. It is no older
        than the newest date that stands on it.
        """
        if self.as_of is None:
            return self.start
        return max([self.as_of.earliest or date.min, *self._dates_of_parts()])

    def _dates_of_parts(self) -> Iterator[date]:
        for part in self.down:
            made = (v for name, v in part.values.items() if name != "warranty_until")
            for when in (part.set_on, *made):
                if isinstance(when, When) and when.earliest is not None:
                    yield when.earliest

    @property
    def opened(self) -> bool:
        """Whether the well was opened: anything pulled, set or put down it."""
        moved = {m.kind for m in self.pulled} | {m.kind for m in (*self.back, *self.set)}
        return (
            bool(moved & IN_THE_HOLE)
            or self.reason in REWORKED
            or any(f.what in (FoundKind.SPLICE, FoundKind.RUB) for f in self.found)
        )
