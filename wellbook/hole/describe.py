"""A part in one line of the trade's words."""

from __future__ import annotations

from dataclasses import fields
from enum import StrEnum

from wellbook.dates import When
from wellbook.hole.parts import Part
from wellbook.quantities import show, split_suffix

_WORDS = {
    "awg": "#{}",
    "conductors": "{} conductors",
    "nominal_in": "{} in",
    "phases": "{} phase",
    "wires": "{}-wire",
    "serial": "serial {}",
    "date_code": "date code {}",
    "set_depth_ft": "at {} ft",
    "depth_ft": "at {} ft",
    "from_ft": "from {} ft",
    "to_ft": "to {} ft",
    "joint_ft": "joints of {} ft",
    "rated_gpm": "rated {} gpm",
    "rating_psi": "rated {} psi",
    "made": "new {}",
    "model_year": "model year {}",
    "warranty_until": "warranty until {}",
}


def describe(part: Part) -> str:
    """All that is known of a part, in one line.

    >>> from wellbook.hole.parts import Cable
    >>> describe(Cable(awg=12, conductors=3, ground_wire=True, from_ft=0, to_ft=280))
    'cable: #12, 3 conductors, ground wire, from 0 ft, to 280 ft'
    """
    said = [
        _field(field.name, value)
        for field in fields(part)
        if (value := getattr(part, field.name)) is not None
    ]
    return f"{part.kind.label}: {', '.join(said) or 'nothing known of it'}"


def _field(name: str, value: object) -> str:
    label, unit = split_suffix(name)
    if isinstance(value, bool):
        return label if value else f"no {label}"
    if name == "material":
        return str(value).replace("_", " ")
    if name in _WORDS:
        return _WORDS[name].format(f"{value:g}" if isinstance(value, float) else value)
    if isinstance(value, (int, float)):
        shown = show(float(value), unit) if unit else f"{value:g}"
        return shown if unit == "hp" else f"{label} {shown}"
    if isinstance(value, StrEnum):
        return value.value.replace("_", " ")
    if isinstance(value, When):
        return f"{label} {value}"
    return str(value)
