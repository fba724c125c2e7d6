"""What stands in a well's record beside its parts, as frozen dataclasses."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

from wellbook.dates import When
from wellbook.engineering.analytes import ANALYTES, BOTH, NITRATE, NITRITE, Result
from wellbook.engineering.curves import HeadCurve
from wellbook.engineering.water_figures import nitrogen
from wellbook.hole.facts import Fact
from wellbook.terms import (
    Bacteria,
    Basis,
    ContactWay,
    FoundKind,
    IntervalKind,
    Kind,
    LevelState,
    MeasuringPoint,
    PaperKind,
    Permission,
    Quantity,
    Reason,
    Severity,
    SheetKind,
)


@dataclass(frozen=True, slots=True)
class Observation:
    """One measured or told value of a well, with its date, basis, measuring point and state."""

    uid: str
    quantity: Quantity
    value: float | None
    when: When
    basis: Basis
    point: MeasuringPoint | None = None
    state: LevelState | None = None
    method: str = ""
    at_gpm: float | None = None
    minutes: float | None = None
    sheet_uid: str | None = None

    def fact(self) -> Fact:
        """The observation as a fact."""
        return Fact(
            self.value,
            self.quantity.unit,
            self.basis,
            self.when,
            self.point,
            self.state,
            self.method,
            self.uid,
        )


@dataclass(frozen=True, slots=True)
class Interval:
    """A stretch of the bore: casing, liner, screen, open hole, or a fractured zone."""

    uid: str
    kind: IntervalKind
    from_ft: float | None
    to_ft: float | None
    diameter_in: float | None
    material: str
    basis: Basis
    when: When
    sheet_uid: str | None = None
    pressure_psi: float | None = None
    """For a fractured zone: the pressure at which the rock opened, and the water that went in."""
    volume_gal: float | None = None


@dataclass(frozen=True, slots=True)
class Inspection:
    """What was counted on a cable at one visit, and what that visit added."""

    uid: str
    component_uid: str
    on: date
    splices: int | None
    rubs: int | None
    splices_added: int
    sheet_uid: str


@dataclass(frozen=True, slots=True)
class Found:
    """One thing found at a visit."""

    uid: str
    on: date
    what: FoundKind
    part: Kind | None
    depth_ft: float | None
    count: int | None
    severity: Severity | None
    note: str
    sheet_uid: str


@dataclass(frozen=True, slots=True)
class Sample:
    """A water sample and what the laboratory said of it; nothing of what was not looked for."""

    uid: str
    taken_on: When
    bacteria: Bacteria | None
    laboratory: str
    note: str
    sheet_uid: str | None
    basis: Basis = Basis.MEASURED
    results: Mapping[str, Result] = field(default_factory=dict, hash=False)
    """An analyte's word -> what the laboratory said of it, in the order of `ANALYTES`."""

    @property
    def compared(self) -> dict[str, Result]:
        """The results as they are held against figures: nitrate and nitrite also as their sum.

        The sum has a figure of its own, which both can be under and it above.
        """
        results = dict(self.results)
        if {NITRATE, NITRITE} <= set(results) and BOTH not in results:
            results[BOTH] = nitrogen(results[NITRATE], results[NITRITE])
        return {word: results[word] for word in ANALYTES if word in results}


@dataclass(frozen=True, slots=True)
class Visit:
    """A sheet as the well's record shows it: a visit, a call, or the opening record."""

    uid: str
    kind: SheetKind
    start: date
    end: date | None
    reason: Reason
    crew: tuple[str, ...]
    left_without_pump: bool
    left_for_next_time: str
    notes: str
    opened: bool
    disinfected: bool
    caller: str = ""
    caller_phone: str = ""
    symptom: str = ""
    promised: str = ""
    outcome: str = ""
    number: int = 0
    reopened: bool = False
    """Of a decommissioning: whether somebody wrote since that the well is open again."""


@dataclass(frozen=True, slots=True)
class Contact:
    """A way to reach a customer, and whether it may be used."""

    way: ContactWay
    value: str
    may_use: Permission


@dataclass(frozen=True, slots=True)
class Occupant:
    """A customer at a property, from and to."""

    customer_uid: str
    name: str
    since: When
    until: When | None
    contacts: tuple[Contact, ...]
    notes: str = ""
    contract_month: int | None = None
    """With a yearly contract: the month of the check-up, 1 to 12."""


@dataclass(frozen=True, slots=True)
class Paper:
    """A paper that a job owed and that was sent: of which sheet, when, to whom, by whom."""

    uid: str
    sheet_uid: str
    kind: PaperKind
    sent_on: date
    sent_to: str
    who: str


@dataclass(frozen=True, slots=True)
class AttachedFile:
    """A file that belongs to the well: a photograph, a laboratory's report, the driller's log.

    `sheet_uid` is the visit that it belongs to, if it does; `sha256` names its content.
    """

    uid: str
    number: int
    sheet_uid: str | None
    sha256: str
    name: str
    media_type: str
    size_bytes: int
    note: str
    added_on: date
    who: str


@dataclass(frozen=True, slots=True)
class Site:
    """The property where the well head stands."""

    uid: str
    road: str
    town: str
    region: str
    postcode: str
    latitude: float | None
    longitude: float | None
    access: str
    well_head: str
    notes: str


@dataclass(frozen=True, slots=True)
class OtherSite:
    """Another property that draws on the well: where it is, and who is and was there."""

    address: str
    occupants: tuple[Occupant, ...] = ()


@dataclass(frozen=True, slots=True)
class System:
    """What the well feeds: which other wells share it and how many properties draw on it."""

    uid: str
    name: str
    rise_to_tank_ft: float | None
    other_wells: tuple[str, ...]
    other_sites: tuple[OtherSite, ...]


@dataclass(frozen=True, slots=True)
class PumpModel:
    """A pump as its maker sells it, from the shop's own list.

    Parameters
    ----------
    maker, model
        As they stand on the plate.
    hp
        Rated motor power, horsepower.
    rated_gpm
        The flow that it is sold for, US gallons per minute.
    service_factor
        By how much the motor may be loaded above its rating: 1.5 is half as much again.
    service_factor_a
        Amperes at that load.
    curve
        Head by flow; None where the shop has no points of it.
    supply_v, phases
        What the motor is made for.
    """

    maker: str
    model: str
    hp: float
    rated_gpm: float
    service_factor: float | None = None
    service_factor_a: float | None = None
    curve: HeadCurve | None = None
    supply_v: float | None = None
    phases: int | None = None
    notes: str = ""

    @property
    def name(self) -> str:
        """Maker and model, as one says it."""
        return f"{self.maker} {self.model}"
