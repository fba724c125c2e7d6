"""The sheets of the office's workbook: their columns, with units, and where their rows come from."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, fields
from datetime import date
from typing import Any

from sqlalchemy import Connection, select

from wellbook.exchange.customer_lines import CustomerLine, customer_lines
from wellbook.exchange.readable_wells import WellLine, day_or_words, lines_and_holes, well_numbers
from wellbook.hole.component import Component
from wellbook.hole.describe import analyte_texts, describe
from wellbook.hole.hole import Hole
from wellbook.rules.finding import Finding
from wellbook.store import tables as t
from wellbook.store.ledger import due_at
from wellbook.store.rows import Record, records
from wellbook.store.stays import who_is_there
from wellbook.terms import Role, SheetKind

Rows = Iterator[tuple[Any, ...]]
Source = Callable[[Connection, date, Role | None], Iterator[Any]]
"""What the rows of sheets are made of, of the wells of a role (None for all), as of a day."""


@dataclass(frozen=True, slots=True)
class OfficeSheet:
    """A sheet.

    Parameters
    ----------
    title
        Its name.
    columns
        Each column's heading, and how wide it is, in signs.
    source
        What its rows are made of; the sheets of one source are filled as it is gone through once.
    rows
        The rows of one thing that comes from there.
    """

    title: str
    columns: tuple[tuple[str, float], ...]
    source: Source
    rows: Callable[[Any], Rows]


def _people(connection: Connection, today: date, _role: Role | None) -> Iterator[CustomerLine]:
    """All customers: a role is a well's."""
    return customer_lines(connection, today)


def _customers(c: CustomerLine) -> Rows:
    yield (
        c.name,
        "; ".join(c.phones),
        "; ".join(c.emails),
        "; ".join(c.posts),
        "; ".join(place.words for place in c.places),
        ", ".join(c.wells),
        c.contract_month,
        c.notes,
    )


_Known = tuple[WellLine, Hole]


def _wells(well: _Known) -> Rows:
    yield tuple(getattr(well[0], name) for name, _, _ in _WELL)


def _strings(well: _Known) -> Rows:
    _, hole = well
    for c in hole.components:
        # What belongs to a water system is shown with the well through which it came.
        if c.well_uid == hole.uid:
            yield _part(hole, c)


def _part(hole: Hole, c: Component) -> tuple[Any, ...]:
    part = c.part
    said = {f.name: getattr(part, f.name) for f in fields(part)}
    depth = next((said[n] for n in ("set_depth_ft", "depth_ft") if said.get(n) is not None), None)
    return (
        hole.tag,
        c.kind.label,
        describe(part).removeprefix(f"{c.kind.label}: "),
        said.get("from_ft"),
        said.get("to_ft") if depth is None else depth,
        said.get("hp"),
        said.get("maker"),
        said.get("model"),
        said.get("serial"),
        day_or_words(c.set_on),
        day_or_words(c.pulled_on),
        c.why_pulled,
        c.basis.label,
    )


def _visits(well: _Known) -> Rows:
    _, hole = well
    for v in hole.visits:
        yield (
            hole.tag,
            v.number,
            v.kind.label,
            v.start,
            v.end,
            v.reason.label if v.kind is SheetKind.VISIT else v.symptom,
            ", ".join(v.crew) or v.caller,
            v.notes,
            v.left_for_next_time or v.promised,
        )


def _readings(well: _Known) -> Rows:
    _, hole = well
    for o in hole.observations:
        yield (
            hole.tag,
            o.quantity.label,
            o.value,
            o.quantity.unit,
            day_or_words(o.when),
            o.state.label if o.state else "",
            o.point.label if o.point else "",
            o.at_gpm,
            o.minutes,
            o.method,
            o.basis.label,
        )


def _samples(well: _Known) -> Rows:
    _, hole = well
    for s in hole.samples:
        yield (
            hole.tag,
            day_or_words(s.taken_on),
            s.bacteria.label if s.bacteria else "",
            "; ".join(analyte_texts(s)),
            s.laboratory,
            s.note,
        )


def _ledger(connection: Connection, today: date, role: Role | None) -> Iterator[_Owed]:
    for numbers in well_numbers(connection, role):
        owed = due_at(connection, numbers, today)
        if not owed:
            continue
        query = select(t.well.c.id, t.well.c.tag, t.well.c.site_id, t.site.c.road, t.site.c.town)
        query = query.outerjoin(t.site, t.site.c.id == t.well.c.site_id)
        wells = {w["id"]: w for w in records(connection, query.where(t.well.c.id.in_(list(owed))))}
        sites = {w["site_id"] for w in wells.values() if w["site_id"] is not None}
        people = who_is_there(connection, sites, today)
        for number in sorted(owed):
            well = wells[number]
            yield well, people.get(well["site_id"], ("", "")), owed[number]


_Owed = tuple[Record, tuple[str, str], list[Finding]]


def _due(of_one: _Owed) -> Rows:
    well, who, owed = of_one
    for f in owed:
        yield (
            well["tag"],
            *who,
            well["road"],
            well["town"],
            f.severity.label,
            f.occasion.label,
            f.may_from,
            f.surely_from,
            f.reason,
            f.action,
            f.source,
        )


_WELL = (
    ("tag", "tag", 11.0),
    ("customer", "customer", 24),
    ("phone", "phone", 16),
    ("road", "road", 26),
    ("town", "town", 16),
    ("role", "role", 10),
    ("status", "status", 10),
    ("permit_no", "permit no.", 12),
    ("drilled", "drilled", 14),
    ("depth_ft", "depth, ft below ground", 10),
    ("water_level_ft", "water at rest, ft below ground", 10),
    ("yield_gpm", "yield, gpm", 9),
    ("pump", "pump", 50),
    ("pump_set_ft", "pump set at, ft", 9),
    ("pump_set", "pump set on", 14),
    ("pipe", "drop pipe", 40),
    ("cable", "cable", 40),
    ("last_visit", "last visit", 12),
    ("due", "due", 60),
    ("latitude", "latitude, degrees", 12),
    ("longitude", "longitude, degrees", 12),
)  # fmt: skip

SHEETS = (
    OfficeSheet(
        "customers",
        (
            ("name", 26), ("phone", 28), ("e-mail", 30), ("post", 30), ("place", 40),
            ("wells", 16), ("contract, month", 10), ("notes", 50),
        ),
        _people,
        _customers,
    ),
    OfficeSheet("wells", tuple((heading, width) for _, heading, width in _WELL), lines_and_holes, _wells),
    OfficeSheet(
        "strings",
        (
            ("well", 11), ("part", 14), ("what is known of it", 60), ("from, ft", 9),
            ("to or at, ft", 9), ("power, hp", 9), ("maker", 16), ("model", 16), ("serial", 16),
            ("set on", 14), ("pulled on", 14), ("why pulled", 24), ("basis", 14),
        ),
        lines_and_holes,
        _strings,
    ),
    OfficeSheet(
        "visits",
        (
            ("well", 11), ("no.", 7), ("what", 10), ("from", 12), ("to", 12), ("why", 18),
            ("crew, or caller", 18), ("notes", 70), ("left for next time, or promised", 40),
        ),
        lines_and_holes,
        _visits,
    ),
    OfficeSheet(
        "readings",
        (
            ("well", 11), ("what", 18), ("value", 10), ("unit", 9), ("on", 14), ("state", 14),
            ("from point", 12), ("at, gpm", 9), ("after, minutes", 9), ("how", 24), ("basis", 14),
        ),
        lines_and_holes,
        _readings,
    ),
    OfficeSheet(
        "samples",
        (
            ("well", 11), ("taken on", 14), ("bacteria", 18), ("results", 60),
            ("laboratory", 24), ("note", 50),
        ),
        lines_and_holes,
        _samples,
    ),
    OfficeSheet(
        "due",
        (
            ("well", 11), ("customer", 24), ("phone", 16), ("road", 26), ("town", 16),
            ("how bad", 8), ("when", 11), ("may hold from", 13), ("surely from", 13),
            ("why", 70), ("what to do", 60), ("source", 40),
        ),
        _ledger,
        _due,
    ),
)  # fmt: skip
"""All sheets, in their order."""
