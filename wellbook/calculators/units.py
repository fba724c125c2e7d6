"""The endings of the calculators' names: what unit they mean, how it is read and shown.

A calculator answers in units that nothing else is read or shown in: feet per 100 ft, gallons a foot.
Those are here; all others are `quantities.UNITS`.
"""

from __future__ import annotations

import math
import re
from contextlib import suppress

from wellbook.quantities import UNITS, digits, read, show, split_suffix

__all__ = [
    "in_unit",
    "read_number",
    "show_number",
    "spelled_unit",
    "split_name",
    "unit_symbol",
]


# Ending -> how the unit is written.
_ENDINGS = {
    "ft_per_100ft": "ft per 100 ft",
    "gpm_per_ft": "gpm/ft",
    "gal_per_ft": "gal/ft",
    "lb_per_ft": "lb/ft",
    "ft_per_gpm": "ft/gpm",
    "ft_per_gpm2": "ft/gpm²",
    "sec2_per_ft5": "s²/ft⁵",
    "specific_capacity": "gpm/ft",
    "fps": "ft/s",
    "awg": "AWG",
}

# How people write them besides.
_GAUGE = r"awg|ga\.?|gauge"
_PER = {"gpm/ft": "gpm", "lb/ft": r"(?:lbs?|pounds?)", "gal/ft": r"gal(?:lons?|s)?"}
_POWER_OF_TEN = re.compile(r"[+-]?[0-9]+(\.[0-9]*)?[eE][+-]?[0-9]+")


def split_name(name: str) -> tuple[str, str]:
    """The words of a name and its ending, "" where it ends in no unit.

    >>> split_name("with_cut_out_psi"), split_name("gal_per_ft"), split_name("phase")
    (('with cut out', 'psi'), ('gal_per_ft', 'gal_per_ft'), ('phase', ''))
    >>> split_name("specific_capacity_gpm_per_ft")
    ('specific capacity', 'gpm_per_ft')
    """
    for ending in _ENDINGS:
        if name == ending:
            return ending, ending
        if name.endswith(f"_{ending}"):
            return name.removesuffix(f"_{ending}").replace("_", " "), ending
    return split_suffix(name)


def read_number(raw: str | float, ending: str) -> float:
    """A number in the unit of an ending, from what was typed or what a program wrote (1e-05).

    Raises
    ------
    ValueError
        As `quantities.read`.

    >>> read_number("97.5 m", "ft"), read_number("5 %", "percent"), read_number("#12", "awg")
    (319.88, 5.0, 12.0)
    """
    if isinstance(raw, str) and _POWER_OF_TEN.fullmatch(raw.strip()):
        raw = float(raw)
    if ending not in _ENDINGS:
        return read(raw, ending)
    if isinstance(raw, str):
        raw = re.sub(rf"(?i)^\s*#(?=\d)|\s*(?:{_sign(_ENDINGS[ending])})\s*$", "", raw) or raw
    return read(raw, "")


def _sign(sign: str) -> str:
    """The pattern of a unit as people write it: "0.5 lbs/ft", "0.2 gpm per ft", "12 ga"."""
    if sign == _ENDINGS["awg"]:
        return _GAUGE
    of, per = _PER.get(sign), r" ?(?:/|per|a) ?(?:ft|foot)"
    return f"{of}{per}" if of else re.escape(sign)


def spelled_unit(words: str, ending: str) -> str:
    """The unit at the end of a header, as `read` knows it; "" where it is none of the ending's kind.

    >>> spelled_unit("m", "ft"), spelled_unit("l_min", "gpm"), spelled_unit("psi", "ft")
    ('m', 'l/min', '')
    """
    for text in (words.replace("_", " "), words.replace("_", "/")) if ending in UNITS else ():
        with suppress(ValueError):
            read(f"1 {text}", ending)
            return text
    return ""


def in_unit(cell: str, unit: str) -> str:
    """A cell with the unit of its column, where it bears none of its own.

    >>> in_unit("97.5", "m"), in_unit("320 ft", "m"), in_unit("1.2e-06", "days")
    ('97.5 m', '320 ft', '0.0000012 days')
    """
    text = cell.strip()
    if _POWER_OF_TEN.fullmatch(text):
        text = digits(float(text))
    bare = not any(c.isalpha() or c in "'\"°%" for c in text)
    return f"{text} {unit}" if bare and text and unit else text


def show_number(value: float, ending: str, figures: int = 4, *, bare: bool = False) -> str:
    """A number for people: as the trade writes it where that is all of it, else to its figures.

    Digits before the point are never rounded away.

    >>> show_number(130.05, "psi"), show_number(0.75, "hp"), show_number(0.07123, "ft")
    ('130.1 psi', '3/4 hp', '0.07123 ft')
    >>> show_number(12345.67, "gallons"), show_number(5, "percent"), show_number(5, "gpm", bare=True)
    ('12,346 gal', '5 %', '5')
    """
    if ending in UNITS and not bare and math.isfinite(value):
        trade = show(value, ending)
        if read(trade, ending) == value:
            return trade
    symbol = unit_symbol(ending)
    amount = _to_figures(value, figures, "," if symbol else "")
    return amount if bare or not symbol else f"{amount} {symbol}"


def unit_symbol(ending: str) -> str:
    """How a unit is written; "" for none.

    >>> unit_symbol("gpm_per_ft"), unit_symbol("f"), unit_symbol("")
    ('gpm/ft', '°F', '')
    """
    if ending in _ENDINGS:
        return _ENDINGS[ending]
    return UNITS[ending].symbol.strip() if ending in UNITS else ""


def _to_figures(value: float, figures: int, grouping: str) -> str:
    if value == 0 or not math.isfinite(value):
        return f"{value:g}"
    decimals = max(0, figures - 1 - math.floor(math.log10(abs(value))))
    # A number so small that its figures would fill the line is written with its power of ten.
    if decimals > 2 * figures:
        return f"{value:.{figures}g}"
    text = f"{value:{grouping}.{decimals}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
