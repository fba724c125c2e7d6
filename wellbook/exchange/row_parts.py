"""What a row says is down the hole, as the tables of a visit sheet have it.

It passes the check of any visit sheet; a depth from the casing's top is brought to the ground by the
stick-up.
"""

from __future__ import annotations

import re
from datetime import date
from enum import StrEnum

from wellbook import quantities
from wellbook.dates import When
from wellbook.exchange.cell_numbers import as_told
from wellbook.exchange.mapping import OF_A_PART, is_date, unit_of
from wellbook.exchange.row_cells import RowCells, has_unit
from wellbook.exchange.well_record import Parts, sheet_tables
from wellbook.hole.fields import field_types
from wellbook.hole.parts import PARTS
from wellbook.hole.sheet import SheetError, read_sheet
from wellbook.terms import MeasuringPoint, SheetKind

_DEPTHS = ("set_depth_ft", "depth_ft", "from_ft", "to_ft")


class RowParts:
    """Reads the parts of the row at hand."""

    def __init__(self, here: RowCells, today: date) -> None:
        self.here, self.today = here, today
        self.columns = [(t, *OF_A_PART[t]) for t in here.places if t in OF_A_PART]

    def read(self, measured: When | None, notes: list[str]) -> dict[date | None, Parts]:
        """Parts by the day on which the row says that they are there; by None where it names none.

        The bore's own date is no such day, for a pump is not as old as the hole; nor is the day on
        which one part was set, since others may have been replaced after it. A row that tells of a
        setting after its own date was written later than that.
        """
        down: Parts = {}
        day = min(measured.latest, self.today) if measured and measured.latest else None
        for target, kind, name in self.columns:
            if name == "set_on":
                when = self.here.date(target)
                day = None if day and when and when.is_after(day) else day
            if said := self._said(target, notes):
                down.setdefault(kind, [{}])[0][name] = said
        if not down or self.here.bad:
            return {}
        self._check_parts(day or self.today, down)
        return {day: down}

    def _check_parts(self, day: date, down: Parts) -> None:
        document = {"date": day.isoformat(), "down": sheet_tables(down)}
        try:
            read_sheet(document, today=self.today, kind=SheetKind.OPENING)
        except SheetError as error:
            for mistake in error.mistakes:
                self.here.refuse(f"{mistake.path[1]}.{mistake.path[-1]}", mistake.message)

    def _said(self, target: str, notes: list[str]) -> str:
        """A cell as a sheet has it, with its unit."""
        text, unit = self.here.text(target), self.here.column(target).unit
        if not text:
            return ""
        if is_date(target):
            return self.here.iso(target, text)
        kind, name = OF_A_PART[target]
        if unit and name != "from_ft" and re.fullmatch(r"0+(\.0*)?", text):
            self.here.doubt(target, "zero is taken as not known")
            return ""
        hint = field_types(PARTS[kind])[name]
        if issubclass(hint, StrEnum):
            return self._word(target, hint, notes)
        of_field = unit_of(target)
        if not of_field:
            return text
        value = self.here.value(target)
        text, doubt = as_told(text)
        own = has_unit(text)
        if value is None or (hint is str and (own or unit in ("", of_field))):
            return "" if value is None else text
        # A nominal size is a name: it stands in inches without its unit.
        if hint is str:
            return quantities.show(value, of_field)
        if name in _DEPTHS and self.here.point(target) is MeasuringPoint.CASING_TOP:
            value = self.here.from_ground(target, value)
        elif not own and not doubt and unit in ("", of_field):
            return f"{text} {unit}".strip()
        return f"{value:.12g} {of_field}"

    def _word(self, target: str, words: type[StrEnum], notes: list[str]) -> str:
        """The one word of the trade that a cell names; else the cell is kept as a note."""
        text = self.here.text(target)
        said = re.sub("[_-]", " ", text.lower())
        labels = {word.value: word.value.replace("_", " ") for word in words}
        near = [v for v, label in labels.items() if label in said or label.startswith(said)]
        if len(near) == 1:
            return near[0]
        self.here.doubt(target, f"none of: {', '.join(labels.values())}; kept as a note")
        notes.append(f"{target.replace('.', ' ')}: {text}")
        return ""
