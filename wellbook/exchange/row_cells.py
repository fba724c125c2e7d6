"""The cells of one row after another, each read as what its column is.

Blank and NA are not known. What is converted from another unit is rounded to one place more than is
shown, a hundredth of a foot. What a cell cannot be is noted, and refuses its row; what is doubtful in
it is noted beside it.
"""

from __future__ import annotations

import re
from datetime import date

from wellbook import quantities
from wellbook.dates import When
from wellbook.exchange.cell_addresses import parted
from wellbook.exchange.cell_dates import as_iso
from wellbook.exchange.cell_numbers import as_told
from wellbook.exchange.cell_places import degrees
from wellbook.exchange.cell_points import from_point
from wellbook.exchange.cells_joined import cell_text
from wellbook.exchange.csv_rows import FileRow
from wellbook.exchange.mapping import Column, WellMapping, places_of, unit_of
from wellbook.exchange.surveying import with_point
from wellbook.exchange.well_record import Remark
from wellbook.terms import MeasuringPoint


class RowCells:
    """The row at hand: its cells by their targets, and what is wrong or doubtful in them."""

    def __init__(self, mapping: WellMapping, headers: tuple[str, ...], today: date) -> None:
        self.mapping, self.headers, self.today = mapping, headers, today
        self.places = {t: (places_of(c, headers), c) for t, c in mapping.columns.items()}
        self.factors = {
            t: quantities.read(f"1 {c.unit}", unit_of(t))
            for t, c in mapping.columns.items()
            if unit_of(t) and c.unit
        }
        self.dates: dict[str, When] = {}
        self.at(FileRow(0, []))

    def at(self, line: FileRow) -> None:
        """Go to a row, of which nothing is noted yet: nothing bad, nothing odd, and no cell that is kept in
        its own words."""
        self.number, self.cells = line.number, line.cells
        self.bad: list[Remark] = []
        self.odd: list[Remark] = []
        self.notes: dict[str, str] = {}

    def column(self, target: str) -> Column:
        """Where a target stands; a column without a name where the file has none for it."""
        found = self.places.get(target)
        return found[1] if found else Column("")

    def text(self, target: str) -> str:
        """The cell of a target on one line; "" where it is not known."""
        found = self.places.get(target)
        return cell_text(self.cells, found[0], target) if found else ""

    def address(self) -> dict[str, str]:
        """Road, town, region and postcode, as far as they are known, whichever cell they stand in."""
        names = ("road", "town", "region", "postcode")
        return parted({name: text for name in names if (text := self.text(name))})

    def keep_words(self, target: str) -> None:
        """Keep a cell as a note in its own words, behind the name of its column."""
        self.notes[target] = f"{self.column(target).label}: {self.text(target)}"

    def refuse(self, target: str, reason: str) -> None:
        """Note why a cell, and with it the row, cannot be taken."""
        self._remark(self.bad, target, reason)

    def doubt(self, target: str, reason: str) -> None:
        """Note what is doubtful in a cell."""
        self._remark(self.odd, target, reason)

    def _remark(self, remarks: list[Remark], target: str, reason: str) -> None:
        remark = Remark(self.number, self.column(target).label, self.text(target), reason)
        # A cell that is looked at twice is wrong once.
        if remark not in remarks:
            remarks.append(remark)

    def value(self, target: str) -> float | None:
        """A cell in the unit of its target; what is converted from another is rounded."""
        text, doubt = as_told(from_point(self.text(target))[0])
        if doubt:
            self.doubt(target, doubt)
        if not text:
            if doubt:
                self.keep_words(target)
            return None
        try:
            text = with_point(text) if self.mapping.decimal == "," else text
            if re.fullmatch(r"-?[0-9]+(?:\.[0-9]*)?", text):
                column = self.column(target)
                if column.more and not column.unit and float(text):
                    raise ValueError(f"no unit stands beside it in '{column.more[0]}'")
                factor = self.factors.get(target, 1.0)
                return float(text) if factor == 1.0 else rounded(float(text) * factor, target)
            unit = "" if has_unit(text) else self.column(target).unit
            said = f"{text} {unit}".strip()
            return rounded(quantities.read(said, unit_of(target)), target)
        except ValueError as error:
            self.refuse(target, str(error))
            return None

    def point(self, target: str) -> MeasuringPoint | None:
        """From where a cell is measured: as it says itself, else as its column does."""
        return from_point(self.text(target))[1] or self.column(target).point

    def depth(self, target: str) -> float | None:
        """A depth below ground: from the casing's top it is less by the stick-up."""
        value = self.measure(target)
        if value and self.point(target) is MeasuringPoint.CASING_TOP:
            return self.from_ground(target, value)
        return value

    def from_ground(self, target: str, value: float) -> float:
        """A depth in ft from the casing's top as one from the ground."""
        # Of a stick-up that will not do its own column speaks.
        stick_up = self.measure("stick_up_ft")
        if stick_up is None:
            why = "from the casing's top, whose height over ground this row does not give; kept as"
            self.doubt(target, f"{why} if from the ground")
            return value
        return max(0.0, rounded(value - stick_up, target))

    def measure(
        self, target: str, *, none_at_zero: bool = False, below_zero: bool = False
    ) -> float | None:
        """A number in the unit of its target that is possible; a refusal where it is not."""
        value = self.value(target)
        if value is None:
            return None
        if value < 0 and not below_zero:
            self.refuse(target, "less than nothing")
            return None
        if value > 1e6:
            self.refuse(target, "no such number is possible")
            return None
        if value == 0 and none_at_zero:
            self.doubt(target, "zero is taken as not known")
            return None
        return value

    def degrees(self, target: str, limit: int) -> float | None:
        """A latitude or longitude in degrees, up to a limit either way."""
        text = self.text(target)
        if not text:
            return None
        try:
            value = degrees(
                text, target, both_in_one=self.column("latitude") == self.column("longitude")
            )
        except ValueError as error:
            self.refuse(target, str(error))
            return None
        if value == 0:
            self.doubt(target, "zero is taken as not known")
            return None
        if not -limit <= value <= limit:
            self.refuse(target, f"not between -{limit} and {limit}")
            return None
        return value

    def date(self, target: str) -> When | None:
        """A date, as sure or unsure as it stands; None where it is not known or will not do."""
        text = self.text(target)
        if not text:
            return None
        iso = self.iso(target, text)
        if iso not in self.dates:
            try:
                self.dates[iso] = When.parse(iso, said_on=self.today)
            except ValueError as error:
                self.refuse(target, str(error))
                return None
        when = self.dates[iso]
        if when.is_after(self.today):
            self.refuse(target, "a day that lies ahead")
            return None
        return when if when.known else None

    def iso(self, target: str, text: str) -> str:
        """What programs write for a date, in the standard's form."""
        iso, doubt = as_iso(text, self.mapping.date_order, self.today)
        if doubt:
            self.doubt(target, doubt)
        return iso


def has_unit(text: str) -> bool:
    """Whether a number bears a unit of its own.

    >>> has_unit("97.5 m"), has_unit("49'6"), has_unit("1-1/2")
    (True, True, False)
    """
    return bool(re.search(r"[^\W\d_]|['\"\u2032\u2033\u2019\u201d]", text))


def rounded(value: float, target: str) -> float:
    """A converted value to one place more than is shown: no tape reads finer."""
    return round(value, quantities.UNITS[unit_of(target)].decimals + 1)
