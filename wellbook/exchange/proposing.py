"""A mapping proposed from a file's headers and from what stands below them, or from that alone.

A header gives each column its candidates. The cells speak for or against each: a column headed
"date" that is full of depths is no date. The surest pair of target and column is taken first. What
is as likely something else is said with the other candidate; nothing is guessed in silence.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from wellbook.exchange import cell_kinds
from wellbook.exchange.beside_columns import (
    LeftOut,
    halves,
    places_set_right,
    said_of_places,
    telephones_in_names,
)
from wellbook.exchange.by_values import by_values, told_by_values
from wellbook.exchange.candidates import FOR, Candidate
from wellbook.exchange.cells_joined import LISTED
from wellbook.exchange.header_context import bear_units, fits_target, weigh_in_context
from wellbook.exchange.header_patterns import BOTH_DEGREES
from wellbook.exchange.header_words import said_in_full
from wellbook.exchange.headers import targets_of, unit_and_point
from wellbook.exchange.layout import REASON, Layout
from wellbook.exchange.mapping import Column, WellMapping, unit_of, usual_unit
from wellbook.exchange.several_columns import told_together
from wellbook.exchange.vcard_file import TARGETS

_NEAR = 0.12
"""Candidates nearer to each other than this are named both."""
_LEAST = 0.4
_MADE_KEY = 0.8
"""Below it a header alone says too little of a key."""
_FAMILIES = ("customer.phone", "customer.email", "pump.", "pipe.")
_NUMBERED = frozenset({"key", "tag", "permit_no"})


def propose(layout: Layout, source: str) -> WellMapping:
    """A mapping for a file, from its headers and its values; from these alone without headers."""
    left_out: list[LeftOut] = []
    grounds = dict(layout.said)
    if layout.form == "vcard":
        columns = {t: Column(n, confidence=1.0, why="by its header") for n, t in TARGETS.items()}
    elif layout.header_row:
        columns, left_out = _by_header(layout)
        values = [cell_kinds.said(_cells(layout, n, h)) for n, h in enumerate(layout.headers)]
        if told := said_of_places(columns, layout.headers, values):
            grounds["places"] = told
    else:
        columns = by_values(layout.sample)
    if kind := _kind(columns):
        grounds["kind"] = kind
    return WellMapping(
        source=source,
        table=source,
        columns=columns,
        form=layout.form,
        sheet=layout.sheet,
        encoding=layout.encoding,
        delimiter=layout.delimiter,
        escape=layout.escape,
        header_row=layout.header_row,
        header_lines=layout.header_lines,
        left_out=tuple(left_out),
        grounds=grounds,
    )


def _kind(columns: Iterable[str]) -> str:
    """What a file is about, where that is no well."""
    of_place = {"road", "town", "region", "postcode", "notes", "key", "access", "name"}
    targets = set(columns)
    people = {t for t in targets if t.startswith("customer.")}
    if people and not targets - people - of_place:
        return "no column tells of a well: these are contacts"
    visits = {t for t in targets if t.startswith("visit.")}
    if visits and not targets - people - of_place - visits - {"equipment"}:
        return "no column tells of a well itself: these are visits"
    return ""


def _by_header(layout: Layout) -> tuple[dict[str, Column], list[LeftOut]]:
    headers = layout.headers
    values = [cell_kinds.said(_cells(layout, n, h)) for n, h in enumerate(headers)]
    last = len(headers) - 1
    passed = {n for n, h in enumerate(headers) if not h or (n == last and h == REASON)}
    together = {one.target: one for one in told_together(headers, values)}
    passed |= {n for one in together.values() for n in one.places}
    candidates = _candidates(headers, values, passed)
    taken: dict[str, Candidate] = {}
    left_out: list[LeftOut] = []
    used: set[int] = set()
    for one in sorted(candidates, key=lambda c: (-c.confidence, c.at)):
        if one.target in {**taken, **together} or one.at in used or one.confidence < _LEAST:
            continue
        header, column = headers[one.at], _column(one, headers[one.at])
        # A length may be given its unit by --unit; of others nobody could say one for all.
        if (
            unit_of(one.target) not in ("", "ft")
            and not column.unit
            and not bear_units(values[one.at], one.target)
        ):
            said = f"{one.target} without a unit; write it into the header, {header} ({unit_of(one.target)})"
            left_out.append((header, said))
            used.add(one.at)
            continue
        taken[one.target] = one
        used.add(one.at)
    columns = _columns(taken, candidates, headers)
    columns |= {target: one.column(headers) for target, one in together.items()}
    columns = dict(sorted(columns.items(), key=lambda item: headers.index(item[1].name)))
    left_out += _twins(columns, layout)
    used |= _more_of_a_kind(columns, candidates, used, headers)
    left_out += _against(candidates, used, headers, values)
    left_out += _pairs(columns, headers, values, used, passed)
    told_by_values(columns, headers, values, used | passed)
    telephones_in_names(columns, headers, values)
    left_out += halves(columns, headers, values)
    left_out += places_set_right(columns, headers, values)
    return columns, left_out


def _cells(layout: Layout, n: int, header: str) -> Iterator[str]:
    # Printed pages pasted together have the header once more.
    return (row[n] for row in layout.sample if n < len(row) and row[n].strip() != header)


def _candidates(
    headers: tuple[str, ...], values: list[list[str]], passed: set[int]
) -> list[Candidate]:
    by_header = {n: dict(targets_of(h)) for n, h in enumerate(headers) if n not in passed}
    for n, targets in by_header.items():
        # "pH" is short for a telephone too; it is one where it holds some.
        if headers[n].lower() == "ph" and cell_kinds.share(values[n], cell_kinds.is_phone) < FOR:
            targets.clear()
    weigh_in_context(by_header, headers, values)
    found = []
    for n, targets in by_header.items():
        for target, confidence in targets.items():
            test = cell_kinds.fit_of(target)
            if target in _NUMBERED and cell_kinds.share(values[n], cell_kinds.is_phone) >= FOR:
                continue  # "Alt #" is a second telephone
            if target == "key" and confidence < _MADE_KEY and len(set(values[n])) < len(values[n]):
                continue  # a number that comes again tells no record from another
            fits = cell_kinds.share(values[n], test) if test else None
            found.append(Candidate(target, n, confidence, fits, len(values[n])))
    return found


def _columns(
    taken: dict[str, Candidate],
    candidates: list[Candidate],
    headers: tuple[str, ...],
) -> dict[str, Column]:
    """The columns with how sure each is, in the order of the file."""
    columns = {}
    for target, one in sorted(taken.items(), key=lambda item: item[1].at):
        column = _column(one, headers[one.at])
        others = [
            c
            for c in candidates
            if c.at == one.at
            and c.target not in taken
            and one.confidence - c.confidence < _NEAR
            and not _alike(c.target, target)
        ]
        why = "header and values" if one.speaks == "for" else "by its header"
        confidence = one.confidence
        if others:
            other = max(others, key=lambda c: c.confidence)
            why += f", or {other.target}"
            confidence -= 0.3 * (1 - (one.confidence - other.confidence) / _NEAR)
        columns[target] = replace(column, confidence=round(confidence, 2), why=why)
    return columns


def _alike(one: str, other: str) -> bool:
    """Whether it makes no odds which of two a column is: the first or second telephone."""
    if {one, other} <= _NUMBERED or {one, other} <= {"town", "region"}:
        return True
    return any(one.startswith(f) and other.startswith(f) for f in _FAMILIES[:2])


def _column(one: Candidate, header: str) -> Column:
    unit, point = unit_and_point(header)
    if not unit_of(one.target):
        return Column(header)
    return Column(header, unit if fits_target(unit, one.target) else usual_unit(one.target), point)


def _twins(columns: dict[str, Column], layout: Layout) -> Iterator[LeftOut]:
    """Second columns of a name that say something else; but of a number, neither is read."""
    for target, column in list(columns.items()):
        header = column.name
        twin = f"{header} (2)"
        if twin not in layout.headers:
            continue
        one, two = layout.headers.index(header), layout.headers.index(twin)
        rows = [r for r in layout.sample if max(one, two) < len(r)]
        if all(r[one].strip() == r[two].strip() for r in rows):
            continue
        if target in LISTED:
            columns[target] = replace(column, more=(*column.more, twin))
            continue
        if target == "key":
            # The number of a well stands first in its table; of other things nobody could say.
            yield twin, f"a second column of this name; '{header}' is read"
            continue
        del columns[target]
        said = (
            f"two columns are headed so and differ; name '{header}' or '{twin}' in a mapping file"
        )
        yield header, said


def _more_of_a_kind(
    columns: dict[str, Column],
    candidates: list[Candidate],
    used: set[int],
    headers: tuple[str, ...],
) -> set[int]:
    """Add further columns of remarks and the like to the first; their places."""
    names = {name for column in columns.values() for name in column.names}
    added: set[int] = set()
    for one in sorted(candidates, key=lambda c: (c.at, -c.confidence)):
        header = headers[one.at]
        if one.at in used | added or header in names or one.speaks == "against":
            continue
        if one.target in LISTED and one.target in columns and one.values:
            column = columns[one.target]
            columns[one.target] = replace(column, more=(*column.more, header))
            added.add(one.at)
    return added


def _against(
    candidates: list[Candidate], used: set[int], headers: tuple[str, ...], values: list[list[str]]
) -> Iterator[LeftOut]:
    """Columns that are not read because their cells are not what their header says."""
    told: set[int] = set()
    for one in candidates:
        if one.at not in used | told and one.speaks == "against":
            told.add(one.at)
            such = values[one.at][0]
            why = f"its header says {one.target}, but not its values, such as '{such[:30]}'"
            if one.target in ("latitude", "longitude"):
                yield headers[one.at], f"{why}; degrees are wanted, such as 44.263 or 44 15 47 N"
                continue
            yield headers[one.at], f"{why}; name it in a mapping file"


def _pairs(
    columns: dict[str, Column],
    headers: tuple[str, ...],
    values: list[list[str]],
    used: set[int],
    passed: set[int],
) -> Iterator[LeftOut]:
    """One column for latitude and longitude, where the file has none for each."""
    if "latitude" in columns or "longitude" in columns:
        return
    for n, header in enumerate(headers):
        if n in passed or cell_kinds.share(values[n], cell_kinds.is_pair) < FOR:
            continue
        known = BOTH_DEGREES.fullmatch(said_in_full(header)) is not None
        why = "header and values" if known else "by its values"
        column = Column(header, confidence=0.95 if known else 0.7, why=why)
        for target in [t for t, c in columns.items() if c.name == header]:
            del columns[target]
        used.add(n)
        columns |= {"latitude": column, "longitude": column}
        return
    yield from ()
