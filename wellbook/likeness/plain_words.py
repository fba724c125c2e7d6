"""The words of a text without case, accents and points, in the order in which they stand."""

from __future__ import annotations

import re
import unicodedata


def plain_words(text: str) -> list[str]:
    """Small letters, no accents, no apostrophes; "&" is "and".

    >>> plain_words("O'Brien & Muñoz, P.O. Box 12")
    ['obrien', 'and', 'munoz', 'po', 'box', '12']
    """
    flat = unicodedata.normalize("NFKD", text.casefold().replace("&", " and "))
    flat = "".join(c for c in flat if not unicodedata.combining(c))
    flat = re.sub(r"['’`]", "", flat)
    # Letters with points are one word: p.o., l.l.c.
    flat = re.sub(r"\b(?:[a-z]\.){2,}", lambda m: m.group().replace(".", "") + " ", flat)
    return re.findall(r"[^\W_]+", flat)
