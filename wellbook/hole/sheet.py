"""The visit sheet: one document with all that was found, measured, pulled and set.

`read_sheet` turns plain data (from TOML, from prompts, later from a form) into a `Sheet`, checked as
a whole: every mistake is collected with its place, so that a user mends them in one go.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import MISSING, dataclass, fields
from datetime import date
from difflib import get_close_matches
from enum import StrEnum
from typing import Any

from wellbook.dates import When
from wellbook.engineering.analytes import ANALYTES, Result
from wellbook.hole.facts import OVER_THE_SCALE
from wellbook.hole.fields import field_types, read_field, read_when, word
from wellbook.hole.materials import in_the_books_word
from wellbook.hole.parts import PARTS
from wellbook.hole.readings import (
    READINGS,
    WITHOUT_VALUE,
    over_the_scale,
    quantity_of,
    read_number,
)
from wellbook.hole.said import (
    FoundSaid,
    IntervalSaid,
    Measured,
    PartSaid,
    Pulled,
    SampleSaid,
    Sheet,
)
from wellbook.hole.water_results import read_bacteria, read_result
from wellbook.limits import within_limits
from wellbook.terms import ON_PAPER, Basis, Cause, Kind, Reason, SheetKind


@dataclass(frozen=True, slots=True)
class Mistake:
    """One thing wrong with a sheet: where (keys and positions from the top) and what."""

    path: tuple[str | int, ...]
    message: str

    @property
    def where(self) -> str:
        """The place in words.

        >>> Mistake(("set", "pipe", 1, "to_ft"), "").where
        'set.pipe[2].to_ft'
        """
        text = ""
        for step in self.path:
            text += f"[{step + 1}]" if isinstance(step, int) else f".{step}"
        return text.lstrip(".")


class SheetError(Exception):
    """A sheet that cannot be taken, with every mistake in it."""

    def __init__(self, mistakes: Iterable[Mistake]) -> None:
        self.mistakes = tuple(mistakes)
        super().__init__("; ".join(f"{m.where}: {m.message}" for m in self.mistakes))


class _Reader:
    """Reads the tables of a sheet and collects mistakes with their places."""

    def __init__(
        self, data: Mapping[str, Any], said_on: date, basis: Basis, *, on_record: bool = False
    ) -> None:
        self.data = data
        self.said_on = self.today = said_on
        self.as_of: When | None = None
        self.basis = basis
        self.on_record = on_record
        self.mistakes: list[Mistake] = []

    def wrong(self, path: tuple[str | int, ...], message: str) -> None:
        if self.as_of is not None:
            message = message.replace("the day of this sheet", "the date of this paper")
        self.mistakes.append(Mistake(path, message))

    def within(self, name: str, value: Any) -> Any:
        """A value that can be. What is on record already was taken as it is, and stays readable."""
        number = isinstance(value, (int, float)) and not isinstance(value, bool)
        return within_limits(name, value) if number and not self.on_record else value

    def rows(self, *path: str) -> list[tuple[tuple[str | int, ...], Mapping[str, Any]]]:
        """The tables at a place: none, one, or a list of them."""
        value: Any = self.data
        for step in path:
            value = value.get(step) if isinstance(value, Mapping) else None
        if value is None:
            return []
        if isinstance(value, Mapping):
            return [(path, value)]
        if isinstance(value, list) and all(isinstance(v, Mapping) for v in value):
            return [((*path, n), v) for n, v in enumerate(value)]
        self.wrong(path, f"a table belongs here, such as [{'.'.join(path)}]")
        return []

    def take(
        self,
        owner: type[object],
        row: Mapping[str, Any],
        path: tuple[str | int, ...],
        *,
        also: Iterable[str] = (),
    ) -> dict[str, Any]:
        """The fields of one table that belong to a dataclass, read by their types."""
        known = set(field_types(owner)) | set(also)
        values: dict[str, Any] = {}
        for name, raw in row.items():
            if name not in known:
                self.wrong((*path, name), _unknown_key(name, known))
            elif name not in also:
                self._try(values, owner, name, raw, path)
        return in_the_books_word(values, known)

    def _try(
        self,
        values: dict[str, Any],
        owner: type[object],
        name: str,
        raw: object,
        path: tuple[str | int, ...],
    ) -> None:
        try:
            value = self.within(name, read_field(owner, name, raw, self.said_on, self.today))
        except (ValueError, TypeError) as error:
            self.wrong((*path, name), str(error))
        else:
            if value is not None:
                values[name] = value

    def part_rows(
        self, section: str
    ) -> list[tuple[Kind, tuple[str | int, ...], Mapping[str, Any]]]:
        """The tables of a section that is divided by kinds: `[set.pump]`, `[[set.pipe]]`."""
        table = self.data.get(section)
        if table is None:
            return []
        if not isinstance(table, Mapping):
            self.wrong((section,), f"write [{section}.pump], [[{section}.pipe]] and so on")
            return []
        found: list[tuple[Kind, tuple[str | int, ...], Mapping[str, Any]]] = []
        for name in table:
            try:
                kind = word(Kind, name)
            except ValueError as error:
                self.wrong((section, name), str(error))
                continue
            found += [(kind, path, row) for path, row in self.rows(section, name)]
        return found

    def common(
        self,
        row: Mapping[str, Any],
        path: tuple[str | int, ...],
        names: Mapping[str, type[StrEnum]],
    ) -> dict[str, Any]:
        """The enumerated fields that stand beside a table's own."""
        values: dict[str, Any] = {}
        for name, kind in names.items():
            if row.get(name) not in (None, ""):
                try:
                    values[name] = word(kind, row[name])
                except ValueError as error:
                    self.wrong((*path, name), str(error))
        return values

    def said(self, section: str) -> tuple[PartSaid, ...]:
        """The parts of `set`, `back` or `down`."""
        also = ("basis", "set_on", "splices_added", "note")
        parts: list[PartSaid] = []
        for kind, path, row in self.part_rows(section):
            values = self.take(PARTS[kind], row, path, also=also)
            self._span(values, path)
            self._switch(values, path)
            extra = self.common(row, path, {"basis": Basis})
            self._try(extra, PartSaid, "splices_added", row.get("splices_added"), path)
            self._try(extra, PartSaid, "set_on", row.get("set_on"), path)
            self._try(extra, PartSaid, "note", row.get("note"), path)
            extra.setdefault("basis", self.basis)
            parts.append(PartSaid(kind, values, **extra))
        return tuple(parts)

    def _switch(self, values: Mapping[str, Any], path: tuple[str | int, ...]) -> None:
        starts, stops = values.get("cut_in_psi"), values.get("cut_out_psi")
        if starts is not None and stops is not None and starts >= stops and not self.on_record:
            self.wrong(
                (*path, "cut_in_psi"),
                f"cut-in {starts:g} psi is not below cut-out, {stops:g} psi",
            )

    def _span(self, values: Mapping[str, Any], path: tuple[str | int, ...]) -> None:
        top, bottom = values.get("from_ft"), values.get("to_ft")
        if top is not None and bottom is not None and bottom <= top:
            self.wrong(
                (*path, "to_ft"), f"ends at {bottom:g} ft, not below where it begins ({top:g} ft)"
            )

    def pulled(self) -> tuple[Pulled, ...]:
        """The parts that came out for good."""
        parts: list[Pulled] = []
        for kind, path, row in self.part_rows("pulled"):
            values = self.take(PARTS[kind], row, path, also=("basis", "why", "cause", "set_on"))
            self._span(values, path)
            extra = self.common(row, path, {"basis": Basis, "cause": Cause})
            self._try(extra, Pulled, "why", row.get("why"), path)
            self._try(extra, Pulled, "set_on", row.get("set_on"), path)
            extra.setdefault("basis", self.basis)
            parts.append(Pulled(kind, values, **extra))
        return tuple(parts)

    def records(self, owner: type[Any], *path: str, **defaults: Any) -> tuple[Any, ...]:
        """Tables that are read straight into one dataclass each."""
        made: list[Any] = []
        for place, row in self.rows(*path):
            values = {**defaults, **self.take(owner, row, place)}
            missing = [name for name in _required(owner) if name not in values]
            if missing:
                self.wrong(place, f"needs: {', '.join(missing)}")
            else:
                made.append(owner(**values))
        return tuple(made)

    def samples(self, taken_on: When) -> tuple[SampleSaid, ...]:
        """`[[sample]]`: when and by whom, bacteria, and any analyte by its word."""
        own = ("taken_on", "laboratory", "note")
        made: list[SampleSaid] = []
        for path, row in self.rows("sample"):
            head = {n: v for n, v in row.items() if n in own}
            values = {"taken_on": taken_on, **self.take(SampleSaid, head, path)}
            results: dict[str, Result] = {}
            for name, raw in row.items():
                if name in own or raw in (None, ""):
                    continue
                try:
                    if name == "bacteria":
                        values[name] = read_bacteria(raw)
                    elif name in ANALYTES:
                        results[name] = read_result(name, raw)
                        self.within(name, results[name].value)
                    else:
                        self.wrong((*path, name), _unknown_key(name, {*own, "bacteria", *ANALYTES}))
                except ValueError as error:
                    self.wrong((*path, name), str(error))
            made.append(
                SampleSaid(results={a: results[a] for a in ANALYTES if a in results}, **values)
            )
        return tuple(made)

    def measured(self) -> tuple[Measured, ...]:
        """`[measured]`: quantity = value, or a table with more, or a list of either."""
        table = self.data.get("measured")
        if table is None:
            return ()
        if not isinstance(table, Mapping):
            self.wrong(("measured",), "write [measured] and below it lines such as flow_gpm = 7")
            return ()
        made: list[Measured] = []
        for name, raw in table.items():
            several = raw if isinstance(raw, list) else [raw]
            for n, one in enumerate(several):
                path = ("measured", name, n) if isinstance(raw, list) else ("measured", name)
                self._measure(made, name, one, path)
        return tuple(made)

    def _measure(
        self, made: list[Measured], name: str, raw: object, path: tuple[str | int, ...]
    ) -> None:
        row: Mapping[str, Any] = raw if isinstance(raw, Mapping) else {"value": raw}
        quantity, state = quantity_of(name)
        if quantity is None:
            self.wrong(path, _unknown_key(name, READINGS))
            return
        values = self.take(Measured, row, path, also=("value", "when", "quantity"))
        values.update(self.common(row, path, {"basis": Basis}))
        values.setdefault("basis", self.basis)
        values.setdefault("state", state)
        try:
            when = read_when(row["when"], self.said_on) if row.get("when") else None
            mark, over = over_the_scale(row.get("value"), quantity)
            number = None if mark is None else read_number(mark, quantity)
            self.within(quantity.value, number)
        except (ValueError, TypeError) as error:
            self.wrong(path, str(error))
            return
        if number is None and values["state"] not in WITHOUT_VALUE:
            self.wrong(path, "needs a value, such as value = 141")
            return
        if over:
            values["method"] = "; ".join(x for x in (OVER_THE_SCALE, values.get("method")) if x)
        made.append(
            Measured(quantity, number, when=when or self._made(values["basis"]), **_known(values))
        )

    def _made(self, basis: Basis) -> When:
        """When a reading was made that has no date of its own.

        What is copied from paper is as old as the paper: where that has no date, it was by now.
        """
        if self.as_of is not None and self.as_of.known:
            return self.as_of
        return When.between(None if basis in ON_PAPER else self.said_on, self.said_on)


def _known(values: Mapping[str, Any]) -> dict[str, Any]:
    return {name: value for name, value in values.items() if value is not None}


def _required(owner: type[Any]) -> list[str]:
    return [f.name for f in fields(owner) if f.default is MISSING]


def _unknown_key(name: str, known: Iterable[str]) -> str:
    near = get_close_matches(name, list(known), n=1, cutoff=0.6)
    hint = f"did you mean '{near[0]}'?" if near else "known here: " + ", ".join(sorted(known))
    return f"'{name}' is not known here; {hint}"


_TOP = {
    "well",
    "kind",
    "date",
    "as_of",
    "start",
    "end",
    "crew",
    "reason",
    "basis",
    "pulled",
    "back",
    "set",
    "down",
    "found",
    "measured",
    "bore",
    "sample",
    "left_without_pump",
    "left_for_next_time",
    "disinfected",
    "notes",
}


def read_sheet(data: Mapping[str, Any], *, today: date, kind: SheetKind = SheetKind.VISIT) -> Sheet:
    """Check a whole sheet and give it back as a frozen record.

    Parameters
    ----------
    data
        The document as plain tables, as a TOML reader gives it.
    today
        The day on which it is entered; nothing in a sheet may lie after it.
    kind
        What the sheet records: a visit, a call or the opening record.

    Raises
    ------
    SheetError
        With every mistake in it, each with its place.
    """
    return _read(_Reader(data, today, kind.basis), kind)


def read_recorded(data: Mapping[str, Any], *, today: date, kind: SheetKind) -> Sheet:
    """A sheet that is on record, as it was taken on the day it was entered.

    What a value can be is judged when it comes in. A sheet that was taken before there was a limit
    stays readable: it can be corrected, and does not keep others from being replayed.

    Parameters
    ----------
    data
        Its document.
    today
        The day on which it was entered.
    kind
        What it records.
    """
    return _read(_Reader(data, today, kind.basis, on_record=True), kind)


def _read(reader: _Reader, kind: SheetKind) -> Sheet:
    today = reader.said_on
    for name in reader.data:
        if name not in _TOP:
            reader.wrong((name,), _unknown_key(name, _TOP))
    start, end = _days(reader, today)
    reader.said_on = end or start
    reader.as_of = _paper(reader, kind)
    head = reader.common(reader.data, (), {"reason": Reason, "basis": Basis})
    reader.basis = head.get("basis", kind.basis)
    sheet = _body(reader, kind, start, end, head.get("reason", Reason.OTHER))
    if reader.mistakes:
        raise SheetError(reader.mistakes)
    return sheet


def _paper(reader: _Reader, kind: SheetKind) -> When | None:
    """The date of the paper that an opening record was copied from; what it says is as of then."""
    raw = reader.data.get("as_of")
    if raw in (None, ""):
        return None
    if kind is not SheetKind.OPENING:
        reader.wrong(("as_of",), "only what is copied from paper has another date than its own")
        return None
    try:
        paper = read_when(raw, reader.said_on)
    except ValueError as error:
        reader.wrong(("as_of",), str(error))
        return None
    reader.said_on = min(paper.latest or reader.said_on, reader.said_on)
    return paper


def _body(reader: _Reader, kind: SheetKind, start: date, end: date | None, reason: Reason) -> Sheet:
    data = reader.data
    if kind is SheetKind.VISIT and not str(data.get("reason", "")).strip():
        known = ", ".join(r.label for r in Reason)
        reader.wrong(("reason",), f"a visit has a reason, one of: {known}")
    flags: dict[str, Any] = {}
    for name in ("left_without_pump", "disinfected", "left_for_next_time", "notes"):
        reader._try(flags, Sheet, name, data.get(name), ())
    sheet = Sheet(
        kind=kind,
        start=start,
        end=end,
        reason=reason,
        basis=reader.basis,
        crew=_crew(reader),
        pulled=reader.pulled(),
        back=reader.said("back"),
        set=reader.said("set"),
        down=reader.said("down"),
        found=reader.records(FoundSaid, "found"),
        measured=reader.measured(),
        bore=reader.records(
            IntervalSaid,
            "bore",
            basis=reader.basis,
            material="",
            from_ft=None,
            to_ft=None,
            diameter_in=None,
        ),
        samples=reader.samples(reader.as_of or When.on(start)),
        as_of=reader.as_of,
        **flags,
    )
    if sheet.left_without_pump and any(s.kind is Kind.PUMP for s in (*sheet.set, *sheet.back)):
        reader.wrong(("left_without_pump",), "a pump was set, so the well was not left without one")
    return sheet


def _crew(reader: _Reader) -> tuple[str, ...]:
    crew = reader.data.get("crew", [])
    if isinstance(crew, str):
        crew = crew.split(",")
    if not isinstance(crew, list):
        reader.wrong(("crew",), 'write the names as ["Ida", "Ben"]')
        return ()
    return tuple(str(name).strip() for name in crew if str(name).strip())


def _days(reader: _Reader, today: date) -> tuple[date, date | None]:
    """The first and last day; a sheet with `start` and no `end` is a job still open."""
    data = reader.data
    start = _day(reader, "date", today) or _day(reader, "start", today)
    if start is None:
        if not any(name in data for name in ("date", "start")):
            reader.wrong(("date",), f"a sheet has a date, such as date = {today.isoformat()}")
        return today, today
    end = _day(reader, "end", today)
    if end is not None and end < start:
        reader.wrong(("end",), f"ends on {end}, before it begins on {start}")
    return start, end if "end" in data else (start if "date" in data else None)


def _day(reader: _Reader, name: str, today: date) -> date | None:
    raw = reader.data.get(name)
    if raw in (None, ""):
        return None
    try:
        when = read_when(raw, today, today=today)
    except ValueError as error:
        reader.wrong((name,), str(error))
        return None
    if not when.exact or when.earliest is None:
        reader.wrong((name,), f"a sheet needs one day, such as {today.isoformat()}; got '{raw}'")
        return None
    return when.earliest
