"""The customers as contacts: vCard 4.0 (RFC 6350), for a telephone or a mail program.

It is 4.0 and not 3.0 because only it says a number as what it is, a `tel:` URI of the whole world's
numbering (6.4.1), and is always UTF-8. A reader of 3.0 finds name, address, e-mail and note where it looks
for them, and the number behind `tel:`. What is not known to be a valid number stays as it was written.
"""

from __future__ import annotations

import re
import uuid
from collections.abc import Iterator
from datetime import date
from pathlib import Path

from sqlalchemy import Connection, select

from wellbook.exchange.customer_lines import CustomerLine, customer_lines
from wellbook.plain_text import clean
from wellbook.store import tables as t
from wellbook.store.book import Book
from wellbook.store.forgotten import NOBODY
from wellbook.whole_files import new_file

_LONGEST_OCTETS = 75
"""Of a line, without its end (RFC 6350, 3.2)."""


def write_cards(book: Book, path: Path, today: date) -> int:
    """Write a card for each customer, but for whoever was forgotten on his wish.

    Returns
    -------
    How many they are.

    Raises
    ------
    WellbookError
        If there is something of that name, or it cannot be written.
    """
    count = 0
    with (
        new_file(path) as part,
        book.reading() as connection,
        part.open("x", encoding="utf-8", newline="") as file,
    ):
        country = _country(connection)
        for customer in customer_lines(connection, today):
            if customer.name == NOBODY:
                continue
            count += 1
            for line in card(customer, country):
                file.write("\r\n".join(folded(line)) + "\r\n")
    return count


def _country(connection: Connection) -> str:
    """The country whose numbers are written without one: two letters (ISO 3166-1)."""
    query = select(t.shop_fact.c.value).where(t.shop_fact.c.name == "country")
    return connection.execute(query).scalar() or "US"


def card(customer: CustomerLine, country: str) -> Iterator[str]:
    """The lines of a card, not yet folded."""
    yield "BEGIN:VCARD"
    yield "VERSION:4.0"
    yield f"UID:{_uri(customer.uid)}"
    yield f"FN:{escaped(customer.name) or '-'}"
    yield f"N:{';'.join(map(escaped, name_parts(customer.name)))}"
    for number in customer.phones:
        yield _telephone(number, customer.e164.get(number, ""), country)
    for address in customer.emails:
        yield f"EMAIL:{escaped(address)}"
    for address in customer.posts:
        yield f"ADR;LABEL={_quoted(address)}:;;{escaped(address)};;;;"
    for place in customer.places:
        parts = ("", "", place.road, place.town, place.region, place.postcode, "")
        yield f"ADR:{';'.join(map(escaped, parts))}"
    wells = f"Wells: {', '.join(customer.wells)}" if customer.wells else ""
    note = "\n".join(x for x in (wells, customer.notes) if x)
    if note:
        yield f"NOTE:{escaped(note)}"
    yield "END:VCARD"


def _uri(uid: str) -> str:
    """An identity of the book as a URI, which a card's is by rule (6.7.6)."""
    try:
        return uuid.UUID(uid).urn
    except ValueError:
        return "urn:uuid:" + str(uuid.uuid5(uuid.NAMESPACE_URL, uid))


def name_parts(name: str) -> tuple[str, str, str, str, str]:
    """Family name, given name, and the rest of N (6.2.2), as far as a name is so: two or three words.

    What has more words or a sign of a firm or a pair is one name, which no program shall turn round.

    >>> name_parts("Orla Venterick")[:2], name_parts("Ambelow Feed & Seed")[:2]
    (('Venterick', 'Orla'), ('Ambelow Feed & Seed', ''))
    """
    words = name.split()
    plain = all(_WORD.fullmatch(word) for word in words)
    if len(words) in (2, 3) and plain and not {w.lower().strip(".") for w in words} & _NOT_A_PERSON:
        return words[-1], words[0], " ".join(words[1:-1]), "", ""
    return name, "", "", "", ""


_WORD = re.compile(r"[^\W\d_]+(?:['’.\-][^\W\d_]+)*\.?")
_NOT_A_PERSON = frozenset(
    "and the of llc inc co company corp ltd farm farms ranch church school town city county estate"
    " trust school hall camp grange inn store dairy orchard orchards nursery hoa association".split()
)


def _telephone(number: str, e164: str, country: str) -> str:
    """A number as a URI where it is a valid one (ITU-T E.164, RFC 3966), with its extension."""
    import phonenumbers as library

    if not e164:
        return f"TEL;VALUE=text:{escaped(number)}"
    try:
        said = library.parse(number, country).extension
    except library.NumberParseException:
        said = None
    return f"TEL;VALUE=uri:tel:{e164}" + (f";ext={said}" if said else "")


def escaped(text: str) -> str:
    """A text as a value, or as a part of one (RFC 6350, 3.4); what no line can hold is left out.

    >>> print(escaped("a, b; c\\\\d\\ne"))
    a\\, b\\; c\\\\d\\ne
    """
    lines = [clean(line) for line in re.split(r"\r\n|\r|\n", text)]
    return "\\n".join(re.sub(r"([\\,;])", r"\\\1", line) for line in lines)


def _quoted(text: str) -> str:
    """A text as a parameter's value (RFC 6868 for what its quotes cannot hold)."""
    lines = [clean(line).replace("^", "^^").replace('"', "^'") for line in text.splitlines()]
    return '"' + "^n".join(lines) + '"'


def folded(line: str) -> Iterator[str]:
    """A line in pieces of at most 75 octets, the later ones after a blank (RFC 6350, 3.2).

    >>> [len(piece.encode()) for piece in folded("NOTE:" + "é" * 80)]
    [75, 75, 17]
    """
    room, piece, used = _LONGEST_OCTETS, "", 0
    for sign in line:
        octets = len(sign.encode("utf-8"))
        if used + octets > room:
            yield piece
            piece, used = " ", 1
        piece, used = piece + sign, used + octets
    yield piece
