"""What the wells around a place say: summed up, then one by one."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from rich.text import Text

from wellbook.dates import When
from wellbook.engineering.great_circle import compass_point
from wellbook.hole.neighbours import Figure, Neighbour
from wellbook.present.near_texts import distance_text, summary
from wellbook.present.screen import hanging
from wellbook.present.tables import table
from wellbook.present.text import clean
from wellbook.quantities import digits
from wellbook.store.nearby import Nearby
from wellbook.terms import Role

_LEGEND = "● measured  ◐ log, paper, plate  ○ told, guessed"
_HEADERS = ("miles", "well", "depth", "level", "gpm", "casing", "pump", "drilled", "")
_SENTENCES = 80
"""Columns of what is summed up, into a pipe; the list there is one line a well, however long."""
_NEXT_DOOR_MI = 0.005
"""No direction is said of what is nearer, or nearer than its coordinates are sure."""


def near_lines(found: Nearby, shown: int, width: int | None) -> list[Text]:
    """The answer for people.

    Parameters
    ----------
    found
        The wells around the place.
    shown
        Of how many, the nearest, a line stands in the list.
    width
        Columns of the terminal; None into a pipe, where no line of the list is wrapped.
    """
    wells = found.wells
    head = Text(f"{_count(found)} within {distance_text(found.within_mi)} of ", style="bold")
    lines = [head.append(clean(found.spot.name)), *_labelled(summary(found), width), Text("")]
    lines += _listed([_row(found, well) for well in wells[:shown]], width)
    more = f"; {found.count - shown:,} more are farther: --limit" if found.count > shown else ""
    return [*lines, Text(_LEGEND + more, style="dim")]


def _listed(rows: Sequence[Sequence[str]], width: int | None) -> list[Text]:
    """The wells one by one; a column that none of them fills is left out."""
    filled = [n for n in range(len(_HEADERS)) if any(row[n] for row in rows)]
    return table([_HEADERS[n] for n in filled], [[row[n] for n in filled] for row in rows], width)


def _labelled(pairs: Iterator[tuple[str, str]], width: int | None) -> Iterator[Text]:
    for label, text in pairs:
        yield from hanging(label, Text(clean(text)), width or _SENTENCES)


def _count(found: Nearby) -> str:
    return f"{found.count:,} recorded well{'' if found.count == 1 else 's'}"


# -- one by one --------------------------------------------------------------------------------


def _row(found: Nearby, well: Neighbour) -> list[str]:
    told = well.figures
    level = _cell(told.get("level_ft"), dated=True)
    at_rest = well.hole.at_rest()
    if well.dry and at_rest is not None:
        level = f"dry {at_rest.basis.mark} {_year(at_rest.as_of)}".rstrip()
    point = ""
    if well.bearing_degrees is not None and well.away_mi > max(well.rounding_mi, _NEXT_DOOR_MI):
        point = compass_point(well.bearing_degrees, 16)
    return [
        f"{well.away_mi:.2f} {point}".rstrip(),
        well.hole.tag,
        _cell(told.get("depth_ft")),
        level,
        _cell(told.get("yield_gpm"), 1, dated=True),
        _cell(told.get("casing_ft")),
        _cell(told.get("pump_set_ft")),
        _year(well.hole.drilled_on),
        ", ".join(_said(found, well)),
    ]


def _cell(figure: Figure | None, places: int = 0, *, dated: bool = False) -> str:
    """A figure with the mark of its basis, and its year where it changes with the years.

    In whole feet: to the inch they are in JSON and on the well's own page.
    """
    if figure is None:
        return ""
    year = _year(figure.as_of) if dated else ""
    return f"{digits(round(figure.value, places))} {figure.basis.mark} {year}".rstrip()


def _year(when: When) -> str:
    """The year, or the years, of a date; "" where none is known.

    >>> _year(When.unknown())
    ''
    """
    first, last = (day and str(day.year) for day in (when.earliest, when.latest))
    if first and last:
        return first if first == last else f"{first}-{last}"
    return f"by {last}" if last else f"from {first}" if first else ""


def _said(found: Nearby, well: Neighbour) -> Iterator[str]:
    if well.hole.role is Role.OURS:
        yield "ours"
    if well.flowing:
        yield "flows"
    if well.sealed:
        yield "sealed"
    if well.place in found.sharing:
        yield f"place of {found.sharing[well.place]:,}"
    elif well.rounded:
        yield f"±{distance_text(well.rounding_mi)}"
