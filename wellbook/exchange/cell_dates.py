"""Dates as programs and people write them in cells, brought to the form of ISO 8601-2.

A number alone is told by its length: thirteen digits are milliseconds since 1970, ten are seconds,
eight a day (YYYYMMDD), five the days that a spreadsheet counts from the end of 1899, four a year. A
year of two digits is the last such year that is not ahead.
"""

from __future__ import annotations

import re
from datetime import date, timedelta

SLASHED = re.compile(r"(\d{1,2})[/.-](\d{1,2})[/.-](\d{4}|\d{2})(?!\d)")
_TIME = re.compile(r"(?:[T,]|\s)\s*\d{1,2}(?::\d\d.*|\s*[ap]\.?m\.?)$", re.IGNORECASE)
_WEEKDAY = re.compile(
    r"^(?:(?:mon|tue|wed|thu|fri|sat|sun|(?:diens|donners|frei|sams|sonn)tag|mittwoch)[a-z]*\.?,?\s+(?=\S)"
    # "mar" by itself is March.
    r"|(?:lun|mardi|martes|mer|mi[eé]|jeu|jue|ven|vie|sam|s[aá]b|dim|dom)\w*\.?,?\s+(?=\d))",
    re.IGNORECASE,
)
SHORT_YEAR = re.compile(r"(\d{1,2})[ -]([A-Za-z]{3,9})\.?[ -]'?(\d{2})")
_MONTHS = dict(
    pair.split("=")
    for pair in """
    enero=January febrero=February marzo=March abril=April mayo=May junio=June julio=July
    agosto=August septiembre=September setiembre=September octubre=October noviembre=November
    diciembre=December ene=January abr=April ago=August dic=December
    janvier=January fevrier=February février=February mars=March avril=April mai=May juin=June
    juillet=July aout=August août=August septembre=September octobre=October novembre=November
    decembre=December décembre=December janv=January fevr=February févr=February avr=April
    juil=July déc=December
    janeiro=January fevereiro=February março=March maio=May junho=June julho=July setembro=September
    outubro=October novembro=November dezembro=December fev=February mai=May set=September out=October
    januar=January februar=February märz=March maerz=March juni=June juli=July oktober=October
    dezember=December mär=March okt=October dez=December
    """.split()
)
_MONTH_YEAR = re.compile(r"([A-Za-z]{3,9})\.?[ -]'?(\d{2})")
_SEASON = re.compile(r"(spring|summer|fall|autumn|winter)(?: of)?[ ,]*'?(\d{2})", re.IGNORECASE)
_YEAR = re.compile(r"['’‘](\d{2})")
_YEAR_MONTH = re.compile(r"(\d{4})/(\d{1,2})")
_NO_DATE = re.compile(
    r"0+|-?9{4,}|-8{4,}|(?:0?1[/.-]0?[01][/.-]|0?[01][/.-]0?1[/.-])1900|1900-?01-?0[01]|1899-?12-?3[01]"
    r"|(?:12[/.-]3[01]|3[01][/.-]12)[/.-]1899|0{1,4}[/.-]0{1,2}[/.-]0{1,4}"
    r"|\d{1,2}[ /.-](?:\d{1,2}|dec)[ /.-]9999|9999-?\d\d-?\d\d|0001-?01-?01|(?:0?1[/.-]){2}0?001",
    re.IGNORECASE,
)
"""What programs write where no date is known: the first or last that they can hold, or nothing but
one digit (common practice, no published source)."""
_EPOCH = date(1970, 1, 1)
_ENGLISH = frozenset("jan feb mar apr may jun jul aug sep oct nov dec".split())
SERIALS = range(20_000, 80_000)
"""Days as a spreadsheet counts them, in the years 1954 to 2119: no other date has five digits."""
SERIAL_ZERO = date(1899, 12, 30)
"""From which a spreadsheet's days count, from March 1900 on (it has a 29 February 1900)."""


def as_iso(text: str, order: str, today: date) -> tuple[str, str]:
    """A date in the standard's form as far as it can be, else as it stands, and what is doubtful.

    Parameters
    ----------
    text
        One cell.
    order
        "dmy", "mdy", or "" where nobody knows: a date that can be two days is then between them.
    today
        The day by which a year of two digits is told.

    >>> day = date(2026, 11, 25)
    >>> [as_iso(t, "", day)[0] for t in ("40677", "1305331200", "1305331200000", "20110514", "2011.0")]
    ['2011-05-14', '2011-05-14', '2011-05-14', '2011-05-14', '2011']
    >>> [as_iso(t, "mdy", day)[0] for t in ("5/14/98", "14-May-26", "5/14/2011 1:30 PM", "14. Mai 2011")]
    ['1998-05-14', '14 May 2026', '2011-05-14', '14. May 2011']
    >>> [as_iso(t, "", day)[0] for t in ("March 2011", "14 Mar 2011", "mardi 14 mars 2011", "'87")]
    ['March 2011', '14 Mar 2011', '14 March 2011', '1987']
    >>> as_iso("02/03/2001", "", day)
    ('2001-02-03/2001-03-02', 'it can be 2001-02-03 or 2001-03-02; kept as between the two')
    """
    text = _TIME.sub("", _WEEKDAY.sub("", text, count=1)).strip()
    text = re.sub(r"^(-?\d{4,14})\.0+$", r"\1", text)
    if _NO_DATE.fullmatch(text):
        return "unknown", "a date that programs write where none is known; taken as not known"
    if day := of_number(text):
        return day.isoformat(), ""
    if found := SLASHED.fullmatch(text):
        if "00" in (f"{found[1]:0>2}", f"{found[2]:0>2}"):
            return _year(found[3], today), ""  # a day or a month of nothing is not known
        return _slashed(found, order, today)
    if found := SHORT_YEAR.fullmatch(text):
        text = f"{found[1]} {found[2]} {_year(found[3], today)}"
    if (found := _MONTH_YEAR.fullmatch(text)) and _month(found[1])[:3].lower() in _ENGLISH:
        # As spreadsheets show a month; of a year beyond 31 it can be nothing else.
        iso = f"{_month(found[1])} {_year(found[2], today)}"
        doubt = "" if int(found[2]) > 31 else f"it is read as {iso}; it can be a day of that month"
        return iso, doubt
    if found := _YEAR.fullmatch(text):
        return _year(found[1], today), ""
    if found := _SEASON.fullmatch(text):
        return f"{found[1].lower()} {_year(found[2], today)}", ""
    if (found := _YEAR_MONTH.fullmatch(text)) and int(found[2]) in range(1, 13):
        return f"{found[1]}-{int(found[2]):02}", ""
    if (
        found := re.fullmatch(r"(1[89]\d\d|20\d\d)(\d\d)(?:00)?|(1[89]\d\d|20\d\d)0000", text)
    ) and (found[3] or found[2] == "00" or int(found[2]) in range(1, 13)):
        return (found[3] or (found[1] if found[2] == "00" else f"{found[1]}-{found[2]}")), ""
    if found := re.fullmatch(r"(\d{4})-(\d\d)-00", text):
        return (found[1] if found[2] == "00" else f"{found[1]}-{found[2]}"), ""
    text = re.sub(r"\s+del?\s+", " ", text)
    return re.sub(r"[^\W\d_]{3,}", lambda w: _MONTHS.get(w[0].lower(), w[0]), text), ""


def _month(word: str) -> str:
    return _MONTHS.get(word.lower(), word)


def of_number(text: str) -> date | None:
    """The day of a number alone; None where it is no such number, or a year.

    >>> of_number("40677"), of_number("40677.5"), of_number("2011"), of_number("-86400000000")
    (datetime.date(2011, 5, 14), datetime.date(2011, 5, 14), None, datetime.date(1967, 4, 7))
    """
    if re.fullmatch(r"\d{5}(?:\.\d+)?", text):
        days = int(text[:5])
        return SERIAL_ZERO + timedelta(days=days) if days in SERIALS else None
    if not re.fullmatch(r"-?\d{8,14}", text):
        return None
    digits = text.lstrip("-")
    if len(digits) in (8, 14) and not text.startswith("-"):
        try:
            return date(int(text[:4]), int(text[4:6]), int(text[6:8]))
        except ValueError:
            return None
    if len(digits) == 10 and digits[0] != "1":
        return None  # ahead of every record, and so begins a telephone number
    seconds = int(text) / (1000 if len(digits) > 10 else 1)
    return _EPOCH + timedelta(seconds=seconds) if len(digits) in range(9, 14) else None


def _slashed(found: re.Match[str], order: str, today: date) -> tuple[str, str]:
    one, two, year = found[1], found[2], _year(found[3], today)
    month_first, day_first = f"{year}-{one:0>2}-{two:0>2}", f"{year}-{two:0>2}-{one:0>2}"
    if not order and one != two and max(int(one), int(two)) <= 12:
        first, last = sorted((month_first, day_first))
        return f"{first}/{last}", f"it can be {first} or {last}; kept as between the two"
    day_leads = order == "dmy" or (not order and int(one) > 12)
    return (day_first if day_leads else month_first), ""


def _year(digits: str, today: date) -> str:
    if len(digits) == 4:
        return digits
    year = today.year // 100 * 100 + int(digits)
    return str(year if year <= today.year else year - 100)
