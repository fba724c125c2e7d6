"""Sheets as a well's record shows them, of some wells at once, and what only their documents tell."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date
from typing import Any

from sqlalchemy import Connection

from wellbook.hole.fields import read_field, word
from wellbook.hole.hole import Hole
from wellbook.hole.records import Visit
from wellbook.store import tables as t
from wellbook.store.loading.cells import day, maybe_day, words, yes
from wellbook.store.loading.plain_rows import Row, plain_rows, rows_by
from wellbook.store.rows import document_of
from wellbook.store.status import opened_again
from wellbook.terms import IN_THE_HOLE, Basis, Reason, SheetKind, SheetStatus

_OF_A_SHEET = (
    *("id", "root_uid", "status", "kind", "start_on", "end_on", "reason", "left_without_pump"),
    *("left_for_next_time", "notes", "opened", "disinfected"),
)
_OF_A_CALL = ("caller", "caller_phone", "symptom", "promised", "outcome")
_NO_CALL = ("", "", "", "", "")


class Visits:
    """Valid sheets of some wells, with their crews and calls.

    Parameters
    ----------
    wells
        Number -> uid.
    """

    def __init__(self, connection: Connection, wells: Mapping[int, str]) -> None:
        rows = list(plain_rows(connection, t.sheet, "well_id", sorted(wells), _OF_A_SHEET))
        # A correction is of its sheet's place among those of the day, not the newest of them.
        entered: dict[str, int] = {}
        for row in rows:
            entered[row[2]] = min(row[1], entered.get(row[2], row[1]))
        valid = [r for r in rows if r[3] == SheetStatus.VALID.value]
        valid.sort(key=lambda r: (r[5], entered[r[2]]))
        sealing = {r[2]: wells[r[0]] for r in valid if r[7] == Reason.DECOMMISSIONING.value}
        self._reopened = opened_again(connection, sealing)
        self._crews = _crews(connection, [r[1] for r in valid])
        calls = [r[1] for r in valid if r[4] == SheetKind.CALL.value]
        call = plain_rows(connection, t.call, "sheet_id", calls, _OF_A_CALL)
        self._told = {number: (a, b, c, d, e) for number, a, b, c, d, e in call}
        self._rows: dict[int, list[Row]] = defaultdict(list)
        for row in valid:
            self._rows[row[0]].append(row)

    def of(self, well_id: int) -> list[Visit]:
        """Those of one well, oldest first."""
        crews, told, reopened = self._crews, self._told, self._reopened
        return [
            _visit(row, crews.get(row[1], ()), told.get(row[1], _NO_CALL), reopened)
            for row in self._rows.get(well_id, ())
        ]


def _visit(
    row: Row, crew: Sequence[str], told: tuple[str, str, str, str, str], reopened: set[str]
) -> Visit:
    _, number, root, _, kind, start, end, reason, left, next_time, notes, opened, clean = row
    return Visit(
        root,
        words(SheetKind)[kind],
        day(start),
        maybe_day(end),
        words(Reason)[reason],
        tuple(crew),
        yes(left),
        next_time,
        notes,
        yes(opened),
        yes(clean),
        *told,
        number,
        root in reopened,
    )


def _crews(connection: Connection, sheets: list[int]) -> dict[int, list[str]]:
    rows = rows_by(connection, t.crew, "sheet_id", sheets, ("technician_id",), order="position")
    people = {number for some in rows.values() for _, number in some}
    names: dict[int, str] = dict(
        plain_rows(connection, t.technician, "id", sorted(people), ("name",))
    )
    return {sheet: [names[n] for _, n in some] for sheet, some in rows.items()}


def as_opened(visits: Sequence[Visit], hole: Hole) -> Iterator[Visit]:
    """Visits, where what came out though its sheet does not say so opened the well as well."""
    for visit in visits:
        concluded = visit.left_without_pump and not visit.opened and visit.uid in _took(hole)
        yield replace(visit, opened=True) if concluded else visit


def _took(hole: Hole) -> set[str | None]:
    """The sheets at which something came out of the hole."""
    return {
        uid
        for c in hole.components
        if c.kind in IN_THE_HOLE
        for uid in (c.pulled_by, *(a.pulled_by for a in c.absences))
    }


# -- what only a document tells ------------------------------------------------------------------

_OF_A_ZONE = ("pressure_psi", "volume_gal")


class Documents:
    """What sheets are the only ones to tell: what each rests on, and how zones were pressed."""

    def __init__(self, connection: Connection, roots: Iterable[str]) -> None:
        columns = ("status", "kind", "start_on", "document")
        rows = plain_rows(connection, t.sheet, "root_uid", sorted(roots), columns)
        valid = [row for row in rows if row[1] == SheetStatus.VALID]
        self.bases = {row[0]: _basis(row) for row in valid}
        self.zones = {uid: zone for row in valid for uid, zone in _zones(row)}


def _basis(row: Row) -> Basis:
    """What a sheet rests on: as it says itself, else by its kind."""
    _, _, kind, _, document = row
    # Few say it, and reading every document costs more than all else of a hole.
    said = document_of(document).get("basis") if '"basis"' in document else None
    return word(Basis, said) if said else words(SheetKind)[kind].basis


def _zones(row: Row) -> Iterator[tuple[str, dict[str, Any]]]:
    """The pressure and the volume of each zone of a fracturing, by the zone's uid."""
    root, _, _, start, document = row
    if '"bore"' not in document or not any(name in document for name in _OF_A_ZONE):
        return
    bore = document_of(document).get("bore") or []
    for n, said in enumerate([bore] if isinstance(bore, Mapping) else bore):
        if told := {name: said[name] for name in _OF_A_ZONE if name in said}:
            yield _zone(root, n, told, day(start))


def _zone(root: str, n: int, told: Mapping[str, Any], on: date) -> tuple[str, dict[str, Any]]:
    # What a sheet can say is loaded for the few that tell of this.
    from wellbook.hole.said import IntervalSaid
    from wellbook.hole.story import derived_uid

    zone = {name: read_field(IntervalSaid, name, value, on) for name, value in told.items()}
    return derived_uid(root, "bore", n), zone
