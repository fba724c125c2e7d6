"""How a file writes its dates and its numbers, as all of its rows together tell.

One row may settle what the others leave open: 13/03/2001 can only be read with the day first, and
30,5 only with a decimal comma. Where the rows do not tell, or speak against each other, nothing is
taken for granted: the mapping file asks for it.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from wellbook.exchange.cell_dates import SHORT_YEAR, SLASHED, of_number
from wellbook.exchange.cell_points import from_point
from wellbook.exchange.cells_joined import cell_text
from wellbook.exchange.mapping import WellMapping, is_date, places_of, unit_of
from wellbook.exchange.reading import data_rows

_BARE = re.compile(r"(?=[^1-9]*[1-9])[-+~<>\d.,/ ]+")
"""A number, not zero, without a unit of its own."""
_GROUPED = re.compile(r"[-+]?[1-9]\d{0,2}(?:,\d{3})+(?:\.\d+)?")
_COMMA = re.compile(r"[-+]?\d+,\d+|[-+]?\d{1,3}(?:\.\d{3})+,\d+")
_POINT = re.compile(r"[-+]?\d*\.\d+")
_LEADING = re.compile(r"([-+0-9.,]*)(.*)", re.DOTALL)
_IN_THREES = re.compile(r"[-+]?[1-9]\d{0,2}\.\d{3}")


@dataclass(frozen=True, slots=True)
class _Seen:
    """The first row and value that show something."""

    row: int
    value: str

    def __str__(self) -> str:
        return f"row {self.row} has {self.value}"


def survey(path: Path, mapping: WellMapping, headers: tuple[str, ...]) -> WellMapping:
    """The mapping with the order of dates and the decimal sign that a whole file shows, and the
    first number without a unit where neither header nor mapping names one.

    What the mapping says already stays as it says.
    """
    places = {t: places_of(c, headers) for t, c in mapping.columns.items()}
    dates = [t for t in places if is_date(t)]
    degrees = {t for t in places if t in ("latitude", "longitude")}
    numbers = [] if mapping.decimal else [t for t in places if unit_of(t) or t in degrees]
    # Where the unit stands in a column of its own, each row is asked for it.
    units = [t for t, c in mapping.columns.items() if unit_of(t) and not c.unit and not c.more]
    looked_at = dict.fromkeys((*dates, *numbers, *units))
    if not looked_at:
        return mapping
    first: dict[str, _Seen] = {}
    bare: dict[str, str] = {}
    for row in (r for r in data_rows(path, mapping) if not r.fault):
        said = {t: cell_text(row.cells, places[t], t) for t in looked_at}
        of_dates = _of_dates(said[t] for t in dates)
        for what, value in (*of_dates, *_of_numbers(said, numbers, degrees)):
            first.setdefault(what, _Seen(row.number, value))
        for target in units:
            if _BARE.fullmatch(from_point(said[target])[0]):
                bare.setdefault(target, str(_Seen(row.number, said[target])))
    order, why_order = _order(first)
    decimal, why_decimal = _decimal(first)
    if mapping.date_order:
        order, why_order = mapping.date_order, ""
    told = (
        ("date_order", why_order),
        ("decimal", why_decimal),
        ("years", _years(first)),
        ("numbers", _counted(first)),
    )
    grounds = {name: why for name, why in told if why}
    return replace(
        mapping,
        date_order=mapping.date_order or order,
        decimal=mapping.decimal or decimal,
        bare=bare,
        grounds={**mapping.grounds, **grounds},
    )


def with_point(text: str) -> str:
    """A number with a decimal comma, whatever follows it, with a point instead.

    Raises
    ------
    ValueError
        If its point can be a decimal one or part thousands.

    >>> with_point("1.200,5 l/min"), with_point("30,5"), with_point("+0,5"), with_point("1/2")
    ('1200.5 l/min', '30.5', '+0.5', '1/2')
    """
    number, rest = _LEADING.fullmatch(text).groups()  # type: ignore[union-attr]
    if _COMMA.fullmatch(number):
        return number.replace(".", "").replace(",", ".") + rest
    if _IN_THREES.fullmatch(number):
        plain = number.replace(".", "")
        raise ValueError(f"'{text}' can be {plain} or {number}, where others have a decimal comma")
    return text


def _of_dates(said: Iterable[str]) -> Iterable[tuple[str, str]]:
    for text in said:
        if of_number(text):
            yield ("serial" if len(text) < 8 else "epoch" if len(text) != 8 else ""), text
            continue
        found = SLASHED.match(text)
        if (found and len(found[3]) == 2) or SHORT_YEAR.fullmatch(text):
            yield "short", text
        if found:
            one, two = int(found[1]), int(found[2])
            if one > 12 >= two:
                yield "dmy", text
            elif two > 12 >= one:
                yield "mdy", text
            elif one != two:
                yield "either", text


def _of_numbers(
    said: Mapping[str, str], numbers: Iterable[str], degrees: Collection[str]
) -> Iterable[tuple[str, str]]:
    for target in numbers:
        text = said[target]
        if "," in text and _COMMA.fullmatch(text):
            if target in degrees or not _GROUPED.fullmatch(text):
                yield ",", text
        elif "." in text and _POINT.fullmatch(text) and not _IN_THREES.fullmatch(text):
            yield ".", text


def _order(first: dict[str, _Seen]) -> tuple[str, str]:
    day, month = first.get("dmy"), first.get("mdy")
    open_date = first.get("either")
    ask = 'write date_order = "dmy" (day first) or "mdy" into the mapping file'
    if day and month:
        why = f"dates: {day} and {month}, so the order of day and month is not known; {ask}"
        return "", why
    if day or month:
        what = "day before month" if day else "month before day"
        return ("dmy" if day else "mdy"), f"dates: {what}, since {day or month}"
    if open_date:
        return "", (
            f"dates: {open_date}, and no row tells which is the day; kept as uncertain between the"
            f" two. To settle it {ask}"
        )
    return "", ""


def _years(first: dict[str, _Seen]) -> str:
    if seen := first.get("short"):
        return f"dates: a year of two digits is the last such year that is not ahead ({seen})"
    return ""


def _counted(first: dict[str, _Seen]) -> str:
    """What a date is that is a number alone."""
    said = []
    for name, what in (("serial", "days as spreadsheets do"), ("epoch", "time from 1970 on")):
        if seen := first.get(name):
            day = of_number(seen.value)
            said.append(f"dates: {seen}, which counts {what}: {day}")
    return "; ".join(said)


def _decimal(first: dict[str, _Seen]) -> tuple[str, str]:
    comma, point = first.get(","), first.get(".")
    if comma and point:
        return "", (
            f"numbers: {comma} and {point}; numbers with a comma are not read. To settle it write"
            ' decimal = "," or "." into the mapping file'
        )
    return (",", f"numbers: a comma before the decimals, since {comma}") if comma else ("", "")
