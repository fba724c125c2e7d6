"""The list of those to be visited for other programs: CSV for a spreadsheet, and JSON."""

from __future__ import annotations

import csv
import io
from datetime import date
from typing import Any

from wellbook.present.envelope import Shape, day_json, envelope
from wellbook.present.json_shapes import due_json
from wellbook.present.text import clean, to_ascii
from wellbook.present.visit_lines import remarks
from wellbook.present.visit_texts import stop_texts
from wellbook.reminders.driving import Visit
from wellbook.reminders.visit_list import Stop, VisitList

_FORMULA = ("=", "+", "-", "@", "\t", "\r")
"""How a cell begins that a spreadsheet would work out instead of show."""

COLUMNS = (
    *("day", "stop", "miles", "customer", "phone", "road", "town", "access", "well head", "wells"),
    *("due from", "due", "look at", "at a pull", "ask", "said", "latitude", "longitude"),
)


def visits_csv(found: VisitList, today: date) -> str:
    """One row a property; those for which there is no room at the end, without a day.

    Parameters
    ----------
    today
        The day on which it is read.
    """
    file = io.StringIO()
    writer = csv.writer(file, lineterminator="\n")
    writer.writerow(COLUMNS)
    for day in found.days:
        for number, visit in enumerate(day.visits, 1):
            miles = None if visit.leg_mi is None else round(visit.leg_mi, 1)
            which = day.number if found.room else None
            row = (which, number, miles, *_cells(visit.stop, found, today))
            writer.writerow([_safe(cell) for cell in row])
    for stop in found.left_over:
        writer.writerow([_safe(cell) for cell in (None, None, None, *_cells(stop, found, today))])
    return file.getvalue()


def _cells(stop: Stop, found: VisitList, today: date) -> tuple[str | float | None, ...]:
    texts = stop_texts(stop, found.by, today)
    return (
        *(stop.customer, stop.phone, stop.road, stop.town, stop.access, stop.well_head),
        ", ".join(stop.wells),
        day_json(stop.due_from),
        # A spreadsheet may take the file for another alphabet's: our own signs are in ASCII.
        to_ascii(" · ".join(texts.due)),
        to_ascii(" · ".join(texts.look_at)),
        to_ascii(" · ".join(texts.next_pull)),
        to_ascii("; ".join(texts.ask)),
        to_ascii(" · ".join(texts.said)),
        stop.latitude,
        stop.longitude,
    )


def _safe(cell: str | float | None) -> str | float | None:
    """A cell that a spreadsheet shows as it is: text that looks like a formula gets an apostrophe.

    A number stays one, below zero too.

    >>> _safe("=1+1"), _safe("  @x"), _safe(-94.5)
    ("'=1+1", "'  @x", -94.5)
    """
    if not isinstance(cell, str):
        return cell
    # Looked at before it is cleaned, and after its blanks: some programs skip those.
    text = clean(cell)
    guarded = cell.startswith(_FORMULA) or text.lstrip().startswith(_FORMULA)
    return f"'{text}" if guarded else text


def visits_json(found: VisitList, today: date) -> Shape:
    """The list as one object.

    Parameters
    ----------
    today
        The day on which it is read.
    """
    return envelope(
        "wellbook.checkups",
        1,
        by=found.by.isoformat(),
        start=_place(found.start),
        days=[
            {
                "number": day.number,
                "total_mi": day.total_mi,
                "stops": [
                    {**_stop(visit.stop, found, today), **_leg(visit)} for visit in day.visits
                ],
            }
            for day in found.days
        ],
        left_over=[_stop(stop, found, today) for stop in found.left_over],
        not_known=list(remarks(found)),
    )


def _leg(visit: Visit[Stop]) -> Shape:
    return {"leg_mi": visit.leg_mi, "bearing_degrees": visit.bearing_degrees}


def _place(place: tuple[float, float] | None) -> Shape | None:
    return None if place is None else {"latitude": place[0], "longitude": place[1]}


def _stop(stop: Stop, found: VisitList, today: date) -> dict[str, Any]:
    texts = stop_texts(stop, found.by, today)
    same = "customer phone road town access well_head latitude longitude".split()
    return {
        "site": stop.site_id,
        **{name: getattr(stop, name) for name in same},
        "wells": list(stop.wells),
        "due_from": day_json(stop.due_from),
        "due": list(texts.due),
        "look_at": list(texts.look_at),
        "at_a_pull": list(texts.next_pull),
        "ask": list(texts.ask),
        "said": list(texts.said),
        "bring": list(texts.bring),
        "items": [due_json(item.tag, item.finding) for item in stop.items],
    }
