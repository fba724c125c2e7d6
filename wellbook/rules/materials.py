"""What a material is, from the words in which a sheet names it."""

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
    ["brass", "bronze", "steel", "stainless", "iron", "galvanized", "galvanised", "metal"]
)


def _words(material: str) -> set[str]:
    return set(re.findall("[a-z]+", material.lower()))


def is_metal(material: str) -> bool:
    """Whether a material as written is a metal, coated or not.

    >>> is_metal("galvanized_steel"), is_metal("plastic-coated steel"), is_metal("PVC")
    (True, True, False)
    """
    return bool(_words(material) & _METALS)


def is_plastic(material: str) -> bool:
    """Whether a material as written is a plastic; a coated or lined metal is not.

    >>> is_plastic("PVC"), is_plastic("polyethylene"), is_plastic("plastic-coated steel")
    (True, True, False)
    """
    words = _words(material)
    plastic = bool(words & _PLASTICS) or any(word.startswith("poly") for word in words)
    return plastic and not words & _METALS


def pipe_material(material: str) -> str:
    """The name under which the tables of ratings know a material, else the words as they are.

    >>> pipe_material("PE 4710"), pipe_material("Poly (3408)"), pipe_material("PVC")
    ('pe4710', 'pe3408', 'pvc')
    """
    plain = material.strip().lower()
    grade = re.search("3408|3608|4710", plain)
    if grade and is_plastic(material):
        return f"pe{grade[0]}"
    return "pvc" if _words(material) == {"pvc"} else plain
