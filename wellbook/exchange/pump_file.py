"""Head-capacity points of pumps from a CSV file.

A file has a column of flows and one of heads, in any unit that its headers name (`gpm, head_ft`;
`flow_l_min, head_m`), and as many more as it likes of maker, model and what else is known of each
model. One without a column of models is of one pump. A blank name, or a blank fact, is that of the row
above: a maker's table says each once.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from wellbook.engineering.curves import HeadCurve
from wellbook.errors import WellbookError
from wellbook.exchange.csv_file import look
from wellbook.exchange.csv_rows import FileRow, file_rows
from wellbook.exchange.headers import plain_header, split_unit
from wellbook.hole.records import PumpModel
from wellbook.quantities import read
from wellbook.store.pumps import pump_key

# The field of each header, by the header without its unit, or as it stands.
_NAMES: dict[str, str] = {
    **dict.fromkeys(("maker", "make", "manufacturer", "brand"), "maker"),
    **dict.fromkeys(("model", "pump_model", "model_no", "model_number"), "model"),
    **dict.fromkeys(("hp", "kw", "horsepower", "power", "motor"), "hp"),
    **dict.fromkeys(("rated", "rated_flow", "rated_capacity"), "rated_gpm"),
    **dict.fromkeys(("service_factor", "sf"), "service_factor"),
    **dict.fromkeys(
        ("service_factor_a", "service_factor_amps", "sfa", "sf_amps"), "service_factor_a"
    ),
    **dict.fromkeys(("supply_v", "volts", "voltage"), "supply_v"),
    **dict.fromkeys(("phases", "phase"), "phases"),
    **dict.fromkeys(("notes", "note", "remarks"), "notes"),
    **dict.fromkeys(("gpm", "flow", "capacity", "q", "l/min", "l/s", "m3/h"), "gpm"),
    **dict.fromkeys(("head", "total_head", "total_dynamic_head", "tdh", "ft", "m"), "head_ft"),
}
_UNITS = {
    **{"gpm": "gpm", "rated_gpm": "gpm", "head_ft": "ft", "hp": "hp"},
    **{"service_factor": "", "service_factor_a": "a", "supply_v": "v", "phases": ""},
}


@dataclass
class _OfOneModel:
    """What the rows of one model say: its facts and its points, and in which row it begins."""

    row: int
    facts: dict[str, Any] = field(default_factory=dict)
    points: list[tuple[float, float]] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class PumpFile:
    """What a file says of pump models, and the headers of columns that say nothing here."""

    name: str
    said: tuple[_OfOneModel, ...]
    not_taken: tuple[str, ...]

    def models(self, **given: Any) -> list[PumpModel]:
        """Its models, in its order.

        Parameters
        ----------
        given
            Fields that are told beside the file, and count before what it says; of `maker` and
            `model`, only those rows are taken that are of it, and the file's spelling is kept.

        Raises
        ------
        WellbookError
            Where a fact is missing, the points make no curve, or the file is of other pumps.
        """
        return [self._model(one, given) for one in self._of(given)]

    def the_curve(self, model: PumpModel) -> HeadCurve:
        """The curve of one model that is known already.

        Raises
        ------
        WellbookError
            Where the points make none, or the file is of other pumps.
        """
        return self._curve(self._rows_of(model))

    def place(self, model: PumpModel, field: str) -> str:
        """Where the file says a field of one of its models, or, with no field, all of it."""
        row = f"{self.name} row {self._rows_of(model).row}"
        return f"{row}, {model.name}, {field}" if field else row

    def _rows_of(self, model: PumpModel) -> _OfOneModel:
        return self._of({"maker": model.maker, "model": model.model})[0]

    def _of(self, given: Mapping[str, Any]) -> list[_OfOneModel]:
        fits = [one for one in self.said if all(_is(one, k, given) for k in ("maker", "model"))]
        if not fits:
            wanted = " ".join(given[k] for k in ("maker", "model") if k in given)
            there = "; ".join(self._name(one) for one in self.said[:6])
            raise WellbookError(f"it has no {wanted}; it has: {there}", where=self.name)
        return fits

    def _model(self, one: _OfOneModel, given: Mapping[str, Any]) -> PumpModel:
        names = {k: v for k, v in one.facts.items() if k in ("maker", "model")}
        facts: dict[str, Any] = {**one.facts, **given, **names}
        missing = [name for name in _NEEDED if name not in facts]
        if missing:
            options = ", ".join(_NEEDED[name] for name in missing)
            raise WellbookError(
                f"{self._name(one)}: {', '.join(missing)} missing; add a column, or give {options}",
                where=f"{self.name} row {one.row}",
            )
        return PumpModel(**facts, curve=self._curve(one))

    def _curve(self, one: _OfOneModel) -> HeadCurve:
        try:
            return HeadCurve(tuple(one.points))
        except ValueError as error:
            said = str(error).removeprefix("points: ")
            where = f"{self.name} row {one.row}, {self._name(one)}, points"
            raise WellbookError(said, where=where) from None

    @staticmethod
    def _name(one: _OfOneModel) -> str:
        known = [one.facts[k] for k in ("maker", "model") if k in one.facts]
        return " ".join(known) or "the pump without a name"


_NEEDED = {"maker": "--maker", "model": "MODEL", "hp": "--hp", "rated_gpm": "--rated-gpm"}


def _is(one: _OfOneModel, name: str, given: Mapping[str, Any]) -> bool:
    """Whether a model is the one that was asked for, as far as the file says."""
    return name not in given or pump_key(one.facts.get(name)) in ("", pump_key(given[name]))


@dataclass(frozen=True, slots=True)
class _Column:
    """Where a field stands, and in which unit."""

    field: str
    at: int
    unit: str


def read_pump_file(path: Path) -> PumpFile:
    """The models and points of a CSV file.

    Raises
    ------
    WellbookError
        Naming the file and the row: no such columns, or a cell that cannot be read.
    """
    layout = look(path)
    rows = file_rows(path, layout.encoding, layout.delimiter)
    columns, not_taken = _header(path, rows)
    models: dict[tuple[str, str], _OfOneModel] = {}
    above = {"maker": "", "model": ""}
    for row in rows:
        at = f"{path.name} row {row.number}"
        if row.fault:
            raise WellbookError(row.fault, where=at)
        values = dict(_values(row, columns, at))
        above |= {k: str(v) for k, v in values.items() if k in above}
        key = (pump_key(above["maker"]), pump_key(above["model"]))
        one = models.setdefault(key, _OfOneModel(row.number))
        _add(one, {**{k: v for k, v in above.items() if v}, **values}, at)
    if not models:
        raise WellbookError("there are no points below the header", where=str(path))
    return PumpFile(path.name, tuple(models.values()), not_taken)


def _header(path: Path, rows: Iterator[FileRow]) -> tuple[Sequence[_Column], tuple[str, ...]]:
    """The first row that has a flow and a head: banners may stand above it."""
    for row in rows:
        found: dict[str, _Column] = {}
        for n, header in enumerate(row.cells):
            name, unit = _field_of(header)
            if name:
                found.setdefault(name, _Column(name, n, unit))
        if {"gpm", "head_ft"} <= found.keys():
            taken = {column.at for column in found.values()}
            rest = (h.strip() for n, h in enumerate(row.cells) if n not in taken)
            return tuple(found.values()), tuple(h for h in rest if h)
    raise WellbookError(
        "no row names a flow and a head; head the columns gpm and head_ft"
        " (or flow_l_min and head_m), and maker and model where there are several",
        where=str(path),
    )


def _field_of(header: str) -> tuple[str, str]:
    """The field that a header names and its unit; no field where it is none of them.

    >>> _field_of("Head (m)"), _field_of("flow_l_min"), _field_of("Rated GPM"), _field_of("rpm")
    (('head_ft', 'm'), ('gpm', 'l/min'), ('rated_gpm', 'gpm'), ('', ''))
    """
    whole = plain_header(header)
    if whole in _NAMES and not _UNITS.get(_NAMES[whole]):
        return _NAMES[whole], ""
    name, unit, _ = split_unit(header)
    found = _NAMES.get(whole) or _NAMES.get(name, "")
    return found, unit if found else ""


def _values(
    row: FileRow, columns: Sequence[_Column], at: str
) -> Iterator[tuple[str, float | int | str]]:
    for column in columns:
        cell = row.cells[column.at].strip() if column.at < len(row.cells) else ""
        if cell:
            try:
                yield column.field, _value(column, cell)
            except ValueError as error:
                raise WellbookError(str(error), where=f"{at}, {column.field}") from None


def _value(column: _Column, cell: str) -> float | int | str:
    if column.field not in _UNITS:
        return cell
    bare = not any(c.isalpha() or c in "'\"" for c in cell)
    number = read(f"{cell} {column.unit}" if bare and column.unit else cell, _UNITS[column.field])
    if number < 0:
        raise ValueError(f"{cell} is below zero")
    if column.field == "phases":
        if number not in (1, 3):
            raise ValueError(f"{cell} cannot be; write 1 or 3")
        return int(number)
    return number


def _add(one: _OfOneModel, values: Mapping[str, Any], at: str) -> None:
    """What a row says of its model: a point, and facts that may not differ from rows above."""
    facts = {k: v for k, v in values.items() if k not in ("gpm", "head_ft")}
    for name, value in facts.items():
        known = one.facts.setdefault(name, value)
        if name not in ("maker", "model", "notes") and known != value:
            raise WellbookError(
                f"{value:g} here, and {known:g} above, from row {one.row}, of the same model",
                where=f"{at}, {name}",
            )
    point = [values[name] for name in ("gpm", "head_ft") if name in values]
    if len(point) == 1:
        missing = "head" if "gpm" in values else "flow"
        raise WellbookError(f"the point has no {missing}", where=at)
    if point:
        one.points.append((point[0], point[1]))
