"""Numbers as people write them in a list: about so much, at least so much, between two."""

from __future__ import annotations

import re

_LONGEST = 60
"""Signs: what is longer is no number, and would be long in the trying."""
_DIGIT = r"(?:\.?\d|[½¼¾])"
_ABOUT = re.compile(
    r"(?:~|≈|±|\+/-|(?:approx(?:imately|\.)?|about|abt\.?|roughly|around|est(?:imated|\.)?|ca\.?|c\.)(?=[\s\d½¼¾]))"
    r"\s*(.*[\d½¼¾].*)"
    r"|(.*[\d½¼¾].*?)\s*(?:\+/-|±|\(?(?:approx|est|about|ca)\.?\)?|\(\?\)|\?)",
    re.IGNORECASE,
)
_AT_LEAST = re.compile(
    rf"(?:>=?|≥|over|more than|at least)\s*({_DIGIT}.*)"
    rf"|({_DIGIT}[\d.,/½¼¾]*)\s?(?:\+|plus|or (?:more|better))(\s?\D*)",
    re.IGNORECASE,
)
_LESS = re.compile(
    rf"(?:<=?|≤|under|less than|below|up to)\s*{_DIGIT}[\d.,/½¼¾]*\s*\D*|trace", re.IGNORECASE
)
_BETWEEN = re.compile(
    r"(\d+(?:[.,]\d+)?)(?:\s*[a-z]+)?\s*(?:-|–|to)\s*(\d+(?:[.,]\d+)?)(?:\s*['′\"″]|\s*[a-z³]+(?:/[a-z]+)?)?"
    # 6'-4 would be feet and inches.
    r"|(\d+)['′]\s*(?:-|–|to)\s*(\d+)['′]",
    re.IGNORECASE,
)


def as_told(text: str) -> tuple[str, str]:
    """A number as it can be read, and what is doubtful about it: "" and "" where nothing is.

    Without a number it is no single one: less than something, or between two.

    >>> as_told("~35"), as_told("approx. 200 ft"), as_told("35?"), as_told("1-1/2 hp")
    (('35', 'about so much; kept as 35'), ('200 ft', 'about so much; kept as 200 ft'), \
('35', 'about so much; kept as 35'), ('1-1/2 hp', ''))
    >>> as_told("50+"), as_told("> 100 gpm")
    (('50', 'so much or more; kept as 50'), ('100 gpm', 'so much or more; kept as 100 gpm'))
    >>> [as_told(text)[0] for text in ("1/2+", "~½", "20 or more", "15-20", "<.5", "~15-20", '6-8"')]
    ['1/2', '½', '20', '', '', '', '']
    >>> as_told("6'-4")[1], as_told("555-0131")
    ('', ('555-0131', ''))
    """
    if len(text) > _LONGEST or text.replace(".", "", 1).isdigit():
        return text, ""
    about = _ABOUT.fullmatch(text)
    number, said = _only(about) if about else text, "about so much" if about else ""
    if _LESS.fullmatch(number) or _is_between(number):
        return "", "no single number; kept as a note"
    if more := _AT_LEAST.fullmatch(number):
        number, said = _only(more), "so much or more"
    return number, f"{said}; kept as {number}" if said else ""


def _only(match: re.Match[str]) -> str:
    return "".join(part for part in match.groups() if part).strip()


def _is_between(text: str) -> bool:
    match = _BETWEEN.fullmatch(text)
    if match is None:
        return False
    low, high = (float(number.replace(",", ".")) for number in match.groups() if number)
    return low < high
