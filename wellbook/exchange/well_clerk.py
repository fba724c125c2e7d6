"""Rows of a file read as well records: each is checked, or refused with the column and the reason.

Blank and NA are not known. A depth of nothing is not known either, and counted as doubtful. A
negative depth, an impossible or future date and a place off the globe are refused: the whole row,
so that no well is half right. So are lines that are no well: totals, the header once more. A date
that can be two days is kept as between them. What is converted from another unit is rounded to one
place more than is shown, a hundredth of a foot. What is down the hole passes the check of any visit
sheet; a depth from the casing's top is brought to the ground by the stick-up.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterator
from datetime import date
from enum import StrEnum
from typing import Any

from wellbook import quantities
from wellbook.dates import When
from wellbook.exchange.cell_dates import as_iso
from wellbook.exchange.cell_kinds import is_blank
from wellbook.exchange.cell_places import degrees
from wellbook.exchange.csv_rows import FileRow
from wellbook.exchange.mapping import (
    DATES,
    OF_A_PART,
    STRETCHES,
    Column,
    WellMapping,
    index_of,
    is_date,
    unit_of,
)
from wellbook.exchange.past_visits import OF_THE_DAY, readings_of_a_visit, visit_document
from wellbook.exchange.person import Person, name_in, read_person
from wellbook.exchange.surveying import with_point
from wellbook.exchange.well_record import (
    HOUSE,
    Parts,
    Reading,
    Remark,
    Row,
    Said,
    Stretch,
    WellRecord,
    sheet_tables,
)
from wellbook.hole.fields import field_types
from wellbook.hole.parts import PARTS
from wellbook.hole.places import MANY
from wellbook.hole.readings import quantity_of, read_number
from wellbook.hole.sheet import SheetError, read_sheet
from wellbook.likeness.names import told_name
from wellbook.likeness.roads import house_key, place_key
from wellbook.store.phones import Numbering
from wellbook.terms import (
    KNOWN_AS,
    Construction,
    IntervalKind,
    LevelState,
    MeasuringPoint,
    Quantity,
    Role,
    SheetKind,
)

_STAYS = (
    *("permit_no", "driller", "use", "construction", "stick_up_ft", "flowing", "drilled_on"),
    *("road", "town", "region", "latitude", "longitude", "depth_ft"),
)
"""Facts of which two rows of one well cannot both be right."""
_TELLS = ("key", "tag", "permit_no", "name", "road", "town", "latitude", "longitude")
"""By which a well is told from others."""
_NAMES = ("customer.name", "customer.first_name", "customer.last_name")
_TOTALS = re.compile(
    r"(?:(?:grand|sub)[ -]?)?(?:totals?|sums?|averages?|avg|means?|medians?|counts?)\b"
    r"(?: (?:of|all|depth|feet|wells|number|records)\b.*)?[:.]?",
    re.IGNORECASE,
)
_OF_A_PUMP = re.compile(r"\d ?h\.?p\b", re.IGNORECASE)
_DEPTHS = ("set_depth_ft", "depth_ft", "from_ft", "to_ft")


class Clerk:
    """Reads row after row by one mapping."""

    def __init__(
        self,
        mapping: WellMapping,
        headers: tuple[str, ...],
        today: date,
        role: Role = Role.OURS,
        numbering: Numbering | None = None,
    ) -> None:
        self.numbering = numbering or Numbering()
        self.mapping, self.headers, self.today, self.role = mapping, headers, today, role
        # Public records make no customers, and nobody's visits.
        self.people = mapping.people and role is Role.OURS
        self.tells_visits = mapping.kind == "visits" and role is Role.OURS
        self.lists_wells = mapping.kind != "customers"
        self.tells = (*_TELLS, *(_NAMES if self.people else ()))
        self.of_a_visit = readings_of_a_visit(mapping.columns)
        self.places = {t: (index_of(c, headers), c) for t, c in mapping.columns.items()}
        self.factors = {
            t: quantities.read(f"1 {c.unit}", unit_of(t))
            for t, c in mapping.columns.items()
            if unit_of(t) and c.unit
        }
        self.parts = [(t, *OF_A_PART[t]) for t in mapping.columns if t in OF_A_PART]
        self.stays = [t for t in _STAYS if t in mapping.columns]
        self.kinds = [k for k in STRETCHES if any(t.startswith(f"{k}_") for t in mapping.columns)]
        self.dates: dict[str, When] = {}

    def key(self, cells: list[str]) -> str:
        """By what the well of a row is known: the source's number, or what else tells it apart.

        The number is the same in any case, and with or without blanks beside a letter.
        """
        self.cells = cells
        return re.sub(r"(?<=\D) | (?=\D)", "", self._spelled().upper())

    def row(self, line: FileRow) -> Row:
        """A row, checked."""
        self.number, self.cells = line.number, line.cells
        number, cells = line.number, line.cells
        self.bad: list[Remark] = []
        self.odd: list[Remark] = []
        if why := line.fault or self._no_well():
            n = next((n for n, c in enumerate(cells) if line.fault and c.startswith('"')), 0)
            column = self.headers[n] if len(cells) == len(self.headers) else ""
            return Row(number, tuple(cells), None, (Remark(number, column, cells[n].strip(), why),))
        if self.headers and any(c.strip() for c in cells[len(self.headers) :]):
            more = cells[len(self.headers)]
            self.bad.append(Remark(number, "", more, "more cells than the header has"))
        record = self._record()
        good = record if not self.bad else None
        return Row(number, tuple(cells), good, tuple(self.bad), tuple(self.odd))

    def _no_well(self) -> str:
        """Why a row is of no well; "" where it may be one."""
        if self.headers and [c.strip() for c in self.cells] == list(self.headers):
            return "the header once more"
        first = self._text("key") or next((c.strip() for c in self.cells if c.strip()), "")
        if _TOTALS.fullmatch(first):
            return "a line of totals, and no well"
        named = {"key", "tag"} & self.places.keys() or self.people
        if named and not any(self._text(t) for t in self.tells):
            what = "well" if self.lists_wells else "customer"
            return f"no number, name or place tells which {what} this is"
        return ""

    def _record(self) -> WellRecord:
        dates = {name: self._date(name) for name in DATES}
        drilled = dates["drilled_on"]
        when = dates["measured_on"] or drilled or When.unknown()
        well: dict[str, Any] = {"drilled": drilled} if drilled else {}
        for name in ("permit_no", "driller", "use"):
            if text := self._text(name):
                well[name] = text
        if how := self._construction():
            well["construction"] = how
        if dates["sealed_on"]:
            well["sealed"] = True
        if (flows := self._text("flowing").lower()) in ("true", "yes", "y", "1"):
            well["flowing"] = bool(flows)
        if (stick_up := self._number("stick_up_ft")) is not None:
            well["stick_up_ft"] = stick_up
        site: dict[str, Any] = {n: v for n in ("road", "town", "region") if (v := self._text(n))}
        site |= {n: v for n in ("postcode", "access", "well_head") if (v := self._text(n))}
        for name, limit in (("latitude", 90), ("longitude", 180)):
            if (value := self._degrees(name, limit)) is not None:
                site[name] = value
        spelled, column = self._spelled(), self._column("key").name
        record = WellRecord(
            self.key(self.cells), spelled, column, bool(self._own_key()), well, site
        )
        record.tag = self._text("tag")
        record.person = self._person(record.notes)
        record.readings = list(self._readings(when))
        record.stretches = list(self._stretches(drilled or When.unknown()))
        if name := self._text("name"):
            record.notes.append(KNOWN_AS + name)
        if notes := self._text("notes"):
            record.notes.append(notes)
        record.parts = self._parts(dates["measured_on"] or dates["visit.on"], record.notes)
        if dates["visit.on"]:
            self._visit(dates["visit.on"], record)
        self._free_text(record, dates["measured_on"] or dates["visit.on"])
        record.rows.append(self.number)
        record.has_well = self._has_well(record)
        record.facts = dict(self._facts(record, when))
        return record

    def _free_text(self, record: WellRecord, seen: When | None) -> None:
        """What may tell of the pump in free words: read only where somebody decides so."""
        day = min(seen.latest, self.today) if seen and seen.latest else None
        if text := self._text("equipment"):
            record.equipment.append((text, day))
            record.notes.append(text)
        # Remarks are where many a shop writes down the pump.
        for text in (self._text("notes"), self._text("visit.notes")):
            if self.lists_wells and _OF_A_PUMP.search(text):
                record.equipment.append((text, day))

    def _person(self, notes: list[str]) -> Person | None:
        """Whoever is named; without a name nobody, and how to reach him is kept as a note."""
        if not self.people:
            return None
        person = read_person(self._text, self._doubt, self.numbering)
        if person is None or person.name:
            return person
        where = next(t for t in self.mapping.columns if t.startswith("customer.") and self._text(t))
        self._doubt(where, "no name stands beside it; kept as a note")
        notes += [value for _, value, _, _ in person.ways()] + person.notes
        return None

    def _visit(self, when: When, record: WellRecord) -> None:
        """The visit of a row. What is measured that day stands on its sheet, and not by itself."""
        reason, crew = self._text("visit.reason"), self._text("visit.crew")
        notes = self._text("visit.notes")
        day = when.earliest if when.exact else None
        if not self.tells_visits or day is None:
            said = ": ".join(x for x in (f"visit {when}", reason, notes) if x)
            record.notes.append(" ".join(x for x in (said, crew and f"({crew})") if x))
            if self.tells_visits:
                self._doubt("visit.on", "a visit has one day; kept as a note of the well")
            return
        measured: dict[str, Any] = {}
        for target in self.of_a_visit:
            if text := self._text(target):
                name = target.removeprefix("visit.")
                measured[name] = self._measured(target, name, text)
        if "measured_on" not in self.places:
            for reading in record.readings:
                if name := OF_THE_DAY.get(reading.quantity.value, ""):
                    flows = reading.state is LevelState.FLOWING
                    measured["water_level_ft" if flows else name] = _in_a_sheet(reading)
            record.readings = [r for r in record.readings if r.quantity.value not in OF_THE_DAY]
        document = visit_document(day, reason, crew, notes, measured)
        if not self.bad:
            try:
                read_sheet(document, today=self.today, kind=SheetKind.VISIT)
            except SheetError as error:
                for mistake in error.mistakes:
                    name = str(mistake.path[-1])
                    target = f"visit.{name}" if f"visit.{name}" in self.places else "visit.on"
                    self._refuse(target, mistake.message)
        record.visits[day] = document

    def _measured(self, target: str, name: str, text: str) -> str:
        """A reading as a sheet has it, in the unit of its quantity."""
        unit, quantity = self._column(target).unit, quantity_of(name)[0]
        said = text if _has_unit(text) else f"{text} {unit}".strip()
        try:
            if quantity is not None and self.mapping.decimal == ",":
                said = with_point(said)
            if quantity is not None and unit:
                return f"{_rounded(read_number(said, quantity), target):.12g} {unit_of(target)}"
        except ValueError:
            pass  # The check of the sheet says what is wrong with it, or that it may stand so.
        return said

    def _has_well(self, record: WellRecord) -> bool:
        """Whether a row speaks of a well: a list of wells does in each row that names one."""
        if not self.lists_wells:
            return False
        if not self.people:
            return True
        said = (record.tag, record.well, record.readings, record.stretches, record.parts)
        more = (record.visits, record.equipment, record.site, self._text("key"))
        return any((*said, *more))

    def _facts(
        self, record: WellRecord, when: When
    ) -> Iterator[tuple[tuple[str, date | None], Said]]:
        """What another row of the same well may speak against."""
        values = {**record.well, **record.site}
        values |= {r.quantity.value: r.value for r in record.readings}
        for target in self.stays:
            if (value := values.get(target.removesuffix("_on"))) is not None:
                yield (target, None), self._as_said(target, value, when)
        for day, parts in record.parts.items():
            for kind, said in parts.items():
                for name, value in said[0].items() if kind not in MANY else ():
                    target = f"{kind}.{name}"
                    yield (target, day), self._as_said(target, value, When.unknown())

    def _as_said(self, target: str, value: object, when: When) -> Said:
        return Said(self.number, self._column(target).name, self._text(target), value, when, target)

    def _spelled(self) -> str:
        return self._own_key() or self._made_key()

    def _own_key(self) -> str:
        return re.sub(r"^(\d+)\.0$", r"\1", self._text("key") or self._text("tag"))

    def _made_key(self) -> str:
        """A key from what tells a record from others: its house, its name and place, else all of its
        row.

        Of the shop's own wells the house tells, whoever is there. All of a row is taken in the order of
        its headers, so that columns may change their places.
        """
        name = self._text("name")
        where = [self._text(t) for t in ("road", "town", "latitude", "longitude", "drilled_on")]
        if self.people and self.lists_wells and (house := house_key(*where[:2])):
            return _made(HOUSE, [house, name.casefold()])
        if self.people and (called := name_in(self._text)):
            place = [place_key(*where[:2]), *where[2:4]]
            reached = [] if any(place) else self._reached()
            told = [told_name(called), name, *place, *reached]
            if self.lists_wells and not self.tells_visits:
                told += [where[4], self._text("depth_ft")]
        elif name and any(where):
            told = [name, *where]
        elif self.headers:
            told = [
                f"{h}\x1e{c.strip()}"
                for h, c in sorted(zip(self.headers, self.cells, strict=False))
            ]
        else:
            told = [c.strip() for c in self.cells]
        return _made("X", told)

    def _reached(self) -> list[str]:
        """The first ways to reach whoever is named."""
        person = read_person(self._text, _nobody_asks, self.numbering)
        return [*person.digits[:1], *person.emails[:1]] if person else []

    def _readings(self, when: When) -> Iterator[Reading]:
        depth = self._number("depth_ft", none_at_zero=True)
        if depth is not None:
            point = self._column("depth_ft").point or MeasuringPoint.GROUND
            yield Reading(Quantity.DEPTH_FT, depth, when, point)
        level = self._number("water_level_ft", below_zero=True)
        if level is not None:
            state = LevelState.FLOWING if level < 0 else LevelState.STATIC
            yield Reading(Quantity.WATER_LEVEL_FT, level, when, self._point(), state)
        if (flow := self._number("yield_gpm")) is not None:
            yield Reading(Quantity.YIELD_GPM, flow, when)

    def _point(self) -> MeasuringPoint | None:
        said = self._text("level_point").lower()
        if "ground" in said:
            return MeasuringPoint.GROUND
        if re.search("casing|top|pedestal|flange", said):
            return MeasuringPoint.CASING_TOP
        return self._column("water_level_ft").point

    def _stretches(self, when: When) -> Iterator[Stretch]:
        for name in self.kinds:
            top, bottom = self._depth(f"{name}_from_ft"), self._depth(f"{name}_to_ft")
            wide = self._number(f"{name}_diameter_in", none_at_zero=True)
            if top is None and bottom is None and wide is None:
                continue
            material = self._text(f"{name}_material").lower().replace("_", " ")
            kind = name
            if "open hole" in material or self._text("casing_code").lower() in (
                "open",
                "open_hole",
            ):
                kind, material = IntervalKind.OPEN_HOLE, ""
            if top is not None and bottom is not None and top > bottom:
                self._doubt(f"{name}_from_ft", "it begins below its end; kept as it is")
            if wide is not None and wide > 60:
                self._doubt(f"{name}_diameter_in", "over 60 inches wide; kept as it is")
            yield Stretch(kind, top, bottom, wide, material, when)

    # -- what is down the hole -----------------------------------------------------------------

    def _parts(self, measured: When | None, notes: list[str]) -> dict[date | None, Parts]:
        """Parts by the day on which the row says that they are there; by None where it names none.

        The bore's own date is no such day, for a pump is not as old as the hole; nor is the day on
        which one part was set, since others may have been replaced after it. A row that tells of a
        setting after its own date was written later than that.
        """
        down: Parts = {}
        day = min(measured.latest, self.today) if measured and measured.latest else None
        for target, kind, name in self.parts:
            if name == "set_on":
                when = self._date(target)
                day = None if day and when and when.is_after(day) else day
            if said := self._said(target, notes):
                down.setdefault(kind, [{}])[0][name] = said
        if not down or self.bad:
            return {}
        self._check_parts(day or self.today, down)
        return {day: down}

    def _check_parts(self, day: date, down: Parts) -> None:
        document = {"date": day.isoformat(), "down": sheet_tables(down)}
        try:
            read_sheet(document, today=self.today, kind=SheetKind.OPENING)
        except SheetError as error:
            for mistake in error.mistakes:
                self._refuse(f"{mistake.path[1]}.{mistake.path[-1]}", mistake.message)

    def _said(self, target: str, notes: list[str]) -> str:
        """A cell as a sheet has it, with its unit."""
        text, unit = self._text(target), self._column(target).unit
        if not text:
            return ""
        if is_date(target):
            return self._iso(target, text)
        kind, name = OF_A_PART[target]
        if unit and name != "from_ft" and re.fullmatch(r"0+(\.0*)?", text):
            self._doubt(target, "zero is taken as not known")
            return ""
        hint = field_types(PARTS[kind])[name]
        if issubclass(hint, StrEnum):
            return self._word(target, hint, notes)
        of_field = unit_of(target)
        if not of_field:
            return text
        value = self._value(target)
        own = _has_unit(text)
        if value is None or (hint is str and (own or unit in ("", of_field))):
            return "" if value is None else text
        # A nominal size is a name: it stands in inches without its unit.
        if hint is str:
            return quantities.show(value, of_field)
        if name in _DEPTHS and self._column(target).point is MeasuringPoint.CASING_TOP:
            value = self._from_ground(target, value)
        elif not own and unit in ("", of_field):
            return f"{text} {unit}".strip()
        return f"{value:.12g} {of_field}"

    def _word(self, target: str, words: type[StrEnum], notes: list[str]) -> str:
        """The one word of the trade that a cell names; else the cell is kept as a note."""
        text = self._text(target)
        said = re.sub("[_-]", " ", text.lower())
        labels = {word.value: word.value.replace("_", " ") for word in words}
        near = [v for v, label in labels.items() if label in said or label.startswith(said)]
        if len(near) == 1:
            return near[0]
        self._doubt(target, f"none of: {', '.join(labels.values())}; kept as a note")
        notes.append(f"{target.replace('.', ' ')}: {text}")
        return ""

    # -- cells ---------------------------------------------------------------------------------

    def _column(self, target: str) -> Column:
        found = self.places.get(target)
        return found[1] if found else Column("")

    def _text(self, target: str) -> str:
        found = self.places.get(target)
        if found is None or found[0] >= len(self.cells):
            return ""
        text = " ".join(self.cells[found[0]].replace("\x00", "").split())
        return "" if is_blank(text) else text

    def _refuse(self, target: str, reason: str) -> None:
        self._remark(self.bad, target, reason)

    def _doubt(self, target: str, reason: str) -> None:
        self._remark(self.odd, target, reason)

    def _remark(self, remarks: list[Remark], target: str, reason: str) -> None:
        remark = Remark(self.number, self._column(target).name, self._text(target), reason)
        # A cell that is looked at twice is wrong once.
        if remark not in remarks:
            remarks.append(remark)

    def _value(self, target: str) -> float | None:
        """A cell in the unit of its target; what is converted from another is rounded."""
        text = self._text(target)
        if not text:
            return None
        try:
            text = with_point(text) if self.mapping.decimal == "," else text
            if re.fullmatch(r"-?[0-9]+(?:\.[0-9]*)?", text):
                factor = self.factors.get(target, 1.0)
                return float(text) if factor == 1.0 else _rounded(float(text) * factor, target)
            unit = "" if _has_unit(text) else self._column(target).unit
            said = f"{text} {unit}".strip()
            return _rounded(quantities.read(said, unit_of(target)), target)
        except ValueError as error:
            self._refuse(target, str(error))
            return None

    def _depth(self, target: str) -> float | None:
        """A depth below ground: from the casing's top it is less by the stick-up."""
        value = self._number(target)
        if value and self._column(target).point is MeasuringPoint.CASING_TOP:
            return self._from_ground(target, value)
        return value

    def _from_ground(self, target: str, value: float) -> float:
        # Of a stick-up that will not do its own column speaks.
        stick_up = self._number("stick_up_ft")
        if stick_up is None:
            why = "from the casing's top, whose height over ground this row does not give; kept as"
            self._doubt(target, f"{why} if from the ground")
            return value
        return max(0.0, _rounded(value - stick_up, target))

    def _number(
        self, target: str, *, none_at_zero: bool = False, below_zero: bool = False
    ) -> float | None:
        value = self._value(target)
        if value is None:
            return None
        if value < 0 and not below_zero:
            self._refuse(target, "less than nothing")
            return None
        if value > 1e6:
            self._refuse(target, "no such number is possible")
            return None
        if value == 0 and none_at_zero:
            self._doubt(target, "zero is taken as not known")
            return None
        return value

    def _degrees(self, target: str, limit: int) -> float | None:
        text = self._text(target)
        if not text:
            return None
        try:
            value = degrees(
                text, target, both_in_one=self._column("latitude") == self._column("longitude")
            )
        except ValueError as error:
            self._refuse(target, str(error))
            return None
        if value == 0:
            self._doubt(target, "zero is taken as not known")
            return None
        if not -limit <= value <= limit:
            self._refuse(target, f"not between -{limit} and {limit}")
            return None
        return value

    def _date(self, target: str) -> When | None:
        text = self._text(target)
        if not text:
            return None
        iso = self._iso(target, text)
        if iso not in self.dates:
            try:
                self.dates[iso] = When.parse(iso, said_on=self.today)
            except ValueError as error:
                self._refuse(target, str(error))
                return None
        when = self.dates[iso]
        if when.is_after(self.today):
            self._refuse(target, "a day that lies ahead")
            return None
        return when if when.known else None

    def _iso(self, target: str, text: str) -> str:
        """What programs write for a date, in the standard's form."""
        iso, doubt = as_iso(text, self.mapping.date_order, self.today)
        if doubt:
            self._doubt(target, doubt)
        return iso

    def _construction(self) -> str:
        said = self._text("construction").lower()
        for word in ("dug", "driven", "drill"):
            if word in said:
                return Construction("drilled" if word == "drill" else word).value
        return ""


def _made(letter: str, told: list[str]) -> str:
    return letter + hashlib.sha256("\x1f".join(told).encode()).hexdigest()[:10].upper()


def _nobody_asks(_target: str, _why: str) -> None:
    """What is doubtful is told as the row is read, and not as its key is."""


def _in_a_sheet(reading: Reading) -> Any:
    """A reading as a visit sheet has it."""
    value = f"{reading.value:.12g} {unit_of(reading.quantity.value)}"
    extra: dict[str, Any] = {"point": reading.point.value} if reading.point else {}
    if reading.state is LevelState.FLOWING:
        extra["state"] = reading.state.value
    return {"value": value, **extra} if extra else value


def _has_unit(text: str) -> bool:
    """Whether a number bears a unit of its own.

    >>> _has_unit("97.5 m"), _has_unit("49'6"), _has_unit("1-1/2")
    (True, True, False)
    """
    return bool(re.search(r"[^\W\d_]|['\"\u2032\u2033\u2019\u201d]", text))


def _rounded(value: float, target: str) -> float:
    """A converted value to one place more than is shown: no tape reads finer."""
    return round(value, quantities.UNITS[unit_of(target)].decimals + 1)
