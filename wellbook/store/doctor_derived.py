"""What is derived, held against what it would be if it were made from nothing.

Some wells at a time it is made anew, by the very code that makes it, held against what stood there, and
undone: so a look changes nothing, and other writers wait for a moment only. To mend is not to undo it.
"""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from sqlalchemy import ColumnElement, Connection, Select, Table, select

from wellbook.errors import ReplayError
from wellbook.store import tables as t
from wellbook.store.book import Book
from wellbook.store.judging import renew
from wellbook.store.looked_at import Looked, Wrong
from wellbook.store.replaying import rebuild
from wellbook.store.rows import batches, plain, records
from wellbook.store.word_index import index_wells
from wellbook.terms import Role

_PUT_RIGHT = "put it right: wellbook correct NO; or take it out: wellbook withdraw NO"
_AT_ONCE = 50
"""How many water systems are made anew in one transaction."""
Picture = dict[int, list[str]]
"""Well -> what is derived of it, as lines that say the same in every book."""


@dataclass
class _Found:
    """What differs, by the tag of the well."""

    wells: int = 0
    ledger: dict[str, str] = field(default_factory=dict)
    parts: dict[str, str] = field(default_factory=dict)
    words: dict[str, str] = field(default_factory=dict)
    refused: list[Wrong] = field(default_factory=list)

    def any(self) -> bool:
        return bool(self.ledger or self.parts or self.words)


def look_at_derived(book: Book, *, mend: bool = False) -> Iterator[Looked]:
    """The ledger, what the sheets come to, and the words by which wells are found."""
    found = _Found()
    with book.reading() as connection:
        systems = list(
            connection.execute(select(t.water_system.c.id).order_by(t.water_system.c.id)).scalars()
        )
    for some in batches(systems, _AT_ONCE):
        _look(book, some, found, mend=mend)
    ledger = [
        Wrong(tag, f"the ledger has not what the rules say: {w}") for tag, w in found.ledger.items()
    ]
    parts = [Wrong(tag, f"not what its sheets come to: {w}") for tag, w in found.parts.items()]
    words = [Wrong(tag, f"not found by all its words: {w}") for tag, w in found.words.items()]
    yield Looked("ledger", found.wells, "well", "as judged from nothing", ledger)
    held = "strings and readings are what they come to"
    yield Looked("sheets", found.wells, "well", held, [*parts, *found.refused])
    yield Looked("search", found.wells, "well", "found by all words and numbers", words)


class _OnlyLooked(Exception):  # noqa: N818 - it is the end of a look, and no error
    """What was made anew is let go of."""


def _look(book: Book, systems: Sequence[int], found: _Found, *, mend: bool) -> None:
    try:
        with book.writing() as connection:
            here = _Found()
            _hold_against(connection, systems, here)
            if not (mend and here.any()):
                raise _OnlyLooked
    except _OnlyLooked:
        pass
    found.wells += here.wells
    found.refused += here.refused
    for name in ("ledger", "parts", "words"):
        getattr(found, name).update(getattr(here, name))


def _hold_against(connection: Connection, systems: Sequence[int], here: _Found) -> None:
    well = t.well
    query = select(well.c.id, well.c.tag, well.c.role, well.c.system_id)
    wells = records(connection, query.where(well.c.system_id.in_(systems)).order_by(well.c.tag))
    tags = {w["id"]: w["tag"] for w in wells}
    ours = [w["id"] for w in wells if w["role"] == Role.OURS.value]
    here.wells = len(wells)
    stood = [
        _ledger(connection, ours),
        _parts(connection, list(tags)),
        _words(connection, list(tags)),
    ]
    told = set()
    for system in systems:
        point = connection.begin_nested()
        try:
            rebuild(connection, system)
            point.commit()
        except ReplayError as error:
            point.rollback()
            mine = [w for w in wells if w["system_id"] == system]
            told |= {w["id"] for w in mine}
            where = ", ".join(w["tag"] for w in mine)
            here.refused.append(Wrong(where, str(error), _PUT_RIGHT))
    # Whose sheets do not fit has nothing that could be judged from nothing.
    ours = [number for number in ours if number not in told]
    renew(connection, ours)
    index_wells(connection, tags)
    here.ledger = _differs(stood[0], _ledger(connection, ours), {n: tags[n] for n in ours})
    here.parts = _differs(stood[1], _parts(connection, list(tags)), tags)
    here.words = _differs(stood[2], _words(connection, list(tags)), tags)


def _differs(stood: Picture, made: Picture, tags: Mapping[int, str]) -> dict[str, str]:
    """The wells of which two pictures differ, each with what is too much and what is missing."""
    found = {}
    for number, tag in tags.items():
        old, new = set(stood.get(number, ())), set(made.get(number, ()))
        if old != new or len(stood.get(number, ())) != len(made.get(number, ())):
            names = sorted({json.loads(line)["of"] for line in old ^ new})
            found[tag] = (
                f"{', '.join(names)} (wrong there: {len(old - new)}, missing: {len(new - old)})"
            )
    return found


# -- pictures ----------------------------------------------------------------------------------


def _ledger(connection: Connection, wells: Sequence[int]) -> Picture:
    made: Picture = defaultdict(list)
    due = t.due
    for some in batches(wells):
        for row in records(connection, select(due).where(due.c.well_id.in_(some))):
            made[row["well_id"]].append(_line(row["rule"], row, without=("well_id",)))
    return made


def _parts(connection: Connection, wells: Sequence[int]) -> Picture:
    """All that the replay makes, a well's status among it; rows are known by their identities."""
    made: Picture = defaultdict(list)
    for some in batches(wells):
        for of, query in _derived(some):
            for row in records(connection, query):
                made[row["of_well"]].append(_line(of, row, without=("id", *_NUMBERS)))
    return made


_NUMBERS = ("of_well", "well_id", "component_id", "sample_id")


def _derived(wells: Sequence[int]) -> Iterator[tuple[str, Select[Any]]]:
    part, sample = t.component, t.water_sample
    yield (
        "status",
        select(t.well.c.id.label("of_well"), t.well.c.status).where(t.well.c.id.in_(wells)),
    )
    for table in (part, t.cable_inspection, t.found):
        yield table.name, _of(table, table.c.well_id.in_(wells))
    for table in (t.observation, t.bore_interval, sample):
        its = table.c.well_id.in_(wells) & table.c.sheet_root_uid.is_not(None)
        yield table.name, _of(table, its)
    for table in (t.component_claim, *t.PART_TABLES.values()):
        query = select(part.c.well_id.label("of_well"), part.c.uid.label("its"), table)
        query = query.join(part, part.c.id == table.c.component_id)
        yield table.name, query.where(part.c.well_id.in_(wells))
    query = select(sample.c.well_id.label("of_well"), sample.c.uid.label("its"), t.water_result)
    query = query.join(sample, sample.c.id == t.water_result.c.sample_id)
    yield t.water_result.name, query.where(sample.c.well_id.in_(wells))


def _of(table: Table, which: ColumnElement[bool]) -> Select[Any]:
    return select(table.c.well_id.label("of_well"), table).where(which)


def _words(connection: Connection, wells: Sequence[int]) -> Picture:
    made: Picture = defaultdict(list)
    use, word, digits = t.search_use, t.search_word, t.search_digits
    words = select(use.c.well_id, word.c.word, use.c.weight).join(word, word.c.id == use.c.word_id)
    numbers = select(digits.c.well_id, digits.c.digits, digits.c.backwards)
    for some in batches(wells):
        for of, query in (
            ("words", words.where(use.c.well_id.in_(some))),
            ("numbers", numbers.where(digits.c.well_id.in_(some))),
        ):
            for row in records(connection, query):
                made[row["well_id"]].append(_line(of, row, without=("well_id",)))
    return made


def _line(of: str, row: Mapping[str, Any], *, without: Sequence[str]) -> str:
    values = {name: plain(value) for name, value in row.items() if name not in without}
    return json.dumps({"of": of, **values}, default=str)
