"""Names and addresses brought to one form, in which many spellings of one are the same.

Common practice, no published source: surnames stand first or last, in capitals, with a spouse's name
behind an ampersand; firms bear their form or do not; roads are abbreviated.
"""

from __future__ import annotations

import re
import unicodedata
from functools import lru_cache

_TITLES = frozenset("mr mrs ms miss dr prof rev sr jr ii iii".split())
_FORMS = frozenset("inc llc ltd co company corp corporation limited plc lp llp the".split())
_ROADS = {
    **{"street": "st", "road": "rd", "avenue": "ave", "av": "ave", "drive": "dr", "lane": "ln"},
    **{
        "court": "ct",
        "highway": "hwy",
        "route": "rte",
        "rt": "rte",
        "place": "pl",
        "circle": "cir",
    },
    **{"north": "n", "south": "s", "east": "e", "west": "w", "boulevard": "blvd", "terrace": "ter"},
    **{"mount": "mt", "saint": "st", "trail": "trl", "parkway": "pkwy", "square": "sq"},
}


def _words(text: str) -> list[str]:
    if not text.isascii():
        decomposed = unicodedata.normalize("NFKD", text)
        text = "".join(c for c in decomposed if not unicodedata.combining(c))
    return re.findall(r"\w+", re.sub(r"['\u2019.]", "", text.casefold()))


@lru_cache(maxsize=4096)
def plain_name(name: str) -> str:
    """A name in the form in which its spellings are alike; "" where it has no letters.

    Of a couple the first counts. The order of its words is nothing.

    >>> {plain_name(n) for n in ("Smith, John", " John  Smith", "SMITH JOHN & MARY", "J\u00f3hn Q. Smith")}
    {'john smith'}
    >>> plain_name("John & Mary Smith"), plain_name("Acme Farms, Inc."), plain_name("ACME FARMS")
    ('john smith', 'acme farms', 'acme farms')
    """
    if set(_words(name)) & _FORMS - {"the"}:
        return " ".join(sorted(w for w in _words(name) if w not in _FORMS))
    first, *rest = re.split(r"\s*(?:&|\+|\band\b|\bund\b)\s*", name, flags=re.IGNORECASE)
    words = _words(first)
    if len(words) == 1 and rest and len(_words(rest[-1])) > 1:
        words.append(_words(rest[-1])[-1])
    words = [w for w in words if w not in _TITLES and w not in _FORMS] or words
    long = [w for w in words if len(w) > 1]
    return " ".join(sorted(long if len(long) > 1 else words))


@lru_cache(maxsize=4096)
def plain_address(road: str, town: str) -> str:
    """An address in one form; "" where it names no house, so that it tells no property.

    >>> plain_address("12 North Mill Road", "Sutton") == plain_address("12 N. MILL RD", "sutton ")
    True
    >>> plain_address("Mill Road", "Sutton")
    ''
    """
    words = [_ROADS.get(w, w) for w in _words(road)]
    if len(words) < 2 or not any(c.isdigit() for c in road):
        return ""
    return " ".join([*words, "/", *_words(town)])


def plain_place(road: str, town: str) -> str:
    """An address in one form, with or without a house: by it and a name somebody is known again.

    >>> plain_place("Mill Road", "Sutton"), plain_place("", "")
    ('mill rd / sutton', '')
    """
    words = [_ROADS.get(w, w) for w in _words(road)]
    return plain_address(road, town) or " ".join([*words, "/", *_words(town)]).strip("/ ")
