"""The levels of a pumping test, as they are typed and as they stand in a file."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from wellbook.calculators.calculator import WholeFile
from wellbook.calculators.units import in_unit, spelled_unit, split_name
from wellbook.quantities import digits, quoted, read

LIKE = "write minutes:feet, such as 1:0.5, 2:0.8 (of a step test minutes:feet:gpm)"


class Reading(NamedTuple):
    """A level of a test: minutes, feet below static; of a step test the rate; of several wells where."""

    minutes: float
    drawdown_ft: float
    gpm: float | None = None
    radius_ft: float | None = None

    def __str__(self) -> str:
        """As `Readings.parse` reads it."""
        return ":".join("" if n is None else digits(n) for n in self).rstrip(":")


@dataclass(frozen=True, slots=True)
class Readings:
    """The levels of a test, in the order in which they are told, but for the start of a logger.

    A row at no time without a drawdown says that all was at rest, and is no reading.
    """

    rows: tuple[Reading, ...]

    def __post_init__(self) -> None:
        told = tuple(row for row in self.rows if row.minutes or row.drawdown_ft)
        object.__setattr__(self, "rows", told)

    @classmethod
    def parse(cls, text: str) -> Readings:
        """Read levels as they are typed, parted by commas or semicolons.

        Raises
        ------
        ValueError
            Saying which reading cannot be read.

        >>> print(Readings.parse("0:0, 1:0.5, 2 min:0.8 ft; 60:21:20; 90:22::98.5"))
        1:0.5, 2:0.8, 60:21:20, 90:22::98.5
        """
        parts = [part.strip() for part in re.split(r"[,;]", text) if part.strip()]
        if not parts:
            raise ValueError(f"no reading is given; {LIKE}")
        return cls(tuple(_reading(part) for part in parts))

    @classmethod
    def from_rows(cls, rows: Sequence[Mapping[str, str]], lines: Sequence[int]) -> WholeFile:
        """Read levels from the rows of a file, and what its other columns say of the whole test.

        A rate, a distance or a time pumped that is the same in all rows is that of the test; a rate
        that changes is that of a step test, a distance that changes that of several wells.

        Parameters
        ----------
        rows
            Each as header -> cell. A header is a word for what stands below it and its unit:
            time_s, elapsed_min, drawdown_m, rate_gpm, distance_m. A cell may bear its own unit.
        lines
            The line of the file in which each stands.

        Raises
        ------
        ValueError
            Naming the line: a column is missing or has no unit, a cell cannot be read, or the times
            go back.

        >>> print(Readings.from_rows([{"time_s": "60", "drawdown_m": "0.3048"}], [2]).options)
        {'readings': Readings(rows=(Reading(minutes=1.0, drawdown_ft=1.0, gpm=None, radius_ft=None),))}
        """
        headers = [*rows[0]] if rows else []
        columns = _columns(headers)
        cells = {
            name: [
                _cell(row[header], line, name, header, unit)
                for row, line in zip(rows, lines, strict=True)
            ]
            for name, (header, unit) in columns.items()
        }
        test: dict[str, float] = {}
        for name in (n for n in _OF_THE_TEST if n in cells):
            said = {cell for cell in cells[name] if cell is not None}
            if len(said) < 2:
                del cells[name]
                if said:
                    test[name] = said.pop()
        if "pumped_minutes" in cells:
            raise ValueError("pumped_minutes: it changes from row to row; a file is one test")
        made = [
            _row(dict(zip(cells, values, strict=True)), line)
            for values, line in zip(zip(*cells.values(), strict=True), lines, strict=True)
        ]
        _in_order(made, lines)
        used = {header for header, _ in columns.values()}
        not_used = tuple(h for h in headers if h and h not in used)
        return WholeFile({"readings": cls(tuple(made)), **test}, not_used)

    def __str__(self) -> str:
        """As `parse` reads them."""
        return ", ".join(str(row) for row in self.rows)


# What a column may be headed before its unit; one that is a unit of time or of flow needs no word.
_WORDS: dict[str, tuple[str, ...]] = {
    "minutes": ("time", "elapsed", "elapsed_time", "t"),
    "drawdown_ft": ("drawdown", "residual_drawdown", "residual", "s"),
    "gpm": ("rate", "pumping_rate", "pumped", "flow", "discharge", "q"),
    "radius_ft": ("radius", "distance", "piezometer_distance", "well_distance", "r"),
    "pumped_minutes": ("pumped", "time_pumped", "pumping_time"),
}
_LIKE_HEADERS = {
    "minutes": "time_min, time_s, elapsed_min, minutes",
    "drawdown_ft": "drawdown_ft, drawdown_m, residual_drawdown_ft",
    "gpm": "gpm, rate_gpm, rate_m3_d",
    "radius_ft": "radius_ft, distance_m",
    "pumped_minutes": "pumped_minutes, pumped_h",
}
_OF_THE_TEST = ("gpm", "radius_ft", "pumped_minutes")


def _columns(headers: Sequence[str]) -> dict[str, tuple[str, str]]:
    """What each column is: its name -> header and unit."""
    found: dict[str, tuple[str, str]] = {}
    for header in headers:
        for name in _WORDS:
            unit = _unit_of(header, name)
            if unit and name in found:
                raise ValueError(f"two columns are {name}: {found[name][0]} and {header}")
            if unit:
                found[name] = (header, unit)
    for header in headers:
        lacks = [name for name, words in _WORDS.items() if header in words and name not in found]
        if lacks and len(header) > 1:
            raise ValueError(
                f"the column {quoted(header)} has no unit; head it {_LIKE_HEADERS[lacks[0]]}"
            )
    for name in ("minutes", "drawdown_ft"):
        if name not in found:
            raise ValueError(f"no column of {name}; it may be headed {_LIKE_HEADERS[name]}")
    return found


def _unit_of(header: str, name: str) -> str:
    """The unit of a header that is one of a column's; "" where it is none of them."""
    ending = split_name(name)[1]
    if name == ending and len(header) > 1 and (unit := spelled_unit(header, ending)):
        return unit
    for word in _WORDS[name]:
        tail = header.removeprefix(f"{word}_")
        if tail != header and (unit := spelled_unit(tail, ending)):
            return unit
    return ""


def _cell(cell: str, line: int, name: str, header: str, unit: str) -> float | None:
    """What stands in a cell, in the unit of what it is; None where nothing does."""
    if not cell.strip():
        return None
    try:
        return read(in_unit(cell, unit), split_name(name)[1])
    except ValueError as wrong:
        raise ValueError(f"line {line}, {header}: {wrong}") from None


def _row(values: Mapping[str, float | None], line: int) -> Reading:
    lacks = [name for name, value in values.items() if value is None]
    if lacks:
        raise ValueError(f"line {line}: {', '.join(lacks)} missing")
    return Reading(**{name: value for name, value in values.items() if value is not None})


def _in_order(rows: Sequence[Reading], lines: Sequence[int]) -> None:
    """ValueError where the time goes back in one well: several would be taken for one."""
    last: dict[float | None, float] = {}
    for row, line in zip(rows, lines, strict=True):
        if row.minutes < last.get(row.radius_ft, 0.0):
            raise ValueError(
                f"line {line}: the time goes back; a file is one test of one well, or has the"
                " distance of each in a column, such as radius_ft or distance_m"
            )
        last[row.radius_ft] = row.minutes


def _reading(text: str) -> Reading:
    parts = text.split(":")
    if len(parts) not in (2, 3, 4):
        raise ValueError(f"{quoted(text)} is no reading; {LIKE}")
    try:
        minutes, feet = read(parts[0], "minutes"), read(parts[1], "ft")
        more = zip(parts[2:], ("gpm", "ft"), strict=False)
        return Reading(minutes, feet, *(read(p, unit) if p.strip() else None for p, unit in more))
    except ValueError as wrong:
        raise ValueError(f"in {quoted(text)}, {wrong}; {LIKE}") from None
