"""What the cells of a column look like: by this they speak for or against what its header says.

The tests are of form alone and know nothing of this file: a telephone number has the form of one,
a depth is a number. What has one form may be another thing (a year is a number too), so a column is
asked "could this be what its header says", and only a file without headers "what could this be".
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence
from datetime import date

from wellbook.dates import When
from wellbook.exchange.cell_dates import as_iso
from wellbook.exchange.cell_places import both, degrees
from wellbook.exchange.mapping import OF_A_PART, is_date, unit_of

_LOOKED_AT = 60
_NUMBER = re.compile(r"[-+]?[\d.,]*\d[\d.,]*(?:\s?[\d/]+)?")
_MEASURED = re.compile(
    r"[-+~]?\s*[\d.,/ -]*\d[\d.,]*\s*(?:['\"′″’”]|[a-z/³.]+)?(?:\s*\d*\s*\")?", re.I
)
_DATED = re.compile(r"\d{1,2}([/-])\d{1,2}\1\d{2}|\d{4}([/-])\d{1,2}\2\d{1,2}")
_PHONE = re.compile(
    r"(?:tel:)?(?:\+\d[\d ().-]{6,18}\d|1?[ .-]?\(?[2-9]\d{2}\)?[ ./-]?\d{3}[ .-]?\d{4}|\d{3}[ -]\d{4}"
    r"|0\d{1,4}[ /-][\d -]{5,11}\d|\(\d{2,5}\) ?\d{3,5}[ -]?\d{4})"
    r"(?:\s*(?:x|ext\.?|;ext=)\s*\d{1,6})?(?:\s*\(?[a-z]+\.?\)?)?",
    re.IGNORECASE,
)
_PHONES_PARTED = re.compile(r"\s*(?:[/;,&|\n]|\bor\b|\band\b)\s*", re.IGNORECASE)
_WITH_PHONE = re.compile(rf"(.*[^\W\d_]{{2}}\.?)\W+(?:{_PHONE.pattern})\W*", re.IGNORECASE)
_EMAIL = re.compile(r"[^@\s<>]+@[^@\s<>]+\.[A-Za-z]{2,}")
_POSTCODE = re.compile(
    r"\d{5}(?:-?\d{4}|-\d{3})?|\d{4}|[A-Z]\d[A-Z] ?\d[A-Z]\d|[A-Z]{1,2}\d[A-Z\d]? ?\d[A-Z]{2}",
    re.IGNORECASE,
)
_WORDS = re.compile(r".*[^\W\d_]{2}")
_NAME = re.compile(
    r"(?:[^\W\d_][\w.'’-]*,?(?:\s+(?:&|and|und|et|y|[^\W\d_][\w.'’-]*))+|[^\W\d_]{2,}, ?[^\W\d_]{2,}.*)"
)
_ROAD = re.compile(
    r"(?:#?\d+[A-Z]?(?:-\d+)?\s+(?:[NSEW]\.?\s+)?[^\W\d_]{2,}.*"
    r"|.*\b(?:st|street|rd|road|ave?|avenue|lane|ln|dr|drive|hwy|highway|route|rte|ct|court|way|blvd"
    r"|circle|cir|pl|place|trail|loop|strasse|straße|rue|calle)\.?(?:\s+\d+\w*)?)",
    re.IGNORECASE,
)
_EQUIPMENT = re.compile(
    r".*\d\s*(?:hp|h\.p\.)\b|.*\d\s*gpm\b|.*\b(?:sub|jet|pump|submersible)\b", re.I
)
_RATE = re.compile(r"[\d.,+ -]+\s*(?:gpm|gal.*|g\.p\.m\.)", re.IGNORECASE)
_GAUGE = re.compile(r"#?\d{1,2}(?:/0)?\s*(?:awg|ga(?:uge)?)?", re.IGNORECASE)
_ID = re.compile(r"[A-Za-z]{0,6}[ ._/-]?\d[\w ./-]{0,20}|[A-Z]{1,6}[\w-]{0,12}")
_SAID_ON = date(2200, 1, 1)
"""For words such as "10 years old": by this only whether they are a date is told."""


def is_phone(text: str) -> bool:
    """Whether a cell has the form of a telephone number, or of several.

    >>> is_phone("207-555-0147 / 555-0200"), is_phone("5/14/2011"), is_phone("home 207-555-0147")
    (True, False, False)
    """
    if _PHONE.fullmatch(text):
        return True
    parts = [p for p in _PHONES_PARTED.split(text) if p]
    return len(parts) > 1 and all(_PHONE.fullmatch(p) for p in parts)


def is_with_phone(text: str) -> bool:
    """Whether a telephone number stands behind the words of a cell.

    >>> is_with_phone("Jo Lea 207-555-0147"), is_with_phone("12 Mill Rd")
    (True, False)
    """
    return _WITH_PHONE.fullmatch(text) is not None


def name_before_phone(text: str) -> str:
    """A name without the telephone number behind it.

    >>> name_before_phone("Jo Lea (207) 555-0147"), name_before_phone("207-555-0147")
    ('Jo Lea', '')
    """
    if found := _WITH_PHONE.fullmatch(text):
        return found[1].strip()
    return "" if is_phone(text) else text


def is_email(text: str) -> bool:
    """Whether a cell has the form of an e-mail address."""
    return _EMAIL.fullmatch(text) is not None


def is_equipment(text: str) -> bool:
    """Whether a cell tells of a pump in words, such as "1/2hp 7gpm 2011 @ 240"."""
    return _EQUIPMENT.match(text) is not None and len(text) > 4


def is_pump_line(text: str) -> bool:
    """Whether a cell is so sure to tell of a pump that no header need say it: a rate alone is none.

    >>> is_pump_line("1/2hp 7gpm 2011 @ 240"), is_pump_line("10 gpm"), is_pump_line("Submersible")
    (True, False, False)
    """
    return is_equipment(text) and text[0].isdigit() and _RATE.fullmatch(text) is None


def is_road(text: str) -> bool:
    """Whether a cell has the form of a street address."""
    return _ROAD.fullmatch(text) is not None


def is_name(text: str) -> bool:
    """Whether a cell has the form of a person's or a firm's name, of two words at least."""
    return _NAME.fullmatch(text) is not None and not is_road(text)


def is_words(text: str) -> bool:
    """Whether a cell has letters in it."""
    return _WORDS.match(text) is not None


def is_postcode(text: str) -> bool:
    """Whether a cell has the form of a postcode."""
    return _POSTCODE.fullmatch(text) is not None


def is_day(text: str) -> bool:
    """Whether a cell can be read as a date, as sure or unsure as it may be."""
    iso, _ = as_iso(text, "", _SAID_ON)
    if re.fullmatch(r"\d+", iso) and len(iso) != 4:
        return False
    try:
        When.parse(iso, said_on=_SAID_ON)
    except ValueError as error:
        return "two days" in str(error) or "two years" in str(error)
    return True


def is_of_axis(axis: str) -> Callable[[str], bool]:
    """Whether a cell can be a latitude, or a longitude, or has both."""
    limit = 90 if axis == "latitude" else 180

    def fits(text: str) -> bool:
        try:
            return abs(degrees(text, axis)) <= limit
        except ValueError:
            return False

    return fits


def is_pair(text: str) -> bool:
    """Whether a cell holds latitude and longitude."""
    return both(text) is not None


def _is_measured(text: str) -> bool:
    return _MEASURED.fullmatch(text) is not None and _DATED.match(text) is None


def _is_width(text: str) -> bool:
    """Of a casing: the number of a row of a table of casings, of five digits, is none."""
    return _is_measured(text) and re.match(r"\D*\d{5}", text) is None


def _is_id(text: str) -> bool:
    return _ID.fullmatch(text) is not None and any(c.isdigit() for c in text)


_WORDY = frozenset(
    "name road town region driller use customer.name customer.first_name customer.last_name"
    " customer.post visit.crew visit.reason visit.notes well_head pump.maker pipe.material".split()
)


def fit_of(target: str) -> Callable[[str], bool] | None:
    """Whether one cell could be a target's; None where any text could.

    >>> [fit_of(t)("320") for t in ("drilled_on", "depth_ft", "customer.phone", "town")]
    [False, True, False, False]
    """
    if target == "visit.on" or is_date(target):
        return is_day
    if target in ("latitude", "longitude"):
        return is_of_axis(target)
    if target.startswith("customer.phone"):
        return is_phone
    if target.startswith("customer.email"):
        return is_email
    if target == "cable.awg":
        return lambda text: _GAUGE.fullmatch(text) is not None
    if target == "pipe.nominal_in":
        return lambda text: _is_measured(text) and not re.match(r"\d{2}", text)
    if target.endswith("diameter_in"):
        return _is_width
    if unit_of(target):
        return _is_measured
    others = {"key": _is_id, "postcode": is_postcode, "equipment": is_words}
    if target in others:
        return others[target]
    if target in _WORDY or (target in OF_A_PART and target.endswith(".type")):
        return is_words
    return None


def share(values: Sequence[str], test: Callable[[str], bool]) -> float:
    """How many of the first cells pass a test, from 0 to 1; cells without a value are left out."""
    looked = values[:_LOOKED_AT]
    return sum(map(test, looked)) / len(looked) if looked else 0.0


def said(column: Iterable[str]) -> list[str]:
    """The cells of a column that say something, without blanks around them."""
    return [c for cell in column if not is_blank(c := " ".join(cell.split()))]


_BLANK = frozenset(
    {
        *("", "na", "n/a", "n.a.", "n.a", "nan", "null", "<null>", "(null)", "none", "nil", "#n/a"),
        *("-", "--", "---", "?", "??", "???", "unk", "unk.", "unknown", "not known", "n/k"),
        *("not available", "not recorded", "not reported", "not measured", "no data", "nodata"),
        *("missing", "blank"),
    }
)
_FILLED = re.compile(r"-(?:9{3,}|8{4,})(?:\.[09]+)?|-?(?:9{5,})(?:\.[09]+)?|-?1e\+?3\d|-32768")


def is_blank(text: str) -> bool:
    """Whether a cell says that nothing is known: in words, or by a number that programs fill in.

    Those numbers are of nines or eights, below zero or longer than any depth; the least whole number
    of two bytes is another (common practice, no published source).

    >>> [t for t in ("NA", "-9999", "-999.00", "99999", "Unknown", "-99", "999", "0") if is_blank(t)]
    ['NA', '-9999', '-999.00', '99999', 'Unknown']
    """
    plain = text.strip().lower()
    return plain in _BLANK or _FILLED.fullmatch(plain) is not None
