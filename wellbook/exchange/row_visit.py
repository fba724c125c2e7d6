"""The visit that a row tells of. What is measured that day stands on its sheet, and not by itself."""

from __future__ import annotations

from datetime import date
from typing import Any

from wellbook.dates import When
from wellbook.exchange.mapping import unit_of
from wellbook.exchange.past_visits import OF_THE_DAY, readings_of_a_visit, visit_document
from wellbook.exchange.row_cells import RowCells, has_unit, rounded
from wellbook.exchange.surveying import with_point
from wellbook.exchange.well_record import Reading, WellRecord
from wellbook.hole.readings import quantity_of, read_number
from wellbook.hole.sheet import SheetError, read_sheet
from wellbook.terms import LevelState, SheetKind


class RowVisit:
    """Reads the visit of the row at hand; where the file is none of visits, it is a note."""

    def __init__(self, here: RowCells, today: date, tells_visits: bool) -> None:
        self.here, self.today, self.tells_visits = here, today, tells_visits
        self.of_a_visit = readings_of_a_visit(here.mapping.columns)

    def read(self, when: When, record: WellRecord) -> None:
        """Add the visit of that day to a record."""
        reason, crew = self.here.text("visit.reason"), self.here.text("visit.crew")
        notes = self.here.text("visit.notes")
        day = when.earliest if when.exact else None
        if not self.tells_visits or day is None:
            said = ": ".join(x for x in (f"visit {when}", reason, notes) if x)
            record.notes.append(" ".join(x for x in (said, crew and f"({crew})") if x))
            if self.tells_visits:
                self.here.doubt("visit.on", "a visit has one day; kept as a note of the well")
            return
        measured: dict[str, Any] = {}
        for target in self.of_a_visit:
            if text := self.here.text(target):
                name = target.removeprefix("visit.")
                measured[name] = self._measured(target, name, text)
        if "measured_on" not in self.here.places:
            for reading in record.readings:
                if name := OF_THE_DAY.get(reading.quantity.value, ""):
                    flows = reading.state is LevelState.FLOWING
                    measured["water_level_ft" if flows else name] = _in_a_sheet(reading)
            record.readings = [r for r in record.readings if r.quantity.value not in OF_THE_DAY]
        document = visit_document(day, reason, crew, notes, measured)
        if not self.here.bad:
            try:
                read_sheet(document, today=self.today, kind=SheetKind.VISIT)
            except SheetError as error:
                for mistake in error.mistakes:
                    name = str(mistake.path[-1])
                    target = f"visit.{name}" if f"visit.{name}" in self.here.places else "visit.on"
                    self.here.refuse(target, mistake.message)
        record.visits[day] = document

    def _measured(self, target: str, name: str, text: str) -> str:
        """A reading as a sheet has it, in the unit of its quantity."""
        unit, quantity = self.here.column(target).unit, quantity_of(name)[0]
        said = text if has_unit(text) else f"{text} {unit}".strip()
        try:
            if quantity is not None and self.here.mapping.decimal == ",":
                said = with_point(said)
            if quantity is not None and unit:
                return f"{rounded(read_number(said, quantity), target):.12g} {unit_of(target)}"
        except ValueError:
            pass  # The check of the sheet says what is wrong with it, or that it may stand so.
        return said


def _in_a_sheet(reading: Reading) -> Any:
    """A reading as a visit sheet has it."""
    value = f"{reading.value:.12g} {unit_of(reading.quantity.value)}"
    extra: dict[str, Any] = {"point": reading.point.value} if reading.point else {}
    if reading.state is LevelState.FLOWING:
        extra["state"] = reading.state.value
    return {"value": value, **extra} if extra else value
