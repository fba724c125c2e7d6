"""Contacts as phones and mail programs write them: each card is a row under a fixed header.

What has no field of its own (a fourth telephone, a second address, a fax, the firm of a person) is
kept in the notes.
"""

from __future__ import annotations

import re
from codecs import BOM_UTF8, BOM_UTF16_BE, BOM_UTF16_LE
from collections.abc import Iterable, Iterator
from dataclasses import replace
from itertools import islice
from pathlib import Path

from wellbook.errors import WellbookError
from wellbook.exchange.csv_rows import FileRow
from wellbook.exchange.encodings import ODD, encoding_of, mended, opened
from wellbook.exchange.layout import Layout
from wellbook.exchange.mapping import WellMapping
from wellbook.exchange.vcard_lines import (
    Property,
    RawCard,
    parted,
    properties,
    raw_cards,
    unescaped,
)
from wellbook.exchange.well_record import Remark, reason_of

HEADER = (
    *("name", "first name", "last name", "organisation", "phone", "phone 2", "phone 3"),
    *("email", "email 2", "road", "town", "region", "postcode", "country", "notes"),
)
TARGETS = {
    **{"name": "customer.name", "first name": "customer.first_name"},
    **{"last name": "customer.last_name", "phone": "customer.phone", "phone 2": "customer.phone_2"},
    **{"phone 3": "customer.phone_3", "email": "customer.email", "email 2": "customer.email_2"},
    **{name: name for name in ("road", "town", "region", "postcode")},
    "notes": "customer.notes",
}
"""What each column is read as; the country and, beside a name, the organisation have no field."""
_SAMPLE = 400
_REASON = "X-REASON"


def begins(head: bytes) -> bool:
    """Whether a file that begins so is one of contacts."""
    for mark in (BOM_UTF8, BOM_UTF16_LE, BOM_UTF16_BE):
        head = head.removeprefix(mark)
    return re.match(rb"\s*BEGIN:VCARD", head.replace(b"\0", b""), re.IGNORECASE) is not None


def look(path: Path) -> Layout:
    """How contacts are written, and the first of them.

    Raises
    ------
    WellbookError
        If the file is no text.
    """
    encoding = _encoding(path)
    rows = [tuple(r.cells) for r in islice(_rows(path, encoding), _SAMPLE) if not r.fault]
    return Layout(encoding, ",", 1, HEADER, tuple(rows), form="vcard")


def header_of(path: Path, mapping: WellMapping) -> tuple[str, ...]:  # noqa: ARG001
    """The header that all contacts have."""
    return HEADER


def data_rows(path: Path, mapping: WellMapping) -> Iterator[FileRow]:
    """The cards, each a row, whose number is that of the line on which it begins."""
    return _rows(path, mapping.encoding)


def write_refused(
    path: Path, source_path: Path, rows: Iterable[tuple[list[str], list[Remark]]]
) -> None:
    """Write the cards that are refused as they stood, each with the reason as an X- property.

    Raises
    ------
    OSError
        If it cannot be written.
    """
    why = {remarks[0].row: reason_of(remarks) for _, remarks in rows if remarks}
    with path.open("w", encoding="utf-8", newline="") as file:
        for card in _cards(source_path, _encoding(source_path)):
            if card.number in why:
                # What stands in no card is written as one, so that the file is one of contacts.
                stray = not card.lines[0].strip().upper().startswith("BEGIN")
                lines = ["BEGIN:VCARD\r\n", *card.lines, "END:VCARD\r\n"] if stray else card.lines
                first, *rest = lines
                said = re.sub(r"([\\,;])", r"\\\1", why[card.number]).replace("\n", " ")
                kept = [x for x in rest if not x.upper().startswith(_REASON)]
                file.writelines([first, f"{_REASON}:{said}\r\n", *kept])


def _encoding(path: Path) -> str:
    try:
        with path.open("rb") as file:
            return encoding_of(file, str(path))
    except OSError as error:
        raise WellbookError(error.strerror or "cannot be read", where=str(path)) from None


def _cards(path: Path, encoding: str) -> Iterator[RawCard]:
    try:
        with opened(path, encoding, newline=None) as file:
            for card in raw_cards(file):
                lines = [mended(line) for line in card.lines]
                odd = lines != card.lines
                yield replace(card, lines=lines, fault=card.fault or ODD) if odd else card
    except OSError as error:
        raise WellbookError(error.strerror or "cannot be read", where=str(path)) from None
    except UnicodeError:
        raise WellbookError(f"it is no text in {encoding}", where=str(path)) from None
    except WellbookError as error:
        raise WellbookError(error.message, where=str(path)) from None


def _rows(path: Path, encoding: str) -> Iterator[FileRow]:
    for card in _cards(path, encoding):
        try:
            said = {} if card.fault else _told(list(properties(card)))
            fault = card.fault or ("" if any(said.values()) else "a card without a name or number")
        except ValueError as error:
            said, fault = {}, str(error)
        if fault:
            said = {"name": "".join(card.lines[1:4]).strip()[:80]}
        yield FileRow(card.number, [said.get(name, "") for name in HEADER], fault)


def _told(said: list[Property]) -> dict[str, str]:
    of = {p.name: p for p in reversed(said)}
    row = dict.fromkeys(HEADER, "")
    notes = [unescaped(p.value).strip() for p in said if p.name == "NOTE"]
    family, given, *_ = [*parted(of["N"].value), "", ""] if "N" in of else ("", "")
    organisation = ", ".join(x for x in parted(of["ORG"].value) if x) if "ORG" in of else ""
    full = unescaped(of["FN"].value).strip() if "FN" in of else ""
    row |= {"first name": given, "last name": family, "organisation": organisation}
    notes += [f"of {organisation}"] if organisation and (full or given or family) else []
    row["name"] = full or f"{given} {family}".strip() or organisation
    _spread(row, notes, ("phone", "phone 2", "phone 3"), _telephones(said, notes))
    _spread(row, notes, ("email", "email 2"), _values(said, "EMAIL"))
    places = [_place(p) for p in sorted(_named(said, "ADR"), key=_rank)]
    places = [p for p in places if any(p.values())]
    row |= places[0] if places else {}
    notes += [f"also: {', '.join(v for v in p.values() if v)}" for p in places[1:]]
    row["notes"] = "\n".join(n for n in notes if n)
    return row if any(row[n] for n in HEADER if n not in ("notes", "country")) else {}


def _named(said: list[Property], name: str) -> list[Property]:
    return [p for p in said if p.name == name and p.value.strip("; \t")]


def _rank(one: Property) -> tuple[int, bool]:
    return one.preferred, "HOME" not in one.words


def _values(said: list[Property], name: str) -> list[str]:
    found = sorted(_named(said, name), key=lambda p: p.preferred)
    return [unescaped(p.value).strip().removeprefix("mailto:") for p in found]


def _telephones(said: list[Property], notes: list[str]) -> list[str]:
    numbers = []
    for one in sorted(_named(said, "TEL"), key=lambda p: p.preferred):
        number = re.sub(r"^tel:", "", unescaped(one.value).strip(), flags=re.IGNORECASE)
        number = re.sub(r";ext=", " x", number, flags=re.IGNORECASE).partition(";")[0]
        if any("FAX" in word for word in one.words) and not one.words & {"VOICE", "CELL"}:
            notes.append(f"fax {number}")
        elif number not in numbers:
            numbers.append(number)
    return numbers


def _spread(
    row: dict[str, str], notes: list[str], names: tuple[str, ...], values: list[str]
) -> None:
    row |= dict(zip(names, values, strict=False))
    if more := values[len(names) :]:
        notes.append(f"also: {', '.join(more)}")


def _place(one: Property) -> dict[str, str]:
    parts = [" ".join(p.split()) for p in parted(one.value)]
    box, extended, street, town, region, postcode, country, *_ = [*parts, *[""] * 7]
    road = ", ".join(p.rstrip(",") for p in (box, extended, street) if p)
    return {
        **{"road": road, "town": town, "region": region},
        **{"postcode": postcode, "country": country},
    }
