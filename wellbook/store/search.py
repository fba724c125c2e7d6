"""Finding a well by whatever the caller half remembers.

A plain table of words, with a table of each word with one letter left out: a typing slip of one letter
(left out, added, changed, or two swapped) meets the right word in it. It works alike on SQLite and
PostgreSQL, needs no extension, and costs an index look-up however many wells there are. Numbers
(telephones, permits, tags) are found by their beginning or their end and never by slips.

Of several words the rarest say which wells may be meant; what is common is only asked of these. A word
that is in the book is looked for by slips too where no well has it and the others: it may be meant
for another.
"""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import IntEnum
from functools import reduce
from typing import Any

from sqlalchemy import Connection, Select, func, intersect, or_, select

from wellbook.errors import WellbookError
from wellbook.store import tables as t
from wellbook.store.ranges import begins
from wellbook.store.rows import AT_ONCE, batches
from wellbook.store.tagged import numbered, tagged
from wellbook.store.words import (
    SHORTEST_NUMBER,
    SHORTEST_SLIP,
    digits_of,
    is_number,
    left_out,
    names_in,
    one_slip,
    runs_of,
)
from wellbook.terms import Role

MOST = 4000
"""How many wells one part of a question may bring; of what is more common only those are seen that
something else brings."""

BESIDE = 5
"""How many times as many it may bring as the rarest part: the wells of a word stand together, and are
all read sooner than a fifth of them are looked up one by one."""

_COUNTED = BESIDE * MOST
"""So far the wells of a word are counted; if there are more, nobody asks how many."""

_SCATTERED = 100
"""As long as the words of one well are looked up, which stand by their words all over the table, so many
wells of a word are read."""

MOST_COMMON = 1000
"""How many wells are looked at where all that was asked is common: no order among them would help."""

_FEW = 10

EXACT, BEGINS, DIGITS, SLIP, INSIDE = 100, 60, 80, 40, 20
TAG_POINTS = 10 * (EXACT + 5)


class Fit(IntEnum):
    """How well the worst-fitting of the words fits."""

    NEAR = 0
    """A slip away, somewhere inside a word, or not at all."""
    PART = 1
    """The beginning of a word, or of a number, or a number's end."""
    WHOLE = 2


@dataclass(frozen=True, slots=True)
class Match:
    """A well that fits, with enough to tell it from the others."""

    well_id: int
    tag: str
    score: int
    fit: Fit
    role: str
    status: str
    permit_no: str
    known_as: str
    customer: str
    phone: str
    road: str
    town: str


def find(connection: Connection, text: str, *, limit: int = 20) -> list[Match]:
    """Wells that fit all the words (or, where none does, most of them), best first.

    Raises
    ------
    WellbookError
        If there is nothing to look for.
    """
    asked = _asked(text)
    if not asked:
        raise WellbookError("give some part of a name, number, road, town or tag", where="WORDS")
    parts = [_part(connection, one) for one in asked]
    found = _wells(connection, parts)
    if _most(found) < sum(1 for part in parts if part.many):
        again = _wells(connection, [part.with_slips(connection) for part in parts])
        found = again if _most(again) > _most(found) else found
    most = _most(found)
    scores = {
        well: _Score(
            sum(one.points for one in some),
            min(one.fit for one in some) if len(some) == len(parts) else Fit.NEAR,
        )
        for well, some in found.items()
        if len(some) == most
    }
    # A tag in another spelling, or its number alone, is a tag for whoever asks.
    for well in tagged(connection, text.strip()) or numbered(connection, text.strip()):
        scores[well] = _Score(TAG_POINTS * len(parts), Fit.WHOLE)
    return _matches(connection, _best_first(connection, scores, limit * 3)[:limit], scores)


# -- what is asked -----------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Asked:
    """One word, or one number, that was asked for."""

    word: str
    number: str


_SPOKEN = re.compile(r"(?:[\d(][\d().\-]*(?: (?=[\d(]))?)+|[^\s]+")


def _asked(text: str) -> list[_Asked]:
    """Words one by one; a run of digits in any punctuation is one number."""
    if not re.search(r"[^\W\d_]", text) and len(digits_of(text)) >= SHORTEST_NUMBER:
        return [_Asked("", digits_of(text))]
    found: list[_Asked] = []
    for spoken in _SPOKEN.findall(text):
        digits = digits_of(spoken)
        if len(digits) >= SHORTEST_NUMBER and not re.search(r"[^\W\d_]", spoken):
            found.append(_Asked("", digits))
        else:
            found += [_Asked("", r) if is_number(r) else _Asked(r, "") for r in runs_of(spoken)]
    return found


@dataclass(frozen=True, slots=True, order=True)
class _Score:
    """What a word, or all of them, make of a well."""

    points: int
    fit: Fit


_NONE = _Score(0, Fit.NEAR)
_FITS = {EXACT: Fit.WHOLE, BEGINS: Fit.PART, SLIP: Fit.NEAR, INSIDE: Fit.NEAR}


@dataclass(frozen=True, slots=True)
class _Part:
    """What the book has for one word or number that was asked for.

    `words` are the numbers of words that fit, each with how well; `wells` those of a number.
    `many` is how many wells it brings, or one more than is looked at.
    """

    asked: _Asked
    words: Mapping[int, int]
    wells: Mapping[int, _Score]
    many: int

    def with_slips(self, connection: Connection) -> _Part:
        """The same with words that are a slip away, where it has none of these yet."""
        if not self.asked.word or set(self.words.values()) & {SLIP, INSIDE}:
            return self
        more = dict.fromkeys(_slips(connection, self.asked.word), SLIP)
        return _of_words(connection, self.asked, {**more, **self.words}) if more else self

    def scored(self, uses: Iterable[_Use]) -> Iterator[tuple[int, _Score]]:
        """Wells with their score, from (word, well, weight); of a word that is not its own, none."""
        for word, well, weight in uses:
            if (how := self.words.get(word)) is not None:
                yield well, _Score((how + weight) * 10, _FITS[how])


def _part(connection: Connection, asked: _Asked) -> _Part:
    if not asked.word:
        wells = {
            well: _Score(EXACT * 10, Fit.WHOLE) if whole else _Score(DIGITS * 10, Fit.PART)
            for well, whole in sorted(_numbers(connection, asked.number), key=lambda row: row[1])
        }
        return _Part(asked, {}, wells, len(wells))
    return _of_words(connection, asked, _words_like(connection, asked.word))


def _of_words(connection: Connection, asked: _Asked, words: Mapping[int, int]) -> _Part:
    use, many = t.search_use, 0
    for some in batches(list(words)):
        uses = select(use.c.word_id).where(use.c.word_id.in_(some)).limit(_COUNTED + 1 - many)
        many += connection.execute(select(func.count()).select_from(uses.subquery())).scalar_one()
        if many > _COUNTED:
            break
    return _Part(asked, words, {}, many)


def _words_like(connection: Connection, word: str) -> dict[int, int]:
    """Words of the book that fit one asked for: the same, beginning so, a slip away, holding it."""
    table = t.search_word
    query = select(table.c.id, table.c.word).where(begins(table.c.word, word)).limit(MOST)
    found = {
        number: EXACT if known == word else BEGINS for number, known in connection.execute(query)
    }
    if EXACT not in found.values():
        found = {**dict.fromkeys(_slips(connection, word), SLIP), **found}
    if not found and len(word) > 2:
        inside = select(table.c.id).where(table.c.word.contains(word, autoescape=True))
        found = dict.fromkeys(connection.execute(inside.limit(MOST)).scalars(), INSIDE)
    return found


def _slips(connection: Connection, word: str) -> list[int]:
    table, variant = t.search_word, t.search_variant
    if word.isdigit() or len(word) < SHORTEST_SLIP - 1:
        return []
    # Of a word too short to have such itself, it may be what is left of a longer one.
    shorter = sorted(left_out(word))
    by_variant = select(variant.c.word_id).where(variant.c.variant.in_([word, *shorter]))
    query = select(table.c.id, table.c.word).where(
        or_(table.c.id.in_(by_variant), table.c.word.in_(shorter))
    )
    return [n for n, known in connection.execute(query) if known != word and one_slip(word, known)]


def _numbers(connection: Connection, digits: str) -> list[tuple[int, bool]]:
    table = t.search_digits
    # A country code in front that the book does not have, or has and the caller does not.
    tail = digits[-10:]
    # One after the other: with an OR between, an engine looks up each row that the indexes already say.
    whole, start, end = (
        connection.execute(select(table.c.well_id).where(which).limit(MOST)).scalars()
        for which in (
            table.c.digits == digits,
            begins(table.c.digits, digits),
            begins(table.c.backwards, tail[::-1]),
        )
    )
    return [*((well, True) for well in whole), *((well, False) for well in (*start, *end))]


# -- which wells have it -----------------------------------------------------------------------

_Use = tuple[int, int, int]
"""A word, a well that has it, and how much it weighs there."""

_Found = dict[int, list[_Score]]


def _most(found: _Found) -> int:
    return max(map(len, found.values()), default=0)


def _wells(connection: Connection, parts: Sequence[_Part]) -> _Found:
    """Wells with the scores of the parts that they fit, of those that fit most."""
    there = sorted((p for p in parts if p.many), key=lambda p: p.many)
    if not there:
        return {}
    least = there[0].many
    rare = [p for p in there if least <= MOST and p.many <= max(MOST, BESIDE * least)]
    uses = {id(p): _uses(connection, p) for p in rare}
    if rare:
        brought = [set(p.wells) or {well for _, well, _ in uses[id(p)]} for p in rare]
        candidates = reduce(lambda a, b: a & b, brought)
        if not candidates:
            most = Counter(well for wells in brought for well in wells)
            top = max(most.values())
            candidates = {well for well, many in most.items() if many == top}
    else:
        candidates = _both(connection, there[:2])
    found: _Found = defaultdict(list)
    for part in there:
        wells = part.wells
        if part.words:
            told = uses.get(id(part)) or _among(connection, part, candidates)
            wells = _best(part.scored(use for use in told if use[1] in candidates))
        for well in candidates & wells.keys():
            found[well].append(wells[well])
    return found


def _best(scored: Iterable[tuple[int, _Score]]) -> dict[int, _Score]:
    best: dict[int, _Score] = {}
    for well, score in scored:
        best[well] = max(score, best.get(well, _NONE))
    return best


def _uses(connection: Connection, part: _Part) -> list[_Use]:
    """All uses of the words of a part that is rare."""
    use = t.search_use
    query = select(use.c.word_id, use.c.well_id, use.c.weight)
    return [
        row
        for some in batches(list(part.words))
        for row in _plain(connection, query.where(use.c.word_id.in_(some)))
    ]


def _plain(connection: Connection, query: Select[Any]) -> list[_Use]:
    """Numbers as the engine gives them: of thousands, the library's own rows would take the longest."""
    return list(connection.execute(query).cursor.fetchall())


def _both(connection: Connection, parts: Sequence[_Part]) -> set[int]:
    """Wells of two parts that are both common, or some of those of a single one."""
    use = t.search_use
    one, *other = (
        select(use.c.well_id).where(use.c.word_id.in_(list(part.words)[:AT_ONCE])) for part in parts
    )
    if other and all(part.many <= _COUNTED for part in parts):
        # Each stands together and is read as it stands; to look up the wells of one among those of
        # the other goes all over the book.
        return set(connection.execute(intersect(one, *other)).scalars())
    query = one.where(use.c.well_id.in_(other[0])) if other else one
    return set(connection.execute(query.limit(MOST_COMMON)).scalars())


def _among(connection: Connection, part: _Part, wells: set[int]) -> list[_Use]:
    """Which of some wells have a part that is common; it may bring others too."""
    use = t.search_use
    query = select(use.c.word_id, use.c.well_id, use.c.weight)
    if len(part.words) <= _FEW:
        query = query.where(use.c.word_id.in_(list(part.words)))
    elif part.many <= min(_COUNTED, _SCATTERED * len(wells)):
        return _uses(connection, part)
    # Else all words of the wells are looked through, which are no more than some ten a well.
    return [
        row
        for some in batches(sorted(wells))
        for row in _plain(connection, query.where(use.c.well_id.in_(some)))
    ]


def _best_first(connection: Connection, scores: Mapping[int, _Score], many: int) -> list[int]:
    """So many wells by their score; of those that are alike the shop's own first, then as their tags have it.

    Of the well itself only: who is there, and where, stands on pages of their own, which are not read for
    those that are not shown.
    """
    best = sorted(scores, key=lambda w: (-scores[w].points, w))[:many]
    well = t.well
    query = select(well.c.id, well.c.role, well.c.tag).where(well.c.id.in_(best))
    alike = {row.id: (row.role != Role.OURS.value, row.tag) for row in connection.execute(query)}
    return sorted(alike, key=lambda w: (-scores[w].points, *alike[w]))


def _matches(connection: Connection, wells: list[int], scores: Mapping[int, _Score]) -> list[Match]:
    well, site, stay = t.well, t.site, t.occupancy
    query = (
        select(
            well, site.c.road, site.c.town, t.customer.c.name, t.customer.c.id.label("customer_id")
        )
        .outerjoin(site, site.c.id == well.c.site_id)
        .outerjoin(stay, (stay.c.site_id == well.c.site_id) & stay.c.until_text.is_(None))
        .outerjoin(t.customer, t.customer.c.id == stay.c.customer_id)
        .where(well.c.id.in_(wells))
    )
    rows = connection.execute(query).mappings().all()
    people = sorted({r["customer_id"] for r in rows if r["customer_id"]})
    phones: dict[int, str] = {}
    ways = (
        select(t.contact_point.c.customer_id, t.contact_point.c.value)
        .where(t.contact_point.c.customer_id.in_(people), t.contact_point.c.way == "phone")
        .order_by(t.contact_point.c.id)
    )
    for customer, value in connection.execute(ways):
        phones.setdefault(customer, value)
    seen: dict[int, Match] = {}
    for row in rows:
        seen.setdefault(
            row["id"],
            Match(
                row["id"],
                row["tag"],
                scores[row["id"]].points,
                scores[row["id"]].fit,
                row["role"],
                row["status"],
                row["permit_no"],
                ", ".join(names_in(row["notes"])),
                row["name"] or "",
                phones.get(row["customer_id"], ""),
                row["road"] or "",
                row["town"] or "",
            ),
        )
    return [seen[number] for number in wells]
