"""Rebuild what follows from the sheets of a water system: components, readings, findings."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import fields
from datetime import date
from typing import Any

from sqlalchemy import Connection, RowMapping, delete, func, select, update

from wellbook.dates import When
from wellbook.errors import ReplayError
from wellbook.hole.component import Component
from wellbook.hole.fields import field_types
from wellbook.hole.records import Sample
from wellbook.hole.replay import replay
from wellbook.hole.said import Sheet
from wellbook.hole.sheet import SheetError, read_recorded
from wellbook.hole.story import Recorded, Story
from wellbook.store import tables as t
from wellbook.store.in_bulk import added, put_rows
from wellbook.store.rows import claim_text, put_when
from wellbook.store.sharing import joined_at
from wellbook.store.status import opened_again, status_by_hand
from wellbook.terms import Kind, Reason, SheetKind, SheetStatus, WellStatus


def recorded_sheets(connection: Connection, system_ids: Iterable[int]) -> dict[int, list[Recorded]]:
    """The valid sheets of all wells of water systems, by system."""
    sheet, well, line = t.sheet, t.well, t.change
    version = sheet.alias()
    # By the change log and not by the sheets' own numbers, so that two books that are united in
    # either direction play the sheets of one day in one order.
    first = (
        select(func.min(line.c.id))
        .join(version, version.c.uid == line.c.row_uid)
        .where(version.c.root_uid == sheet.c.root_uid, line.c.action == "add")
    )
    query = (
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
        .where(well.c.system_id.in_(list(system_ids)), sheet.c.status == SheetStatus.VALID)
        .order_by(sheet.c.id)
    )
    rows = connection.execute(query).mappings().all()
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
    clear_derived(connection, list(numbers.values()))
    _write_components(connection, [s.components for s in stories], numbers)
    _write_rest(connection, _together(stories), numbers)
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


def _write_components(
    connection: Connection, by_system: Iterable[list[Component]], wells: Mapping[str, int]
) -> None:
    placed = [(n, c) for components in by_system for n, c in enumerate(components)]
    if not placed:
        return
    components = [c for _, c in placed]
    rows = [_component_row(c, n, wells[c.well_uid]) for n, c in placed]
    made = added(connection, t.component, rows)
    parts: dict[Kind, list[dict[str, Any]]] = {}
    claims: list[dict[str, Any]] = []
    for number, component in zip(made, components, strict=True):
        parts.setdefault(component.kind, []).append(_part_row(component, number))
        claims += _claim_rows(component, number)
    for kind, kind_rows in parts.items():
        put_rows(connection, t.PART_TABLES[kind], kind_rows)
    put_rows(connection, t.component_claim, claims)


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


def _part_row(component: Component, number: int) -> dict[str, Any]:
    row: dict[str, Any] = {"component_id": number, "kind": component.kind.value}
    for name, hint in field_types(type(component.part)).items():
        value = getattr(component.part, name)
        row.update(put_when(name, value) if hint is When else {name: value})
    return row


def _claim_rows(component: Component, number: int) -> list[dict[str, Any]]:
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
    return [{"component_id": number, "position": n, **row} for n, row in enumerate(rows)]


def _write_rest(connection: Connection, story: Story, wells: Mapping[str, int]) -> None:
    put_rows(
        connection,
        t.observation,
        (observation_row(o, wells[w]) for w, o in story.observations),
    )
    put_rows(
        connection,
        t.bore_interval,
        (
            {
                "uid": i.uid,
                "well_id": wells[w],
                "kind": i.kind.value,
                "from_ft": i.from_ft,
                "to_ft": i.to_ft,
                "diameter_in": i.diameter_in,
                "material": i.material,
                "basis": i.basis.value,
                **put_when("when", i.when),
                "sheet_root_uid": i.sheet_uid,
            }
            for w, i in story.intervals
        ),
    )
    put_rows(
        connection,
        t.cable_inspection,
        (
            {
                "uid": i.uid,
                "well_id": wells[w],
                "component_uid": i.component_uid,
                "inspected_on": i.on,
                "splices": i.splices,
                "rubs": i.rubs,
                "splices_added": i.splices_added,
                "sheet_root_uid": i.sheet_uid,
            }
            for w, i in story.inspections
        ),
    )
    put_rows(
        connection,
        t.found,
        (
            {
                "uid": f.uid,
                "well_id": wells[w],
                "found_on": f.on,
                "what": f.what.value,
                "part": f.part,
                "depth_ft": f.depth_ft,
                "count": f.count,
                "severity": f.severity,
                "note": f.note,
                "sheet_root_uid": f.sheet_uid,
            }
            for w, f in story.found
        ),
    )
    _write_samples(connection, story.samples, wells)


def _write_samples(
    connection: Connection, told: Iterable[tuple[str, Sample]], wells: Mapping[str, int]
) -> None:
    samples = list(told)
    if not samples:
        return
    rows = [
        {
            "uid": s.uid,
            "well_id": wells[w],
            **put_when("taken", s.taken_on),
            "bacteria": s.bacteria,
            "laboratory": s.laboratory,
            "note": s.note,
            "sheet_root_uid": s.sheet_uid,
        }
        for w, s in samples
    ]
    made = added(connection, t.water_sample, rows)
    put_rows(
        connection,
        t.water_result,
        (
            {"sample_id": n, "analyte": word, "value": found.value, "below": found.below}
            for n, (_, s) in zip(made, samples, strict=True)
            for word, found in s.results.items()
        ),
    )


def observation_row(observation: Any, well_id: int) -> dict[str, Any]:
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
