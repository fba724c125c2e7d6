"""Drop pipe as people call it: its material and its schedule."""

from __future__ import annotations

import re
from contextlib import suppress

from wellbook.engineering.pipe import (
    OUTSIDE_DIAMETER_IN,
    POLYETHYLENE,
    PVC,
    STEEL,
    nominal_size,
)
from wellbook.hole.materials import read_material
from wellbook.quantities import quoted

PIPE_MATERIALS = (*sorted(POLYETHYLENE), "polyethylene", PVC, *sorted(STEEL), "steel")
# A pipe has one wall: each way of saying it, and the others.
ONE_WALL = {"sidr": ("dr", "schedule"), "dr": ("schedule",)}
MATERIAL_HELP = f"what the pipe is made of: {', '.join(PIPE_MATERIALS)}"


class NominalSize(str):
    """A nominal size, as the tables write it."""

    __slots__ = ()

    @classmethod
    def parse(cls, text: str) -> NominalSize:
        """Read a size as people write it.

        Raises
        ------
        ValueError
            Where it is not in the tables.

        >>> NominalSize.parse("1¼"), NominalSize.parse("1.25 in")
        ('1-1/4', '1-1/4')
        """
        with suppress(ValueError):
            if size := nominal_size(text):
                return cls(size)
        sizes = ", ".join(OUTSIDE_DIAMETER_IN)
        raise ValueError(f"{quoted(text)} is no size of pipe here; there are {sizes} in")


def schedule_number(text: str) -> str:
    """The number of a schedule, however it is written.

    >>> schedule_number("sch 80"), schedule_number("Schedule 80"), schedule_number("40")
    ('80', '80', '40')
    """
    return re.sub(r"(?i)^\s*sch(?:edule|ed)?\.?[ -]*", "", text).strip()


class PipeMaterial(str):
    """What drop pipe is made of, in the book's word: a grade, or what is said where none is known."""

    __slots__ = ()

    @classmethod
    def parse(cls, text: str) -> PipeMaterial:
        """Read a material as people write it.

        Raises
        ------
        ValueError
            Where it is none that drop pipe is made of, as far as the tables know.

        >>> PipeMaterial.parse("PE 4710"), PipeMaterial.parse("galv"), PipeMaterial.parse("poly")
        ('pe4710', 'galvanized_steel', 'polyethylene')
        """
        word = read_material(text.replace("_", " "))
        if word not in PIPE_MATERIALS:
            raise ValueError(f"{quoted(text)} is not one of: {', '.join(PIPE_MATERIALS)}")
        return cls(word)
