"""Rows of a file read as well records: each is checked, or refused with the column and the reason.

Blank and NA are not known. A depth of nothing is not known either, and counted as doubtful. A
negative depth, an impossible or future date and a place off the globe are refused: the whole row,
so that no well is half right. What is down the hole passes the check of any visit sheet.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterator
from datetime import UTC, date, datetime
from enum import StrEnum
from typing import Any

from wellbook import quantities
from wellbook.dates import When
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
from wellbook.exchange.well_record import (
    Parts,
    Reading,
    Remark,
    Row,
    Stretch,
    WellRecord,
    sheet_tables,
)
from wellbook.hole.fields import field_types
from wellbook.hole.parts import PARTS
from wellbook.hole.sheet import SheetError, read_sheet
from wellbook.terms import (
    KNOWN_AS,
    Construction,
    IntervalKind,
    LevelState,
    MeasuringPoint,
    Quantity,
    SheetKind,
)

_BLANK = frozenset({"", "na", "n/a", "nan", "null", "none", "-", "--", "#n/a"})


class Clerk:
    """Reads row after row by one mapping."""

    def __init__(self, mapping: WellMapping, headers: tuple[str, ...], today: date) -> None:
        self.mapping, self.headers, self.today = mapping, headers, today
        self.places = {t: (index_of(c, headers), c) for t, c in mapping.columns.items()}
        self.factors = {
            t: quantities.read(f"1 {c.unit}", unit_of(t))
            for t, c in mapping.columns.items()
            if unit_of(t) and c.unit
        }
        self.parts = [(t, *OF_A_PART[t]) for t in mapping.columns if t in OF_A_PART]
        self.dates: dict[str, When] = {}

    def key(self, cells: list[str]) -> str:
        """By what the well of a row is known: the source's number, or what else tells it apart."""
        self.cells = cells
        return self._own_key() or self._made_key()

    def row(self, number: int, cells: list[str]) -> Row:
        """A row, checked."""
        self.number, self.cells = number, cells
        self.bad: list[Remark] = []
        self.odd: list[Remark] = []
        if self.headers and any(c.strip() for c in cells[len(self.headers) :]):
            more = cells[len(self.headers)]
            self.bad.append(Remark(number, "", more, "more cells than the header has"))
        record = self._record()
        good = record if not self.bad else None
        return Row(number, tuple(cells), good, tuple(self.bad), tuple(self.odd))

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
        for name, limit in (("latitude", 90), ("longitude", 180)):
            if (value := self._degrees(name, limit)) is not None:
                site[name] = value
        record = WellRecord("", False, well, site)
        record.readings = list(self._readings(when))
        record.stretches = list(self._stretches(drilled or When.unknown()))
        if name := self._text("name"):
            record.notes.append(KNOWN_AS + name)
        if notes := self._text("notes"):
            record.notes.append(notes)
        record.parts = self._parts(dates["measured_on"], record.notes)
        record.own_key, record.key = bool(self._own_key()), self.key(self.cells)
        record.rows.append(self.number)
        return record

    def _own_key(self) -> str:
        return re.sub(r"^(\d+)\.0$", r"\1", self._text("key"))

    def _made_key(self) -> str:
        """A key from what tells a well from others: its name and place, else all of its row."""
        name = self._text("name")
        where = [self._text(t) for t in ("road", "town", "latitude", "longitude", "drilled_on")]
        told = [name, *where] if name and any(where) else [c.strip() for c in self.cells]
        return "X" + hashlib.sha256("\x1f".join(told).encode()).hexdigest()[:10].upper()

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
        for name in STRETCHES:
            top, bottom = self._number(f"{name}_from_ft"), self._number(f"{name}_to_ft")
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
            return self._iso(text)
        kind, name = OF_A_PART[target]
        if unit and name != "from_ft" and re.fullmatch(r"0+(\.0*)?", text):
            self._doubt(target, "zero is taken as not known")
            return ""
        hint = field_types(PARTS[kind])[name]
        if issubclass(hint, StrEnum):
            return self._word(target, hint, notes)
        # A nominal size is a name: it stands in inches without its unit.
        if hint is str and unit not in ("", unit_of(target)):
            value = self._number(target)
            return "" if value is None else quantities.show(value, unit_of(target))
        return f"{text} {unit}" if unit and not re.search(r"[^\W\d_]|['\"]", text) else text

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
        return "" if text.lower() in _BLANK else text

    def _refuse(self, target: str, reason: str) -> None:
        column = self._column(target).name
        self.bad.append(Remark(self.number, column, self._text(target), reason))

    def _doubt(self, target: str, reason: str) -> None:
        column = self._column(target).name
        self.odd.append(Remark(self.number, column, self._text(target), reason))

    def _number(
        self, target: str, *, none_at_zero: bool = False, below_zero: bool = False
    ) -> float | None:
        text = self._text(target)
        if not text:
            return None
        if re.fullmatch(r"-?[0-9]+(?:\.[0-9]*)?", text):
            value, factor = float(text), self.factors.get(target, 1.0)
            if factor != 1.0:
                value = float(f"{value * factor:.12g}")
        else:
            try:
                own = re.search("[^0-9.,+ -]", text)
                unit = "" if own else self._column(target).unit
                value = quantities.read(f"{text} {unit}".strip(), unit_of(target))
            except ValueError as error:
                self._refuse(target, str(error))
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
            value = float(text)
        except ValueError:
            self._refuse(target, "not a number of degrees, such as 44.26")
            return None
        if not -limit <= value <= limit:
            self._refuse(target, f"not between -{limit} and {limit}")
            return None
        return value

    def _date(self, target: str) -> When | None:
        text = self._text(target)
        if not text:
            return None
        if text not in self.dates:
            try:
                when = When.parse(self._iso(text), said_on=self.today)
            except ValueError as error:
                self._refuse(target, str(error))
                return None
            self.dates[text] = when
        when = self.dates[text]
        if when.is_after(self.today):
            self._refuse(target, "a day that lies ahead")
            return None
        return when if when.known else None

    def _iso(self, text: str) -> str:
        """What programs write for a date, in the standard's form."""
        text = re.sub(r"[T ]\d{1,2}:\d\d.*$", "", text)
        if re.fullmatch(r"-?\d{11,13}", text):
            return datetime.fromtimestamp(int(text) / 1000, UTC).date().isoformat()
        if re.fullmatch(r"\d{8}", text):
            return f"{text[:4]}-{text[4:6]}-{text[6:]}"
        if found := re.fullmatch(r"(\d{1,2})[/.-](\d{1,2})[/.-](\d{4})", text):
            one, two, year = found.groups()
            if self.mapping.date_order == "mdy":
                return f"{year}-{one:0>2}-{two:0>2}"
            if self.mapping.date_order == "dmy":
                return f"{year}-{two:0>2}-{one:0>2}"
        return re.sub(r"^(\d{4})\.0$", r"\1", text)

    def _construction(self) -> str:
        said = self._text("construction").lower()
        for word in ("dug", "driven", "drill"):
            if word in said:
                return Construction("drilled" if word == "drill" else word).value
        return ""
