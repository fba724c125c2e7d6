"""What the sheets of a water system come to, and what a sheet tells without any other.

Which part hangs where depends on all sheets before it (`replay`). A reading, a finding, a sample and a
stretch of the bore stand for themselves.
"""

from __future__ import annotations

import uuid
from dataclasses import dataclass, field
from datetime import date
from hashlib import sha1

from wellbook.dates import When
from wellbook.hole.component import Component
from wellbook.hole.records import Found, Inspection, Interval, Observation, Sample
from wellbook.hole.said import Sheet
from wellbook.terms import IntervalKind, Reason, SheetKind

_NAMESPACE = uuid.UUID("5f0c4f0e-6f0b-5c55-9d0e-6a1f3b1d7c11")


@dataclass(frozen=True, slots=True)
class Recorded:
    """A valid sheet with its identity. A correction keeps the root of the sheet that it corrects,
    so that what was worked out from it keeps its identity too."""

    root_uid: str
    well_uid: str
    sheet: Sheet
    entered: int = 0
    """The line of the change log in which its first version came in: the first to tell of a part
    gives it its name."""
    joined: int = field(default=0, kw_only=True)
    """The line in which its well came to this water system; 0 where it never had another."""
    reopened: bool = field(default=False, kw_only=True)
    """Of a decommissioning: whether somebody wrote since that the well is open again."""

    @property
    def place(self) -> tuple[date, int, int]:
        """Where it stands in the replay: by date, the opening record first, then as entered."""
        first = 0 if self.sheet.kind is SheetKind.OPENING else 1
        return (self.sheet.tells_from, first, self.entered)

    @property
    def name(self) -> str:
        """How a message names the sheet."""
        if self.sheet.kind is SheetKind.OPENING:
            return f"the opening record of {self.sheet.start}"
        return f"the {self.sheet.reason.label} {self.sheet.kind.label} of {self.sheet.start}"


@dataclass(slots=True)
class Story:
    """What the sheets of one water system come to."""

    components: list[Component] = field(default_factory=list)
    observations: list[tuple[str, Observation]] = field(default_factory=list)
    intervals: list[tuple[str, Interval]] = field(default_factory=list)
    inspections: list[tuple[str, Inspection]] = field(default_factory=list)
    found: list[tuple[str, Found]] = field(default_factory=list)
    samples: list[tuple[str, Sample]] = field(default_factory=list)


def derived_uid(root_uid: str, *path: object) -> str:
    """The identity of a row that follows from a sheet: the same after every replay.

    >>> derived_uid("a", "set", 0) == derived_uid("a", "set", 0)
    True
    """
    path_text = "/".join(map(str, (root_uid, *path)))
    made = bytearray(
        sha1(_NAMESPACE.bytes + path_text.encode(), usedforsecurity=False).digest()[:16]
    )
    # A name-based UUID, version 5 (RFC 9562, section 5.5), without the object that Python makes of it.
    made[6] = made[6] & 0x0F | 0x50
    made[8] = made[8] & 0x3F | 0x80
    return made.hex()


def tell(story: Story, one: Recorded) -> None:
    """Add to a story what a sheet read, found and sampled."""
    _tell_found(story, one)
    _tell_readings(story, one)


def _tell_found(story: Story, one: Recorded) -> None:
    for n, said in enumerate(one.sheet.found):
        uid = derived_uid(one.root_uid, "found", n)
        seen = Found(
            uid,
            one.sheet.start,
            said.what,
            said.part,
            said.depth_ft,
            said.count,
            said.severity,
            said.note,
            one.root_uid,
        )
        story.found.append((one.well_uid, seen))


def _tell_readings(story: Story, one: Recorded) -> None:
    root, well, sheet = one.root_uid, one.well_uid, one.sheet
    for n, m in enumerate(sheet.measured):
        made = Observation(
            derived_uid(root, "measured", n),
            m.quantity,
            m.value,
            m.when,
            m.basis,
            m.point,
            m.state,
            m.method,
            m.at_gpm,
            m.minutes,
            root,
        )
        story.observations.append((well, made))
    for n, b in enumerate(sheet.bore):
        interval = Interval(
            derived_uid(root, "bore", n),
            b.kind,
            b.from_ft,
            b.to_ft,
            b.diameter_in,
            b.material,
            b.basis,
            When.on(sheet.start) if b.kind is IntervalKind.FRACTURED else _since(sheet),
            root,
            b.pressure_psi,
            b.volume_gal,
        )
        story.intervals.append((well, interval))
    for n, s in enumerate(sheet.samples):
        sample = Sample(
            derived_uid(root, "sample", n),
            s.taken_on,
            s.bacteria,
            s.laboratory,
            s.note,
            root,
            sheet.basis,
            s.results,
        )
        story.samples.append((well, sample))


def _since(sheet: Sheet) -> When:
    """A casing seen today was there before: only a new or deepened well has it from that day."""
    if sheet.reason in (Reason.NEW_WELL, Reason.DEEPENING):
        return When.on(sheet.start)
    return When.between(None, sheet.known_by)
