"""Who is to be visited: one stop a property, with everything that is due there, in days to drive.

A visit is driven once, whatever number of rules asked for it and however many wells stand there. So a
property comes onto the list by what calls for a visit, and all else that is due there rides along.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from sqlalchemy import Connection

from wellbook.engineering.great_circle import Place
from wellbook.engineering.routes import MOST_STOPS
from wellbook.reminders.driving import Day, days_of
from wellbook.rules import names
from wellbook.rules.finding import Finding
from wellbook.store.due_list import Asked, DueItem, due
from wellbook.store.properties import Property, properties
from wellbook.terms import Occasion, Severity

BY_ITSELF = frozenset({names.CHECK_UP, names.WATER_TEST, names.SAMPLES_OWED, names.SEASON})
"""Rules that ask for a visit, however mild they are."""
AT_THE_DESK = frozenset({names.PAPERS_OWED})
"""Rules for which nobody drives anywhere, however late they are."""
_UNKNOWN = Property(None, None, "", "")


def calls_for_a_visit(finding: Finding) -> bool:
    """Whether somebody drives there for this alone: the one place where that is decided."""
    if finding.occasion is Occasion.NEXT_PULL or finding.rule in AT_THE_DESK:
        return False
    return finding.rule in BY_ITSELF or finding.severity is Severity.ACT


def rides_along(finding: Finding) -> bool:
    """Whether it is told to who drives there anyway.

    What is only watched until the string is up stays on the well's page.
    """
    watched = finding.occasion is Occasion.NEXT_PULL and finding.severity is Severity.WATCH
    return not watched and finding.rule not in AT_THE_DESK


@dataclass(frozen=True, slots=True)
class Stop:
    """A property to be visited: whose it is, how to get there, and all that is due at its wells.

    Coordinates are in degrees, None where they are not on record; `items` are worst first. A well
    that stands on no property on record is a stop by itself, and has no `site_id`.
    """

    site_id: int | None
    customer: str
    phone: str
    road: str
    town: str
    access: str
    well_head: str
    latitude: float | None
    longitude: float | None
    wells: tuple[str, ...]
    items: tuple[DueItem, ...]

    @property
    def place(self) -> Place | None:
        """Where it is, in degrees."""
        if self.latitude is None or self.longitude is None:
            return None
        return self.latitude, self.longitude

    @property
    def calling(self) -> tuple[DueItem, ...]:
        """What the visit is for."""
        return tuple(item for item in self.items if calls_for_a_visit(item.finding))

    @property
    def extras(self) -> tuple[DueItem, ...]:
        """What rides along."""
        return tuple(item for item in self.items if not calls_for_a_visit(item.finding))

    @property
    def due_from(self) -> date | None:
        """The day from which the visit is due, which may lie ahead; None where nobody can say."""
        days = [item.finding.surely_from or item.finding.may_from for item in self.calling]
        return min((day for day in days if day is not None), default=None)

    @property
    def urgency(self) -> tuple[int, int, date, date, str]:
        """Worst first, of equals what has been due for longest."""
        return (*min(item.finding.rank for item in self.calling), self.wells[0])

    @property
    def address(self) -> tuple[bool, str, str, str]:
        """By town and road, as one drives without a map; what has neither comes last."""
        where = self.town.casefold(), self.road.casefold()
        return not any(where), *where, self.wells[0]


@dataclass(frozen=True, slots=True)
class Room:
    """How many days there are at most, and how many stops a day has at most."""

    days: int
    per_day: int

    @property
    def stops(self) -> int:
        """For how many stops there is room."""
        return self.days * self.per_day


@dataclass(frozen=True, slots=True)
class VisitList:
    """The stops up to a day, as days to drive.

    Without a `room` there is one day that has them all. `left_over` are those for which the days
    had no room, worst first; `start` is where each day begins and ends.
    """

    by: date
    days: tuple[Day[Stop], ...]
    left_over: tuple[Stop, ...]
    start: Place | None
    room: Room | None

    @property
    def stops(self) -> tuple[Stop, ...]:
        """All that are driven to, in order."""
        return tuple(visit.stop for day in self.days for visit in day.visits)

    @property
    def without_place(self) -> tuple[Stop, ...]:
        """Those of which no coordinates are on record."""
        return tuple(stop for stop in self.stops if stop.place is None)

    @property
    def too_many(self) -> bool:
        """Whether they are too many for one round trip, and stand by town and road for that."""
        return self.start is not None and len(self.stops) > MOST_STOPS


def visit_list(
    connection: Connection,
    by: date,
    *,
    today: date,
    town: str = "",
    start: Place | None = None,
    room: Room | None = None,
) -> VisitList:
    """Who is to be visited by a day, what is overdue included.

    Parameters
    ----------
    by
        The last day of the list.
    today
        The day on which it is read.
    town
        Only this town, however it is capitalised; all where it is empty.
    start
        Where the days begin and end, degrees; where it is None, stops stand by town and road.
    room
        Into how many days of how many stops they go; the worst and longest due are taken first.
    """
    wanted = town or None
    items = due(connection, Asked(by=by, town=wanted), today=today)
    at_the_pull = Asked(by=by, town=wanted, occasion=Occasion.NEXT_PULL)
    items += due(connection, at_the_pull, today=today)
    stops = _stops(connection, items)
    taken, left_over = (stops[: room.stops], stops[room.stops :]) if room else (stops, [])
    return VisitList(
        by,
        days_of(taken, start, (room.days, room.per_day) if room else None),
        tuple(left_over),
        start,
        room,
    )


def _stops(connection: Connection, items: Sequence[DueItem]) -> list[Stop]:
    """One a property that calls for a visit, the most urgent first."""
    together: dict[int | str, list[DueItem]] = {}
    for item in items:
        if calls_for_a_visit(item.finding):
            together.setdefault(_key(item), [])
    for item in items:
        if _key(item) in together and rides_along(item.finding):
            together[_key(item)].append(item)
    places = properties(connection, {key for key in together if isinstance(key, int)})
    stops = [_stop(mine, places) for mine in together.values()]
    return sorted(stops, key=lambda stop: stop.urgency)


def _key(item: DueItem) -> int | str:
    return item.tag if item.site_id is None else item.site_id


def _stop(items: list[DueItem], places: dict[int, Property]) -> Stop:
    first = items[0]
    place = _UNKNOWN if first.site_id is None else places[first.site_id]
    return Stop(
        site_id=first.site_id,
        customer=first.customer,
        phone=first.phone,
        road=first.road,
        town=first.town,
        access=place.access,
        well_head=place.well_head,
        latitude=place.latitude,
        longitude=place.longitude,
        wells=tuple(sorted({item.tag for item in items})),
        items=tuple(items),
    )
