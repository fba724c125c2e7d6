"""Which column of a file is what: proposed from the headers, kept in a small TOML file.

Nothing is guessed in silence. A length whose header names no unit has to be given one, since a
depth of 150 is a fair well in feet and in metres; a flow without a unit is left out, and said to
be.
"""

from __future__ import annotations

import json
import re
import tomllib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from wellbook import quantities
from wellbook.errors import WellbookError
from wellbook.terms import MeasuringPoint

LENGTHS = frozenset({"depth_ft", "water_level_ft", "stick_up_ft", "set_depth_ft"})
FLOWS = frozenset({"yield_gpm"})
DATES = frozenset({"drilled_on", "measured_on", "sealed_on"})
STRETCHES = ("casing", "liner", "screen")

# The headers by which each target is known, best first; `_` stands for anything that parts words.
_NUMBER = "(?:no|nr|num|number|id|key|tag|tag_number)"
_KNOWN: dict[str, tuple[str, ...]] = {
    "key": (
        f"(?:state_)?well_{_NUMBER}",
        f"(?:site|station|record|source|borehole|bore|registration|report)_{_NUMBER}",
        "id|tag|key|well|number",
    ),
    "permit_no": (f"(?:well_)?permit(?:_{_NUMBER})?", "identification_plate_number"),
    "name": ("(?:well_|site_|station_|borehole_)?name", "station_nm", "well_owner_name"),
    "latitude": (r"(?:dec_)?lat(?:itude)?(?:_\w+)?", "y"),
    "longitude": (r"(?:dec_)?(?:lon|long|lng|longitude)(?:_\w+)?", "x"),
    "road": ("(?:street_)?address", "road|street|street_name"),
    "town": ("city|town|village|municipality|township|community|locality", "county"),
    "region": ("region|state|province|administrative_region|sub_county|district", "parish|county"),
    "drilled_on": (
        "construction_end_date|completion_date|date_(?:of_)?completion|(?:date_)?completed",
        "(?:date|year)_(?:drilled|constructed)|(?:drilled|drilling)(?:_(?:on|date|year))?",
        "construction_(?:date|year|start_date)|year|date",
    ),
    "measured_on": (
        "(?:level_)?(?:date_)?measured(?:_on)?|measurement_date|level_date",
        "date_of_test|test_date|repair_date|last_repair_date|inspection_date",
    ),
    "sealed_on": (
        "(?:decommission|sealed|abandoned)(?:_end)?_(?:date|on)|date_(?:sealed|plugged)",
    ),
    "driller": ("driller(?:_name)?|drilled_by|drilling_(?:company|contractor)",),
    "construction": ("construction(?:_(?:method|type))?|drilling_method|well_type",),
    "use": ("intended_water_use(?:_code)?|(?:well_|water_|proposed_)?use",),
    "depth_ft": (
        "finished_(?:well_)?depth",
        "(?:well_|borehole_|bore_)?depth(?:_va)?",
        "total_(?:well_|hole_)?depth(?:_drilled)?|hole_depth(?:_va)?",
    ),
    "water_level_ft": (
        "static_(?:water_)?(?:level|depth)|swl",
        "(?:depth_to_)?water(?:_level|_depth)?|static",
    ),
    "level_point": ("(?:water_level_)?(?:reference|measuring)_point",),
    "yield_gpm": ("(?:well_|reported_)?yield|(?:well_)?yield_rate", "yield_estimation_rate"),
    "stick_up_ft": (
        "(?:final_)?(?:casing_)?stick_?up(?:_height)?",
        "reference_level|measuring_point_height|casing_height",
    ),
    "set_depth_ft": (
        "pump_(?:set|setting|installation|intake)(?:_depth)?|set_depth|pump_depth|intake_depth",
    ),
    "flowing": ("artesian(?:_conditions)?|flowing",),
    "notes": ("comments?|remarks?|notes?",),
    **{
        f"{kind}_{what}": (f"{kind}_{names}",)
        for kind in STRETCHES
        for what, names in {
            "from_ft": "(?:from|top)(?:_depth)?",
            "to_ft": "(?:to|bottom)(?:_depth)?",
            "diameter_in": "(?:diameter|dia|diam|size)",
            "material": "material(?:_code)?",
        }.items()
    },
    "casing_code": ("casing_code|casing_type",),
}
_KNOWN["casing_diameter_in"] += ("diameter|well_diameter|bore_diameter",)
TARGETS = tuple(_KNOWN)

# How a unit is written at the end of a header; a measuring point may be glued to it.
_POINTS = {
    "bgl": MeasuringPoint.GROUND,
    "bgs": MeasuringPoint.GROUND,
    "bls": MeasuringPoint.GROUND,
    "btoc": MeasuringPoint.CASING_TOP,
    "toc": MeasuringPoint.CASING_TOP,
}
_UNITS = (
    (r"m\^?3[_/](?:p(?:er)?_)?(?:hr?|hour)", "m3/h"),
    (r"m\^?3[_/](?:p(?:er)?_)?d(?:ay)?", "m3/d"),
    (r"(?:in_)?(?:us_?)?(?:gpm|gal(?:lons)?_(?:per_)?min(?:ute)?)", "gpm"),
    (r"(?:in_)?(?:l|lit(?:er|re)s?)[_/]?(?:per|p)?_?s(?:ec(?:ond)?)?", "l/s"),
    (r"(?:in_)?(?:l|lit(?:er|re)s?)[_/]?(?:per|p)?_?m(?:in(?:ute)?)?", "l/min"),
    (r"(?:in_)?(?:feet|foot|ft)", "ft"),
    (r"(?:in_)?(?:inches|inch|in)", "in"),
    (r"(?:in_)?(?:millimet(?:er|re)s?|mm)", "mm"),
    (r"(?:in_)?(?:centimet(?:er|re)s?|cm)", "cm"),
    (r"(?:in_)?(?:met(?:er|re)s?|m)", "m"),
)


@dataclass(frozen=True, slots=True)
class Column:
    """Where a target stands: a header, or a number from 1 where there is no header."""

    name: str
    unit: str = ""
    point: MeasuringPoint | None = None


@dataclass(frozen=True, slots=True)
class Layout:
    """How a file is written, as found by looking into it."""

    encoding: str
    delimiter: str
    header_row: int
    headers: tuple[str, ...]
    sample: tuple[tuple[str, ...], ...]


@dataclass(frozen=True)
class WellMapping:
    """What to read from a file, and as what. `header_row` 0 is a file without headers."""

    source: str
    columns: Mapping[str, Column]
    encoding: str = "utf-8-sig"
    delimiter: str = ","
    header_row: int = 1
    date_order: str = ""
    prefix: str | None = None
    left_out: tuple[tuple[str, str], ...] = field(default=(), compare=False)

    @property
    def without_unit(self) -> list[str]:
        """Columns whose values have no unit yet."""
        return [c.name for target, c in self.columns.items() if unit_of(target) and not c.unit]

    def with_unit(self, unit: str) -> WellMapping:
        """The same with a unit for the lengths that have none."""
        return replace(
            self,
            columns={
                target: replace(c, unit=unit) if not c.unit and unit_of(target) == "ft" else c
                for target, c in self.columns.items()
            },
        )

    def check(self) -> None:
        """Refuse what cannot be read by: no unit, or nothing to read."""
        missing = self.without_unit
        if missing:
            raise WellbookError(
                f"no unit is named for {', '.join(missing)}; say --unit ft or --unit m,"
                " or write it into a mapping file (--keep-mapping FILE makes one)",
                where="--unit",
            )
        if not self.columns:
            raise WellbookError(
                "no column of this file is known; name them in a mapping file", where="--mapping"
            )


def unit_of(target: str) -> str:
    """The unit in which a target is kept: read from its name.

    >>> unit_of("casing_diameter_in"), unit_of("depth_ft"), unit_of("town")
    ('in', 'ft', '')
    """
    ending = target.rpartition("_")[2]
    return ending if ending in ("ft", "in", "gpm") else ""


# -- proposing ---------------------------------------------------------------------------------


def plain_header(header: str) -> str:
    """A header in small letters, with `_` for whatever parts its words.

    >>> plain_header(" Static Water Level (ft-btoc)")
    'static_water_level_ft_btoc'
    """
    return re.sub(r"[^a-z0-9^/]+", "_", header.lower().replace("³", "3")).strip("_")


def split_unit(header: str) -> tuple[str, str, MeasuringPoint | None]:
    """A header without its unit and measuring point, the unit, and the point.

    >>> split_unit("static_water_level_ft-btoc")
    ('static_water_level', 'ft', <MeasuringPoint.CASING_TOP: 'casing_top'>)
    >>> split_unit("well_yield_(m^3/hr)"), split_unit("SWL mbgl")[:2]
    (('well_yield', 'm3/h', None), ('swl', 'm'))
    """
    plain = plain_header(header)
    point = None
    found = re.fullmatch(rf"(.*?)_?({'|'.join(_POINTS)})", plain)
    if found:
        plain, point = found[1], _POINTS[found[2]]
    for pattern, unit in _UNITS:
        match = re.fullmatch(rf"(.+)_{pattern}", plain)
        if match:
            return match[1], unit, point
    return plain, "", point


def matched(headers: Iterable[str]) -> int:
    """How many headers are known: by this a header line is told from banners and from data."""
    patterns = [re.compile(p) for some in _KNOWN.values() for p in some]
    names = [split_unit(h)[0] for h in headers if h.strip()]
    return sum(any(p.fullmatch(n) for p in patterns) for n in names)


def propose(layout: Layout, source: str) -> WellMapping:
    """A mapping for a file, from its headers; where it has none, from its values."""
    if layout.header_row:
        columns, left_out = _by_header(layout.headers)
    else:
        columns, left_out = _by_value(layout.sample), []
    dated = [c for t, c in columns.items() if t in DATES]
    return WellMapping(
        source=source,
        columns=columns,
        encoding=layout.encoding,
        delimiter=layout.delimiter,
        header_row=layout.header_row,
        date_order=_date_order(layout, dated),
        left_out=tuple(left_out),
    )


def _by_header(headers: Sequence[str]) -> tuple[dict[str, Column], list[tuple[str, str]]]:
    split = {h: split_unit(h) for h in headers}
    columns: dict[str, Column] = {}
    left_out: list[tuple[str, str]] = []
    taken: set[str] = set()
    for target, patterns in _KNOWN.items():
        header = _first(headers, split, patterns, taken)
        if header is None:
            continue
        _, unit, point = split[header]
        if target in FLOWS and not unit:
            left_out.append((header, "a flow without a unit; name it in a mapping file"))
            continue
        taken.add(header)
        columns[target] = Column(header, *_measured(target, unit, point))
    return columns, left_out


def _measured(
    target: str, unit: str, point: MeasuringPoint | None
) -> tuple[str, MeasuringPoint | None]:
    if not unit_of(target):
        return "", None
    # Diameters are told in inches wherever wells are in feet; a stick-up may be in either.
    return unit or ("in" if target.endswith("_in") else ""), point


def _first(
    headers: Sequence[str],
    split: Mapping[str, tuple[str, str, MeasuringPoint | None]],
    patterns: Iterable[str],
    taken: set[str],
) -> str | None:
    for pattern in patterns:
        for header in headers:
            if header not in taken and re.fullmatch(pattern, split[header][0]):
                return header
    return None


def _by_value(sample: Sequence[Sequence[str]]) -> dict[str, Column]:
    """Columns told by what stands in them, for a file without headers."""
    columns: dict[str, Column] = {}
    width = max((len(r) for r in sample), default=0)
    for n in range(width):
        values = [r[n].strip() for r in sample if n < len(r) and r[n].strip()]
        target = _target_of_values(values, columns)
        if target:
            columns[target] = Column(str(n + 1))
    return columns


def _target_of_values(values: list[str], known: Mapping[str, Column]) -> str | None:
    if not values:
        return None
    numbers = [float(v) for v in values if re.fullmatch(r"-?[0-9]+(?:\.[0-9]+)?", v)]
    if len(numbers) < 0.9 * len(values):
        wordy = sum(bool(re.search("[A-Za-z]{3}", v)) for v in values) > 0.9 * len(values)
        return "town" if wordy and "town" not in known else None
    fractions = sum(n != int(n) for n in numbers) > 0.8 * len(numbers)
    whole = all(n == int(n) for n in numbers)
    if "key" not in known and whole and len(set(values)) == len(values):
        return "key"
    if fractions and "latitude" not in known and all(-90 <= n <= 90 for n in numbers):
        return "latitude"
    if fractions and "longitude" not in known and all(-180 <= n <= 180 for n in numbers):
        return "longitude"
    years = sum(1800 <= n <= 2100 for n in numbers) > 0.9 * len(numbers)
    if whole and years and "drilled_on" not in known:
        return "drilled_on"
    positive = all(0 <= n < 10000 for n in numbers)
    return "depth_ft" if positive and "depth_ft" not in known else None


_SLASHED = re.compile(r"([0-9]{1,2})[/.-]([0-9]{1,2})[/.-][0-9]{4}\b.*")


def _date_order(layout: Layout, columns: Iterable[Column]) -> str:
    """Whether 3/4/2011 is in March or in April, as far as the other dates of the file tell."""
    first = second = 0
    for column in columns:
        n = index_of(column, layout.headers if layout.header_row else ())
        for row in layout.sample:
            found = _SLASHED.fullmatch(row[n].strip()) if n < len(row) else None
            if found:
                first, second = max(first, int(found[1])), max(second, int(found[2]))
    if first > 12 >= second > 0:
        return "dmy"
    return "mdy" if second > 12 >= first > 0 else ""


def index_of(column: Column, headers: Sequence[str]) -> int:
    """A column's place in a row, from 0.

    Raises
    ------
    WellbookError
        If the file has no such column.
    """
    if column.name in headers:
        return headers.index(column.name)
    if not headers and column.name.isdigit() and int(column.name) > 0:
        return int(column.name) - 1
    raise WellbookError(f"the file has no column '{column.name}'", where="--mapping")


# -- the file ----------------------------------------------------------------------------------

_HEAD = """\
# How `wellbook import wells` reads this file. Edit it and give it back with --mapping.
# Targets: {targets}
"""


def to_toml(mapping: WellMapping, unused: Iterable[str] = ()) -> str:
    """A mapping as a TOML document that a person can edit."""
    targets = ", ".join(TARGETS)
    lines = [_HEAD.format(targets=targets).rstrip()]
    for name in ("source", "encoding", "delimiter", "header_row", "date_order"):
        lines.append(f"{name} = {_quoted(getattr(mapping, name))}")
    if mapping.prefix is not None:
        lines.append(f"prefix = {_quoted(mapping.prefix)}")
    lines += ["", "[columns]"]
    for target, column in mapping.columns.items():
        parts = [f"column = {_quoted(column.name)}"]
        if unit_of(target):
            parts.append(f"unit = {_quoted(column.unit)}")
        if column.point:
            parts.append(f"point = {_quoted(column.point.value)}")
        lines.append(
            f"{target} = {{ {', '.join(parts)} }}" if parts[1:] else f"{target} = {parts[0][9:]}"
        )
    lines += [f"# not used: {clean_comment(name)}" for name in unused]
    return "\n".join(lines) + "\n"


def clean_comment(text: str) -> str:
    """Text that stays on its line of a TOML comment."""
    return "".join(c if c.isprintable() else " " for c in text)


def _quoted(value: str | int) -> str:
    # A JSON string is a TOML basic string, except that TOML also wants DEL escaped.
    return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")


def from_toml(text: str, where: str) -> WellMapping:
    """Read a mapping that was kept.

    Raises
    ------
    WellbookError
        Naming the key that will not do.
    """
    try:
        document = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise WellbookError(str(error), where=where) from None
    known = {"source", "encoding", "delimiter", "header_row", "date_order", "prefix", "columns"}
    for name in document.keys() - known:
        raise WellbookError(
            f"no key '{name}' is known; known: {', '.join(sorted(known))}", where=where
        )
    columns = document.get("columns")
    if not isinstance(columns, dict):
        raise WellbookError("a table [columns] is wanted, target = column", where=where)
    values: dict[str, Any] = {k: v for k, v in document.items() if k != "columns"}
    for name, value in values.items():
        wanted = int if name == "header_row" else str
        if type(value) is not wanted:
            kind = "a number" if wanted is int else "a text"
            raise WellbookError(f"{kind} is wanted", where=f"{where}: {name}")
    if not values.get("source", "").strip():
        raise WellbookError(
            "a name for where these records are from is wanted", where=f"{where}: source"
        )
    if len(values.get("delimiter", ",")) != 1 or values.get("delimiter", ",") in '\r\n"':
        raise WellbookError('one sign is wanted, such as ","', where=f"{where}: delimiter")
    if values.get("date_order", "") not in ("", "mdy", "dmy"):
        raise WellbookError("'mdy' or 'dmy' is wanted, or nothing", where=f"{where}: date_order")
    try:
        "".encode(values.get("encoding", "utf-8"))
    except LookupError:
        raise WellbookError("no such encoding", where=f"{where}: encoding") from None
    read = {
        target: _column(target, value, f"{where}: {target}") for target, value in columns.items()
    }
    return WellMapping(columns=read, **values)


def _column(target: str, value: object, where: str) -> Column:
    if target not in _KNOWN:
        raise WellbookError(f"no such target; known: {', '.join(TARGETS)}", where=where)
    given: dict[str, Any] = value if isinstance(value, dict) else {"column": value}
    name, unit, point = given.get("column"), given.get("unit", ""), given.get("point")
    if (
        isinstance(name, bool)
        or not isinstance(name, str | int)
        or given.keys() - {"column", "unit", "point"}
    ):
        raise WellbookError('write "header", or { column = "header", unit = "ft" }', where=where)
    if unit:
        try:
            quantities.read(f"1 {unit}", unit_of(target))
        except ValueError as error:
            raise WellbookError(str(error), where=where) from None
    try:
        at = MeasuringPoint(point) if point is not None else None
    except ValueError:
        raise WellbookError("a point is 'ground' or 'casing_top'", where=where) from None
    if not unit and target.endswith("_in"):
        unit = "in"
    return Column(str(name), str(unit), at)


def load_mapping(path: Path) -> WellMapping:
    """The mapping in a file."""
    try:
        return from_toml(path.read_text(encoding="utf-8-sig"), str(path))
    except (OSError, UnicodeDecodeError) as error:
        reason = error.strerror if isinstance(error, OSError) else "it is not UTF-8 text"
        raise WellbookError(str(reason), where=str(path)) from None
