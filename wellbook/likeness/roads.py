"""Addresses, compared whatever the road's kind was shortened to.

The short forms are those of USPS Publication 28, appendix C1 (street suffixes) and C2 (units), from
memory: the common ones of each.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import IntEnum
from functools import lru_cache

from wellbook.likeness.plain_words import plain_words
from wellbook.likeness.strings import alike

_KINDS = {
    short: line.split()[0]
    for line in """
    road rd; street st str; avenue ave av; lane ln; drive dr drv; court ct crt; circle cir circ
    boulevard blvd; highway hwy; place pl; route rte rt; terrace ter terr; trail trl tr
    parkway pkwy; way wy; crescent cres cr; square sq; turnpike tpke pike; close cl; loop lp
    heights hts; ridge rdg; point pt; crossing xing; extension ext; path pth; alley aly
    """.replace("\n", ";").split(";")
    if line.strip()
    for short in line.split()
}
_SIDES = {
    short: line.split()[0]
    for line in "north n; south s; east e; west w; northeast ne; northwest nw; southeast se;"
    "southwest sw; county co cnty; state st; mount mt; saint st".split(";")
    for short in line.split()
}
_UNITS = frozenset("apt apartment unit suite ste lot no number rm room fl floor bldg trlr".split())
_NUMBER = re.compile(r"\d+[a-z]?")
_CLOSE = 0.9
"""By `strings.alike`: the same road with a slip. Common practice."""


class RoadFit(IntEnum):
    """How two addresses fit, best last."""

    UNKNOWN = 0
    """One of them says too little."""
    OTHER = 1
    ROAD = 2
    """One road, other numbers."""
    NEAR = 3
    """One place as it seems: a slip in the road, or a number or unit that one does not say."""
    SAME = 4


@dataclass(frozen=True, slots=True)
class Address:
    """An address, taken apart: house number, the road's own words, its kind, the unit."""

    number: str
    road: str
    kind: str
    unit: str


@lru_cache(maxsize=2048)
def read_road(text: str) -> Address:
    """Number and road as they were written.

    >>> read_road("12-B N. Cold Spring Rd., Apt 4")
    Address(number='12b', road='north cold spring', kind='road', unit='4')
    >>> read_road("RR 2 Box 14").road
    'rr 2 box 14'
    """
    plain = re.sub(r"\b(\d+)\s*-\s*([A-Za-z])\b", r"\1\2", text.replace("#", " unit "))
    words = plain_words(plain)
    unit = ""
    at = next((n for n, w in enumerate(words) if w in _UNITS and 0 < n < len(words) - 1), None)
    if at is not None:
        unit, words = words[at + 1], words[:at] + words[at + 2 :]
    number = ""
    if words and _NUMBER.fullmatch(words[0]) and len(words) > 1:
        number, words = words[0].lstrip("0") or "0", words[1:]
    kind = ""
    if len(words) > 1 and words[-1] in _KINDS:
        kind, words = _KINDS[words[-1]], words[:-1]
    road = [
        _SIDES.get(w, w) if n < len(words) - 1 or len(words) == 1 else w
        for n, w in enumerate(words)
    ]
    road = [_KINDS.get(w, w) if w in ("hwy", "rte", "rt", "cr") else w for w in road]
    return Address(number, " ".join(road), kind, unit)


def road_key(road: str, town: str) -> str:
    """By which an address is looked up: the house number and how the road begins; without a number,
    how road and town begin. "" where there is no road.

    >>> road_key("12 Cold Spring Rd", "Millbrook"), road_key("Mill Lane", "Millbrook")
    ('12 col', 'mill mill')
    """
    read = read_road(road)
    begins = read.road.replace(" ", "")
    if not begins:
        return ""
    if read.number:
        return f"{read.number} {begins[:3]}"
    return f"{begins[:4]} {''.join(plain_words(town))[:4]}".rstrip()


def house_key(road: str, town: str) -> str:
    """A house in one form, in which the spellings of its address are alike; "" where it names none.

    A box of a rural route is a house, one of a post office is not.

    >>> house_key("12 N. Cold Spring Rd.", "SUTTON"), house_key("RR 2 Box 14", "Sutton")
    ('12 north cold spring road / sutton', 'rr 2 box 14 / sutton')
    >>> house_key("County Road 12", "Sutton"), house_key("P.O. Box 12", "Sutton")
    ('', '')
    """
    read = read_road(road)
    box = re.search(r"\bbox \d", read.road) and not re.match("p ?o ", read.road)
    return place_key(road, town) if read.road and (read.number or box) else ""


def place_key(road: str, town: str) -> str:
    """An address in one form, with or without a house.

    >>> place_key("Mill Rd.", "Sutton"), place_key("", "")
    ('mill road / sutton', '')
    """
    read = read_road(road)
    words = [read.number, read.road, read.kind, read.unit, "/", *plain_words(town)]
    return " ".join(word for word in words if word).strip("/ ")


def compare_roads(one: str, other: str) -> RoadFit:
    """How two addresses fit, the town aside.

    >>> compare_roads("12 Mill Rd Sutton", "12 Mill Road"), compare_roads("12 Mill Rd", "12 Mill St")
    (<RoadFit.NEAR: 3>, <RoadFit.NEAR: 3>)
    >>> compare_roads("12 Mill Rd", "12 Hill Court")
    <RoadFit.OTHER: 1>
    """
    a, b = read_road(one), read_road(other)
    if not a.road or not b.road:
        return RoadFit.UNKNOWN
    same = a.road == b.road
    if not (
        same
        or alike(a.road, b.road) >= _CLOSE
        or _within(a.road, b.road)
        or _has_more(a, b)
        or _has_more(b, a)
    ):
        return RoadFit.OTHER
    if a.number != b.number:
        return RoadFit.ROAD if a.number and b.number else RoadFit.NEAR
    if not a.number:
        # Two who live on one road in the country; no more is said.
        return RoadFit.ROAD
    kinds_differ = a.kind and b.kind and a.kind != b.kind
    units_differ = a.unit != b.unit
    return RoadFit.NEAR if kinds_differ or units_differ or not same else RoadFit.SAME


def _has_more(one: Address, other: Address) -> bool:
    """Whether the first is the other road, its kind, and something behind it: a town, as it seems."""
    words, its = one.road.split(), other.road.split()
    at = len(its)
    return (
        bool(other.kind)
        and words[:at] == its
        and _KINDS.get("".join(words[at : at + 1])) == other.kind
    )


def _within(one: str, other: str) -> bool:
    """Whether one road is the other with a word more: "spring" and "cold spring" are not, "cold
    spring" and "old cold spring" are."""
    shorter, longer = sorted((one.split(), other.split()), key=len)
    return len(shorter) > 1 and set(shorter) <= set(longer)
