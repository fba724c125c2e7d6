"""The words of a text without case, accents and points, in the order in which they stand."""

from __future__ import annotations

import re
import unicodedata

_APOSTROPHES = re.compile(r"['’`]")
_WITH_POINTS = re.compile(r"\b(?:[a-z]\.){2,}")
_WORD = re.compile(r"[^\W_]+")


def plain_words(text: str) -> list[str]:
    """Small letters, no accents, no apostrophes; "&" is "and".

    >>> plain_words("O'Brien & Muñoz, P.O. Box 12")
    ['obrien', 'and', 'munoz', 'po', 'box', '12']
    """
    flat = text.casefold().replace("&", " and ")
    if not flat.isascii():
        flat = unicodedata.normalize("NFKD", flat)
        flat = "".join(c for c in flat if not unicodedata.combining(c))
    flat = _APOSTROPHES.sub("", flat)
    # Letters with points are one word: p.o., l.l.c.
    flat = _WITH_POINTS.sub(lambda m: m.group().replace(".", "") + " ", flat)
    return _WORD.findall(flat)
