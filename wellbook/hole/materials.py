"""What a part is made of: the words that people write, read into the one word the book knows.

A material that is not in the table is kept as it was told. On an old log "redwood" or "brass point"
may be all that is known, and a book that was written before a word came into the table goes on to be
read. No rating is worked out from it, and the record's gaps are asked about as if it were not there.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping
from functools import lru_cache
from typing import Any

from wellbook.engineering.pipe import parse_wall

_POLYETHYLENE = ("pe", "hdpe", "mdpe", "poly", "black poly", "polyethylene")
_GRADES = ("3408", "3608", "4710")

SPELLINGS: dict[str, tuple[str, ...]] = {
    **{f"pe{grade}": (grade, *(f"{p} {grade}" for p in _POLYETHYLENE)) for grade in _GRADES},
    "polyethylene": _POLYETHYLENE,
    "pvc": ("pvc", "upvc", "pvc plastic"),
    "cpvc": ("cpvc",),
    "abs": ("abs", "abs plastic"),
    "nylon": ("nylon",),
    "plastic": ("plastic", "thermoplastic"),
    "galvanized_steel": (
        *("galvanized", "galvanised", "galv", "gal", "galvanized steel", "galvanised steel"),
        *("galv steel", "galvanized iron", "galvanised iron", "galv iron"),
    ),
    "stainless_steel": (
        *("stainless", "stainless steel", "ss", "ss 304", "ss 316", "304 ss", "316 ss"),
        *("304 stainless", "316 stainless", "stainless 304", "stainless 316"),
        *("304 stainless steel", "316 stainless steel"),
    ),
    "steel": ("steel", "black steel", "carbon steel", "black iron"),
    "cast_iron": ("cast iron",),
    "iron": ("iron", "wrought iron"),
    "brass": ("brass",),
    "bronze": ("bronze",),
    "copper": ("copper",),
    "aluminum": ("aluminum", "aluminium"),
    "concrete": ("concrete", "cement"),
}
"""The book's word -> how people write it, in lower case, words and numbers apart."""

_WORDS = {spelling: word for word, spellings in SPELLINGS.items() for spelling in spellings}
_FILLERS = frozenset({"pipe", "pipes", "tubing", "tube"})

# What is marked on a pipe beside its material, and belongs into a field of its own. "SDR" says less
# than it seems to (see `engineering.pipe.parse_wall`), but it is a wall all the same.
_MARKINGS = {
    "wall": re.compile(r"\b(?:sch(?:edule|ed)?\.?|s?i?dr)[ -]*\d+(?:\.\d+)?s?\b", re.IGNORECASE),
    "rating_psi": re.compile(r"\b(\d{2,3}) ?(?:psi\b|#|lbs?\b)", re.IGNORECASE),
}


@lru_cache(maxsize=4096)
def read_material(text: str) -> str:
    """A material in the book's word; where it is none that the book knows, as it was told.

    >>> read_material("PE 4710"), read_material("Galv."), read_material("poly pipe")
    ('pe4710', 'galvanized_steel', 'polyethylene')
    >>> read_material("field stone")
    'field stone'
    """
    words = re.findall(r"[a-z]+|\d+", text.lower())
    return _WORDS.get(" ".join(w for w in words if w not in _FILLERS), text.strip())


def in_the_books_word(values: Mapping[str, Any], fields: Collection[str]) -> dict[str, Any]:
    """What is said of a part, its material in the book's word.

    A wall or a rating that stood beside the material goes into its own field. Where that field says
    otherwise, or the part has none, all stays as it was told: nobody knows which is right.

    Parameters
    ----------
    values
        Field -> value, only those that are known.
    fields
        The names of all fields that the part has.

    >>> in_the_books_word({"material": "SCH 80 PVC"}, ("material", "wall"))
    {'material': 'pvc', 'wall': 'SCH 80'}
    >>> in_the_books_word({"material": "SCH 80 PVC", "wall": "sch 40"}, ("material", "wall"))
    {'material': 'SCH 80 PVC', 'wall': 'sch 40'}
    """
    told = values.get("material")
    if not isinstance(told, str) or read_material(told) in SPELLINGS:
        return dict(values) if told is None else {**values, "material": read_material(told)}
    rest, marked = _without_markings(told)
    word = read_material(rest)
    agrees = all(n in fields and _same(values.get(n), mark) for n, mark in marked.items())
    return {**values, "material": word, **marked} if word in SPELLINGS and agrees else dict(values)


def _without_markings(told: str) -> tuple[str, dict[str, Any]]:
    marked: dict[str, Any] = {}
    rest = told
    for name, pattern in _MARKINGS.items():
        found = pattern.search(rest)
        if found:
            marked[name] = float(found[1]) if name == "rating_psi" else found[0].strip()
            rest = f"{rest[: found.start()]} {rest[found.end() :]}"
    return rest, marked


def _same(value: Any, mark: Any) -> bool:
    if value is None or value == mark:
        return True
    return isinstance(value, str) and parse_wall(value) == parse_wall(mark) is not None
