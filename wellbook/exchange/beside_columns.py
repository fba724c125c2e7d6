"""What other columns of a file tell of one: the rest of its degrees, the side of a level, the half of the
globe.

A column that is only half of what it says is worse than none: a latitude without its minutes is a mile
to sixty from the well. Such columns are not read, and it is said what would be right.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from wellbook.exchange import cell_kinds
from wellbook.exchange.cell_addresses import STATES
from wellbook.exchange.cell_places import degrees
from wellbook.exchange.header_words import said_in_full
from wellbook.exchange.mapping import Column

LeftOut = tuple[str, str]
Values = Sequence[Sequence[str]]

_GRID = re.compile(
    r"(?:(?:utm|mga|sp|grid|map|gk)_?)?(?:[xyen]|easting|northing)(?:_(?:utm|mga|coord\w*|nad\w*|m|ft))?"
    r"|utm_?.*|(?:east|north)ings?(?:_.*)?|rechtswert|hochwert|state_plane.*|(?:mga_)?zone_\d+_(?:east|north)"
)
_FEWEST = 3
_MOST_NAMES = 0.5
_SOUTH_OF_ALL = -60
"""Degrees of latitude: further south there is ice, and no well (by the Antarctic Treaty's bounds)."""
_WEST = STATES - {"AK"}
"""States and provinces that lie west of Greenwich as a whole."""


def halves(columns: dict[str, Column], headers: Sequence[str], values: Values) -> Iterator[LeftOut]:
    """Take away the columns that hold but a part of what they say; which, and what would be right."""
    yield from _degrees_alone(columns, headers, values)
    yield from _grid(columns, headers)
    yield from _sides(columns, headers, values)


def _degrees_alone(
    columns: dict[str, Column], headers: Sequence[str], values: Values
) -> Iterator[LeftOut]:
    for target in ("latitude", "longitude"):
        column = columns.get(target)
        if column is None:
            continue
        said = [v for v in values[headers.index(column.name)] if v.strip("0")]
        if len(said) >= _FEWEST and all(re.fullmatch(r"[-+]?\d{1,3}(?:\.0*)?", v) for v in said):
            for both in ("latitude", "longitude"):
                if gone := columns.pop(both, None):
                    yield gone.name, "whole degrees are no place of a well; " + _JOIN
            return


_JOIN = "write them with their minutes and seconds in one column, such as 44 15 47 N"


def _sides(columns: dict[str, Column], headers: Sequence[str], values: Values) -> Iterator[LeftOut]:
    """A level of which another column says whether it is above the ground or below."""
    level = columns.get("water_level_ft")
    for n, header in enumerate(headers):
        words = set(re.split("[_/]", said_in_full(header)))
        if level and {"above", "below"} <= words and "A" in {v[:1].upper() for v in values[n]}:
            del columns["water_level_ft"]
            yield (
                level.name,
                f"'{header}' says which are above the ground: write those with a minus",
            )
            return


def _grid(columns: Mapping[str, Column], headers: Sequence[str]) -> Iterator[LeftOut]:
    """Places as metres or feet of a map grid, where the file has no other."""
    if "latitude" in columns:
        return
    taken = {c.name for c in columns.values()}
    for header in headers:
        if header not in taken and _GRID.fullmatch(said_in_full(header)):
            yield header, "a place on a map grid is not read; latitude and longitude in degrees are"


def places_set_right(
    columns: dict[str, Column], headers: Sequence[str], values: Values
) -> Iterator[LeftOut]:
    """Places that lie where nobody drills: interchanged, or west of Greenwich without saying so."""
    if not {"latitude", "longitude"} <= columns.keys():
        return
    latitude, longitude = columns["latitude"], columns["longitude"]
    if latitude == longitude:
        return
    norths = _numbers(values[headers.index(latitude.name)], "latitude")
    easts = _numbers(values[headers.index(longitude.name)], "longitude")
    if len(norths) >= _FEWEST and all(n < _SOUTH_OF_ALL for n in norths):
        if all(abs(n) <= 90 for n in easts):
            why = "by its values, which are the other's"
            columns["latitude"] = replace(longitude, confidence=0.6, why=why)
            columns["longitude"] = replace(latitude, confidence=0.6, why=why)
        return
    if not easts or any(n < 0 for n in easts):
        return
    region = columns.get("region")
    states = values[headers.index(region.name)] if region else ()
    by_state = bool(states) and cell_kinds.share(states, lambda s: s in _WEST) > 0.8
    if by_state or re.search(r"(?:^|_)(?:west|w)(?:_|$)", said_in_full(longitude.name)):
        del columns["latitude"], columns["longitude"]
        where = f"in {states[0]}" if by_state else "west by its header"
        yield (
            longitude.name,
            f"{where}, but its values have no minus, such as {easts[0]:g}, and would lie east of"
            f" Greenwich; write -{easts[0]:g} or {easts[0]:g} W",
        )
        yield latitude.name, f"not without '{longitude.name}'"


def _numbers(values: Sequence[str], axis: str) -> list[float]:
    """The degrees of cells that are numbers alone; none where one has a letter of its own."""
    found = []
    for text in values:
        if re.search(r"[NSEWO]", text, re.IGNORECASE):
            return []
        try:
            found.append(degrees(text, axis))
        except ValueError:
            continue
    return [n for n in found if n]


def telephones_in_names(columns: dict[str, Column], headers: Sequence[str], values: Values) -> None:
    """A telephone number behind each name is read from there, where no column has them."""
    name = columns.get("customer.name")
    if name is None or "customer.phone" in columns:
        return
    if cell_kinds.share(values[headers.index(name.name)], cell_kinds.is_with_phone) > _MOST_NAMES:
        why = "by its values, behind the names"
        columns["customer.phone"] = Column(name.name, confidence=0.6, why=why)


def said_of_places(columns: Mapping[str, Column], headers: Sequence[str], values: Values) -> str:
    """That longitudes without a sign or letter are taken as east; "" where none are."""
    longitude = columns.get("longitude")
    if longitude is None or longitude == columns.get("latitude"):
        return ""
    easts = _numbers(values[headers.index(longitude.name)], "longitude")
    if not easts or any(n < 0 for n in easts):
        return ""
    return (
        f"places: longitudes such as {easts[0]:g} are taken as east of Greenwich; if they are west,"
        f" write -{easts[0]:g} or {easts[0]:g} W"
    )
