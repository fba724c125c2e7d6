"""Numbers as people write them in a list: about so much, at least so much, between two."""

from __future__ import annotations

import re

_ABOUT = re.compile(
    r"(?:~|≈|±|\+/-|(?:approx(?:imately|\.)?|about|abt\.?|roughly|around|est(?:imated|\.)?|ca\.?|c\.)(?=[\s\d]))"
    r"\s*(.*\d.*)"
    r"|(.*\d.*?)\s*(?:\+/-|±|\(?(?:approx|est|about|ca)\.?\)?|\(\?\)|\?)",
    re.IGNORECASE,
)
_AT_LEAST = re.compile(r"(?:>=?|≥|over|more than|at least)\s*(\d.*)|(\d[\d.,]*)\s?\+(\s?\D*)", re.I)
_LESS = re.compile(r"(?:<=?|≤|under|less than|below|up to)\s*\d[\d.,/]*\s*\D*|trace", re.IGNORECASE)
_BETWEEN = re.compile(
    r"(\d+(?:[.,]\d+)?)(?:\s*[a-z]+)?\s*(?:-|–|to)\s*(\d+(?:[.,]\d+)?)(?:\s*['′]|\s*[a-z³]+(?:/[a-z]+)?)?"
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
    >>> as_told("15-20"), as_told("<1")
    (('', 'no single number; kept as a note'), ('', 'no single number; kept as a note'))
    >>> as_told("6'-4")[1], as_told("555-0131")
    ('', ('555-0131', ''))
    """
    if text.replace(".", "", 1).isdigit():
        return text, ""
    if _LESS.fullmatch(text) or _is_between(text):
        return "", "no single number; kept as a note"
    for pattern, said in ((_ABOUT, "about so much"), (_AT_LEAST, "so much or more")):
        if match := pattern.fullmatch(text):
            number = "".join(part for part in match.groups() if part).strip()
            return number, f"{said}; kept as {number}"
    return text, ""


def _is_between(text: str) -> bool:
    match = _BETWEEN.fullmatch(text)
    if match is None:
        return False
    low, high = (float(number.replace(",", ".")) for number in match.groups() if number)
    return low < high
