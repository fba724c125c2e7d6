"""Some wells at once: of each group of facts what is asked for, read for all of them together."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence, Set
from functools import cached_property
from typing import Any

from sqlalchemy import Connection, Table, select

from wellbook.engineering.analytes import Result
from wellbook.hole.component import Component
from wellbook.hole.hole import Hole
from wellbook.store import tables as t
from wellbook.store.loading import seen
from wellbook.store.loading.cells import day, maybe_yes, when, words
from wellbook.store.loading.parts import Parts
from wellbook.store.loading.places import Sites, Systems
from wellbook.store.loading.plain_rows import Rows, plain_rows, rows_by
from wellbook.store.loading.visits import Documents, Visits, as_opened
from wellbook.store.status import status_by_hand
from wellbook.terms import Construction, Kind, Reason, Role, SheetStatus, WellStatus

_OF_A_WELL = (
    *("uid", "system_id", "site_id", "status", "tag", "permit_no", "role", "use"),
    *("construction", "flowing", "driller", "drilled_earliest", "drilled_latest"),
    *("drilled_text", "stick_up_ft", "frost_depth_ft", "entered_on", "notes"),
)
_UID, _SYSTEM, _SITE, _STATUS = 1, 2, 3, 4


class Wells:
    """Some wells. Nothing is read but their own rows, until it is asked for."""

    def __init__(self, connection: Connection, well_ids: Sequence[int]) -> None:
        self._connection, self._ids = connection, sorted(well_ids)
        rows = plain_rows(connection, t.well, "id", self._ids, _OF_A_WELL)
        self._wells = {row[0]: row for row in rows}

    def facts(self, number: int) -> dict[str, Any]:
        """What stands in a well's own row."""
        _, uid, _, _, status, tag, permit_no, role, use, made, flowing, *rest = self._wells[number]
        driller, first, last, text, stick_up_ft, frost_depth_ft, entered_on, notes = rest
        return {
            "uid": uid,
            "tag": tag,
            "permit_no": permit_no,
            "role": words(Role)[role],
            "use": use,
            "status": words(WellStatus)[status],
            "construction": words(Construction)[made],
            "flowing": maybe_yes(flowing),
            "driller": driller,
            "drilled_on": when(first, last, text),
            "stick_up_ft": stick_up_ft,
            "frost_depth_ft": frost_depth_ft,
            "entered_on": day(entered_on),
            "notes": notes,
            "day": None,
            "_valid": {},
            "_hanging": {},
        }

    @cached_property
    def status_unsealed(self) -> Mapping[str, WellStatus]:
        """What wells that are sealed now were before, by their uids."""
        sealed = [w[_UID] for w in self._wells.values() if w[_STATUS] == WellStatus.SEALED]
        return status_by_hand(self._connection, sealed) if sealed else {}

    def place(self, number: int) -> tuple[str, int, int | None]:
        """A well's uid, and the numbers of its system and its property."""
        well = self._wells[number]
        return well[_UID], well[_SYSTEM], well[_SITE]

    @cached_property
    def sites(self) -> Sites:
        """The properties where they stand."""
        return Sites(self._connection, {w[_SITE] for w in self._wells.values() if w[_SITE]})

    @cached_property
    def systems(self) -> Systems:
        """The systems that they feed."""
        return Systems(self._connection, {w[_SYSTEM] for w in self._wells.values()})

    @cached_property
    def parts(self) -> Parts:
        """What hangs in and on them, and what their systems share."""
        return Parts(self._connection, self.systems.wells)

    def components(self, number: int, kind: Kind | None = None) -> tuple[Component, ...]:
        """What a well has of all kinds or of one."""
        return self.parts.of(number, self.systems.wells_of(self.place(number)[1]), kind)

    @cached_property
    def visits(self) -> Visits:
        """What was done, by the sheets."""
        return Visits(self._connection, {n: row[_UID] for n, row in self._wells.items()})

    @cached_property
    def ever_closed(self) -> Set[int]:
        """Those that a sheet closed down, for a winter or for good."""
        sheet = t.sheet
        query = select(sheet.c.well_id).where(
            sheet.c.well_id.in_(self._ids),
            sheet.c.reason == Reason.CLOSING_DOWN.value,
            sheet.c.status == SheetStatus.VALID.value,
        )
        return set(self._connection.execute(query).scalars())

    def _of(self, table: Table, columns: Sequence[str]) -> Rows:
        return rows_by(self._connection, table, "well_id", self._ids, columns, order="id")

    @cached_property
    def observations(self) -> Rows:
        """Rows of readings."""
        return self._of(t.observation, seen.OBSERVATION)

    @cached_property
    def intervals(self) -> Rows:
        """Rows of stretches of their bores."""
        return self._of(t.bore_interval, seen.INTERVAL)

    @cached_property
    def inspections(self) -> Rows:
        """Rows of what was counted on cables."""
        return self._of(t.cable_inspection, seen.INSPECTION)

    @cached_property
    def found(self) -> Rows:
        """Rows of what was found."""
        return self._of(t.found, seen.FOUND)

    @cached_property
    def samples(self) -> Rows:
        """Rows of water samples."""
        return self._of(t.water_sample, seen.SAMPLE)

    @cached_property
    def results(self) -> Mapping[int, Mapping[str, Result]]:
        """What laboratories said of the samples."""
        return seen.results_of(self._connection, [r[1] for s in self.samples.values() for r in s])

    @cached_property
    def pressed(self) -> Documents:
        """The sheets that stretches of the bore are from."""
        return self._documents(self.intervals)

    @cached_property
    def sampled(self) -> Documents:
        """The sheets that samples are from."""
        return self._documents(self.samples)

    def _documents(self, rows: Rows) -> Documents:
        roots = {row[-1] for some in rows.values() for row in some}
        return Documents(self._connection, roots - {None})

    @cached_property
    def papers(self) -> Rows:
        """Rows of papers that were sent."""
        return self._of(t.paper, seen.PAPER)

    @cached_property
    def files(self) -> Rows:
        """Rows of attached files."""
        return self._of(t.attachment, seen.FILE)


def _intervals(wells: Wells, number: int) -> object:
    rows = wells.intervals.get(number, ())
    return tuple([seen.interval(r, wells.pressed.zones) for r in rows])


def _samples(wells: Wells, number: int) -> object:
    return tuple(
        [
            seen.sample(r, wells.sampled.bases, wells.results.get(r[1], {}))
            for r in wells.samples.get(number, ())
        ]
    )


def _system(wells: Wells, number: int) -> object:
    _, system_id, site_id = wells.place(number)
    return wells.systems.system(system_id, number, site_id)


def _files(wells: Wells, number: int) -> object:
    rows = wells.files.get(number, ())
    return tuple(seen.attached_file(dict(zip(seen.FILE, r[1:], strict=True))) for r in rows)


GROUPS: Mapping[str, Callable[[Wells, int, Hole], object]] = {
    "site": lambda wells, n, _: wells.sites.site(wells.place(n)[2]),
    "occupants": lambda wells, n, _: wells.sites.occupants(wells.place(n)[2]),
    "system": lambda wells, n, _: _system(wells, n),
    "components": lambda wells, n, _: wells.components(n),
    "pump_models": lambda wells, _, hole: wells.parts.models_of(hole.components),
    "intervals": lambda wells, n, _: _intervals(wells, n),
    "observations": lambda wells, n, _: tuple(
        [seen.observation(r) for r in wells.observations.get(n, ())]
    ),
    "inspections": lambda wells, n, _: tuple(
        [seen.inspection(r) for r in wells.inspections.get(n, ())]
    ),
    "found": lambda wells, n, _: tuple([seen.found(r) for r in wells.found.get(n, ())]),
    "samples": lambda wells, n, _: _samples(wells, n),
    "visits": lambda wells, n, hole: tuple(as_opened(wells.visits.of(n), hole)),
    "papers": lambda wells, n, _: tuple([seen.paper(r) for r in wells.papers.get(n, ())]),
    "files": lambda wells, n, _: _files(wells, n),
    "status_unsealed": lambda wells, n, _: wells.status_unsealed.get(
        wells.place(n)[0], WellStatus.IN_USE
    ),
}
"""What a hole has beside its well's own row: name of the field -> what makes it."""
