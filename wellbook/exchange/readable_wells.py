"""Wells as people and other programs want them in one line: whose, where, what hangs there, what is due.

They are worked out from the record some hundreds at a time, for the package, the office's
workbook and the map alike.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import astuple, dataclass
from datetime import date
from typing import Any

from sqlalchemy import Connection, select

from wellbook.dates import When
from wellbook.exchange.package_cells import CellKind
from wellbook.hole.describe import describe
from wellbook.hole.hole import Hole
from wellbook.hole.parts import Pump
from wellbook.rules.finding import Finding
from wellbook.store import tables as t
from wellbook.store.holes import load_holes
from wellbook.store.ledger import due_at
from wellbook.store.rows import AT_ONCE
from wellbook.store.stays import who_is_there
from wellbook.terms import Kind, Quantity, Role, SheetKind


@dataclass(frozen=True, slots=True)
class WellLine:
    """A well in one line, as of a day; depths in feet below ground. What is not known is None or ""."""

    uid: str
    tag: str
    role: str
    status: str
    customer: str
    phone: str
    road: str
    town: str
    region: str
    postcode: str
    latitude: float | None
    longitude: float | None
    permit_no: str
    drilled: date | str
    depth_ft: float | None
    water_level_ft: float | None
    yield_gpm: float | None
    pump: str
    pump_set_ft: float | None
    pump_set: date | str
    pipe: str
    cable: str
    last_visit: date | None
    due: str


def day_or_words(when: When | None) -> date | str:
    """A date where it is known to the day, else in words; "" where nothing is known of it.

    >>> day_or_words(When.on(date(2011, 5, 14))), day_or_words(When.unknown())
    (datetime.date(2011, 5, 14), '')
    """
    if when is None or not when.known:
        return ""
    return when.earliest if when.exact and when.earliest else str(when)


READABLE = (
    ("uid", CellKind.STRING, "Identity of the well, as in tables/well.csv"),
    ("tag", CellKind.STRING, "The shop's tag on the well"),
    ("role", CellKind.STRING, "The shop's own, or a public record for reference"),
    ("status", CellKind.STRING, "Whether the well serves anybody"),
    ("customer", CellKind.STRING, "Who is there now"),
    ("phone", CellKind.STRING, "The customer's first telephone number"),
    ("road", CellKind.STRING, "House number and road"),
    ("town", CellKind.STRING, "Town"),
    ("region", CellKind.STRING, "State or province"),
    ("postcode", CellKind.STRING, "Postal code"),
    ("latitude", CellKind.NUMBER, "Latitude, degrees north (WGS 84)"),
    ("longitude", CellKind.NUMBER, "Longitude, degrees east (WGS 84)"),
    ("permit_no", CellKind.STRING, "Number of the permit"),
    ("drilled", CellKind.STRING, "When it was drilled, as it is known"),
    ("depth_ft", CellKind.NUMBER, "Depth, feet below ground"),
    ("water_level_ft", CellKind.NUMBER, "Where the water stands by itself, feet below ground"),
    ("yield_gpm", CellKind.NUMBER, "What the well gives, US gallons per minute"),
    ("pump", CellKind.STRING, "The pump that is there"),
    ("pump_set_ft", CellKind.NUMBER, "How deep it is set, feet"),
    ("pump_set", CellKind.STRING, "When it was set, as it is known"),
    ("pipe", CellKind.STRING, "The drop pipe, top down"),
    ("cable", CellKind.STRING, "The cable, top down"),
    ("last_visit", CellKind.DATE, "The day of the last visit"),
    (
        "due",
        CellKind.STRING,
        "What is due on that day, worst first; not what waits for the next pull",
    ),
)
"""The fields of such a line: name, what it holds, and what that is."""

WELLS_PATH = "readable/wells.csv"
"""Where they stand in a package."""


def readable_wells(connection: Connection, today: date) -> Iterator[tuple[Any, ...]]:
    """The shop's own wells, each as the values of `READABLE`.

    A book may hold a million public records, which nobody visits: those stand in tables/well.csv alone.
    """
    return (astuple(line) for line in well_lines(connection, today, Role.OURS))


def well_lines(connection: Connection, today: date, role: Role | None) -> Iterator[WellLine]:
    """Wells of one role, or all, in the order of their numbers."""
    return (line for line, _ in lines_and_holes(connection, today, role))


def lines_and_holes(
    connection: Connection, today: date, role: Role | None
) -> Iterator[tuple[WellLine, Hole]]:
    """The same wells, each also as all that is known of it on that day."""
    for numbers in well_numbers(connection, role):
        places = select(t.well.c.id, t.well.c.site_id).where(t.well.c.id.in_(numbers))
        sites = {row.id: row.site_id for row in connection.execute(places)}
        people = who_is_there(connection, {s for s in sites.values() if s is not None}, today)
        owed = due_at(connection, numbers, today)
        for number, whole in zip(numbers, load_holes(connection, numbers), strict=True):
            hole, who = whole.on(today), people.get(sites[number], ("", ""))
            yield _line(hole, who, owed.get(number, [])), hole


def well_numbers(connection: Connection, role: Role | None) -> Iterator[list[int]]:
    """The numbers of wells of one role, or of all, some hundreds at a time."""
    well, last = t.well, 0
    while True:
        query = select(well.c.id).where(well.c.id > last).order_by(well.c.id).limit(AT_ONCE)
        if role is not None:
            query = query.where(well.c.role == role.value)
        numbers = list(connection.execute(query).scalars())
        if not numbers:
            return
        yield numbers
        last = numbers[-1]


def _line(hole: Hole, who: tuple[str, str], owed: list[Finding]) -> WellLine:
    site, pump = hole.site, hole.the(Pump)
    given = hole.fact(Quantity.YIELD_GPM)
    visits = hole.visited(SheetKind.VISIT)
    return WellLine(
        uid=hole.uid,
        tag=hole.tag,
        role=hole.role.value,
        status=hole.status.value,
        customer=who[0],
        phone=who[1],
        road=site.road if site else "",
        town=site.town if site else "",
        region=site.region if site else "",
        postcode=site.postcode if site else "",
        latitude=site.latitude if site else None,
        longitude=site.longitude if site else None,
        permit_no=hole.permit_no,
        drilled=day_or_words(hole.drilled_on),
        depth_ft=hole.depth_ft(),
        water_level_ft=hole.at_rest_ft(),
        yield_gpm=given.number if given and given.value is not None else None,
        pump=_parts(hole, Kind.PUMP),
        pump_set_ft=pump[1].set_depth_ft if pump else None,
        pump_set=day_or_words(pump[0].set_on if pump else None),
        pipe=_parts(hole, Kind.PIPE),
        cable=_parts(hole, Kind.CABLE),
        last_visit=max((v.end or v.start for v in visits), default=None),
        due="; ".join(f"{f.severity.label}: {f.reason}" for f in owed),
    )


def _parts(hole: Hole, kind: Kind) -> str:
    return " · ".join(describe(c.part).removeprefix(f"{kind.label}: ") for c in hole.down(kind))
