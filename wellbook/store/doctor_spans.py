"""Spans of time and of depth that cannot both be: stays at a property, parts in a well, sections.

Only what is surely so is told of: of "about 2006" and "2007" nobody knows which was first.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from itertools import combinations, groupby
from typing import Any

from sqlalchemy import Connection, Select, select

from wellbook.hole.places import MANY
from wellbook.store import tables as t
from wellbook.store.looked_at import Looked, Wrong
from wellbook.store.rows import Record
from wellbook.terms import SECTIONED, Kind

_TOUCHING_FT = 1.0
_CORRECT = "see its sheets: wellbook history {tag}; put the slip right: wellbook correct NO"


def look_at_spans(connection: Connection) -> Iterator[Looked]:
    """Stays, then parts, then sections of pipe and cable that hang at one depth."""
    yield _stays(connection)
    yield _parts(connection)
    yield _sections(connection)


def _streamed(connection: Connection, query: Select[Any]) -> Iterator[Record]:
    """The rows as they are read, so that memory stays flat."""
    rows = connection.execute(query, execution_options={"yield_per": 500}).mappings()
    yield from map(dict, rows)


def _stays(connection: Connection) -> Looked:
    stay, site, person = t.occupancy, t.site, t.customer
    query = (
        select(stay, site.c.road, site.c.town, person.c.name)
        .join(site, site.c.id == stay.c.site_id)
        .join(person, person.c.id == stay.c.customer_id)
        .order_by(stay.c.site_id, stay.c.id)
    )
    wrong, many = [], 0
    for _, rows in groupby(_streamed(connection, query), lambda r: r["site_id"]):
        stays = list(rows)
        many += len(stays)
        where = ", ".join(filter(None, (stays[0]["road"], stays[0]["town"]))) or "a property"
        to_do = (
            "say when it changed hands: wellbook site moved-in PROPERTY --customer WHO --since DATE"
        )
        wrong += [
            Wrong(where, f"{r['name']} is said to have left before coming", to_do)
            for r in stays
            if _ends_first(r["since_earliest"], r["until_latest"])
        ]
        wrong += [
            Wrong(where, f"{a['name']} and {b['name']} are there at the same time", to_do)
            for a, b in combinations(stays, 2)
            if _both(_span(a, "since", "until"), _span(b, "since", "until"))
        ]
    return Looked("stays", many, "stay", "one customer at a time", wrong)


Span = tuple[date | None, date | None, bool]
"""The day by which it had surely begun, the day up to which it surely lasted, whether it lasts."""


def _span(row: Mapping[str, Any], begin: str, end: str) -> Span:
    return row[f"{begin}_latest"], row[f"{end}_earliest"], row[f"{end}_text"] is None


def _both(one: Span, other: Span) -> bool:
    """Whether two spans surely share a day."""
    if one[2] and other[2]:
        return True
    begun = [span[0] for span in (one, other)]
    if None in begun:
        return False
    ends = [span[1] for span in (one, other) if not span[2]]
    if None in ends:
        return False
    return max(d for d in begun if d) < min(d for d in ends if d)


def _ends_first(begins: date | None, ends: date | None) -> bool:
    return begins is not None and ends is not None and ends < begins


def _parts(connection: Connection) -> Looked:
    part, well = t.component, t.well
    query = (
        select(part, well.c.tag)
        .join(well, well.c.id == part.c.well_id)
        .order_by(part.c.well_id, part.c.kind, part.c.position)
    )
    wrong, many = [], 0
    for (_, kind), rows in groupby(
        _streamed(connection, query), lambda r: (r["well_id"], r["kind"])
    ):
        parts = list(rows)
        many += len(parts)
        tag, word = parts[0]["tag"], kind.replace("_", " ")
        to_do = _CORRECT.format(tag=tag)
        wrong += [
            Wrong(tag, f"a {word} came out before it went in", to_do)
            for r in parts
            if _ends_first(r["set_earliest"], r["pulled_latest"])
        ]
        if Kind(kind) not in MANY and _any_two(parts):
            wrong.append(Wrong(tag, f"two of its {word}s are there at the same time", to_do))
    return Looked("parts", many, "part", "one after the other", wrong)


def _any_two(parts: Sequence[Record]) -> bool:
    spans = [_span(r, "set", "pulled") for r in parts]
    return any(_both(a, b) for a, b in combinations(spans, 2))


def _sections(connection: Connection) -> Looked:
    part, well = t.component, t.well
    wrong, many = [], 0
    for kind in sorted(SECTIONED):
        of = t.PART_TABLES[kind]
        query = (
            select(well.c.tag, part.c.well_id, of.c.from_ft, of.c.to_ft)
            .join(well, well.c.id == part.c.well_id)
            .join(of, of.c.component_id == part.c.id)
            .where(part.c.pulled_text.is_(None))
            .order_by(part.c.well_id, of.c.from_ft)
        )
        for _, rows in groupby(_streamed(connection, query), lambda r: r["well_id"]):
            hanging = list(rows)
            many += len(hanging)
            known = [r for r in hanging if None not in (r["from_ft"], r["to_ft"])]
            wrong += [
                Wrong(
                    a["tag"],
                    f"two sections of {kind.value} hang at the same depth, from"
                    f" {b['from_ft']:g} to {min(a['to_ft'], b['to_ft']):g} ft",
                    _CORRECT.format(tag=a["tag"]),
                )
                for a, b in combinations(known, 2)
                if min(a["to_ft"], b["to_ft"]) - b["from_ft"] > _TOUCHING_FT
            ]
    return Looked("sections", many, "section", "one below the other", wrong)
