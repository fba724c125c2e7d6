"""What becomes of two wells that are one: their sheets are united and replayed."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from sqlalchemy import Connection, delete, insert, select

from wellbook.likeness.wells import plain_permit
from wellbook.store import tables as t
from wellbook.store.joining_customers import unite_stays, with_lines
from wellbook.store.replaying import clear_derived, rebuild
from wellbook.store.rows import Record, by_id, get_when, log, put_when
from wellbook.store.steps import Steps, kept_of
from wellbook.store.wells import SITE_BLANK, refresh
from wellbook.store.word_index import unindex
from wellbook.store.words import names_in
from wellbook.terms import KNOWN_AS, Construction, Reason, Role, SheetStatus, WellStatus

_PLAIN = ("use", "driller", "stick_up_ft", "frost_depth_ft", "flowing")
_UNSAID = (None, "", Construction.UNKNOWN.value)


def join_well_rows(
    connection: Connection, who: str, steps: Steps, one: Record, other: Record
) -> tuple[list[str], list[str]]:
    """Unite two wells under the first.

    Returns
    -------
    What differed; and the uids of all wells of the systems that were touched.

    Raises
    ------
    ReplayError
        If their sheets do not work out together.
    """
    well = kept_of(t.well)
    statuses = _statuses(connection, one["system_id"], other["system_id"])
    _not_sealed_again(connection, who, one, other)
    _forget_derived(connection, other["id"])

    def under_the_first(row: Record) -> dict[str, Any]:
        return {"occurrence": row["occurrence"].replace(other["uid"], one["uid"])}

    def facts(row: Record) -> dict[str, Any]:
        return {"facts_uid": row["facts_uid"] or other["uid"]}

    about = ("contact_about", "message_about", "calendar_entry")
    more: dict[str, Any] = dict.fromkeys(about, under_the_first)
    steps.repoint(t.well, other["id"], one["id"], {**more, "imported_row": facts})
    steps.remove(well, other)
    _unite_systems(connection, steps, one["system_id"], other["system_id"])
    site, differed = _unite_sites(connection, steps, one["site_id"], other["site_id"])
    values, told = _united(one, other)
    differed += told
    steps.change(well, one, {**values, "site_id": site})
    if site is not None:
        _draw(connection, steps, one["system_id"], site)
    touched = rebuild(connection, one["system_id"])
    for number in touched:
        now = by_id(connection, t.well, number)
        if now["status"] != statuses[number]:
            # The replay has marked it; so that it is taken back it is a step of its own.
            steps.change(well, {**now, "status": statuses[number]}, {"status": now["status"]})
    refresh(connection, touched)
    uids = select(t.well.c.uid).where(t.well.c.id.in_(touched))
    return differed, list(connection.execute(uids).scalars())


def renew_after(connection: Connection, uids: Iterable[str]) -> None:
    """Replay the systems of some wells, and renew all that follows."""
    query = select(t.well.c.system_id).where(t.well.c.uid.in_(sorted(set(uids))))
    systems = sorted(set(connection.execute(query).scalars()))
    refresh(connection, rebuild(connection, *systems))


def _statuses(connection: Connection, *systems: int) -> dict[int, str]:
    query = select(t.well.c.id, t.well.c.status).where(t.well.c.system_id.in_(systems))
    return {row.id: row.status for row in connection.execute(query)}


def _not_sealed_again(connection: Connection, who: str, one: Record, other: Record) -> None:
    """A well that was opened again after a sheet sealed it stays open: the word of that goes along."""
    sheet = t.sheet
    sealing = select(sheet.c.id).where(
        sheet.c.well_id == other["id"],
        sheet.c.status == SheetStatus.VALID.value,
        sheet.c.reason == Reason.DECOMMISSIONING.value,
    )
    opened = other["status"] != WellStatus.SEALED and one["status"] != WellStatus.SEALED
    if opened and connection.execute(sealing).first():
        log(connection, who, "join", "well", one["uid"], new={"status": one["status"]})


def _forget_derived(connection: Connection, number: int) -> None:
    clear_derived(connection, [number])
    connection.execute(delete(t.due).where(t.due.c.well_id == number))
    unindex(connection, [number])


def _unite_systems(connection: Connection, steps: Steps, one: int, other: int) -> None:
    """Of two water systems one: of the wells on the second too."""
    if one == other:
        return
    system = kept_of(t.water_system)
    steps.repoint(t.water_system, other, one, {})
    mine, theirs = (by_id(connection, t.water_system, n) for n in (one, other))
    values = {
        "rise_to_tank_ft": mine["rise_to_tank_ft"]
        if mine["rise_to_tank_ft"] is not None
        else theirs["rise_to_tank_ft"],
        "name": mine["name"] or theirs["name"],
    }
    steps.remove(system, theirs)
    steps.change(system, mine, values)


def _draw(connection: Connection, steps: Steps, system_id: int, site_id: int) -> None:
    """The property of a well draws on its water, as everywhere."""
    before = select(t.system_site).filter_by(system_id=system_id, site_id=site_id)
    if connection.execute(before).first() is None:
        connection.execute(insert(t.system_site).values(system_id=system_id, site_id=site_id))
        steps.added(kept_of(t.system_site), {"system_id": system_id, "site_id": site_id})


def _unite_sites(
    connection: Connection, steps: Steps, one: int | None, other: int | None
) -> tuple[int | None, list[str]]:
    """The property of the well, and what the other's said otherwise.

    A property on which something else stands or draws is left as it is; it is served by the well.
    """
    if one is None or other is None or one == other:
        return one or other, []
    stands = select(t.well.c.id).where(t.well.c.site_id == other)
    draws = select(t.system_site.c.system_id).where(t.system_site.c.site_id == other)
    if connection.execute(stands).first() or len(connection.execute(draws).all()) > 1:
        return one, []
    differed = unite_stays(connection, steps, t.occupancy.c.site_id, one, other)
    steps.repoint(t.site, other, one, {})
    mine, theirs = (by_id(connection, t.site, n) for n in (one, other))
    values: dict[str, Any] = {}
    told: list[str] = []
    for name in (n for n in SITE_BLANK if n != "notes"):
        if mine[name] in _UNSAID:
            values[name] = theirs[name]
        elif theirs[name] not in _UNSAID and theirs[name] != mine[name]:
            told.append(f"also written: {name.replace('_', ' ')} {theirs[name]}")
    if mine["road_key"] == "" or mine["road"] == "":
        values["road_key"] = theirs["road_key"]
    values["notes"] = with_lines(mine["notes"], [*theirs["notes"].splitlines(), *told])
    site = kept_of(t.site)
    steps.remove(site, theirs)
    steps.change(site, mine, values)
    return one, [*differed, *told]


def _united(one: Record, other: Record) -> tuple[dict[str, Any], list[str]]:
    """The columns of a well as both say them, and what the second said otherwise."""
    values: dict[str, Any] = {}
    names, told = [other["tag"], *names_in(other["notes"])], []
    if not one["permit_no"]:
        values["permit_no"] = other["permit_no"]
    elif plain_permit(other["permit_no"]) not in ("", plain_permit(one["permit_no"])):
        names.append(other["permit_no"])
    for name in (*_PLAIN, "construction"):
        if one[name] in _UNSAID:
            values[name] = other[name]
        elif other[name] not in _UNSAID and other[name] != one[name]:
            told.append(f"of {other['tag']} it was said: {name.replace('_', ' ')} {other[name]}")
    mine, theirs = get_when(one, "drilled"), get_when(other, "drilled")
    if theirs is not None and theirs.known and theirs != mine:
        if mine is None or not mine.known:
            values |= put_when("drilled", theirs)
        else:
            told.append(f"of {other['tag']} it was said: drilled {theirs}")
    if Role.OURS in (one["role"], other["role"]):
        values["role"] = Role.OURS.value
    if other["status"] != one["status"]:
        told.append(f"of {other['tag']} it was said: {other['status'].replace('_', ' ')}")
    known = [KNOWN_AS + name for name in dict.fromkeys(names)]
    values["notes"] = with_lines(one["notes"], [*other["notes"].splitlines(), *known, *told])
    return values, told
