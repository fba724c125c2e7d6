"""Columns that say one thing together, by their headers: a street behind its number, a unit behind its
number, a year with its month; and remarks, telephones and the like of which there are more than one."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from wellbook import quantities
from wellbook.exchange import cell_kinds
from wellbook.exchange.header_words import said_in_full
from wellbook.exchange.headers import targets_of, unit_and_point
from wellbook.exchange.mapping import Column, is_date, unit_of

_MOST = 0.8
_HOUSE = re.compile(
    r"(?:house|street|st|road|rd|site|civic|address|building|bldg)_?(?:no|nr|num|number)(?:_\w+)?"
    r"|house|hausnummer"
)
_PLAIN_NUMBER = re.compile(r"(?:no|nr|num|number|#)")
"""Left of a street without numbers it is its house's, unless it counts the rows."""
_BEFORE = re.compile(r"(?:street|st|road|address)_(?:dir|direction|prefix|predir|pre_dir)")
_BEHIND = re.compile(r"(?:street|st|road|address)_(?:type|suffix|sfx)")
"""What a street's name has before it and behind it: N, Rd."""
_NUMBER = re.compile(r"\d{1,6} ?[A-Za-z]?(?: ?[-/] ?\d+[A-Za-z]?)?|\d{1,5} 1/2")
_UNIT = re.compile(r"(?:(.+)_)?(?:units?|uom|u/m)(?:_of_measure)?|units?_(?:of_)?(.+)")
_MONTH = re.compile(r"(?:(.+)_)?(?:month|mo|mon)|(?:month|mo)_(.+)")
_OF_VISITS = ("visit.reason", "visit.crew", "visit.notes")


@dataclass(frozen=True, slots=True)
class Together:
    """A target and the places of its columns, in the order in which they are read."""

    target: str
    places: tuple[int, ...]

    def column(self, headers: Sequence[str]) -> Column:
        """The column of it."""
        first, *more = (headers[n] for n in self.places)
        _, point = unit_and_point(first)
        return Column(first, "", point, 0.9, "by their headers", tuple(more))


def told_together(headers: Sequence[str], values: Sequence[Sequence[str]]) -> list[Together]:
    """The targets that several columns of a file make.

    Parameters
    ----------
    headers, values
        The headers, and below each the cells that say something.

    >>> told_together(["House #", "Street"], [["12"], ["Mill Road"]])
    [Together(target='road', places=(0, 1))]
    """
    names = [said_in_full(h) for h in headers]
    found: list[Together] = []
    for one in (
        *_roads(headers, names, values),
        *_with_units(headers, names, values),
        *_days(headers, names, values),
    ):
        taken = {n for other in found for n in other.places}
        if not taken & set(one.places) and one.target not in {x.target for x in found}:
            found.append(one)
    return found


def _first_target(header: str) -> str:
    targets = targets_of(header)
    return targets[0][0] if targets else ""


def _roads(
    headers: Sequence[str], names: Sequence[str], values: Sequence[Sequence[str]]
) -> Iterator[Together]:
    """A house's number and its street, where the street does not bear the number too; with the parts of
    the street's name that have a column of their own."""
    before, behind = (
        [n for n, name in enumerate(names) if part.fullmatch(name)][:1]
        for part in (_BEFORE, _BEHIND)
    )
    for n, name in enumerate(names):
        if cell_kinds.share(values[n], _is_house) < _MOST:
            continue
        if _HOUSE.fullmatch(name):
            beside = [m for m in range(len(headers)) if m != n]
        elif _PLAIN_NUMBER.fullmatch(name) and not _counts(values[n]):
            beside = [n + 1 + (n + 1 in before)]
        else:
            continue
        for m in (m for m in beside if m < len(headers)):
            numbered = cell_kinds.share(values[m], lambda text: text[:1].isdigit())
            if _first_target(headers[m]) == "road" and values[m] and numbered < 0.5:
                yield Together("road", (n, *before, m, *behind))


def _counts(values: Sequence[str]) -> bool:
    """Whether numbers only rise, as those of rows, customers and wells do."""
    numbers = [int(found[0]) for v in values if (found := re.match(r"\d+", v))]
    return all(one < other for one, other in pairwise(numbers))


def _is_house(text: str) -> bool:
    return _NUMBER.fullmatch(text) is not None


def _with_units(
    headers: Sequence[str], names: Sequence[str], values: Sequence[Sequence[str]]
) -> Iterator[Together]:
    """A number whose unit stands in another column: named after it, or next to it on the right."""
    for n, name in enumerate(names):
        if not (match := _UNIT.fullmatch(name)):
            continue
        what = match[1] or match[2]
        wanted = _first_target(what) if what else ""
        near = range(len(headers)) if what else range(n - 1, n) if n else ()
        for m in near:
            target = _first_target(headers[m])
            if m == n or not unit_of(target) or unit_and_point(headers[m])[0]:
                continue
            if what and wanted != target and what != names[m]:
                continue
            if cell_kinds.share(values[n], _unit_test(target)) >= _MOST:
                yield Together(target, (m, n))


def _unit_test(target: str) -> Callable[[str], bool]:
    def is_unit(text: str) -> bool:
        try:
            return bool(text[:1].isalpha() and quantities.read(f"1 {text}", unit_of(target)))
        except ValueError:
            return False

    return is_unit


def _days(
    headers: Sequence[str], names: Sequence[str], values: Sequence[Sequence[str]]
) -> Iterator[Together]:
    """A year with its month, and the day where there is one."""
    months = [(n, m[1] or m[2] or "") for n, x in enumerate(names) if (m := _MONTH.fullmatch(x))]
    # One that says of what it is comes before a bare one.
    for n, what in sorted(months, key=lambda month: not month[1]):
        years = [m for m, other in enumerate(names) if other in _of(what, "year", "yr")]
        if not years or not values[n]:
            continue
        days = [m for m, other in enumerate(names) if other in _of(what, "day")]
        if target := _day_target(headers, names[years[0]], what):
            yield Together(target, (years[0], n, *days[:1]))


def _of(what: str, *words: str) -> set[str]:
    return {x for w in words for x in ((f"{what}_{w}", f"{w}_{what}") if what else (w,))}


def _day_target(headers: Sequence[str], year: str, what: str) -> str:
    if not what and any(_first_target(h) in _OF_VISITS for h in headers):
        return "visit.on"
    said = (year, f"{what}_date", f"date_{what}") if what else (year,)
    return next((t for name in said for t, _ in targets_of(name) if is_date(t)), "")
