"""Loading holes, one or many, by a handful of plain queries each for all of them."""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import fields, replace
from datetime import date
from enum import StrEnum
from functools import cache
from typing import Any

from sqlalchemy import Connection, Table, func, select

from wellbook.dates import When
from wellbook.engineering.analytes import ANALYTES, Result
from wellbook.hole.component import SETTING, Absence, Claim, Component
from wellbook.hole.fields import field_types, read_field, word
from wellbook.hole.hole import Hole
from wellbook.hole.materials import in_the_books_word, read_material
from wellbook.hole.parts import PARTS, Part, Pump
from wellbook.hole.records import (
    AttachedFile,
    Contact,
    Found,
    Inspection,
    Interval,
    Observation,
    Occupant,
    OtherSite,
    Paper,
    PumpModel,
    Sample,
    Site,
    System,
    Visit,
)
from wellbook.hole.said import IntervalSaid
from wellbook.hole.story import derived_uid
from wellbook.store import tables as t
from wellbook.store.consents import answers, permission
from wellbook.store.file_kinds import fit_name
from wellbook.store.pumps import models_of
from wellbook.store.rows import batches, get_when, records, said_when
from wellbook.store.status import opened_again, status_by_hand
from wellbook.terms import (
    IN_THE_HOLE,
    OF_THE_SYSTEM,
    Bacteria,
    Basis,
    Cause,
    Construction,
    ContactWay,
    FoundKind,
    IntervalKind,
    Kind,
    LevelState,
    MeasuringPoint,
    PaperKind,
    Quantity,
    Reason,
    Role,
    Severity,
    SheetKind,
    SheetStatus,
    WellStatus,
)

MOVES = ("out", "back")
"""Statements on a whole part, beside those on its fields: it came out, and it went back."""

Rows = Mapping[int, Sequence[Mapping[str, Any]]]


def load_hole(connection: Connection, well_id: int) -> Hole:
    """One well's whole record."""
    return next(load_holes(connection, [well_id]))


def load_holes(connection: Connection, well_ids: Iterable[int]) -> Iterator[Hole]:
    """The whole records of wells, in the order given, some hundreds at a time."""
    numbers = list(well_ids)
    for batch in batches(numbers):
        yield from _load(connection, batch)


def _rows(connection: Connection, table: Table, column: str, keys: Sequence[int]) -> Rows:
    """A table's rows by one of its columns, in the order of their numbers."""
    query = select(table).where(table.c[column].in_(keys))
    if "id" in table.c:
        query = query.order_by(table.c.id)
    grouped: dict[int, list[Mapping[str, Any]]] = defaultdict(list)
    for row in records(connection, query):
        grouped[row[column]].append(row)
    return grouped


def _load(connection: Connection, well_ids: Sequence[int]) -> Iterator[Hole]:
    wells = {w: rows[0] for w, rows in _rows(connection, t.well, "id", well_ids).items()}
    systems = _Systems(connection, {w["system_id"] for w in wells.values()})
    own = {w["site_id"] for w in wells.values() if w["site_id"]}
    sites = _Sites(connection, own | systems.site_ids)
    everything = sorted({*wells, *systems.well_ids})
    parts = _Parts(connection, everything)
    visits, bases, zones = _visits(connection, wells)
    unsealed = _unsealed(connection, wells.values())

    def of(table: Table) -> Rows:
        return _rows(connection, table, "well_id", well_ids)

    observations, intervals = of(t.observation), of(t.bore_interval)
    inspections, found, samples = of(t.cable_inspection), of(t.found), of(t.water_sample)
    papers, files = of(t.paper), of(t.attachment)
    results = _results(connection, well_ids) if samples else {}
    for number in well_ids:
        well = wells[number]
        hung = parts.of(number, systems.wells_of(well["system_id"]))
        yield Hole(
            **_well(well),
            site=sites.site(well["site_id"]),
            occupants=sites.occupants(well["site_id"]),
            system=systems.system(well, sites),
            components=hung,
            intervals=tuple(_interval(r, zones) for r in intervals.get(number, ())),
            observations=tuple(_observation(r) for r in observations.get(number, ())),
            inspections=tuple(_inspection(r) for r in inspections.get(number, ())),
            found=tuple(_found(r) for r in found.get(number, ())),
            samples=tuple(
                _sample(r, bases, results.get(r["id"], {})) for r in samples.get(number, ())
            ),
            visits=tuple(_as_opened(visits.get(number, ()), hung)),
            papers=tuple(_paper(r) for r in papers.get(number, ())),
            files=tuple(attached_file(r) for r in files.get(number, ())),
            status_unsealed=unsealed.get(well["uid"], WellStatus.IN_USE),
            pump_models=parts.models_of(hung),
        )


def _well(row: Mapping[str, Any]) -> dict[str, Any]:
    same = ("uid", "tag", "permit_no", "use", "flowing", "driller", "stick_up_ft")
    return {
        **{name: row[name] for name in (*same, "frost_depth_ft", "entered_on", "notes")},
        "role": Role(row["role"]),
        "status": WellStatus(row["status"]),
        "construction": Construction(row["construction"]),
        "drilled_on": get_when(row, "drilled") or When.unknown(),
    }


def _unsealed(
    connection: Connection, wells: Iterable[Mapping[str, Any]]
) -> Mapping[str, WellStatus]:
    """What wells that are sealed now were before."""
    sealed = [w["uid"] for w in wells if w["status"] == WellStatus.SEALED.value]
    return status_by_hand(connection, sealed) if sealed else {}


class _Systems:
    """Water systems with the wells that feed them and the properties that draw on them."""

    def __init__(self, connection: Connection, system_ids: set[int]) -> None:
        ids = sorted(system_ids)
        well, site, draws = t.well, t.site, t.system_site
        self._systems = _rows(connection, t.water_system, "id", ids)
        self._wells: dict[int, list[tuple[int, str]]] = defaultdict(list)
        query = select(well.c.system_id, well.c.id, well.c.tag).where(well.c.system_id.in_(ids))
        for system_id, number, tag in connection.execute(query.order_by(well.c.tag)):
            self._wells[system_id].append((number, tag))
        self._sites: dict[int, list[tuple[int, str]]] = defaultdict(list)
        places = (
            select(draws.c.system_id, site.c.id, site.c.road, site.c.town)
            .join(site, site.c.id == draws.c.site_id)
            .where(draws.c.system_id.in_(ids))
        )
        for system_id, number, road, town in connection.execute(places):
            self._sites[system_id].append((number, ", ".join(x for x in (road, town) if x)))

    @property
    def well_ids(self) -> set[int]:
        return {number for wells in self._wells.values() for number, _ in wells}

    def wells_of(self, system_id: int) -> list[int]:
        return [number for number, _ in self._wells[system_id]]

    @property
    def site_ids(self) -> set[int]:
        return {number for sites in self._sites.values() for number, _ in sites}

    def system(self, well: Mapping[str, Any], sites: _Sites) -> System:
        row = self._systems[well["system_id"]][0]
        return System(
            uid=row["uid"],
            name=row["name"],
            rise_to_tank_ft=row["rise_to_tank_ft"],
            other_wells=tuple(g for n, g in self._wells[row["id"]] if n != well["id"]),
            other_sites=tuple(
                OtherSite(place, sites.occupants(number))
                for number, place in self._sites[row["id"]]
                if number != well["site_id"]
            ),
        )


class _Sites:
    """Properties with who lives there, and lived there, and how to reach them."""

    def __init__(self, connection: Connection, site_ids: set[int]) -> None:
        ids = sorted(site_ids)
        self._sites = _rows(connection, t.site, "id", ids)
        self._occupancies = _rows(connection, t.occupancy, "site_id", ids)
        people = sorted({o["customer_id"] for rows in self._occupancies.values() for o in rows})
        self._customers = _rows(connection, t.customer, "id", people)
        self._contacts = _rows(connection, t.contact_point, "customer_id", people)
        self._answers = answers(connection, people)

    def site(self, site_id: int | None) -> Site | None:
        if site_id is None:
            return None
        row = self._sites[site_id][0]
        return Site(**{f.name: row[f.name] for f in fields(Site)})

    def occupants(self, site_id: int | None) -> tuple[Occupant, ...]:
        rows = [] if site_id is None else self._occupancies.get(site_id, [])
        return tuple(sorted(map(self._occupant, rows), key=lambda o: o.since.earliest or date.min))

    def _occupant(self, row: Mapping[str, Any]) -> Occupant:
        customer = self._customers[row["customer_id"]][0]
        return Occupant(
            customer_uid=customer["uid"],
            name=customer["name"],
            since=get_when(row, "since") or When.unknown(),
            until=get_when(row, "until"),
            notes=customer["notes"],
            contract_month=customer["contract_month"],
            contacts=tuple(
                Contact(way, c["value"], permission(self._answers, customer["id"], way))
                for c in self._contacts.get(customer["id"], ())
                if (way := ContactWay(c["way"]))
            ),
        )


class _Parts:
    """Components with the fields of their kinds: one query a kind that occurs."""

    def __init__(self, connection: Connection, well_ids: Sequence[int]) -> None:
        self._components = _rows(connection, t.component, "well_id", well_ids)
        by_kind: dict[Kind, list[int]] = defaultdict(list)
        for rows in self._components.values():
            for row in rows:
                by_kind[Kind(row["kind"])].append(row["id"])
        self._parts: dict[int, Part] = {}
        for kind, numbers in by_kind.items():
            table = t.PART_TABLES[kind]
            for number, found in _rows(connection, table, "component_id", numbers).items():
                self._parts[number] = _part(kind, found[0])
        pumps = [p for p in self._parts.values() if isinstance(p, Pump)]
        self._models = models_of(connection, [(p.maker, p.model) for p in pumps])
        everything = [n for numbers in by_kind.values() for n in numbers]
        self._claims = _rows(connection, t.component_claim, "component_id", everything)
        uids = select(t.well.c.id, t.well.c.uid).where(t.well.c.id.in_(well_ids))
        self._uids = {row[0]: row[1] for row in connection.execute(uids)}

    def of(self, well_id: int, system_wells: Iterable[int]) -> tuple[Component, ...]:
        """A well's own components, and those of its system, set through whichever well."""
        rows = list(self._components.get(well_id, ()))
        for other in system_wells:
            if other != well_id:
                shared = self._components.get(other, ())
                rows += [r for r in shared if Kind(r["kind"]) in OF_THE_SYSTEM]
        rows.sort(key=lambda r: (_ORDER[r["kind"]], r["position"]))
        return tuple(self._component(r) for r in rows)

    def models_of(self, components: Iterable[Component]) -> dict[str, PumpModel]:
        """Pump -> its model, of those in the shop's own list."""
        pumps = ((c.uid, c.part) for c in components if isinstance(c.part, Pump))
        found = ((uid, self._models.get((pump.maker, pump.model))) for uid, pump in pumps)
        return {uid: model for uid, model in found if model is not None}

    def _component(self, row: Mapping[str, Any]) -> Component:
        part, said = self._parts[row["id"]], self._claims.get(row["id"], ())
        return Component(
            uid=row["uid"],
            part=part,
            set_on=get_when(row, "set") or When.unknown(),
            basis=Basis(row["basis"]),
            noted_on=row["noted_on"],
            set_by=row["set_by"],
            pulled_on=get_when(row, "pulled"),
            pulled_by=row["pulled_by"],
            why_pulled=row["why_pulled"],
            cause=_maybe(Cause, row["cause"]),
            claims=tuple(_claim(part, c) for c in said if c["field"] not in MOVES),
            absences=tuple(_absences(c for c in said if c["field"] in MOVES)),
            well_uid=self._uids[row["well_id"]],
            cut_on=row["cut_on"],
        )


_ORDER = {kind.value: n for n, kind in enumerate(Kind)}


@cache
def _columns(kind: Kind) -> tuple[tuple[str, type], ...]:
    return tuple(field_types(PARTS[kind]).items())


def _part(kind: Kind, row: Mapping[str, Any]) -> Part:
    values: dict[str, Any] = {}
    for name, hint in _columns(kind):
        if hint is When:
            values[name] = get_when(row, name)
        elif row[name] is not None:
            values[name] = hint(row[name]) if issubclass(hint, StrEnum) else row[name]
    # A book written by an older version holds its materials as they were typed.
    return PARTS[kind](**in_the_books_word(values, dict(_columns(kind))))


def _claim(part: Part, row: Mapping[str, Any]) -> Claim:
    return Claim(
        field=row["field"],
        value=_said(part, row, "value"),
        basis=Basis(row["basis"]),
        noted_on=row["noted_on"],
        counts=row["counts"],
        sheet_uid=row["sheet_root_uid"],
        was=_said(part, row, "was"),
    )


def _said(part: Part, row: Mapping[str, Any], column: str) -> object:
    text, name = row[column], row["field"]
    if text is None:
        return None
    if name == SETTING or field_types(type(part))[name] is When:
        return said_when(text, row["noted_on"])
    return read_field(type(part), name, text, row["noted_on"])


def _absences(rows: Iterable[Mapping[str, Any]]) -> Iterator[Absence]:
    """A part's times out of the well: each stands in two rows, that it came out and went back."""
    moves = list(rows)
    for out, back in zip(moves[::2], moves[1::2], strict=True):
        yield Absence(
            out_on=out["noted_on"],
            back_on=back["noted_on"],
            pulled_by=out["sheet_root_uid"],
            back_by=back["sheet_root_uid"],
            why=out["value"],
            cause=_maybe(Cause, out["was"]),
        )


def _maybe(words: type[StrEnum], value: str | None) -> Any:
    return None if value is None else words(value)


def _observation(row: Mapping[str, Any]) -> Observation:
    return Observation(
        uid=row["uid"],
        quantity=Quantity(row["quantity"]),
        value=row["value"],
        when=get_when(row, "when") or When.unknown(),
        basis=Basis(row["basis"]),
        point=_maybe(MeasuringPoint, row["point"]),
        state=_maybe(LevelState, row["state"]),
        method=row["method"],
        at_gpm=row["at_gpm"],
        minutes=row["minutes"],
        sheet_uid=row["sheet_root_uid"],
    )


def _interval(row: Mapping[str, Any], zones: Mapping[str, Mapping[str, Any]]) -> Interval:
    return Interval(
        uid=row["uid"],
        kind=IntervalKind(row["kind"]),
        from_ft=row["from_ft"],
        to_ft=row["to_ft"],
        diameter_in=row["diameter_in"],
        material=read_material(row["material"]),
        basis=Basis(row["basis"]),
        when=get_when(row, "when") or When.unknown(),
        sheet_uid=row["sheet_root_uid"],
        **zones.get(row["uid"], {}),
    )


def _inspection(row: Mapping[str, Any]) -> Inspection:
    return Inspection(
        uid=row["uid"],
        component_uid=row["component_uid"],
        on=row["inspected_on"],
        splices=row["splices"],
        rubs=row["rubs"],
        splices_added=row["splices_added"],
        sheet_uid=row["sheet_root_uid"],
    )


def _found(row: Mapping[str, Any]) -> Found:
    return Found(
        uid=row["uid"],
        on=row["found_on"],
        what=FoundKind(row["what"]),
        part=_maybe(Kind, row["part"]),
        depth_ft=row["depth_ft"],
        count=row["count"],
        severity=_maybe(Severity, row["severity"]),
        note=row["note"],
        sheet_uid=row["sheet_root_uid"],
    )


def _sample(
    row: Mapping[str, Any], bases: Mapping[str, Basis], results: Mapping[str, Result]
) -> Sample:
    return Sample(
        uid=row["uid"],
        taken_on=get_when(row, "taken") or When.unknown(),
        bacteria=_maybe(Bacteria, row["bacteria"]),
        laboratory=row["laboratory"],
        note=row["note"],
        sheet_uid=row["sheet_root_uid"],
        basis=bases.get(row["sheet_root_uid"], Basis.PAPER_RECORD),
        results={a: results[a] for a in ANALYTES if a in results},
    )


def attached_file(row: Mapping[str, Any]) -> AttachedFile:
    """A row as the well's record has it; a name from another book is made fit here too."""
    return AttachedFile(
        uid=row["uid"],
        number=row["id"],
        sheet_uid=row["sheet_root_uid"],
        sha256=row["sha256"],
        name=fit_name(row["file_name"]),
        media_type=row["media_type"],
        size_bytes=row["size_bytes"],
        note=row["note"],
        added_on=row["added_on"],
        who=row["who"],
    )


def _paper(row: Mapping[str, Any]) -> Paper:
    return Paper(
        uid=row["uid"],
        sheet_uid=row["sheet_root_uid"],
        kind=PaperKind(row["kind"]),
        sent_on=row["sent_on"],
        sent_to=row["sent_to"],
        who=row["who"],
    )


def _results(connection: Connection, well_ids: Sequence[int]) -> dict[int, dict[str, Result]]:
    """What laboratories said of the samples of wells, by the number of the sample."""
    sample, result = t.water_sample, t.water_result
    query = (
        select(result)
        .join(sample, sample.c.id == result.c.sample_id)
        .where(sample.c.well_id.in_(well_ids))
    )
    found: dict[int, dict[str, Result]] = defaultdict(dict)
    for row in records(connection, query):
        found[row["sample_id"]][row["analyte"]] = Result(row["value"], row["below"])
    return found


def _visits(
    connection: Connection, wells: Mapping[int, Mapping[str, Any]]
) -> tuple[dict[int, list[Visit]], dict[str, Basis], dict[str, Mapping[str, Any]]]:
    """Valid sheets by well, oldest first, with their crews and calls; and what only they tell:
    what each rests on, and how hard each zone of a fracturing was pressed."""
    sheet, call = t.sheet, t.call
    version = sheet.alias()
    # A correction is of its sheet's place among those of the day, not the newest of them.
    entered = select(func.min(version.c.id)).where(version.c.root_uid == sheet.c.root_uid)
    query = (
        select(sheet, call)
        .outerjoin(call, call.c.sheet_id == sheet.c.id)
        .where(sheet.c.well_id.in_(list(wells)), sheet.c.status == SheetStatus.VALID)
        .order_by(sheet.c.start_on, entered.scalar_subquery())
    )
    rows = records(connection, query)
    crews = _crews(connection, [r["id"] for r in rows])
    sealing = {
        r["root_uid"]: wells[r["well_id"]]["uid"]
        for r in rows
        if r["reason"] == Reason.DECOMMISSIONING
    }
    reopened = opened_again(connection, sealing)
    visits: dict[int, list[Visit]] = defaultdict(list)
    for row in rows:
        visit = _visit(row, crews.get(row["id"], ()), row["root_uid"] in reopened)
        visits[row["well_id"]].append(visit)
    bases = {row["root_uid"]: _basis(row) for row in rows}
    return visits, bases, {uid: zone for row in rows for uid, zone in _zones(row)}


_OF_A_ZONE = ("pressure_psi", "volume_gal")


def _zones(row: Mapping[str, Any]) -> Iterator[tuple[str, dict[str, Any]]]:
    """The pressure and the volume of each zone of a fracturing, by the zone's uid."""
    # Few have one, and reading every document costs more than all else of a hole.
    if '"bore"' not in row["document"] or not any(k in row["document"] for k in _OF_A_ZONE):
        return
    bore = json.loads(row["document"]).get("bore") or []
    for n, said in enumerate([bore] if isinstance(bore, Mapping) else bore):
        zone = {k: read_field(IntervalSaid, k, said.get(k), row["start_on"]) for k in _OF_A_ZONE}
        yield derived_uid(row["root_uid"], "bore", n), zone


def _basis(row: Mapping[str, Any]) -> Basis:
    """What a sheet rests on: as it says itself, else by its kind."""
    # Few say it, and reading every document costs more than all else of a hole.
    said = json.loads(row["document"]).get("basis") if '"basis"' in row["document"] else None
    return word(Basis, said) if said else SheetKind(row["kind"]).basis


def _crews(connection: Connection, sheet_ids: Sequence[int]) -> dict[int, list[str]]:
    crew, person = t.crew, t.technician
    query = (
        select(crew.c.sheet_id, person.c.name)
        .join(person, person.c.id == crew.c.technician_id)
        .where(crew.c.sheet_id.in_(sheet_ids))
        .order_by(crew.c.sheet_id, crew.c.position)
    )
    crews: dict[int, list[str]] = defaultdict(list)
    for sheet_id, name in connection.execute(query):
        crews[sheet_id].append(name)
    return crews


def _as_opened(visits: Iterable[Visit], parts: Iterable[Component]) -> Iterator[Visit]:
    """Visits, where what came out though its sheet does not say so opened the well as well."""
    took = {
        uid
        for c in parts
        if c.kind in IN_THE_HOLE
        for uid in (c.pulled_by, *(a.pulled_by for a in c.absences))
    }
    for visit in visits:
        concluded = visit.left_without_pump and visit.uid in took
        yield replace(visit, opened=True) if concluded and not visit.opened else visit


def _visit(row: Mapping[str, Any], crew: Sequence[str], reopened: bool) -> Visit:
    told = ("caller", "caller_phone", "symptom", "promised", "outcome")
    return Visit(
        uid=row["root_uid"],
        kind=SheetKind(row["kind"]),
        start=row["start_on"],
        end=row["end_on"],
        reason=Reason(row["reason"]),
        crew=tuple(crew),
        left_without_pump=row["left_without_pump"],
        left_for_next_time=row["left_for_next_time"],
        notes=row["notes"],
        opened=row["opened"],
        disinfected=row["disinfected"],
        number=row["id"],
        reopened=reopened,
        **{name: row[name] or "" for name in told},
    )
