"""What a column may be by its cells alone: in a file without headers, or under a header that says
nothing. Only what has a form of its own is told under a header; the rest is left to the user."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence

from wellbook.exchange import cell_kinds as kinds
from wellbook.exchange.layout import REASON
from wellbook.exchange.mapping import Column

_MOST = 0.8
_BY_FORM: tuple[tuple[tuple[str, ...], Callable[[str], bool], float], ...] = (
    (("customer.email", "customer.email_2"), kinds.is_email, 0.7),
    (("customer.phone", "customer.phone_2", "customer.phone_3"), kinds.is_phone, 0.6),
    (("equipment",), kinds.is_pump_line, 0.6),
)
"""What is known by its form, wherever it stands."""
_WORDY: tuple[tuple[str, Callable[[str], bool]], ...] = (
    ("road", kinds.is_road),
    ("customer.name", kinds.is_name),
    ("town", kinds.is_words),
)


def told_by_values(
    columns: dict[str, Column],
    headers: Sequence[str],
    values: Sequence[Sequence[str]],
    passed: set[int],
) -> None:
    """Add the columns whose header says nothing, but whose cells have a form of their own."""
    for n, header in enumerate(headers):
        if n in passed or not values[n]:
            continue
        if found := _by_form(values[n], columns):
            target, confidence = found
            columns[target] = Column(header, confidence=confidence, why="by its values")


def by_values(sample: Sequence[Sequence[str]]) -> dict[str, Column]:
    """Columns told by what stands in them, for a file without headers."""
    columns: dict[str, Column] = {}
    for n in range(max((len(r) for r in sample), default=0)):
        values = kinds.said(r[n] for r in sample if n < len(r))
        if not values or all(v.startswith(f"{REASON}: ") for v in values):
            continue
        name = str(n + 1)
        if kinds.share(values, kinds.is_pair) >= _MOST and "latitude" not in columns:
            column = Column(name, confidence=0.6, why="by its values")
            columns |= {"latitude": column, "longitude": column}
        elif found := _by_form(values, columns) or _by_likeness(values, columns, n < 2):
            target, confidence = found
            columns[target] = Column(name, confidence=confidence, why="by its values")
    return columns


def _by_form(values: Sequence[str], known: Mapping[str, Column]) -> tuple[str, float] | None:
    for targets, test, confidence in _BY_FORM:
        free = [t for t in targets if t not in known]
        if free and kinds.share(values, test) >= _MOST:
            return free[0], confidence
    return None


def _by_likeness(
    values: Sequence[str], known: Mapping[str, Column], first: bool
) -> tuple[str, float] | None:
    if "region" not in known and all(re.fullmatch("[A-Z]{2}", v) for v in values):
        return "region", 0.5
    if "postcode" not in known and _are_postcodes(values, "region" in known):
        return "postcode", 0.5
    numbers = [float(v) for v in values if re.fullmatch(r"-?[0-9]{1,15}(?:\.[0-9]{1,15})?", v)]
    if len(numbers) >= 0.9 * len(values):
        return _by_number(values, numbers, known, first)
    if "drilled_on" not in known and kinds.share(values, kinds.is_day) >= _MOST:
        return "drilled_on", 0.4
    for target, test in _WORDY:
        if target not in known and kinds.share(values, test) >= _MOST:
            return target, 0.4
    return None


def _are_postcodes(values: Sequence[str], beside_region: bool) -> bool:
    """Five digits may be any number: with zeros in front, or beside a region, they are none."""
    if kinds.share(values, kinds.is_postcode) < 1 or not all(len(v) >= 5 for v in values):
        return False
    return beside_region or any(v.startswith("0") or not v.isdigit() for v in values)


def _by_number(
    values: Sequence[str], numbers: Sequence[float], known: Mapping[str, Column], first: bool
) -> tuple[str, float] | None:
    fractions = sum(n != int(n) for n in numbers) > 0.8 * len(numbers)
    whole = all(n == int(n) for n in numbers)
    if first and "key" not in known and whole and len(set(values)) == len(values):
        return "key", 0.5
    if fractions and "latitude" not in known and all(-90 <= n <= 90 for n in numbers):
        return "latitude", 0.5
    if fractions and "longitude" not in known and all(-180 <= n <= 180 for n in numbers):
        return "longitude", 0.5
    years = sum(1800 <= n <= 2100 for n in numbers) > 0.9 * len(numbers)
    if whole and years and "drilled_on" not in known:
        return "drilled_on", 0.5
    positive = all(0 <= n < 10000 for n in numbers)
    return ("depth_ft", 0.4) if positive and "depth_ft" not in known else None
