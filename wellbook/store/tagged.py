"""Wells by their tag or permit, in whatever spelling: by look-ups in an index, however many there are."""

from __future__ import annotations

import re

from sqlalchemy import Connection, Select, func, or_, select

from wellbook.store import tables as t
from wellbook.store.words import (
    NAME_WEIGHT,
    SHORTEST_NUMBER,
    TAG_WEIGHT,
    digits_of,
    is_number,
    names_in,
    runs_of,
)

TAG = re.compile(r"([A-Za-z]+)[- ]?(\d+)")
_MOST_DIGITS = 9


def tagged(connection: Connection, words: str) -> list[int]:
    """Wells with this tag, leading noughts aside, or else with this permit number."""
    well = t.well
    exact = select(well.c.id).where(well.c.tag == words.upper())
    found = list(connection.execute(exact).scalars())
    shaped = TAG.fullmatch(words)
    if found or not shaped:
        return found
    letters, number = shaped[1].upper(), int(shaped[2])
    spellings = [
        f"{letters}{between}{number:0{many}}"
        for between in ("-", " ", "")
        for many in range(len(str(number)), _MOST_DIGITS + 1)
    ]
    alike = select(well.c.id).where(well.c.tag.in_(spellings))
    return (
        list(connection.execute(alike).scalars())
        or _permitted(connection, words)
        or _once_tagged(connection, words)
    )


def numbered(connection: Connection, digits: str) -> list[int]:
    """Wells of whose tags this is the number, leading noughts aside."""
    if not digits.isdigit():
        return []
    number, well = int(digits), t.well
    spellings = [f"{number:0{many}}" for many in range(len(str(number)), _MOST_DIGITS + 1)]
    whole, short = t.search_digits, [s for s in spellings if not is_number(s)]
    by_number = select(whole.c.well_id).where(whole.c.digits.in_(spellings))
    query = select(well.c.id, well.c.tag).where(
        or_(well.c.id.in_(by_number), well.c.id.in_(_by_words(short, TAG_WEIGHT)))
    )
    shaped = ((n, TAG.fullmatch(tag)) for n, tag in connection.execute(query.order_by(well.c.id)))
    return [n for n, shape in shaped if shape and int(shape[2]) == number]


def _near(words: str, weight: int) -> Select[int]:
    """Wells that have the longest word, or the number, of a tag, a permit or a name: few, to be held
    against all of it."""
    if len(digits_of(words)) >= SHORTEST_NUMBER:
        return select(t.search_digits.c.well_id).where(t.search_digits.c.digits == digits_of(words))
    return _by_words(sorted(runs_of(words), key=len)[-1:], weight)


def _by_words(words: list[str], weight: int) -> Select[int]:
    """Wells that have one of some words as a part of their tag or permit, or of what weighs as much."""
    use, word = t.search_use, t.search_word
    return (
        select(use.c.well_id)
        .join(word, word.c.id == use.c.word_id)
        .where(word.c.word.in_(words), use.c.weight >= weight)
    )


def _permitted(connection: Connection, words: str) -> list[int]:
    """Wells with this permit, in capitals or not."""
    well = t.well
    query = select(well.c.id).where(
        well.c.id.in_(_near(words, TAG_WEIGHT)), func.upper(well.c.permit_no) == words.upper()
    )
    return list(connection.execute(query).scalars())


def _once_tagged(connection: Connection, words: str) -> list[int]:
    """Wells that were joined with one of this tag, and are known as it since."""
    well, asked = t.well, words.upper()
    query = select(well.c.id, well.c.notes).where(well.c.id.in_(_near(words, NAME_WEIGHT)))
    return [
        number
        for number, notes in connection.execute(query)
        if asked in [name.upper() for name in names_in(notes)]
    ]
