"""The wells as GeoJSON (RFC 7946), for a map.

A well is a point at its property, longitude first (3.1.1), in WGS 84 as the standard wants (4), so that
there is no `crs`. One whose place is not known is there too, without a geometry: such a feature is
"unlocated" (3.2), and a list of the file has all wells.
"""

from __future__ import annotations

import json
from array import array
from collections.abc import Iterable
from dataclasses import asdict, dataclass
from datetime import date
from itertools import pairwise
from pathlib import Path
from typing import Any

from wellbook.exchange.readable_wells import WellLine, well_lines
from wellbook.store.book import Book
from wellbook.terms import Role
from wellbook.whole_files import new_file


@dataclass(frozen=True, slots=True)
class Mapped:
    """How many wells were written, and how many of them have no place."""

    wells: int
    unlocated: int


def write_map(book: Book, path: Path, today: date, role: Role | None) -> Mapped:
    """Write the wells of a role, or all.

    Parameters
    ----------
    today
        The day as of which they are.

    Raises
    ------
    WellbookError
        If there is something of that name, or it cannot be written.
    """
    latitudes, longitudes = array("d"), array("d")
    wells = 0
    with (
        new_file(path) as part,
        book.reading() as connection,
        part.open("x", encoding="utf-8", newline="\n") as file,
    ):
        file.write('{"type": "FeatureCollection", "features": [')
        for wells, line in enumerate(well_lines(connection, today, role), 1):
            text = json.dumps(feature(line), ensure_ascii=False, allow_nan=False)
            file.write(("\n" if wells == 1 else ",\n") + text)
            if _located(line):
                latitudes.append(line.latitude or 0.0)
                longitudes.append(line.longitude or 0.0)
        file.write("\n]")
        if longitudes:
            file.write(f', "bbox": {json.dumps(bounding_box(latitudes, longitudes))}')
        file.write("}\n")
    return Mapped(wells, wells - len(longitudes))


def _located(line: WellLine) -> bool:
    """Whether its place is one on the earth."""
    return (
        line.latitude is not None
        and line.longitude is not None
        and abs(line.latitude) <= 90
        and abs(line.longitude) <= 180
    )


def feature(line: WellLine) -> dict[str, Any]:
    """A well as a Feature; its `id` is the well's own identity, as in the package.

    Of its properties the place is left out, which is the geometry.
    """
    known = asdict(line)
    uid, latitude, longitude = (known.pop(n) for n in ("uid", "latitude", "longitude"))
    point = {"type": "Point", "coordinates": [longitude, latitude]}
    return {
        "type": "Feature",
        "id": uid,
        "geometry": point if _located(line) else None,
        "properties": {n: x.isoformat() if isinstance(x, date) else x for n, x in known.items()},
    }


def bounding_box(latitudes: Iterable[float], longitudes: Iterable[float]) -> list[float]:
    """West, south, east, north of some points, over the shorter way round (RFC 7946, 5.2).

    Where that way crosses the antimeridian, west is the greater number.

    >>> bounding_box([-16.5, -17.0], [177.0, -178.0])
    [177.0, -17.0, -178.0, -16.5]
    >>> bounding_box([42.0, 42.5], [-101.2, -101.9])
    [-101.9, 42.0, -101.2, 42.5]
    """
    south_to_north, west_to_east = sorted(latitudes), sorted(longitudes)
    west, east = west_to_east[0], west_to_east[-1]
    # What lies outside the box is the widest gap between neighbours.
    widest = 360.0 - (east - west)
    for before, after in pairwise(west_to_east):
        if after - before > widest:
            widest, west, east = after - before, after, before
    return [west, south_to_north[0], east, south_to_north[-1]]
