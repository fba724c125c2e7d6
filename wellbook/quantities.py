"""Quantities as they are said at the wellhead, read into the unit of their field and shown again.

The unit of a field is the ending of its name: `set_depth_ft` is in feet, `rating_psi` in pounds
per square inch. A value may be written in another unit of the same kind ("97.5 m" for a depth in
feet) and is converted; a unit of another kind is refused, never dropped.

The factors are those of NIST SP 811 (appendix B). A year is 365.25 days and a month a twelfth of
it, so that "6 months" is half a year; parts per million are taken as milligrams per litre, as
water laboratories do.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from functools import lru_cache

__all__ = ["UNITS", "digits", "plain_marks", "quoted", "read", "show", "split_suffix"]


@dataclass(frozen=True, slots=True)
class _Unit:
    """One unit: base = value * factor + offset, the base being the same for its whole kind."""

    kind: str
    factor: float
    spellings: str
    offset: float = 0.0


@dataclass(frozen=True, slots=True)
class _Field:
    """How the values of the fields with one ending are shown.

    `unit` is a spelling in the table of units; `singular` is written after 1 where it differs;
    `fractions` are the denominators that are shown as fractions.
    """

    unit: str
    symbol: str
    decimals: int
    wants: str
    singular: str = ""
    fractions: tuple[int, ...] = ()


# A unit is one line here. Spellings are parted by "|" and read in any case, except that those
# with a capital letter are read only as written: M is mega, m is milli.
_TABLE = (
    _Unit("a length", 0.3048, "ft|'|foot|feet"),
    _Unit("a length", 0.0254, 'in|"|inch|inches'),
    _Unit("a length", 0.9144, "yd|yard|yards"),
    _Unit("a length", 1.0, "m|meter|meters|metre|metres"),
    _Unit("a length", 0.01, "cm|centimeter|centimeters|centimetre|centimetres"),
    _Unit("a length", 0.001, "mm|millimeter|millimeters|millimetre|millimetres"),
    _Unit("a length", 1609.344, "mi|mile|miles"),
    _Unit("a length", 1000.0, "km|kilometer|kilometers|kilometre|kilometres"),
    _Unit("a volume", 3.785411784, "gal|gals|gallon|gallons|us gal|us gallon|us gallons"),
    _Unit("a volume", 1.0, "l|liter|liters|litre|litres"),
    _Unit("a volume", 0.001, "ml"),
    _Unit("a volume", 3.785411784 / 128, "fl oz|fluid ounce|fluid ounces"),
    _Unit("a volume", 3.785411784 / 16, "cup|cups"),
    _Unit("a volume", 1000.0, "m³|cubic meter|cubic meters|cubic metre|cubic metres"),
    _Unit("a flow", 3.785411784, "gpm|gal/min|gals/min|gallon/min|gallons/min|us gpm"),
    _Unit("a flow", 3.785411784 / 60, "gph|gal/h|gallon/h|gallons/h"),
    _Unit("a flow", 3.785411784 / 1440, "gpd|gal/d|gallon/d|gallons/d"),
    _Unit("a flow", 1.0, "l/min|lpm|liter/min|liters/min|litre/min|litres/min"),
    _Unit("a flow", 60.0, "l/s|lps|liter/s|liters/s|litre/s|litres/s"),
    _Unit("a flow", 1 / 60, "l/h|lph|liters/h|litres/h"),
    _Unit("a flow", 1000 / 60, "m³/h"),
    _Unit("a flow", 1000 / 1440, "m³/d"),
    _Unit("a pressure", 6894.757, "psi|psig|lb/in²|lbs/in²"),
    _Unit("a pressure", 1e5, "bar|bars"),
    _Unit("a pressure", 1e3, "kpa"),
    _Unit("a pressure", 1e6, "MPa"),
    _Unit("a power", 745.6999, "hp|horsepower|horse power"),
    _Unit("a power", 1.0, "w|watt|watts"),
    _Unit("a power", 1000.0, "kw|kilowatt|kilowatts"),
    _Unit("a voltage", 1.0, "v|volt|volts|vac|v ac"),
    _Unit("a voltage", 0.001, "mV"),
    _Unit("a voltage", 1000.0, "kv"),
    _Unit("a current", 1.0, "a|amp|amps|ampere|amperes"),
    _Unit("a current", 0.001, "mA"),
    _Unit("a resistance", 1.0, "ohm|ohms"),
    _Unit("a resistance", 1e3, "kohm|kohms|kilohm|kilohms"),
    _Unit("a resistance", 1e6, "Mohm|Mohms|megohm|megohms|megaohm|megaohms|meg|megs"),
    _Unit("a resistance", 1e9, "Gohm|Gohms|gigohm|gigohms|gigaohm|gigaohms"),
    _Unit("a temperature", 1.0, "f|°f|deg f|degf|degrees f|fahrenheit|degrees fahrenheit"),
    _Unit("a temperature", 1.8, "c|°c|deg c|degc|degrees c|celsius|degrees celsius", offset=32.0),
    _Unit("a concentration", 1.0, "mg/l|ppm"),
    _Unit("a concentration", 0.001, "ug/l|ppb"),
    _Unit("a concentration", 1e-6, "ng/l|ppt"),
    _Unit("a concentration", 1000.0, "g/l"),
    _Unit("a concentration", 17.11806, "gpg|grain/gal|grains/gal|grains/gallon"),
    _Unit("an activity", 1.0, "pci/l"),
    _Unit("an activity", 1000 / 37, "bq/l"),
    # "per cent" is cleaned like "gal per minute".
    _Unit("a share", 1.0, "%|percent|/cent|pct"),
    _Unit("a weight", 0.45359237, "lb|lbs|pound|pounds"),
    _Unit("a weight", 0.45359237 / 16, "oz|ounce|ounces"),
    _Unit("a weight", 1.0, "kg|kgs|kilogram|kilograms"),
    _Unit("a weight", 0.001, "g|gram|grams"),
    _Unit("a time", 365.25 * 1440, "years|year|yr|yrs|y"),
    _Unit("a time", 365.25 * 120, "months|month|mo|mos"),
    _Unit("a time", 7 * 1440, "weeks|week|wk|wks"),
    _Unit("a time", 1440.0, "days|day|d"),
    _Unit("a time", 60.0, "h|hour|hours|hr|hrs"),
    _Unit("a time", 1.0, "minutes|minute|min|mins"),
    _Unit("a time", 1 / 60, "s|second|seconds|sec|secs"),
)
_SPELLED = {name: unit for unit in _TABLE for name in unit.spellings.split("|")}

# The endings of field names, in the order in which they are documented.
UNITS = {
    "ft": _Field("ft", " ft", 1, "feet"),
    "mi": _Field("mi", " mi", 2, "miles"),
    "in": _Field("in", " in", 3, "inches", fractions=(1, 2, 4, 8)),
    "gpm": _Field("gpm", " gpm", 2, "gallons a minute (gpm)"),
    "psi": _Field("psi", " psi", 1, "psi"),
    "hp": _Field("hp", " hp", 3, "horsepower", fractions=(1, 2, 3, 4, 8)),
    "gal": _Field("gal", " gal", 1, "gallons"),
    "v": _Field("v", " V", 1, "volts"),
    "a": _Field("a", " A", 2, "amperes"),
    "ohm": _Field("ohm", " ohm", 2, "ohms"),
    "megohm": _Field("megohm", " megohm", 3, "megohms"),
    "f": _Field("f", " °F", 1, "degrees Fahrenheit"),
    "mg_l": _Field("mg/l", " mg/L", 3, "milligrams per litre (mg/L)"),
    "ug_l": _Field("ug/l", " ug/L", 3, "micrograms per litre (ug/L)"),
    "ng_l": _Field("ng/l", " ng/L", 3, "nanograms per litre (ng/L)"),
    "pci_l": _Field("pci/l", " pCi/L", 3, "picocuries per litre (pCi/L)"),
    "lb": _Field("lb", " lb", 1, "pounds"),
    "years": _Field("years", " years", 2, "years", singular=" year"),
    "days": _Field("days", " days", 1, "days", singular=" day"),
    "minutes": _Field("minutes", " minutes", 1, "minutes", singular=" minute"),
    "percent": _Field("%", " %", 2, "per cent"),
    # What the calculators call in full what a record's field has as an ending.
    "amps": _Field("a", " A", 2, "amperes"),
    "volts": _Field("v", " V", 1, "volts"),
    "gallons": _Field("gal", " gal", 1, "gallons"),
    "mgl": _Field("mg/l", " mg/L", 3, "milligrams per litre (mg/L)"),
    "litres": _Field("l", " litres", 2, "litres"),
    "fl_oz": _Field("fl oz", " fl oz", 1, "fluid ounces"),
    "cups": _Field("cups", " cups", 2, "cups"),
}
_PLAIN = _Field("", "", 6, "a plain number")

# What may follow what in one value, as in "49 ft 6 in", and how many make one of the first.
_COMPOUNDS = {("ft", "in"): 12, ("lb", "oz"): 16, ("years", "months"): 12, ("h", "minutes"): 60}


# ------------------------------------------------------------------------------- reading


def read(value: str | float, unit: str) -> float:
    """A quantity in the unit of its field.

    Parameters
    ----------
    value
        A number, taken to be in the unit already, or text such as "320 ft", "97.5 m", `49'6"`,
        "1-1/2 hp", "25 l/min". Text without a unit is in the unit of the field.
    unit
        The ending of the field's name: one of `UNITS`, or "" for a number without a unit.

    Returns
    -------
    float
        The value in that unit. It may be negative: what is possible is for the caller to judge.

    Raises
    ------
    ValueError
        If it is no number, is not finite, is in a unit of another kind or in none known here, is
        more than one value, or has a comma that may be a decimal point.

    >>> read("97.5 m", "ft")
    319.88
    >>> read("49'6\\"", "ft"), read("1-1/2 hp", "hp"), read("½", "hp")
    (49.5, 1.5, 0.5)
    >>> read("7 gpm", "ft")
    Traceback (most recent call last):
    ValueError: '7 gpm' is a flow; this field wants feet
    """
    field = _field(unit)
    if isinstance(value, bool) or not isinstance(value, str | int | float):
        raise ValueError(f"{quoted(value)} is not a number; this field wants {field.wants}")
    number = _from_text(value, field) if isinstance(value, str) else _from_number(value)
    if not math.isfinite(number):
        raise ValueError(f"{quoted(value)} is not a finite number; this field wants {field.wants}")
    return number


def _field(unit: str) -> _Field:
    if unit == "":
        return _PLAIN
    if unit not in UNITS:
        raise ValueError(f"{unit!r} is not a unit of a field; units are {', '.join(UNITS)}")
    return UNITS[unit]


def quoted(value: object) -> str:
    """A value as a message shows it: in quotes, a long one cut, so that the message stays one line.

    >>> quoted("7 gpm"), quoted("x" * 9999)[-5:]
    ("'7 gpm'", "x...'")
    """
    try:
        text = repr(value)
    except ValueError:
        # Python does not write out a whole number of more than some thousand digits.
        return "a number of thousands of digits"
    return text if len(text) <= 60 else f"{text[:56]}...{text[-1]}"


def _from_number(value: float) -> float:
    try:
        return float(value)
    except OverflowError:
        return math.inf


# A fraction is below 1 and of a workman's denominator: "230/460 V" and "40/60 psi" are two values.
_RUN = r"(?:[0-9][0-9.,]*|\.[0-9][0-9.,]*)"
_AMOUNT = rf"(?:([0-9]+)(?: ?- ?| ))?([0-9]+) ?/ ?([0-9]+)|({_RUN})"
_PART = re.compile(rf" ?(?:{_AMOUNT}) ?((?:[^0-9.]|\.(?![0-9]))*)")
_LONGEST = 60
_WRITE_ONE = "write one, such as 7.5, 1-1/2 or 49 ft 6 in"
_DENOMINATORS = (2, 3, 4, 5, 6, 8, 10, 12, 16, 32, 64)
_NUMBER = re.compile(r"[0-9]+(?:\.[0-9]*)?|\.[0-9]+|[1-9][0-9]{0,2}(?:,[0-9]{3})+(?:\.[0-9]*)?")

_VULGAR = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅓": "1/3", "⅔": "2/3"}
_VULGAR |= {"⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8"}
_LOOKALIKES = str.maketrans(
    {mark: f" {fraction} " for mark, fraction in _VULGAR.items()}
    | {"\u2032": "'", "\u2019": "'", "\u2033": '"', "\u201d": '"', "\u2013": "-", "\u2212": "-"}
    | {"\u2126": "ohm", "\u03a9": "ohm", "\u00b5": "u", "\u03bc": "u", "\u00a0": " "}
)


def plain_marks(text: str) -> str:
    """A text with the marks of a keyboard for those that look like them.

    >>> plain_marks("1½ in")
    '1 1/2  in'
    """
    return text.translate(_LOOKALIKES)


@lru_cache(maxsize=4096)
def _from_text(value: str, field: _Field) -> float:
    text = " ".join(plain_marks(value).replace("''", '"').split())
    # The digit of a cubic metre or a square inch belongs to its unit, and is no second number.
    text = re.sub(r"(?i)(?<![a-z])m\^?3(?![0-9.,])", "m³", text)
    text = re.sub(r"(?i)(?<![a-z])in\^?2(?![0-9.,])", "in²", text)
    negative = text.startswith("-")
    parts = _parts(text.removeprefix("-" if negative else "+").lstrip())
    if not parts or len(text) > _LONGEST:
        raise ValueError(f"{quoted(value)} is not a quantity; this field wants {_wants(field)}")
    if len(parts) > 2:
        raise ValueError(f"{quoted(value)} is more than one value; {_WRITE_ONE}")
    try:
        amounts = [_amount(match) for match in parts]
    except ValueError as wrong:
        raise ValueError(f"{quoted(value)}: {wrong}") from None
    if len(parts) == 1:
        amount = -amounts[0] if negative else amounts[0]
        return _converted(amount, _clean(parts[0][5]), value, field)
    first, second = (_clean(match[5].strip(" ,-&").removesuffix(" and")) for match in parts)
    limit = _limit_of_second(first, second)
    if limit is None:
        raise ValueError(f"{quoted(value)} is more than one value; {_WRITE_ONE}")
    if amounts[1] >= limit:
        raise ValueError(f"{quoted(value)}: the second part is not below {limit}")
    total = amounts[0] + amounts[1] / limit
    return _converted(-total if negative else total, first, value, field)


def _wants(field: _Field) -> str:
    """What a field wants, with an example in it."""
    return f"{field.wants}, such as 12{field.symbol}" if field.symbol else field.wants


def _parts(text: str) -> list[re.Match[str]]:
    """The amounts in a text, each with the unit after it; none where anything comes before."""
    found: list[re.Match[str]] = []
    at = 0
    while at < len(text):
        match = _PART.match(text, at)
        if match is None:
            return []
        found.append(match)
        at = match.end()
    return found


def _amount(match: re.Match[str]) -> float:
    """The number of one part: 7, 1,200, 1/2, 1-1/2."""
    whole, top, bottom, run = match.group(1, 2, 3, 4)
    if run is None:
        if int(bottom) not in _DENOMINATORS or not 0 < int(top) < int(bottom):
            raise ValueError(f"{top}/{bottom} is not read as a fraction; {_WRITE_ONE}")
        return float(whole or 0) + int(top) / int(bottom)
    if not _NUMBER.fullmatch(run):
        raise ValueError(
            "the comma can be a decimal point; write 1.5, or 1,500 for thousands"
            if "," in run
            else "that is not one number; write it like 1.5"
        )
    return float(run.replace(",", ""))


def _clean(unit: str) -> str:
    """One spelling for a unit: "gal. per minute" is "gal/min", "m^3 / hr" is "m³/h"."""
    unit = " ".join(unit.replace(".", "").replace("- ", " ").split())
    unit = re.sub(r" ?(?:/|\bper\b) ?", "/", unit)
    unit = re.sub(r"/(?:minutes?|mins?)$", "/min", unit)
    unit = re.sub(r"/(?:hours?|hrs?)$", "/h", unit)
    unit = re.sub(r"/(?:seconds?|secs?)$", "/s", unit)
    return re.sub(r"/days?$", "/d", unit)


def _unit(spelling: str) -> _Unit | None:
    return _SPELLED.get(spelling) or _SPELLED.get(spelling.lower())


def _limit_of_second(first: str, second: str) -> int | None:
    # "49'6" is written as often as 49'6".
    units = (_unit(first), _unit('"' if (first, second) == ("'", "") else second))
    for (big, small), limit in _COMPOUNDS.items():
        if units == (_SPELLED[big], _SPELLED[small]):
            return limit
    return None


def _converted(amount: float, spelling: str, value: str, field: _Field) -> float:
    if spelling == "":
        return amount
    target = _SPELLED.get(field.unit)
    source = _unit(spelling)
    if source is None:
        raise ValueError(
            f"{quoted(value)}: {spelling!r} is not a unit known here;"
            f" this field wants {_wants(field)}"
        )
    if target is None or source.kind != target.kind:
        raise ValueError(f"{quoted(value)} is {source.kind}; this field wants {field.wants}")
    # The same unit comes back as it was written, and a conversion without the dust of floats.
    if source is target:
        return amount
    base = amount * source.factor + source.offset
    return float(f"{(base - target.offset) / target.factor:.12g}")


# ------------------------------------------------------------------------------- showing


def show(value: float, unit: str) -> str:
    """A quantity as it is written in the trade; `read` reads it back to the places shown.

    Parameters
    ----------
    value
        The value in the unit.
    unit
        The ending of the field's name: one of `UNITS`, or "" for a number without a unit.

    Raises
    ------
    ValueError
        If the value is not finite, or there is no such unit.

    >>> show(320, "ft"), show(319.88, "ft"), show(1200, "gal"), show(0.45, "gpm")
    ('320 ft', '319.9 ft', '1,200 gal', '0.45 gpm')
    >>> show(0.5, "hp"), show(1.5, "hp"), show(1.25, "in"), show(6.3, "in")
    ('1/2 hp', '1-1/2 hp', '1-1/4 in', '6.3 in')
    >>> show(1, "years"), show(2011, "")
    ('1 year', '2011')
    """
    field = _field(unit)
    if not math.isfinite(value):
        raise ValueError(f"{value} cannot be shown as {field.wants}; it must be a finite number")
    amount = _fraction(value, field) or _decimal(value, field)
    return amount + (field.singular if amount == "1" and field.singular else field.symbol)


def _decimal(value: float, field: _Field) -> str:
    # A year of a model has no unit and no comma either.
    grouping = "," if field.symbol else ""
    text = f"{value:{grouping}.{field.decimals}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _fraction(value: float, field: _Field) -> str:
    """The value as a fraction, where it is one to the places shown; "" where it is none."""
    for bottom in field.fractions:
        top = round(value * bottom)
        if top > 0 and round(top / bottom, field.decimals) == round(value, field.decimals):
            whole, rest = divmod(top, bottom)
            if not rest:
                return f"{whole:,}"
            return f"{whole}-{rest}/{bottom}" if whole else f"{rest}/{bottom}"
    return ""


def digits(value: float) -> str:
    """A number in all its digits and without an exponent, which `read` takes for a unit.

    >>> digits(330), digits(333.3333333), digits(1e-05)
    ('330', '333.3333333', '0.00001')
    """
    return f"{value:.12f}".rstrip("0").rstrip(".")


def split_suffix(field_name: str) -> tuple[str, str]:
    """The words of a field's name and its unit, "" where it ends in none.

    >>> split_suffix("set_depth_ft"), split_suffix("iron_mg_l"), split_suffix("model_year")
    (('set depth', 'ft'), ('iron', 'mg_l'), ('model year', ''))
    """
    if field_name in UNITS:
        return field_name, field_name
    for unit in UNITS:
        name = field_name.removesuffix(f"_{unit}")
        if name and name != field_name:
            return name.replace("_", " "), unit
    return field_name.replace("_", " "), ""
