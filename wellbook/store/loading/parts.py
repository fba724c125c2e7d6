"""Components with the fields of their kinds, of some wells at once: one query a kind that occurs."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from enum import StrEnum
from functools import cache, cached_property, lru_cache
from typing import Any

from sqlalchemy import Connection

from wellbook.dates import When
from wellbook.hole.component import SETTING, Absence, Claim, Component
from wellbook.hole.fields import field_types, read_field
from wellbook.hole.materials import in_the_books_word
from wellbook.hole.parts import PARTS, Part, Pump
from wellbook.hole.records import PumpModel
from wellbook.store import tables as t
from wellbook.store.loading.cells import (
    day,
    maybe_day,
    maybe_when,
    maybe_words,
    maybe_yes,
    when,
    words,
    yes,
)
from wellbook.store.loading.plain_rows import Row, Rows, plain_rows, rows_by
from wellbook.store.pumps import models_of
from wellbook.store.rows import said_when
from wellbook.terms import OF_THE_SYSTEM, Basis, Cause, Kind

MOVES = ("out", "back")
"""Statements on a whole part, beside those on its fields: it came out, and it went back."""

_OF_A_COMPONENT = (
    *("id", "kind", "position", "uid", "set_earliest", "set_latest", "set_text", "basis"),
    *("noted_on", "set_by", "pulled_earliest", "pulled_latest", "pulled_text", "pulled_by"),
    *("why_pulled", "cause", "cut_on"),
)
_OF_A_CLAIM = ("field", "value", "basis", "noted_on", "counts", "was", "sheet_root_uid")
_ORDER = {kind.value: n for n, kind in enumerate(Kind)}


class Parts:
    """What hangs, and hung, in and on some wells, with the statements on it.

    Parameters
    ----------
    wells
        Number -> uid, of all wells that set what hangs there: those of a system share its parts.
    """

    def __init__(self, connection: Connection, wells: Mapping[int, str]) -> None:
        self._connection, self._wells = connection, wells
        self._components = rows_by(
            connection, t.component, "well_id", sorted(wells), _OF_A_COMPONENT, order="id"
        )
        self._parts: dict[str, Mapping[int, Part]] = {}
        self._made: dict[int, Component] = {}

    @cached_property
    def _claims(self) -> Rows:
        everything = sorted(row[1] for rows in self._components.values() for row in rows)
        return rows_by(
            self._connection,
            t.component_claim,
            "component_id",
            everything,
            _OF_A_CLAIM,
            order="position",
        )

    @cached_property
    def _models(self) -> Mapping[tuple[str | None, str | None], PumpModel]:
        parts = self._parts_of(Kind.PUMP.value).values()
        pumps = {(p.maker, p.model) for p in parts if isinstance(p, Pump)}
        return models_of(self._connection, pumps)

    def of(
        self, well_id: int, system_wells: Iterable[int], kind: Kind | None = None
    ) -> tuple[Component, ...]:
        """A well's own components, and those of its system, set through whichever well.

        Of one kind, only that kind is read.
        """
        rows = list(self._components.get(well_id, ()))
        for other in system_wells:
            if other != well_id:
                shared = self._components.get(other, ())
                rows += [r for r in shared if r[2] in OF_THE_SYSTEM]
        if kind is not None:
            rows = [row for row in rows if row[2] == kind.value]
        rows.sort(key=_place)
        return tuple([self._component(row) for row in rows])

    def models_of(self, components: Iterable[Component]) -> dict[str, PumpModel]:
        """Pump -> its model, of those in the shop's own list."""
        pumps = ((c.uid, c.part) for c in components if isinstance(c.part, Pump))
        found = ((uid, self._models.get((pump.maker, pump.model))) for uid, pump in pumps)
        return {uid: model for uid, model in found if model is not None}

    def _parts_of(self, word: str) -> Mapping[int, Part]:
        """What stands in the table of a kind, by the components' numbers."""
        parts = self._parts.get(word)
        if parts is None:
            kind = words(Kind)[word]
            every = (row for rows in self._components.values() for row in rows)
            numbers = sorted(row[1] for row in every if row[2] == word)
            made, table = _maker(kind), t.PART_TABLES[kind]
            rows = plain_rows(self._connection, table, "component_id", numbers, _columns(kind))
            parts = self._parts[word] = {row[0]: made(row[1:]) for row in rows}
        return parts

    def _component(self, row: Row) -> Component:
        made = self._made.get(row[1])
        if made is None:
            made = self._made[row[1]] = self._make(row)
        return made

    def _make(self, row: Row) -> Component:
        well_id, number, kind, _, uid, set_1, set_2, set_text, basis, noted_on, set_by, *rest = row
        pulled_1, pulled_2, pulled_text, pulled_by, why_pulled, cause, cut_on = rest
        part, said = self._parts_of(kind)[number], self._claims.get(number, ())
        return Component(
            uid,
            part,
            when(set_1, set_2, set_text),
            words(Basis)[basis],
            day(noted_on),
            set_by,
            maybe_when(pulled_1, pulled_2, pulled_text),
            pulled_by,
            why_pulled,
            maybe_words(Cause)[cause],
            tuple([_claim(part, c) for c in said if c[1] not in MOVES]) if said else (),
            self._wells[well_id],
            maybe_day(cut_on),
            tuple(_absences([c for c in said if c[1] in MOVES])) if said else (),
        )


def _place(row: Row) -> tuple[int, int]:
    return _ORDER[row[2]], row[3]


# -- the fields of a kind ------------------------------------------------------------------------


@cache
def _columns(kind: Kind) -> tuple[str, ...]:
    names: list[str] = []
    for name, hint in field_types(PARTS[kind]).items():
        ends = ("_earliest", "_latest", "_text") if hint is When else ("",)
        names += [name + end for end in ends]
    return tuple(names)


@cache
def _maker(kind: Kind) -> Callable[[Row], Part]:
    """What makes a part of its cells. Many are alike: what was made once is kept."""
    part, fields = PARTS[kind], field_types(PARTS[kind])
    cells = tuple(_reader(hint) for hint in fields.values())

    @lru_cache(maxsize=2**13)
    def made(row: Row) -> Part:
        values, at = [], 0
        for reads in cells:
            if reads is maybe_when:
                values.append(maybe_when(*row[at : at + 3]))
                at += 3
            else:
                values.append(row[at] if reads is None else reads(row[at]))
                at += 1
        if "material" not in fields:
            return part(*values)
        # A book written by an older version holds its materials as they were typed.
        known = {n: v for n, v in zip(fields, values, strict=True) if v is not None}
        return part(**in_the_books_word(known, fields))

    return made


def _reader(hint: type) -> Callable[..., Any] | None:
    """How a cell of a type is read; None where it is what it says."""
    if hint is When:
        return maybe_when
    if hint is bool:
        return maybe_yes
    return maybe_words(hint).__getitem__ if issubclass(hint, StrEnum) else None


# -- what was said of a part ---------------------------------------------------------------------


def _claim(part: Part, row: Row) -> Claim:
    _, field, value, basis, noted_on, counts, was, sheet_uid = row
    noted = day(noted_on)
    return Claim(
        field=field,
        value=_said(part, field, value, noted),
        basis=words(Basis)[basis],
        noted_on=noted,
        counts=yes(counts),
        sheet_uid=sheet_uid,
        was=_said(part, field, was, noted),
    )


def _said(part: Part, field: str, text: str | None, noted_on: Any) -> object:
    if text is None:
        return None
    if field == SETTING or field_types(type(part))[field] is When:
        return said_when(text, noted_on)
    return read_field(type(part), field, text, noted_on)


def _absences(moves: Sequence[Row]) -> Iterator[Absence]:
    """A part's times out of the well: each stands in two rows, that it came out and went back."""
    for out, back in zip(moves[::2], moves[1::2], strict=True):
        _, _, why, _, out_on, _, cause, pulled_by = out
        yield Absence(
            out_on=day(out_on),
            back_on=day(back[4]),
            pulled_by=pulled_by,
            back_by=back[7],
            why=why,
            cause=maybe_words(Cause)[cause],
        )
