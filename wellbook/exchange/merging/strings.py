"""Sheets that do not fit together once they are united: which side's count."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping

from sqlalchemy import Connection, select, update

from wellbook.exchange.merging.sheet_versions import LEFT_OUT
from wellbook.exchange.merging.sides import Conflict, Key, Plan, Row
from wellbook.store import tables as t
from wellbook.store.rows import log, records
from wellbook.terms import SheetStatus


def refused(
    connection: Connection,
    plan: Plan,
    system_id: int,
    message: str,
    sheets: tuple[Mapping[Key, Row], Mapping[Key, Row]],
) -> Conflict:
    """That the sheets of one water system do not work out, with the visits that are new on each side."""
    query = select(
        t.sheet.c.uid, t.sheet.c.kind, t.sheet.c.start_on, t.well.c.tag, t.sheet.c.status
    )
    query = query.join(t.well, t.well.c.id == t.sheet.c.well_id)
    rows = records(
        connection, query.where(t.well.c.system_id == system_id).order_by(t.sheet.c.start_on)
    )
    tags = ", ".join(dict.fromkeys(row["tag"] for row in rows))
    system = connection.execute(
        select(t.water_system.c.uid).where(t.water_system.c.id == system_id)
    ).scalar_one()
    shown = []
    for n in (0, 1):
        new = [
            f"{row['kind']} of {row['start_on']}"
            for row in rows
            if row["status"] == SheetStatus.VALID
            and (row["uid"],) in sheets[n]
            and (row["uid"],) not in sheets[1 - n]
        ]
        shown.append(f"only with: {', '.join(new) or 'the sheets of this side'}")
    by = [
        next((x for row in rows if (x := side.log.by(("sheet", row["uid"])))), "")
        for side in plan.sides
    ]
    return Conflict(
        "replay",
        "water_system",
        (system,),
        f"sheets of {tags} do not fit: {message}",
        {},
        {},
        by[0],
        by[1],
        shown=(shown[0], shown[1]),
    )


def as_on_one_side(
    connection: Connection,
    who: str,
    system_id: int,
    counting: Mapping[Key, Row],
) -> None:
    """Let those sheets of a water system count that count on one side; the others are withdrawn.

    Parameters
    ----------
    counting
        The sheets of that side.
    """
    query = select(t.sheet.c.id, t.sheet.c.uid, t.sheet.c.status).join(
        t.well, t.well.c.id == t.sheet.c.well_id
    )
    for row in records(connection, query.where(t.well.c.system_id == system_id)):
        there = counting.get((row["uid"],))
        status = there["status"] if there else SheetStatus.WITHDRAWN.value
        why = there["status_why"] if there else LEFT_OUT
        if there is None and row["status"] != SheetStatus.VALID:
            continue
        if status != row["status"]:
            which = t.sheet.c.id == row["id"]
            connection.execute(update(t.sheet).where(which).values(status=status, status_why=why))
            old, new = {"status": row["status"]}, {"status": status, "status_why": why}
            log(connection, who, "merge", "sheet", row["uid"], old=old, new=new)


def systems_of(connection: Connection, well_uids: Iterable[str]) -> set[int]:
    """The water systems that some wells feed."""
    from wellbook.store.rows import batches

    found: set[int] = set()
    for some in batches(sorted(well_uids)):
        query = select(t.well.c.system_id).where(t.well.c.uid.in_(some))
        found.update(connection.execute(query).scalars())
    return found


def changed_wells(plan: Plan, sheets: tuple[Mapping[Key, Row], Mapping[Key, Row]]) -> set[str]:
    """The wells of which a plan changes the sheets, the water system or the status."""
    part = plan.of("sheet")
    found = {row["well_id"] for row in part.insert.values()}
    found |= {sheets[0][key]["well_id"] for key in part.update if key in sheets[0]}
    wells = plan.of("well")
    found |= {key[0] for key in wells.insert}
    found |= {key[0] for key, v in wells.update.items() if _matters(v)}
    # A status by hand counts by its line in the log, even where the value is the same.
    return found | {uid for what, uid in plan.sides[1].log.touched if what == "well"}


def _matters(values: Collection[str]) -> bool:
    return bool({"system_id", "status"} & set(values))
