"""How alike two wells are: by permit, place, owner, and what the driller wrote."""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from wellbook.dates import When
from wellbook.likeness.names import NameFit, compare_names
from wellbook.likeness.places import PlaceChances, PlaceSaid, distance_ft, place_reasons
from wellbook.likeness.weighing import Chance, Likeness, Reason, likeness

_PERMIT, _OTHER_PERMIT = Chance(0.8, 0.00005), Chance(0.2, 1.0)
_NAME = Chance(0.5, 0.001)
_OWNER, _NEAR_OWNER, _OTHER_OWNER = Chance(0.6, 0.02), Chance(0.2, 0.02), Chance(0.1, 0.95)
_AT_ONE_SPOT, _BESIDE, _AROUND, _FAR = (
    (50, Chance(0.5, 0.0002)),
    (300, Chance(0.25, 0.01)),
    (1320, Chance(0.15, 0.05)),
    (5280, Chance(0.05, 0.98)),
)
"""By how many feet two records of one well lie apart: most were set on a map by hand."""
_DRILLER, _OTHER_DRILLER = Chance(0.8, 0.1), Chance(0.2, 0.9)
_DRILLED, _OTHER_DRILLED = Chance(0.8, 0.04), Chance(0.05, 0.95)
_DEPTH, _NEAR_DEPTH, _OTHER_DEPTH = Chance(0.7, 0.06), Chance(0.2, 0.1), Chance(0.1, 0.87)
_ONE_DEPTH, _ABOUT = 0.02, 0.1
_SLIP_FT, _DAYS = 5.0, 400
_PLACES = PlaceChances(
    same=Chance(0.6, 0.002),
    near=Chance(0.2, 0.005),
    road=Chance(0.05, 0.3),
    other=Chance(0.15, 0.97),
    town=Chance(0.9, 0.5),
    other_town=Chance(0.1, 0.5),
)


# Neighbours drill alike, on one road and by one driller: what they share is worth little.


@dataclass(frozen=True, slots=True)
class WellSaid:
    """A well as it is on record, or as a file says.

    Parameters
    ----------
    permit_no, driller
        As they were written.
    names
        What it is known as, its tag among them.
    place
        Where it stands.
    owner
        Who is there.
    drilled
        When, as well as is known.
    depth_ft
        In feet below ground.
    """

    permit_no: str = ""
    names: tuple[str, ...] = ()
    place: PlaceSaid = field(default_factory=PlaceSaid)
    owner: str = ""
    driller: str = ""
    drilled: When | None = None
    depth_ft: float | None = None


def plain_permit(text: str) -> str:
    """A permit number without case, blanks, hyphens and noughts in front.

    >>> plain_permit("WP 0099-284"), plain_permit("wp99284")
    ('wp99284', 'wp99284')
    """
    flat = re.sub(r"[^a-z0-9]", "", text.lower())
    return re.sub(r"(?<!\d)0+(?=\d)", "", flat)


def compare_wells(one: WellSaid, other: WellSaid) -> Likeness:
    """What speaks for and against two records being of one well."""
    return likeness(
        _permit(one, other),
        _names(one, other),
        _owner(one, other),
        _spot(one, other),
        *place_reasons([one.place], [other.place], _PLACES),
        _driller(one, other),
        _drilled(one, other),
        _depth(one, other),
    )


def _permit(one: WellSaid, other: WellSaid) -> Reason | None:
    a, b = plain_permit(one.permit_no), plain_permit(other.permit_no)
    if not a or not b:
        return None
    if a == b:
        return Reason(f"same permit: {one.permit_no}", _PERMIT.worth)
    return Reason(f"other permits: {one.permit_no} / {other.permit_no}", _OTHER_PERMIT.worth)


def _names(one: WellSaid, other: WellSaid) -> Reason | None:
    theirs = {name.casefold() for name in other.names}
    same = [name for name in one.names if name.casefold() in theirs]
    return Reason(f"both known as {same[0]}", _NAME.worth) if same else None


def _owner(one: WellSaid, other: WellSaid) -> Reason | None:
    both = f"{one.owner} / {other.owner}"
    match compare_names(one.owner, other.owner):
        case NameFit.SAME:
            return Reason(f"one owner: {one.owner}", _OWNER.worth)
        case NameFit.NEAR | NameFit.FAMILY:
            return Reason(f"nearly one owner: {both}", _NEAR_OWNER.worth)
        case NameFit.OTHER:
            return Reason(f"other owners: {both}", _OTHER_OWNER.worth)
    return None


def _spot(one: WellSaid, other: WellSaid) -> Reason | None:
    apart_ft = distance_ft(one.place, other.place)
    if apart_ft is None:
        return None
    for within_ft, chance in (_AT_ONE_SPOT, _BESIDE, _AROUND):
        if apart_ft <= within_ft:
            return Reason(f"{apart_ft:.0f} ft from each other", chance.worth)
    beyond_ft, far = _FAR
    if apart_ft <= beyond_ft:
        return None
    return Reason(f"{apart_ft / 5280:.1f} miles from each other", far.worth)


def _driller(one: WellSaid, other: WellSaid) -> Reason | None:
    both = f"{one.driller} / {other.driller}"
    match compare_names(one.driller, other.driller):
        case NameFit.SAME | NameFit.NEAR:
            return Reason(f"one driller: {one.driller}", _DRILLER.worth)
        case NameFit.FAMILY | NameFit.OTHER:
            return Reason(f"other drillers: {both}", _OTHER_DRILLER.worth)
    return None


def _drilled(one: WellSaid, other: WellSaid) -> Reason | None:
    a, b = one.drilled, other.drilled
    if a is None or b is None or None in (a.earliest, a.latest, b.earliest, b.latest):
        return None
    assert a.earliest and a.latest and b.earliest and b.latest
    if a.is_after(b.latest) or b.is_after(a.latest):
        return Reason(f"drilled {a} / {b}", _OTHER_DRILLED.worth)
    if max((a.latest - a.earliest).days, (b.latest - b.earliest).days) > _DAYS:
        return None
    return Reason(f"both drilled {a}", _DRILLED.worth)


def _depth(one: WellSaid, other: WellSaid) -> Reason | None:
    a, b = one.depth_ft, other.depth_ft
    if a is None or b is None:
        return None
    off_ft = abs(a - b)
    if off_ft <= max(_SLIP_FT, _ONE_DEPTH * max(a, b)):
        return Reason(f"one depth: {a:g} / {b:g} ft", _DEPTH.worth)
    if off_ft <= _ABOUT * max(a, b):
        return Reason(f"nearly one depth: {a:g} / {b:g} ft", _NEAR_DEPTH.worth)
    return Reason(f"other depths: {a:g} / {b:g} ft", _OTHER_DEPTH.worth)
