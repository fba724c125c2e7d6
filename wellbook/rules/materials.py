"""What a material is, as far as the rules have to know: a metal, a plastic, what comes in coils.

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
_COILED = frozenset({"pe", "hdpe", "mdpe", "poly", "polyethylene"})


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


def comes_in_coils(material: str) -> bool:
    """Whether pipe of a material comes in a coil, and is joined by fittings that are clamped.

    >>> comes_in_coils("pe4710"), comes_in_coils("polyethylene"), comes_in_coils("pvc")
    (True, True, False)
    """
    return is_plastic(material) and bool(_words(material) & _COILED)
