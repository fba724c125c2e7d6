"""What a material is, as far as the rules have to know: a metal, a plastic, a table of ratings.

The sheet has read it into the book's word (`hole.materials`), or kept it as it was told.
"""

from __future__ import annotations

import re

_PLASTICS = frozenset(
    [
        "plastic",
        "plastics",
        "thermoplastic",
        "pvc",
        "cpvc",
        "upvc",
        "abs",
        "pe",
        "hdpe",
        "mdpe",
        "pp",
        "nylon",
        "acetal",
    ]
)
_METALS = frozenset(
    [
        *("brass", "bronze", "steel", "stainless", "iron", "galvanized", "galvanised", "metal"),
        *("copper", "aluminum", "aluminium"),
    ]
)
_STEELS = frozenset({"steel", "iron", "cast_iron"})


def _words(material: str) -> set[str]:
    return set(re.findall("[a-z]+", material.lower()))


def is_metal(material: str) -> bool:
    """Whether a material as written is a metal, coated or not.

    >>> is_metal("galvanized_steel"), is_metal("plastic-coated steel"), is_metal("pvc")
    (True, True, False)
    """
    return bool(_words(material) & _METALS)


def is_plastic(material: str) -> bool:
    """Whether a material as written is a plastic; a coated or lined metal is not.

    >>> is_plastic("pvc"), is_plastic("polyethylene"), is_plastic("plastic-coated steel")
    (True, True, False)
    """
    words = _words(material)
    plastic = bool(words & _PLASTICS) or any(word.startswith("poly") for word in words)
    return plastic and not words & _METALS


def pipe_material(material: str) -> str:
    """The name under which the tables of pipe know the book's word for a material.

    Plain steel and iron pipe have the dimensions of galvanized (ASME B36.10).

    >>> pipe_material("pe4710"), pipe_material("steel")
    ('pe4710', 'galvanized_steel')
    """
    return "galvanized_steel" if material in _STEELS else material
