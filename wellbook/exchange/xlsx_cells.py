"""What a cell of a workbook says: its stored value as the text that a table of text would have.

A number is written without what only the storing adds (2075550147.0), with the zeros in front that
its format shows, and as a date where its format is one. A date that is shown as a month or a year
alone, on the first day of it, is known no better than that.
"""

from __future__ import annotations

import re
from datetime import datetime, time
from decimal import Decimal
from functools import lru_cache

_LITERALS = re.compile(r'"[^"]*"|\\.|\[[^\]]*\]|_.|\*.')
_ZEROS = re.compile(r"[0#()\-.\s/]*")


def number_text(raw: str, code: str, epoch: datetime) -> str:
    """A stored number as text.

    Parameters
    ----------
    raw
        As it is stored.
    code
        The number format of its cell, such as "General", "00000" or "d.m.yyyy".
    epoch
        The day from which this workbook counts.

    >>> from openpyxl.utils.datetime import WINDOWS_EPOCH, MAC_EPOCH
    >>> number_text("2075550147.0", "General", WINDOWS_EPOCH), number_text("432", "00000", WINDOWS_EPOCH)
    ('2075550147', '00432')
    >>> number_text("40677", "m/d/yy", WINDOWS_EPOCH), number_text("39215", "m/d/yy", MAC_EPOCH)
    ('2011-05-14', '2011-05-14')
    >>> number_text("0.15", "0%", WINDOWS_EPOCH), number_text("40664", "mmm-yy", WINDOWS_EPOCH)
    ('15%', '2011-05')
    """
    try:
        value = float(raw)
    except ValueError:
        return raw.strip()
    if not abs(value) < 1e300:
        return raw.strip()
    kind = _kind(code)
    if kind == "date" and (day := _date_text(value, code, epoch)):
        return day
    if kind == "percent":
        return f"{plain(value * 100)}%"
    if kind == "zeros" and value == int(value) >= 0:
        return _filled(int(value), code.split(";", maxsplit=1)[0])
    return plain(value)


def plain(value: float) -> str:
    """A number as a spreadsheet shows it: fifteen digits at most, without an exponent.

    >>> plain(97.5), plain(0.1 + 0.2), plain(1e-5), plain(12.0)
    ('97.5', '0.3', '0.00001', '12')
    """
    if value == int(value) and abs(value) < 1e15:
        return str(int(value))
    text = f"{value:.15g}"
    return format(Decimal(text), "f") if "e" in text else text


@lru_cache(maxsize=512)
def _kind(code: str) -> str:
    from openpyxl.styles.numbers import is_date_format

    first = code.split(";", maxsplit=1)[0]
    bare = _LITERALS.sub("", first)
    if is_date_format(code) and not re.search(r"\[h+\]|\[m+\]|\[s+\]", code, re.IGNORECASE):
        return "date"
    if "%" in bare:
        return "percent"
    whole = bare.split(".")[0] if "." not in bare else ""
    shown = re.sub(r'"|\\', "", first)
    return "zeros" if whole.count("0") > 1 and _ZEROS.fullmatch(shown) else ""


def _filled(value: int, code: str) -> str:
    """A whole number in a format such as 00000 or 000-0000, filled from its last digit on."""
    code = re.sub(r'"|\\', "", code)
    digits = str(value)
    out: list[str] = []
    for sign in reversed(code):
        if sign not in "0#":
            out.append(sign)
        elif digits:
            out.append(digits[-1])
            digits = digits[:-1]
        elif sign == "0":
            out.append("0")
    return digits + "".join(reversed(out)).strip()


def _date_text(value: float, code: str, epoch: datetime) -> str:
    from openpyxl.utils.datetime import from_excel

    try:
        day = from_excel(value, epoch)
    except (OverflowError, ValueError):
        return ""
    if isinstance(day, time):
        return day.isoformat("minutes")
    if not isinstance(day, datetime):
        return ""
    if (day.hour, day.minute, day.second) != (0, 0, 0):
        return day.isoformat(" ", "minutes")
    shown = _LITERALS.sub("", code.split(";", maxsplit=1)[0].lower())
    if "y" in shown and "d" not in shown and day.day == 1:
        return f"{day:%Y-%m}" if "m" in shown or day.month != 1 else f"{day:%Y}"
    return day.date().isoformat()
