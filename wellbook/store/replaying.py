"""Rebuild what follows from the sheets of a water system: components, readings, findings."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import fields
from datetime import date
from functools import cache
from typing import Any

from sqlalchemy import Connection, RowMapping, Select, bindparam, delete, func, select, update

from wellbook.dates import When
from wellbook.errors import ReplayError
from wellbook.hole.component import Component
from wellbook.hole.fields import field_types
from wellbook.hole.records import Found, Inspection, Interval, Observation, Sample
from wellbook.hole.replay import replay
from wellbook.hole.said import Sheet
from wellbook.hole.sheet import SheetError, read_recorded
from wellbook.hole.story import Recorded, Story
from wellbook.store import tables as t
from wellbook.store.derived_rows import (
    BORE,
    COMPONENTS,
    FOUND,
    INSPECTIONS,
    READINGS,
    SAMPLES,
    Derived,
    Place,
    settle,
)
from wellbook.store.rows import claim_text, put_when
from wellbook.store.sharing import joined_at
from wellbook.store.status import opened_again, status_by_hand
from wellbook.terms import Reason, SheetKind, SheetStatus, WellStatus


def recorded_sheets(connection: Connection, system_ids: Iterable[int]) -> dict[int, list[Recorded]]:
    """The valid sheets of all wells of water systems, by system."""
    query = _valid_sheets()
    rows = connection.execute(query, {"systems": list(system_ids)}).mappings().all()
    joined = joined_at(connection, {(row["system_id"], row["well_uid"]) for row in rows})
    sealing = {r["root_uid"]: r["well_uid"] for r in rows if r["reason"] == Reason.DECOMMISSIONING}
    reopened = opened_again(connection, sealing)
    recorded: dict[int, list[Recorded]] = {}
    for row in rows:
        sheet_read = _read(row)
        one = Recorded(
            row["root_uid"],
            row["well_uid"],
            sheet_read,
            row["entered"] or 0,
            joined=joined.get(row["well_uid"], 0),
            reopened=row["root_uid"] in reopened,
        )
        recorded.setdefault(row["system_id"], []).append(one)
    return recorded


@cache
def _valid_sheets() -> Select[Any]:
    """Put together once: for one well that takes as long as to read its sheets."""
    sheet, well, line = t.sheet, t.well, t.change
    version = sheet.alias()
    # By the change log and not by the sheets' own numbers, so that two books that are united in
    # either direction play the sheets of one day in one order.
    first = (
        select(func.min(line.c.id))
        .join(version, version.c.uid == line.c.row_uid)
        .where(version.c.root_uid == sheet.c.root_uid, line.c.action == "add")
    )
    return (
        select(
            sheet.c.id,
            first.scalar_subquery().label("entered"),
            sheet.c.root_uid,
            sheet.c.kind,
            sheet.c.reason,
            sheet.c.document,
            sheet.c.recorded_at,
            well.c.uid.label("well_uid"),
            well.c.system_id,
        )
        .join(well, well.c.id == sheet.c.well_id)
        .where(well.c.system_id.in_(bindparam("systems", expanding=True)))
        .where(sheet.c.status == SheetStatus.VALID)
        .order_by(sheet.c.id)
    )


def _read(row: RowMapping) -> Sheet:
    """A sheet on record; where its text was changed by something else than this program, that is said."""
    try:
        data = json.loads(row["document"])
        if not isinstance(data, dict):
            raise ValueError("it is no sheet")
        return read_recorded(
            data, today=date.fromisoformat(row["recorded_at"][:10]), kind=SheetKind(row["kind"])
        )
    except (ValueError, AttributeError, TypeError, SheetError) as error:
        why = error.mistakes[0] if isinstance(error, SheetError) else error
        raise ReplayError(
            f"sheet {row['id']} cannot be read any more ({_first_line(why)}): something other than this"
            " program has changed it; what it said is in an older backup"
        ) from error


def _first_line(error: object) -> str:
    said = getattr(error, "message", "") or str(error)
    return said if len(said) <= _LONGEST else f"{said[:_LONGEST]}…"


_LONGEST = 80


def rebuild(connection: Connection, *system_ids: int) -> list[int]:
    """Replay the sheets of water systems and write what they come to in place of what stood there.

    Each system is replayed by itself; what they come to is written at once.

    Returns
    -------
    The numbers of the systems' wells.

    Raises
    ------
    ReplayError
        If the sheets do not work out; the caller's transaction then ends without a trace.
    """
    well = t.well
    numbers = {
        uid: number
        for number, uid in connection.execute(
            select(well.c.id, well.c.uid).where(well.c.system_id.in_(system_ids))
        )
    }
    recorded = recorded_sheets(connection, system_ids)
    stories = [replay(recorded.get(system_id, [])) for system_id in system_ids]
    _settle_components(connection, [s.components for s in stories], numbers)
    _settle_rest(connection, _together(stories), numbers)
    _mark_sealed(connection, [r for some in recorded.values() for r in some], numbers)
    return list(numbers.values())


def _together(stories: Iterable[Story]) -> Story:
    """What several systems come to, as one."""
    whole = Story()
    for story in stories:
        for field in fields(Story):
            getattr(whole, field.name).extend(getattr(story, field.name))
    return whole


def clear_derived(connection: Connection, well_ids: list[int]) -> None:
    """Take away what the replay made of some wells."""
    component = t.component
    mine = select(component.c.id).where(component.c.well_id.in_(well_ids))
    of_components = [t.component_claim, *t.PART_TABLES.values()]
    for table in of_components:
        connection.execute(delete(table).where(table.c.component_id.in_(mine)))
    wholly_derived = [t.component, t.cable_inspection, t.found]
    for table in wholly_derived:
        connection.execute(delete(table).where(table.c.well_id.in_(well_ids)))
    samples = select(t.water_sample.c.id).where(
        t.water_sample.c.well_id.in_(well_ids), t.water_sample.c.sheet_root_uid.is_not(None)
    )
    connection.execute(delete(t.water_result).where(t.water_result.c.sample_id.in_(samples)))
    partly_derived = [t.observation, t.bore_interval, t.water_sample]
    for table in partly_derived:
        connection.execute(
            delete(table).where(table.c.well_id.in_(well_ids), table.c.sheet_root_uid.is_not(None))
        )


def _settle_components(
    connection: Connection, by_system: Iterable[list[Component]], wells: Mapping[str, int]
) -> None:
    rows = (
        Derived(
            _component_row(c, n, wells[c.well_uid]),
            {t.PART_TABLES[c.kind]: [_part_row(c)], t.component_claim: _claim_rows(c)},
        )
        for components in by_system
        for n, c in enumerate(components)
    )
    settle(connection, COMPONENTS, list(wells.values()), rows)


def _component_row(component: Component, position: int, well_id: int) -> dict[str, Any]:
    return {
        "uid": component.uid,
        "well_id": well_id,
        "position": position,
        "kind": component.kind.value,
        **put_when("set", component.set_on),
        "set_by": component.set_by,
        **put_when("pulled", component.pulled_on),
        "pulled_by": component.pulled_by,
        "why_pulled": component.why_pulled,
        "cause": component.cause,
        "basis": component.basis.value,
        "noted_on": component.noted_on,
        "cut_on": component.cut_on,
    }


def _part_row(component: Component) -> dict[str, Any]:
    row: dict[str, Any] = {"kind": component.kind.value}
    for name, hint in field_types(type(component.part)).items():
        value = getattr(component.part, name)
        row.update(put_when(name, value) if hint is When else {name: value})
    return row


def _claim_rows(component: Component) -> list[dict[str, Any]]:
    """All statements on a component beside the one that introduced it, in the order made."""
    rows = [
        {
            "field": claim.field,
            "value": claim_text(claim.value),
            "basis": claim.basis.value,
            "noted_on": claim.noted_on,
            "counts": claim.counts,
            "was": None if claim.was is None else claim_text(claim.was),
            "sheet_root_uid": claim.sheet_uid,
        }
        for claim in component.claims
    ]
    for away in component.absences:
        moves = (
            ("out", away.why, away.cause, away.out_on, away.pulled_by),
            ("back", "", None, away.back_on, away.back_by),
        )
        rows += [
            {
                "field": move,
                "value": why,
                "basis": component.basis.value,
                "noted_on": on,
                "counts": True,
                "was": cause,
                "sheet_root_uid": sheet_uid,
            }
            for move, why, cause, on, sheet_uid in moves
        ]
    return [{"position": n, **row} for n, row in enumerate(rows)]


def _settle_rest(connection: Connection, story: Story, wells: Mapping[str, int]) -> None:
    rows: dict[Place, Iterable[dict[str, Any]]] = {
        READINGS: (observation_row(o, wells[w]) for w, o in story.observations),
        BORE: (_interval_row(i, wells[w]) for w, i in story.intervals),
        INSPECTIONS: (_inspection_row(i, wells[w]) for w, i in story.inspections),
        FOUND: (_found_row(f, wells[w]) for w, f in story.found),
    }
    for place, of_place in rows.items():
        settle(connection, place, list(wells.values()), map(Derived, of_place))
    samples = (
        Derived(_sample_row(s, wells[w]), {t.water_result: _result_rows(s)})
        for w, s in story.samples
    )
    settle(connection, SAMPLES, list(wells.values()), samples)


def _interval_row(interval: Interval, well_id: int) -> dict[str, Any]:
    return {
        "uid": interval.uid,
        "well_id": well_id,
        "kind": interval.kind.value,
        "from_ft": interval.from_ft,
        "to_ft": interval.to_ft,
        "diameter_in": interval.diameter_in,
        "material": interval.material,
        "basis": interval.basis.value,
        **put_when("when", interval.when),
        "sheet_root_uid": interval.sheet_uid,
    }


def _inspection_row(inspection: Inspection, well_id: int) -> dict[str, Any]:
    return {
        "uid": inspection.uid,
        "well_id": well_id,
        "component_uid": inspection.component_uid,
        "inspected_on": inspection.on,
        "splices": inspection.splices,
        "rubs": inspection.rubs,
        "splices_added": inspection.splices_added,
        "sheet_root_uid": inspection.sheet_uid,
    }


def _found_row(found: Found, well_id: int) -> dict[str, Any]:
    return {
        "uid": found.uid,
        "well_id": well_id,
        "found_on": found.on,
        "what": found.what.value,
        "part": found.part,
        "depth_ft": found.depth_ft,
        "count": found.count,
        "severity": found.severity,
        "note": found.note,
        "sheet_root_uid": found.sheet_uid,
    }


def _sample_row(sample: Sample, well_id: int) -> dict[str, Any]:
    return {
        "uid": sample.uid,
        "well_id": well_id,
        **put_when("taken", sample.taken_on),
        "bacteria": sample.bacteria,
        "laboratory": sample.laboratory,
        "note": sample.note,
        "sheet_root_uid": sample.sheet_uid,
    }


def _result_rows(sample: Sample) -> list[dict[str, Any]]:
    return [
        {"analyte": word, "value": found.value, "below": found.below}
        for word, found in sample.results.items()
    ]


def observation_row(observation: Observation, well_id: int) -> dict[str, Any]:
    """An observation as a row."""
    return {
        "uid": observation.uid,
        "well_id": well_id,
        "quantity": observation.quantity.value,
        "value": observation.value,
        **put_when("when", observation.when),
        "basis": observation.basis.value,
        "point": observation.point,
        "state": observation.state,
        "method": observation.method,
        "at_gpm": observation.at_gpm,
        "minutes": observation.minutes,
        "sheet_root_uid": observation.sheet_uid,
    }


def _mark_sealed(
    connection: Connection, recorded: Iterable[Recorded], wells: Mapping[str, int]
) -> None:
    """A well is sealed while a decommissioning sheet is valid; then it is what it was before.

    Whoever sealed a well by hand, without a sheet, did so for good; and whoever wrote after the
    sheet that it is open again knew of the sheet.
    """
    sealing = [r for r in recorded if r.sheet.reason is Reason.DECOMMISSIONING and not r.reopened]
    sealed = {wells[r.well_uid] for r in sealing}
    others = [number for number in wells.values() if number not in sealed]
    table = t.well
    if sealed:
        connection.execute(
            update(table).where(table.c.id.in_(sealed)).values(status=WellStatus.SEALED.value)
        )
    has_had = select(t.sheet.c.id).where(
        t.sheet.c.well_id == table.c.id, t.sheet.c.reason == Reason.DECOMMISSIONING.value
    )
    opened = select(table.c.id, table.c.uid).where(
        table.c.id.in_(others),
        table.c.status == WellStatus.SEALED.value,
        has_had.exists(),
    )
    uids = {row.id: row.uid for row in connection.execute(opened)}
    by_hand = status_by_hand(connection, uids.values()) if uids else {}
    for number, uid in uids.items():
        status = by_hand.get(uid, WellStatus.IN_USE)
        connection.execute(update(table).where(table.c.id == number).values(status=status.value))
