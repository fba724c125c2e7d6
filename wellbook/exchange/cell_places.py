"""Latitude and longitude as people and devices write them: degrees, minutes, both in one cell."""

from __future__ import annotations

import re

_DEGREES = r"[-+]?\d{1,3}(?:[.,]\d+)?"
_PART = re.compile(
    rf"([NSEWO])?\s*({_DEGREES})\s*(?:[°ºd\ufffd]\s*|\s+|$|(?=[NSEWO]$))"
    r"(?:(\d{1,2}(?:[.,]\d+)?)\s*(?:['’′m]\s*|\s+|$)"
    r"(?:(\d{1,2}(?:[.,]\d+)?)\s*(?:[\"”″s]|''|’’)?\s*)?)?([NSEWO])?",
    re.IGNORECASE,
)
_PAIR = re.compile(
    rf"\(?\s*({_DEGREES})\s*°?\s*([NSEW])?(\s*[,;/\s]\s*)({_DEGREES})\s*°?\s*([NSEW])?\s*\)?",
    re.IGNORECASE,
)
_POINT = re.compile(r"point\s*\(\s*(\S+)\s+(\S+)\s*\)", re.IGNORECASE)
_BELOW = ("S", "W", "O")
"""Letters of places below zero; O is west in Spanish and French."""
_AXES = {"N": "latitude", "S": "latitude", "E": "longitude", "W": "longitude", "O": "longitude"}


def degrees(text: str, axis: str, *, both_in_one: bool = False) -> float:
    """A latitude or longitude in degrees, north and east above zero.

    Parameters
    ----------
    text
        Decimal degrees, degrees and minutes, or both places in one cell: the latitude first, unless
        letters or a number over 90 tell otherwise. `POINT(x y)` has the longitude first (ISO 19125).
    axis
        "latitude" or "longitude": which one is wanted.
    both_in_one
        Whether the cell has to hold both, since both are read from it.

    Raises
    ------
    ValueError
        If it is no place; the message says what would be right.

    >>> degrees("44.263", "latitude"), degrees("44.263, -72.58", "longitude")
    (44.263, -72.58)
    >>> degrees("37°36'37.8\\"N 121°2'17.9\\"W", "longitude"), degrees("N 44 15.78", "latitude")
    (-121.038306, 44.263)
    >>> degrees("105.25W", "longitude"), degrees("W105.25", "longitude")
    (-105.25, -105.25)
    """
    found = both(text)
    if found is not None:
        return found[0] if axis == "latitude" else found[1]
    if both_in_one:
        raise ValueError("not a latitude and a longitude, such as 44.26, -72.58")
    one = _one(text.strip())
    if one is None or one[1] not in ("", axis):
        example = "44.26" if axis == "latitude" else "-72.58"
        raise ValueError(f"not a number of degrees, such as {example}")
    return one[0]


def both(text: str) -> tuple[float, float] | None:
    """Latitude and longitude of one cell; None where it does not hold both.

    >>> both("44.263, -72.58"), both("POINT(-72.58 44.263)"), both("44.263")
    ((44.263, -72.58), (44.263, -72.58), None)
    """
    text = text.strip()
    if point := _POINT.fullmatch(text):
        x, y = _one(point[1]), _one(point[2])
        return (y[0], x[0]) if x and y else None
    pair = _PAIR.fullmatch(text)
    # A comma is between the two, or in them, not both.
    if pair and not ("," in pair[3] and "," in pair[1] + pair[4]):
        one = _signed(pair[1], pair[2] or "")
        two = _signed(pair[4], pair[5] or "")
        # "44 15" may be degrees and minutes: a pair of bare whole numbers is none.
        fractions = any(sign in pair[1] + pair[4] for sign in ".,")
        return _ordered(one, two) if fractions or pair[2] else None
    halves = re.fullmatch(
        r"(.*\d\s*[^\w\s,;]*\s*[NSEWO])[\s,;/]+(\S.*)|([NSEWO].*?)[\s,;/]+([NSEWO].*)",
        text,
        re.IGNORECASE,
    )
    if halves is None:
        return None
    first, second = _one(halves[1] or halves[3]), _one(halves[2] or halves[4])
    if first is None or second is None or not first[1] or first[1] == second[1]:
        return None
    return _ordered(first, second)


def _one(text: str) -> tuple[float, str] | None:
    """Degrees, and the axis that a letter names; "" where none does."""
    found = _PART.fullmatch(text.strip())
    if found is None:
        return None
    before, whole, minutes, seconds, after = found.groups()
    if minutes and float(minutes.replace(",", ".")) >= 60:
        return None
    if seconds and float(seconds.replace(",", ".")) >= 60:
        return None
    value, axis = _signed(whole, before or after or "")
    parts = ((minutes, 60), (seconds, 3600))
    rest = sum(float(part.replace(",", ".")) / by for part, by in parts if part)
    below = value < 0 or whole.startswith("-") or (before or after or "").upper() in _BELOW
    # What was written in decimals stays to the last of them; a second is worth five places.
    return (round(value - rest if below else value + rest, 6) if rest else value), axis


def _signed(number: str, letter: str) -> tuple[float, str]:
    value = float(number.replace(",", "."))
    letter = letter.upper()
    return (-abs(value) if letter in _BELOW else value), _AXES.get(letter, "")


def _ordered(one: tuple[float, str], two: tuple[float, str]) -> tuple[float, float]:
    turned = one[1] == "longitude" or two[1] == "latitude"
    turned = turned or (not one[1] and not two[1] and abs(one[0]) > 90 >= abs(two[0]))
    return (two[0], one[0]) if turned else (one[0], two[0])
