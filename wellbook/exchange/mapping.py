"""Which column of a file is what, as it is kept and read by.

Nothing is guessed in silence. A length whose header names no unit has to be given one, since a
depth of 150 is a fair well in feet and in metres; a flow without a unit is left out, and said to
be.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from wellbook.dates import When
from wellbook.errors import WellbookError
from wellbook.hole.fields import field_types
from wellbook.hole.parts import PARTS
from wellbook.hole.readings import READINGS
from wellbook.quantities import split_suffix
from wellbook.terms import IntervalKind, MeasuringPoint

_TELLS_NOTHING = frozenset(
    "drilled_on measured_on sealed_on visit.on notes visit.notes visit.reason".split()
)
"""Targets that a file of any other program has as well: a day and some words."""
DATES = frozenset({"drilled_on", "measured_on", "sealed_on", "visit.on"})
STRETCHES = (IntervalKind.CASING, IntervalKind.LINER, IntervalKind.SCREEN)

OF_THE_WELL = (
    *("key", "permit_no", "name", "latitude", "longitude", "road", "town", "region"),
    *("drilled_on", "measured_on", "sealed_on", "driller", "construction", "use"),
    *("depth_ft", "water_level_ft", "level_point", "yield_gpm", "stick_up_ft", "flowing", "notes"),
    *(f"{s}_{what}" for s in STRETCHES for what in ("from_ft", "to_ft", "diameter_in", "material")),
    *("casing_code", "postcode", "access", "well_head", "tag", "equipment"),
)
"""What a column may say of the well itself and of its place."""

OF_A_CUSTOMER = (
    *("customer.name", "customer.first_name", "customer.last_name"),
    *("customer.phone", "customer.phone_2", "customer.phone_3"),
    *("customer.email", "customer.email_2", "customer.post", "customer.notes"),
)
"""What a column may say of whoever is there."""

OF_A_VISIT = (
    *("visit.on", "visit.reason", "visit.crew", "visit.notes"),
    *(f"visit.{name}" for name in sorted(READINGS)),
)
"""What a column may say of one visit: of a reading, under its name in a visit sheet."""

OF_A_PART = {
    f"{kind}.{name}": (kind, name)
    for kind, part in PARTS.items()
    for name in (*field_types(part), "set_on")
}
"""What a column may say of what is down the hole: named as in a visit sheet, `pump.set_depth_ft`."""

TARGETS = (*OF_THE_WELL, *OF_A_CUSTOMER, *OF_A_VISIT, *OF_A_PART)
"""All that a column may be read as."""

_OF_A_PLACE = frozenset(
    {
        "key",
        "name",
        "road",
        "town",
        "region",
        "postcode",
        "latitude",
        "longitude",
        "access",
        "notes",
    }
)


@dataclass(frozen=True, slots=True)
class Column:
    """Where a target stands: a header, or a number from 1 where there is no header.

    `more` are further columns whose cells follow the first one's (`cells_joined`): the street behind its
    number, the unit behind its yield.
    `confidence` (0 to 1) and `why` ("by its header", "by its values", "header and values") say what
    a proposal rests on. They are no part of what is read, and two columns are equal without them.
    """

    name: str
    unit: str = ""
    point: MeasuringPoint | None = None
    confidence: float = field(default=1.0, compare=False)
    why: str = field(default="", compare=False)
    more: tuple[str, ...] = ()

    @property
    def names(self) -> tuple[str, ...]:
        """All its columns, in the order in which they are read."""
        return (self.name, *self.more)

    @property
    def label(self) -> str:
        """What it is called on a screen."""
        return " + ".join(self.names)


@dataclass(frozen=True)
class WellMapping:
    """What to read from a file, and as what. `header_row` 0 is a file without headers; of two
    `header_lines` it is the lower.

    `source` says whose numbers the wells have: in all files of one source a number is one well.
    `table` tells these files apart, so that each may change what it said itself, and no more.
    `form` is that of the file, "csv", "xlsx" or "vcard"; `sheet` is the one of a workbook, `escape`
    the sign before a quote within quotes where it is not written twice.
    `date_order` ("dmy", "mdy") and `decimal` ("," or ".") are "" where nobody has said and the file
    does not tell; `grounds` says what each rests on. `bare` has the first number without a unit of each
    target of which nothing says one: where every cell bears its own, none is wanted.
    """

    source: str
    table: str
    columns: Mapping[str, Column]
    form: str = "csv"
    sheet: str = ""
    encoding: str = "utf-8-sig"
    delimiter: str = ","
    escape: str = ""
    header_row: int = 1
    header_lines: int = 1
    date_order: str = ""
    decimal: str = ""
    prefix: str | None = None
    bare: Mapping[str, str] = field(default_factory=dict, compare=False)
    left_out: tuple[tuple[str, str], ...] = field(default=(), compare=False)
    grounds: Mapping[str, str] = field(default_factory=dict, compare=False)

    @property
    def name(self) -> str:
        """How the book names this table of this source."""
        return f"{self.source} / {self.table}"

    @property
    def people(self) -> bool:
        """Whether the file names customers."""
        return any(target in OF_A_CUSTOMER for target in self.columns)

    @property
    def kind(self) -> str:
        """What the file is a list of: "visits", "wells" or "customers"."""
        if "visit.on" in self.columns:
            return "visits"
        of_wells = any(t not in _OF_A_PLACE and t not in OF_A_CUSTOMER for t in self.columns)
        return "customers" if self.people and not of_wells else "wells"

    def with_unit(self, unit: str) -> WellMapping:
        """The same with a unit for the lengths that have none."""
        return replace(
            self,
            columns={
                target: replace(c, unit=unit) if not c.unit and unit_of(target) == "ft" else c
                for target, c in self.columns.items()
            },
        )

    def named(self, column: Column) -> str:
        """What a column is called on a screen: by its number where the file has no headers."""
        return column.label if self.header_row else f"column {column.label}"

    def check(self) -> None:
        """Refuse what cannot be read by: a number without a unit, or nothing to read."""
        missing = {
            t: f"{self.named(c)} ({self.bare[t]})"
            for t, c in self.columns.items()
            if t in self.bare and not c.unit
        }
        lengths = [name for target, name in missing.items() if unit_of(target) == "ft"]
        if lengths:
            raise WellbookError(
                f"no unit is named for {', '.join(lengths)}; say --unit ft or --unit m,"
                " or write it into a mapping file (--keep-mapping FILE makes one)",
                where="--unit",
            )
        for target, name in missing.items():
            column = self.columns[target].name
            told = f'{target} = {{ column = "{column}", unit = "{unit_of(target)}" }}'
            raise WellbookError(
                f"no unit is named for {name}; write it, such as {told}", where="--mapping"
            )
        if not self.columns:
            raise WellbookError(
                "no column of this file is known; name them in a mapping file", where="--mapping"
            )
        # Numbers of wells, and nothing of them, belong to another table.
        if self.columns.keys() <= _TELLS_NOTHING or self.columns.keys() == {"key"}:
            known = ", ".join(f"'{name}'" for c in self.columns.values() for name in c.names)
            raise WellbookError(
                f"this is no list of wells, customers or visits as it seems: only {known} is known;"
                " if it is one, say in a mapping file which column names the well or customer",
                where="--mapping",
            )


def unit_of(target: str) -> str:
    """The unit in which a target is kept: read from its name.

    >>> unit_of("casing_diameter_in"), unit_of("pump.hp"), unit_of("town"), unit_of("cable.awg")
    ('in', 'hp', '', '')
    """
    return split_suffix(target.rpartition(".")[2])[1]


def usual_unit(target: str) -> str:
    """The unit that a number without one is in, where the trade knows no other; "" where it does.

    Diameters are told in inches wherever wells are in feet; volts and amperes are what they are.

    >>> usual_unit("casing_diameter_in"), usual_unit("motor.supply_v"), usual_unit("depth_ft")
    ('in', 'v', '')
    """
    unit = unit_of(target)
    return unit if unit in ("in", "v", "a") else ""


def is_date(target: str) -> bool:
    """Whether a column holds dates.

    >>> is_date("sealed_on"), is_date("cable.made"), is_date("pump.hp")
    (True, True, False)
    """
    if target not in OF_A_PART:
        return target in DATES
    kind, name = OF_A_PART[target]
    return name == "set_on" or field_types(PARTS[kind])[name] is When


def places_of(column: Column, headers: Sequence[str]) -> tuple[int, ...]:
    """The places of its columns in a row, from 0.

    Raises
    ------
    WellbookError
        If the file has no such column.
    """
    return tuple(_place_of(name, headers) for name in column.names)


def _place_of(name: str, headers: Sequence[str]) -> int:
    if name in headers:
        return headers.index(name)
    if not headers and name.isdigit() and int(name) > 0:
        return int(name) - 1
    raise WellbookError(f"the file has no column '{name}'", where="--mapping")
