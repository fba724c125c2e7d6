"""How records head their columns: what each target is called, and its unit.

A header is compared as it stands, with its words said in full, without the digit at its end, and
with slips mended; each step away from what is written is less sure.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from functools import lru_cache

from wellbook.exchange.header_patterns import BOTH_DEGREES, KNOWN
from wellbook.exchange.header_words import folded, mended, parted, said_in_full
from wellbook.exchange.mapping import unit_of
from wellbook.terms import MeasuringPoint

# How a unit is written at the end of a header; a measuring point may be glued to it.
_POINTS = {
    "bgl": MeasuringPoint.GROUND,
    "bgs": MeasuringPoint.GROUND,
    "bls": MeasuringPoint.GROUND,
    "btoc": MeasuringPoint.CASING_TOP,
    "toc": MeasuringPoint.CASING_TOP,
    "(?:below_|from_)?(?:land|ground)_(?:surface|level)(?:_datum)?|below_(?:ground|grade|surface|lsd)": (
        MeasuringPoint.GROUND
    ),
    "(?:u_|unter_)?gok": MeasuringPoint.GROUND,
    "(?:below|from)_(?:the_)?(?:top_(?:of_)?casing|casing_top)": MeasuringPoint.CASING_TOP,
}
_UNITS = (
    (r"m\^?3[_/](?:p(?:er)?_)?(?:hr?|hour)", "m3/h"),
    (r"m\^?3[_/](?:p(?:er)?_)?d(?:ay)?", "m3/d"),
    (r"(?:in_)?(?:us_?)?(?:gpm|gal(?:lons?)?[_/](?:per_|p_)?min(?:ute)?)", "gpm"),
    (r"(?:in_)?(?:us_?)?(?:gph|gal(?:lons?)?[_/](?:per_)?h(?:(?:ou)?r)?)", "gph"),
    (r"(?:in_)?(?:us_?)?(?:gpd|gal(?:lons?)?[_/](?:per_)?day)", "gpd"),
    (r"(?:in_)?(?:l|lit(?:er|re)s?)[_/]?(?:per|p)?_?s(?:ec(?:ond)?)?", "l/s"),
    (r"(?:in_)?(?:l|lit(?:er|re)s?)[_/]?(?:per|p)?_?m(?:in(?:ute)?)?", "l/min"),
    (r"(?:in_)?(?:l|lit(?:er|re|ro)s?)[_/]?(?:per|p)?_?h(?:(?:ou)?r|eure|ora)?", "l/h"),
    (r"(?:in_)?(?:feet|foot|ft|pies|pieds|fuss)", "ft"),
    (r"(?:in_)?(?:inches|inch|in|pulg(?:adas?)?|pol(?:egadas?)?|zoll|pouces?)", "in"),
    (r"(?:in_)?(?:millimet(?:er|re)s?|mm)", "mm"),
    (r"(?:in_)?(?:centimet(?:er|re)s?|cm)", "cm"),
    (r"(?:in_)?(?:met(?:er|re|ro)s?|mtrs?|mts?|m)", "m"),
    (r"hp|horse_?power", "hp"),
    (r"(?:in_)?kw", "kw"),
    (r"(?:in_)?psi", "psi"),
    (r"(?:in_)?bar", "bar"),
    (r"(?:in_)?(?:us_?)?gal(?:lons?)?", "gal"),
    (r"(?:in_)?(?:l|lit(?:er|re)s?)", "l"),
)


_EXPLAINED = re.compile(r"[(\[][^)\]]*[)\]]?\s*$")
"""What stands in brackets at the end, where it is no unit."""


def plain_header(header: str) -> str:
    """A header in small letters, with `_` for whatever parts its words.

    >>> plain_header(" Static Water Level (ft-btoc)")
    'static_water_level_ft_btoc'
    """
    return re.sub(r"[^a-z0-9^/]+", "_", folded(header).lower()).strip("_")


def split_unit(header: str) -> tuple[str, str, MeasuringPoint | None]:
    """A header without its unit and measuring point, the unit, and the point.

    >>> split_unit("static_water_level_ft-btoc")
    ('static_water_level', 'ft', <MeasuringPoint.CASING_TOP: 'casing_top'>)
    >>> split_unit("well_yield_(m^3/hr)"), split_unit("SWL mbgl")[:2]
    (('well_yield', 'm3/h', None), ('swl', 'm'))
    """
    plain = plain_header(header)
    point = None
    for words, where in _POINTS.items():
        if found := re.fullmatch(rf"(.+?)_?(?:{words})", plain):
            plain, point = found[1], where
            break
    for pattern, unit in _UNITS:
        match = re.fullmatch(rf"(?:(.+)_)?(?:{pattern})", plain)
        if match:
            return match[1] or plain, unit, point
    return plain, "", point


def names_of(header: str) -> Iterator[tuple[str, float]]:
    """The names that a header may go by, each with how near it is to what is written (1: that).

    >>> [name for name, _ in names_of("Pump HP")]
    ['pump', 'pump_hp']
    >>> dict(names_of("Phone2"))["phone_2"], dict(names_of("Adress"))["address"]
    (0.97, 0.75)
    """
    given: set[str] = set()
    full = said_in_full(header)
    bare = without_digit(full)
    for name, faith in (
        (split_unit(header)[0], 1.0),
        (plain_header(header), 1.0),
        (full, 0.97),
        (split_unit(full)[0], 0.97),
        (parted(full), 0.92),
        (split_unit(parted(full))[0], 0.92),
        (bare, 0.85),
        (parted(bare), 0.82),
        (split_unit(parted(bare))[0], 0.82),
        (split_unit(bare)[0], 0.85),
        (mended(full), 0.75),
        (split_unit(mended(full))[0], 0.75),
    ):
        # A letter left of several words is none of them.
        if name and name not in given and (len(name) > 1 or name == header.strip().lower()):
            given.add(name)
            yield name, faith


def without_digit(name: str) -> str:
    """A name without the digit that a program puts at its end.

    >>> without_digit("depth_ft_1")
    'depth_ft'
    """
    return re.sub(r"(?<=[a-z])_?\d{1,2}$", "", name)


def unit_and_point(header: str) -> tuple[str, MeasuringPoint | None]:
    """The unit that a header names, "" where it names none, and the measuring point.

    >>> unit_and_point("DEPTH_FT1"), unit_and_point("SWL mbgl")[0], unit_and_point("town")
    (('ft', None), 'm', ('', None))
    """
    full = said_in_full(header)
    if re.search(r"\(\s*['’′]\s*\)", header):
        return "ft", split_unit(header)[2]
    if re.search(r"\(\s*[\"”″]\s*\)", header):
        return "in", None
    for name in (header, full, parted(full), without_digit(full), parted(without_digit(full))):
        _, unit, point = split_unit(name)
        if unit or point:
            return unit, point
    # It may stand before what is measured: "PSI On", "Ft to water".
    named = [u for word in full.split("_") if len(word) > 1 and (u := split_unit(word)[1])]
    return (named[0] if len(named) == 1 and named[0] != "in" else ""), None


def is_unit(header: str) -> bool:
    """Whether a header is nothing but a unit: "(ft)", "gpm".

    >>> is_unit("(ft)"), is_unit("Depth (ft)"), is_unit("depth")
    (True, False, False)
    """
    stem, unit, _ = split_unit(header)
    return bool(unit) and stem == plain_header(header)


@lru_cache(maxsize=1)
def patterns() -> tuple[tuple[str, int, re.Pattern[str]], ...]:
    """Each target with its patterns and their rank, 0 for the best."""
    return tuple(
        (target, rank, re.compile(pattern.replace("_", "_?")))
        for target, some in KNOWN.items()
        for rank, pattern in enumerate(some)
    )


@lru_cache(maxsize=4096)
def targets_of(header: str) -> tuple[tuple[str, float], ...]:
    """What a column may be by its header, each with a confidence from 0 to 1, the surest first.

    >>> targets_of("Total Depth (ft)")[0][0], targets_of("Cust Name")[0][0], targets_of("weeks")
    ('depth_ft', 'customer.name', ())
    """
    best: dict[str, float] = {}
    for name, faith in names_of(header):
        for target, rank, pattern in patterns():
            if pattern.fullmatch(name):
                best[target] = max(best.get(target, 0.0), 0.9 * faith - 0.03 * rank)
    if (plain := _EXPLAINED.sub("", header)) != header and not best:
        # Of what is measured such words may say from where, or that it is another thing.
        best = {t: sure - 0.02 for t, sure in targets_of(plain) if not unit_of(t)}
    return tuple(sorted(best.items(), key=lambda found: -found[1]))


def matched(headers: Iterable[str]) -> int:
    """How many headers are known: by this a header line is told from banners and from data."""
    return sum(
        bool(targets_of(h) or BOTH_DEGREES.fullmatch(said_in_full(h)))
        for h in headers
        if len(h) < 80 and (h.strip() == "#" or re.search(r"[^\W\d_]{2}", h))
    )
