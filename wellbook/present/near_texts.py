"""What the wells around a place say, in words: summed up, and where it is in doubt."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from wellbook.engineering.great_circle import Place
from wellbook.hole.neighbours import Neighbour, Spread, spread_of, years_of
from wellbook.quantities import digits, show
from wellbook.store.nearby import Nearby
from wellbook.terms import Role

NO_PROMISE: Final = "a neighbour's figures are no promise: rock and water change lot by lot"
_LINES: Final = {
    "depth_ft": ("depth", ""),
    "level_ft": ("level", "at rest "),
    "yield_gpm": ("yield", ""),
    "casing_ft": ("casing", "down to "),
    "pump_set_ft": ("pumps", "set at "),
}
_CHANGING = ("level_ft", "yield_gpm", "pump_set_ft")
_FEET_BELOW_MI = 0.1
_NAMED = 6


def summary(found: Nearby) -> Iterator[tuple[str, str]]:
    """What they say together, as labels with texts; of what nobody says, that too."""
    wells = found.wells
    if len(wells) < found.count:
        yield "of them", f"the nearest {len(wells):,} are summed up here"
    yield "from", _origins(wells)
    for name in _LINES:
        yield _LINES[name][0], _summed_up(wells, name)
    for label, some in (
        ("dry", [w for w in wells if w.dry]),
        ("flowing", [w for w in wells if w.flowing]),
        ("sealed", [w for w in wells if w.sealed]),
    ):
        if some:
            yield label, _named(some)
    yield from _doubts(found)
    yield "mind", NO_PROMISE


def _origins(wells: Sequence[Neighbour]) -> str:
    public = sum(w.hole.role is Role.REFERENCE for w in wells)
    said = {0: "the shop's own book", len(wells): "public records"}.get(
        public, f"public records ({public:,}) and the shop's own book ({len(wells) - public:,})"
    )
    years = years_of(w.hole.drilled_on for w in wells)
    return (
        f"{said}; drilled {_span(years)}" if years else f"{said}; when drilled is not said by any"
    )


def _summed_up(wells: Sequence[Neighbour], name: str) -> str:
    lies = spread_of(wells, name)
    if lies is None:
        return "not said by any"
    text = _LINES[name][1] + spread_text(lies, name.rpartition("_")[2])
    years = years_of(w.figures[name].as_of for w in wells if name in w.figures)
    seen = f", known {_span(years)}" if years and name in _CHANGING else ""
    return f"{text} ({lies.count:,} of {len(wells):,}{seen})"


def spread_text(lies: Spread, unit: str) -> str:
    """How numbers lie, in words.

    >>> spread_text(Spread(9, 300.0, 520.0, 410.0, (350.0, 470.0)), "ft")
    '300 to 520 ft, median 410 ft, half of them 350 to 470 ft'
    """
    if lies.least == lies.most:
        return show(lies.least, unit)
    text = _range(lies.least, lies.most, unit)
    if lies.count > 2:
        text += f", median {show(lies.median, unit)}"
    return text + (f", half of them {_range(*lies.quarters, unit)}" if lies.quarters else "")


def _range(least: float, most: float, unit: str) -> str:
    return f"{show(least, unit).removesuffix(f' {unit}')} to {show(most, unit)}"


def _span(years: tuple[int, int]) -> str:
    first, last = years
    return str(first) if first == last else f"{first} to {last}"


def _named(wells: Sequence[Neighbour]) -> str:
    some = ", ".join(w.hole.tag for w in wells[:_NAMED])
    return some + (f" and {len(wells) - _NAMED:,} more" if len(wells) > _NAMED else "")


def _doubts(found: Nearby) -> Iterator[tuple[str, str]]:
    """Where distances are guesses, and who may be near and is not seen."""
    if found.sharing:
        place, most = max(found.sharing.items(), key=lambda one: one[1])
        where = place_text(place)
        all_told = sum(found.sharing.values())
        which = f"the same coordinates, {where}"
        if len(found.sharing) > 1:
            which = f"coordinates that others bear too, {most:,} of them {where}"
        yield (
            "place",
            f"{all_told:,} bear {which}: perhaps the middle of a town or a section, and not the well",
        )
    rounded = [w.rounding_mi for w in found.wells if w.rounded]
    if rounded:
        off = distance_text(max(rounded))
        yield "rounded", f"the coordinates of {len(rounded):,}; they may be off by up to {off}"
    if found.without_place:
        one = found.without_place == 1
        yield (
            "unseen",
            f"{found.without_place:,} {'well' if one else 'wells'} of the book"
            f" {'has' if one else 'have'} no coordinates and may be near as well",
        )


def place_text(place: Place) -> str:
    """Coordinates in all their digits.

    >>> place_text((44.51, -101.323612))
    '44.51,-101.323612'
    """
    return ",".join(map(digits, place))


def distance_text(miles: float) -> str:
    """A distance: in feet where it is short.

    >>> distance_text(0.05), distance_text(0.734), distance_text(1)
    ('264 ft', '0.73 mi', '1 mi')
    """
    if miles < _FEET_BELOW_MI:
        return f"{miles * 5280:.0f} ft"
    return show(miles, "mi")
