"""What a value can be at most and at least: past that it is a slip of the pen, or of a finger.

The limits are wide: a record that is only doubtful is kept, and asked about by a rule. What lies past
them is no well, no pump and no water at all. Common practice, no published source, but for the scale
of pH (0 to 14).
"""

from __future__ import annotations

from wellbook.quantities import show, split_suffix

# By the name of the field; where that is not here, by the unit at its end.
_BY_NAME: dict[str, tuple[float, float]] = {
    "ph": (0, 14),
    "people": (0, 10_000),
    # Above the ground by as much as a flowing well can stand; down as far as the deepest hole.
    "water_level_ft": (-1_000, 10_000),
    # A casing top may stand in a pit, a tank below the well head.
    "stick_up_ft": (-20, 20),
    "frost_depth_ft": (0, 20),
    "rise_to_tank_ft": (-1_000, 1_000),
    # Pipe of no rating and joints of no length are not written down as nought.
    "rating_psi": (1, 5_000),
    "joint_ft": (1, 100),
    # No switch or drive of a house well holds more.
    "cut_in_psi": (0, 400),
    "cut_out_psi": (0, 400),
    "setpoint_psi": (1, 400),
    "pressure_psi": (0, 10_000),
    "diameter_in": (0, 480),
    "conductors": (2, 12),
    "phases": (1, 3),
    "wires": (2, 7),
    "count": (0, 1_000),
    # In water: wide, but so that micrograms written down as milligrams mostly stand out.
    "nitrate_mg_l": (0, 2_000),
    "nitrite_mg_l": (0, 1_000),
    "arsenic_mg_l": (0, 20),
    "lead_mg_l": (0, 50),
    "color_units": (0, 10_000),
    "odor_ton": (0, 10_000),
    "splices_added": (0, 100),
}
_GAUGES = (24, 22, 20, 18, 16, 14, 12, 10, 8, 6, 4, 3, 2, 1, 0)
"""Gauges that copper cable comes in; common practice, no published source."""

_BY_UNIT: dict[str, tuple[float, float]] = {
    "ft": (0, 10_000),
    "in": (0, 48),
    "gpm": (0, 10_000),
    "psi": (0, 1_000),
    "hp": (0, 1_000),
    "gal": (0, 10_000_000),
    "v": (0, 5_000),
    "a": (0, 2_000),
    "ohm": (0, 100_000),
    "megohm": (0, 1_000_000),
    "mg_l": (0, 400_000),
    "ug_l": (0, 1_000_000),
    "ng_l": (0, 100_000_000),
    "pci_l": (0, 10_000_000),
    "minutes": (0, 1_000_000),
}


LONGEST_TEXT = 100_000
"""How many letters a text can have: some fifty pages. What is longer is a file of the well."""


def too_long(text: str) -> str:
    """What is wrong with a text that is too long; "" where it is not.

    >>> too_long("soft ground in spring")
    ''
    """
    if len(text) <= LONGEST_TEXT:
        return ""
    return (
        f"a text of {len(text):,} letters is too long; {LONGEST_TEXT:,} at most: keep what is longer"
        " as a file (wellbook attach)"
    )


def limits_of(name: str) -> tuple[float, float] | None:
    """The least and the most that a field can hold, in the unit of its name; None where it has none.

    >>> limits_of("ph"), limits_of("set_depth_ft"), limits_of("serial")
    ((0, 14), (0, 10000), None)
    """
    return _BY_NAME.get(name) or _BY_UNIT.get(split_suffix(name)[1])


def within_limits(name: str, value: float) -> float:
    """The value of a field, in the unit of its name, where it can be.

    Raises
    ------
    ValueError
        Where it lies past the limits of the field.

    >>> within_limits("ph", 99)
    Traceback (most recent call last):
    ValueError: pH 99 cannot be; it lies between 0 and 14
    """
    if name == "awg" and value not in _GAUGES:
        raise ValueError(f"there is no gauge {value:g}; there are: {', '.join(map(str, _GAUGES))}")
    limits = limits_of(name)
    if limits is None or limits[0] <= value <= limits[1]:
        return value
    words, unit = split_suffix(name)
    least, most = (show(limit, unit) for limit in limits)
    called = _SPELLED.get(name, words)
    raise ValueError(f"{called} {show(value, unit)} cannot be; it lies between {least} and {most}")


_SPELLED = {"odor_ton": "odor", "tds_mg_l": "TDS", "ph": "pH", "rated_gpm": "rated flow"}
