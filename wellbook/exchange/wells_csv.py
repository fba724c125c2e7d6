"""Well records from a CSV file, each row checked or refused with the column and the reason.

Blank and NA are not known. A depth of nothing is not known either, and counted as doubtful. A
negative depth, an impossible or future date and a place off the globe are refused: the whole row,
so that no well is half right. Rows of one well (its casing, length by length) are joined by key.
"""

from __future__ import annotations

import csv
import hashlib
import json
import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import UTC, date, datetime
from itertools import islice
from pathlib import Path
from typing import Any

from wellbook import quantities
from wellbook.dates import When
from wellbook.errors import WellbookError
from wellbook.exchange.mapping import (
    DATES,
    STRETCHES,
    Column,
    Layout,
    WellMapping,
    index_of,
    matched,
    unit_of,
)
from wellbook.terms import Construction, IntervalKind, LevelState, MeasuringPoint, Quantity

_BLANK = frozenset({"", "na", "n/a", "nan", "null", "none", "-", "--", "#n/a"})
_SAMPLE = 400


@dataclass(frozen=True, slots=True)
class Remark:
    """What is wrong, or doubtful, in one cell."""

    row: int
    column: str
    value: str
    reason: str


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


@dataclass(slots=True)
class WellRecord:
    """One well as a file has it, from one row or several."""

    key: str
    own_key: bool
    well: dict[str, Any]
    site: dict[str, Any]
    readings: list[Reading] = field(default_factory=list)
    stretches: list[Stretch] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    rows: int = 1

    def join(self, other: WellRecord) -> None:
        """Take in another row of the same well: what is known already stays."""
        for mine, theirs in ((self.well, other.well), (self.site, other.site)):
            for name, value in theirs.items():
                mine.setdefault(name, value)
        self.readings += [r for r in other.readings if r not in self.readings]
        self.stretches += [s for s in other.stretches if s not in self.stretches]
        self.notes += [n for n in other.notes if n not in self.notes]
        self.rows += other.rows

    def digest(self) -> str:
        """The sum of all that is said, by which it is known again."""
        said = [self.well, self.site, self.readings, self.stretches, self.notes]
        text = json.dumps(said, default=_spelled, sort_keys=True)
        return hashlib.sha256(text.encode()).hexdigest()


def _spelled(value: Any) -> Any:
    # Only the words of a date: "12 years old" read again next year says the same.
    if isinstance(value, When):
        return value.text
    return [getattr(value, name) for name in value.__slots__]


@dataclass(frozen=True, slots=True)
class Row:
    """A row: its record, or why it has none."""

    number: int
    cells: tuple[str, ...]
    record: WellRecord | None
    refusals: tuple[Remark, ...] = ()
    doubts: tuple[Remark, ...] = ()


# -- looking into a file -----------------------------------------------------------------------


def look(path: Path) -> Layout:
    """Encoding, delimiter and header of a file.

    Raises
    ------
    WellbookError
        If it is no text, or empty.
    """
    encoding = _encoding(path)
    with path.open(encoding=encoding, newline="") as file:
        head = file.read(65536)
    delimiter = _delimiter(head)
    rows = list(islice(_rows(path, encoding, delimiter), _SAMPLE))
    if not rows:
        raise WellbookError("the file is empty", where=str(path))
    # Banners stand above a header: the line with most known names is it.
    best = max(rows[:12], key=lambda r: (matched(r[1]), -r[0]))
    first = next((r for r in rows if len(r[1]) > 1), rows[0])
    if matched(best[1]):
        header = best
    elif sum(bool(re.fullmatch(r"-?[0-9]+(\.[0-9]+)?", c.strip())) for c in first[1]) > 1:
        return Layout(encoding, delimiter, 0, (), tuple(_no_names(r[1]) for r in rows))
    else:
        header = first
    headers = tuple(h.strip() for h in header[1])
    sample = tuple(tuple(r[1]) for r in rows if r[0] > header[0])
    return Layout(encoding, delimiter, header[0], headers, sample)


def _encoding(path: Path) -> str:
    try:
        data = path.read_bytes()
    except OSError as error:
        raise WellbookError(error.strerror or "cannot be read", where=str(path)) from None
    if data.startswith((b"PK\x03\x04", b"\xd0\xcf\x11\xe0")):
        raise WellbookError("this is a spreadsheet; save it as CSV first", where=str(path))
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        return "utf-16"
    for encoding in ("utf-8-sig", "cp1252"):
        try:
            data.decode(encoding)
        except UnicodeDecodeError:
            continue
        return encoding
    return "latin-1"


def _delimiter(head: str) -> str:
    """The sign that parts the cells: the one that gives most lines the same many cells."""
    lines = head.splitlines()[:40]

    def even(sign: str) -> tuple[int, int]:
        counts = [len(r) for r in csv.reader(lines, delimiter=sign) if len(r) > 1]
        usual = max(set(counts), key=counts.count, default=0)
        return counts.count(usual), usual

    return max(",\t;|", key=even)


def _rows(path: Path, encoding: str, delimiter: str) -> Iterator[tuple[int, list[str]]]:
    """Rows with their numbers as a spreadsheet counts them; comments and empty ones left out."""
    try:
        with path.open(encoding=encoding, newline="") as file:
            for number, row in enumerate(csv.reader(file, delimiter=delimiter), 1):
                if row and row[0].startswith("#"):
                    continue
                if any(c.strip() for c in row):
                    yield number, row
    except OSError as error:
        raise WellbookError(error.strerror or "cannot be read", where=str(path)) from None
    except (csv.Error, UnicodeError) as error:
        raise WellbookError(f"cannot be read as CSV: {error}", where=str(path)) from None


def _no_names(cells: Sequence[str]) -> tuple[str, ...]:
    # A first row of data that a program took for headers, its blanks "named".
    return tuple("" if re.fullmatch(r"Unnamed: \d+", c) else c for c in cells)


# -- reading -----------------------------------------------------------------------------------


def read_rows(path: Path, mapping: WellMapping, today: date) -> Iterator[Row]:
    """The rows of a file one by one, each checked."""
    headers: tuple[str, ...] = ()
    clerk: _Clerk | None = None if mapping.header_row else _Clerk(mapping, (), today)
    for number, cells in _rows(path, mapping.encoding, mapping.delimiter):
        if mapping.header_row and number < mapping.header_row:
            continue
        if clerk is None:
            headers = tuple(h.strip() for h in cells)
            clerk = _Clerk(mapping, headers, today)
        elif not all(re.fullmatch(r"\d+[sdn]", c) for c in cells):
            yield clerk.row(number, cells if headers else list(_no_names(cells)))


def header_of(path: Path, mapping: WellMapping) -> tuple[str, ...]:
    """The header line of a file as it stands; empty where there is none."""
    rows = _rows(path, mapping.encoding, mapping.delimiter)
    return next((tuple(c) for n, c in rows if mapping.header_row and n >= mapping.header_row), ())


def gather(rows: Iterable[Row]) -> list[WellRecord]:
    """The wells of the good rows, the rows of one well joined."""
    wells: dict[str, WellRecord] = {}
    for row in rows:
        if row.record is None:
            continue
        known = wells.get(row.record.key)
        if known is None:
            wells[row.record.key] = row.record
        else:
            known.join(row.record)
    return list(wells.values())


class _Clerk:
    """Reads row after row by one mapping."""

    def __init__(self, mapping: WellMapping, headers: tuple[str, ...], today: date) -> None:
        self.mapping, self.headers, self.today = mapping, headers, today
        self.places = {t: (index_of(c, headers), c) for t, c in mapping.columns.items()}
        self.factors = {
            t: quantities.read(f"1 {c.unit}", unit_of(t))
            for t, c in mapping.columns.items()
            if unit_of(t) and c.unit
        }
        self.dates: dict[str, When] = {}

    def row(self, number: int, cells: list[str]) -> Row:
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
            record.notes.append(f"known as {name}")
        if (depth := self._number("set_depth_ft", none_at_zero=True)) is not None:
            record.notes.append(
                f"pump set at {quantities.show(depth, 'ft')} by the imported record"
            )
        if notes := self._text("notes"):
            record.notes.append(notes)
        key = re.sub(r"^(\d+)\.0$", r"\1", self._text("key"))
        record.own_key, record.key = bool(key), key or self._made_key(name)
        return record

    def _made_key(self, name: str) -> str:
        """A key from what tells a well from others: its name and place, else all of its row."""
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
            kind = IntervalKind(name)
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
