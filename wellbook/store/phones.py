"""Telephone numbers as people write them, read into E.164 (ITU-T E.164) where they are valid.

Two numbers in one cell, an extension, "(cell)", letters: what can be read is read. A number that is
not a valid one is kept as it was written, and nothing is invented for it. The reader is the
`phonenumbers` library, which is loaded only where a number is read.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from sqlalchemy import Connection, select

from wellbook.store import tables as t

_PARTED = re.compile(r"\s*(?:[/;,|\n]|&|\b(?:or|and)\b)\s*", re.IGNORECASE)
_EXTENSION = re.compile(r"\s*(?:\b(?:ext(?:ension|n)?\.?|x)|#)\s*:?\s*(\d{1,7})\b.*", re.IGNORECASE)
_WORDS = re.compile(r"\([^()\d]*\)|[^\W\d_][^\W\d_'’.]*[.:]?")
_WRITTEN = re.compile(r"\s*\(written [^()]*\)")
_FEWEST = 7
"""Digits of the shortest local number; a number of fewer is written with letters, or is none."""
_TAIL = re.compile(r"\W*\d{3,4}\W*")


@dataclass(frozen=True, slots=True)
class Phone:
    """One telephone number.

    Parameters
    ----------
    value
        As it is to be kept and shown: as it was written.
    digits
        Its digits, without the extension, for finding it.
    e164
        The number, where it is a valid one; else "".
    doubt
        One line of what is doubtful, or was completed; "" where nothing is.
    """

    value: str
    digits: str
    e164: str
    doubt: str = ""


@dataclass(frozen=True, slots=True)
class Numbering:
    """Where a number that says neither country nor area belongs.

    Parameters
    ----------
    country
        Two letters (ISO 3166-1).
    area_code
        The shop's own, which completes a local number; "" leaves it as it is.
    """

    country: str = "US"
    area_code: str = ""

    @classmethod
    def of_book(cls, connection: Connection) -> Numbering:
        """As the shop says."""
        query = select(t.shop_fact.c.name, t.shop_fact.c.value).where(
            t.shop_fact.c.name.in_(("country", "area_code"))
        )
        return cls(**{row.name: row.value for row in connection.execute(query)})


def read_phones(text: str, numbering: Numbering) -> tuple[Phone, ...]:
    """All numbers of one cell, in their order; none where it has no digits.

    >>> [p.e164 for p in read_phones("cell 207-555-0147 x12", Numbering())]
    ['+12075550147']
    >>> [(p.value, p.e164) for p in read_phones("207-555-0147 / 0148", Numbering())]
    [('207-555-0147', '+12075550147'), ('207-555-0148 (written 0148)', '+12075550148')]
    >>> [(p.value, p.e164) for p in read_phones("555-0147", Numbering())]
    [('555-0147', '')]
    """
    text = " ".join(text.split())
    if not any(c.isdigit() for c in text):
        return ()
    whole = _one(text, numbering)
    # A stroke may stand within one number: 207/555-0147.
    if whole.e164 and whole.e164.endswith("".join(c for c in _bare(text) if c.isdigit())):
        return (whole,)
    parts = [p for p in _PARTED.split(text) if p]
    for some in (parts, _at_matches(text, numbering)):
        found = tuple(_parts(some, numbering))
        if len(found) > 1 and (all(p.e164 for p in found) or _several(found)):
            return found
    return (whole,)


def _at_matches(text: str, numbering: Numbering) -> list[str]:
    """A cell cut behind each valid number in it, with the words before the number."""
    import phonenumbers as library

    ends = [match.end for match in library.PhoneNumberMatcher(text, numbering.country)]
    cuts = [0, *ends[:-1], len(text)]
    return [text[a:b].strip() for a, b in pairwise(cuts)]


def _several(found: tuple[Phone, ...]) -> bool:
    """Whether each part is long enough to be a number by itself."""
    return all(len(p.digits) >= _FEWEST for p in found)


def _parts(parts: list[str], numbering: Numbering) -> Iterator[Phone]:
    before: Phone | None = None
    for part in parts:
        if not any(c.isdigit() for c in part):
            continue
        phone = _one(part, numbering)
        if not phone.e164 and before and before.e164 and _TAIL.fullmatch(part):
            phone = _after(before, part, re.sub(r"\D", "", part), numbering)
        yield phone
        before = phone if phone.e164 else None


def _after(before: Phone, part: str, tail: str, numbering: Numbering) -> Phone:
    """The number whose end alone was written, behind another: "207-555-0147 / 0148"."""
    written = _EXTENSION.sub("", _WRITTEN.sub("", before.value)).strip()
    ends = re.search(rf"\d{{{len(tail)}}}(?!\d)(?!.*\d)", written)
    if ends is None:
        return _one(part, numbering)
    full = _one(written[: ends.start()] + tail, numbering)
    said = f"{written[: ends.start()]}{tail} (written {part})"
    doubt = f"'{part}' is taken for {full.e164}, as the number before it begins"
    return Phone(said, full.digits, full.e164, doubt) if full.e164 else _one(part, numbering)


def _one(text: str, numbering: Numbering) -> Phone:
    """One number of what is taken for one."""
    bare = _bare(text)
    digits = "".join(c for c in bare if c.isdigit())
    e164, doubt = _valid(bare, digits, numbering)
    if not e164:
        inside = _inside(text, numbering)
        e164, doubt = (inside, "") if inside else ("", doubt)
    if e164 and not (digits and e164.endswith(digits[-_FEWEST:])):
        # Written with letters, or with other figures behind it.
        digits = e164.lstrip("+")
    return Phone(text, digits or re.sub(r"\D", "", text), e164, doubt)


def _inside(text: str, numbering: Numbering) -> str:
    """The one valid number that stands among other words and figures ("... after 6"); else ""."""
    import phonenumbers as library

    found = [match.number for match in library.PhoneNumberMatcher(text, numbering.country)]
    if len(found) != 1:
        return ""
    return str(library.format_number(found[0], library.PhoneNumberFormat.E164))


def _bare(text: str) -> str:
    """The number alone: no extension, and no words unless they are part of it (1-800-...)."""
    text = _WRITTEN.sub("", text)
    number = _EXTENSION.sub("", text) if re.match(r".*\d.*\d.*\d", text) else text
    without = _WORDS.sub(" ", number)
    return without if sum(c.isdigit() for c in without) >= _FEWEST else number


def _valid(bare: str, digits: str, numbering: Numbering) -> tuple[str, str]:
    """The number in E.164, and what is doubtful of it."""
    import phonenumbers as library

    try:
        number = library.parse(bare, numbering.country)
    except library.NumberParseException:
        return "", f"'{bare.strip()}' is no telephone number; it is kept as it was written"
    e164 = library.PhoneNumberFormat.E164
    if library.is_valid_number(number):
        return library.format_number(number, e164), ""
    fit = library.is_possible_number_with_reason(number)
    if fit != library.ValidationResult.IS_POSSIBLE_LOCAL_ONLY:
        return "", f"'{bare.strip()}' is no number that can be rung; it is kept as it was written"
    if not numbering.area_code:
        return "", (
            f"'{bare.strip()}' has no area code; it is kept as it was written (the shop's own"
            " completes it: wellbook shop set area_code)"
        )
    try:
        full = library.parse(numbering.area_code + digits, numbering.country)
    except library.NumberParseException:  # pragma: no cover - digits alone are always parsed
        return "", ""
    if not library.is_valid_number(full):
        return "", f"'{bare.strip()}' is no number that can be rung; it is kept as it was written"
    shown = library.format_number(full, e164)
    return shown, f"'{bare.strip()}' is taken for {shown}, with the shop's area code"


def shown(e164: str) -> str:
    """A number as its country writes it, with the country's code.

    >>> shown("+12075550147")
    '+1 207-555-0147'
    """
    import phonenumbers as library

    number = library.parse(e164)
    return str(library.format_number(number, library.PhoneNumberFormat.INTERNATIONAL))


def written_out(value: str, e164: str) -> bool:
    """Whether what was written says the whole number, with or without the country's code.

    >>> written_out("207-555-0147 x12", "+12075550147"), written_out("555-0147", "+12075550147")
    (True, False)
    """
    import phonenumbers as library

    national = str(library.parse(e164).national_number)
    return national in "".join(c for c in value if c.isdigit())


def is_country(code: str) -> bool:
    """Whether a code of two letters names a country whose numbers are known."""
    import phonenumbers as library

    return code in library.SUPPORTED_REGIONS
