"""What a file says of a row and of a well, before any of it is in the book."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from wellbook.dates import When
from wellbook.exchange.past_visits import joined
from wellbook.exchange.person import Person
from wellbook.hole.places import MANY
from wellbook.likeness.roads import RoadFit, compare_roads
from wellbook.terms import IntervalKind, LevelState, MeasuringPoint, Quantity

HOUSE = "H"
"""With this letter begins a made key of a house, of which the rows may be of several wells."""
Parts = dict[str, list[dict[str, str]]]
"""What is said to be down the hole, by kind, as the tables of a visit sheet have it."""


@dataclass(frozen=True, slots=True)
class Remark:
    """What is wrong, or doubtful, in one cell."""

    row: int
    column: str
    value: str
    reason: str


def reason_of(remarks: Iterable[Remark]) -> str:
    """Why a row is refused, on one line."""
    return "; ".join(f"{x.column}: {x.reason}".removeprefix(": ") for x in remarks)


@dataclass(frozen=True, slots=True)
class Reading:
    """A value of a well."""

    quantity: Quantity
    value: float
    when: When
    point: MeasuringPoint | None = None
    state: LevelState | None = None


@dataclass(frozen=True, slots=True)
class Stretch:
    """A stretch of the bore."""

    kind: IntervalKind
    from_ft: float | None
    to_ft: float | None
    diameter_in: float | None
    material: str
    when: When


@dataclass(frozen=True, slots=True)
class Said:
    """What one row says of a fact that stays, in its words, and as of when."""

    row: int
    column: str
    text: str
    value: object
    when: When
    target: str

    @property
    def age(self) -> tuple[date, date]:
        """By which the newer of two is told, as it is of readings; without a date it is older."""
        return self.when.latest or date.min, self.when.earliest or date.min

    def same(self, other: Said) -> bool:
        """Whether both may be right: case and the short forms of a road are nothing, and a year has its
        days."""
        mine, theirs = self.value, other.value
        if isinstance(mine, When) and isinstance(theirs, When):
            return mine.within(theirs) or theirs.within(mine)
        if isinstance(mine, str) and isinstance(theirs, str):
            if self.target == "road" and compare_roads(mine, theirs) is RoadFit.SAME:
                return True
            return mine.lower() == theirs.lower()
        return mine == theirs


@dataclass(slots=True)
class WellRecord:
    """One well as a file has it, from one row or several.

    `key` is the source's number in one spelling, `spelled` as the file has it first. `facts` are
    those that stay, by their targets, and what is one of its kind down the hole, by target and day.
    What is down the hole stands by the day on which the record says so, None where it names none:
    each day becomes an opening sheet. `visits` are the documents of visit sheets by their days. A record
    without a well is of a customer, a property or both. `equipment` is free text, which is read only
    where somebody decides so. `second` is another well of a house and a customer, as its rows say.
    """

    key: str
    spelled: str
    key_column: str
    own_key: bool
    well: dict[str, Any]
    site: dict[str, Any]
    readings: list[Reading] = field(default_factory=list)
    stretches: list[Stretch] = field(default_factory=list)
    parts: dict[date | None, Parts] = field(default_factory=dict)
    notes: list[str] = field(default_factory=list)
    rows: list[int] = field(default_factory=list)
    facts: dict[tuple[str, date | None], Said] = field(default_factory=dict)
    tag: str = ""
    has_well: bool = True
    person: Person | None = None
    visits: dict[date, dict[str, Any]] = field(default_factory=dict)
    equipment: list[tuple[str, date | None]] = field(default_factory=list)
    second: bool = False

    def join(self, other: WellRecord) -> list[Remark]:
        """Take in another row of the same well; what the two say against each other.

        Of two that differ the one of the newer date is kept, else the first.
        """
        remarks = [*self._spellings(other), *self._contradictions(other)]
        for mine, theirs in ((self.well, other.well), (self.site, other.site)):
            for name, value in theirs.items():
                mine.setdefault(name, value)
        self.readings += [r for r in other.readings if r not in self.readings]
        self.stretches += [s for s in other.stretches if s not in self.stretches]
        self.notes += [n for n in other.notes if n not in self.notes]
        self.equipment += [x for x in other.equipment if x not in self.equipment]
        self.rows += other.rows
        self.has_well = self.has_well or other.has_well
        self.tag = self.tag or other.tag
        if self.person is None:
            self.person = other.person
        elif other.person is not None:
            self.person.join(other.person)
        for on, visit in other.visits.items():
            self.visits[on] = joined(self.visits[on], visit) if on in self.visits else visit
        for day, parts in other.parts.items():
            for kind, said in parts.items():
                known = self.parts.setdefault(day, {}).setdefault(kind, [])
                if kind in MANY or not known:
                    known += [p for p in said if p not in known]
                else:
                    known[0] = {**said[0], **known[0]}
        return remarks

    def _spellings(self, other: WellRecord) -> Iterator[Remark]:
        if other.spelled != self.spelled:
            reason = f"taken as the same well as '{self.spelled}' of row {self.rows[0]}"
            yield Remark(other.rows[0], other.key_column, other.spelled, reason)

    def _contradictions(self, other: WellRecord) -> Iterator[Remark]:
        for name, theirs in other.facts.items():
            mine = self.facts.setdefault(name, theirs)
            if mine.same(theirs):
                continue
            newer = theirs.age > mine.age
            why = "the first" if theirs.age == mine.age else "of the newer date"
            kept = f"{'this' if newer else 'that'} one is kept, {why}"
            yield Remark(
                theirs.row, theirs.column, theirs.text, f"row {mine.row} says '{mine.text}'; {kept}"
            )
            if newer:
                self.facts[name] = theirs
            self._settle(name[0], other, newer=newer, dated=theirs.age != mine.age)

    def _settle(self, target: str, other: WellRecord, *, newer: bool, dated: bool) -> None:
        """Leave one value of a fact. Depths of two days stay both: the newer counts when read."""
        if target == "depth_ft":
            if not dated:
                other.readings = [r for r in other.readings if r.quantity != Quantity.DEPTH_FT]
            return
        name = target.removesuffix("_on")
        for mine, theirs in ((self.well, other.well), (self.site, other.site)):
            if newer and name in theirs:
                mine[name] = theirs[name]

    @property
    def of_a_house(self) -> bool:
        """Whether only its house tells which well it is."""
        return not self.own_key and self.key.startswith(HOUSE)

    def digest(self) -> str:
        """The sum of all that is said, by which it is known again."""
        parts = sorted((str(day or ""), said) for day, said in self.parts.items())
        said: list[Any] = [self.well, self.site, self.readings, self.stretches, parts, self.notes]
        said += [x for x in (self.person, self.visits_in_order(), self.tag) if x]
        return hashlib.sha256(_as_json(said).encode()).hexdigest()

    def visits_in_order(self) -> list[tuple[str, dict[str, Any]]]:
        """The visits by their days."""
        return [(day.isoformat(), self.visits[day]) for day in sorted(self.visits)]

    def take(self, said: dict[str, str], day: date | None) -> None:
        """Take in what was read from free text; what a column says already counts before it."""
        for target, value in said.items():
            kind, _, name = target.partition(".")
            known = self.parts.setdefault(day, {}).setdefault(kind, [{}])
            known[0].setdefault(name, value)


def _spelled(value: Any) -> Any:
    # Only the words of a date: "12 years old" read again next year says the same.
    if isinstance(value, When):
        return value.text
    return [getattr(value, name) for name in value.__slots__]


_as_json = json.JSONEncoder(default=_spelled, sort_keys=True).encode


@dataclass(frozen=True, slots=True)
class Row:
    """A row: its record, or why it has none."""

    number: int
    cells: tuple[str, ...]
    record: WellRecord | None
    refusals: tuple[Remark, ...] = ()
    doubts: tuple[Remark, ...] = ()


def sheet_tables(parts: Parts) -> dict[str, Any]:
    """Parts as the `down` tables of a sheet: one part of a kind as a table, several as a list.

    >>> sheet_tables({"pump": [{"hp": "1/2"}]})
    {'pump': {'hp': '1/2'}}
    """
    return {kind: said[0] if len(said) == 1 else said for kind, said in parts.items()}
