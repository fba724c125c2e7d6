"""Finding a well by whatever the caller half remembers.

A plain table of words, with a table of each word with one letter left out: a typing slip of one letter
(left out, added, changed, or two swapped) meets the right word in it. It works alike on SQLite and
PostgreSQL, needs no extension, and costs an index look-up however many wells there are. Digits
(telephones, permits) are found by their beginning or their end and never by slips.
"""

from __future__ import annotations

import re
import unicodedata
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import IntEnum

from sqlalchemy import (
    ColumnElement,
    Connection,
    Select,
    Subquery,
    delete,
    func,
    or_,
    select,
    union,
)

from wellbook.errors import NotFoundError, WellbookError
from wellbook.store import tables as t
from wellbook.store.in_bulk import added, put_rows
from wellbook.terms import KNOWN_AS

_SHORTEST_SLIP = 4
_SHORTEST_DIGITS = 4
_MOST = 4000
EXACT, BEGINS, DIGITS, SLIP, INSIDE = 100, 60, 80, 40, 20
TAG_POINTS = 10 * (EXACT + 5)
TAG_WEIGHT, NAME_WEIGHT, PLACE_WEIGHT, OLD_WEIGHT = 4, 3, 2, 1


_WORD = re.compile(r"[^\W_]+")


def words_of(text: str) -> list[str]:
    """The words of a text as they are indexed: small letters, no accents, no punctuation.

    >>> words_of("O'Brien-Muñoz, 12 Cold Spring Rd.")
    ['obrien', 'munoz', '12', 'cold', 'spring', 'rd']
    """
    flat = text.casefold()
    if not flat.isascii():
        flat = unicodedata.normalize("NFKD", flat)
        flat = "".join(c for c in flat if not unicodedata.combining(c)).replace("’", "")
    return _WORD.findall(flat.replace("'", ""))


def left_out(word: str) -> set[str]:
    """A word with one letter left out, each of them.

    >>> sorted(left_out("well"))
    ['ell', 'wel', 'wll']
    """
    if len(word) < _SHORTEST_SLIP:
        return set()
    return {word[:n] + word[n + 1 :] for n in range(len(word))}


def one_slip(one: str, other: str) -> bool:
    """Whether two words differ by one letter left out, added, changed, or two swapped.

    >>> one_slip("marrow", "marow"), one_slip("marrow", "marrwo"), one_slip("marrow", "morow")
    (True, True, False)
    """
    if abs(len(one) - len(other)) > 1 or one == other:
        return one == other
    n = next((i for i, (a, b) in enumerate(zip(one, other, strict=False)) if a != b), None)
    if n is None:
        return True
    if len(one) == len(other):
        swapped = one[n : n + 2] == other[n : n + 2][::-1] and one[n + 2 :] == other[n + 2 :]
        return swapped or one[n + 1 :] == other[n + 1 :]
    longer, shorter = (one, other) if len(one) > len(other) else (other, one)
    return longer[n + 1 :] == shorter[n:]


def names_in(notes: str) -> list[str]:
    """The names of a well, or of a customer, that notes say, one a line.

    >>> names_in("gate by the creek\\nknown as Mill Lane 2")
    ['Mill Lane 2']
    """
    lines = (line.strip() for line in notes.splitlines())
    return [line[len(KNOWN_AS) :].strip() for line in lines if line.lower().startswith(KNOWN_AS)]


# -- keeping the index -------------------------------------------------------------------------


def index_wells(connection: Connection, well_ids: Iterable[int]) -> None:
    """Renew the words and digits by which these wells are found."""
    numbers = list(well_ids)
    for start in range(0, len(numbers), 400):
        _index(connection, numbers[start : start + 400])


def _index(connection: Connection, numbers: list[int]) -> None:
    connection.execute(delete(t.search_use).where(t.search_use.c.well_id.in_(numbers)))
    connection.execute(delete(t.search_digits).where(t.search_digits.c.well_id.in_(numbers)))
    words: dict[tuple[str, int], int] = {}
    digits: set[tuple[str, int]] = set()
    for number, text, weight in _texts(connection, numbers):
        for word in words_of(text):
            words[word, number] = max(weight, words.get((word, number), 0))
        if weight in (TAG_WEIGHT, 0):
            plain = re.sub(r"\D", "", text)
            if len(plain) >= _SHORTEST_DIGITS:
                digits.add((plain, number))
    known = _word_ids(connection, {w for (w, _), weight in words.items() if weight})
    uses = [
        {"word_id": known[w], "well_id": n, "weight": weight}
        for (w, n), weight in words.items()
        if weight
    ]
    put_rows(connection, t.search_use, uses)
    rows = [{"digits": d, "well_id": n, "backwards": d[::-1]} for d, n in sorted(digits)]
    put_rows(connection, t.search_digits, rows)


def _texts(connection: Connection, numbers: list[int]) -> Iterator[tuple[int, str, int]]:
    """What a well is known by: (well, text, weight); a telephone has weight 0: digits only."""
    well, site = t.well, t.site
    query = select(well.c.id, well.c.tag, well.c.permit_no, well.c.notes)
    for number, tag, permit, notes in connection.execute(query.where(well.c.id.in_(numbers))):
        yield number, tag, TAG_WEIGHT
        yield number, permit, TAG_WEIGHT
        for name in names_in(notes):
            yield number, name, NAME_WEIGHT
    served = places_served(wells=numbers)
    places = select(served.c.well_id, site.c.road, site.c.town).join(
        site, site.c.id == served.c.site_id
    )
    for number, road, town in connection.execute(places):
        yield number, f"{road} {town}", PLACE_WEIGHT
    people = (
        select(
            served.c.well_id,
            t.customer.c.name,
            t.customer.c.notes,
            t.occupancy.c.until_text,
            t.customer.c.id,
        )
        .join(t.occupancy, t.occupancy.c.site_id == served.c.site_id)
        .join(t.customer, t.customer.c.id == t.occupancy.c.customer_id)
    )
    owners: dict[int, list[int]] = defaultdict(list)
    for number, name, notes, until, customer in connection.execute(people):
        for said in (name, *names_in(notes)):
            yield number, said, NAME_WEIGHT if until is None else OLD_WEIGHT
        owners[customer].append(number)
    point = t.contact_point
    ways = select(point.c.customer_id, point.c.digits, point.c.value, point.c.e164).where(
        point.c.customer_id.in_(sorted(owners))
    )
    for customer, number_digits, value, e164 in connection.execute(ways):
        for number in owners[customer]:
            yield number, number_digits or value, 0 if number_digits else OLD_WEIGHT
            # With its country and area, which may not have been written.
            yield number, e164 or "", 0


def places_served(
    *, wells: Sequence[int] | None = None, sites: Sequence[int] | Select[int] | None = None
) -> Subquery:
    """Wells with the properties where they stand or whose water they give: whoever lives there may
    ring about them. Of these wells, or of these properties; each half is asked for them by itself,
    since a condition on the whole is met only after all wells of the book were gone through.
    """
    well, drawn = t.well, t.system_site
    stands = select(well.c.id.label("well_id"), well.c.site_id).where(well.c.site_id.is_not(None))
    gives = select(well.c.id, drawn.c.site_id).join(drawn, drawn.c.system_id == well.c.system_id)
    if wells is not None:
        stands, gives = (half.where(well.c.id.in_(wells)) for half in (stands, gives))
    if sites is not None:
        stands, gives = (
            stands.where(well.c.site_id.in_(sites)),
            gives.where(drawn.c.site_id.in_(sites)),
        )
    return union(stands, gives).subquery()


def wells_of(connection: Connection, customers: Sequence[int]) -> list[int]:
    """The wells that serve the properties where some customers are or were."""
    stay = t.occupancy
    served = places_served(sites=select(stay.c.site_id).where(stay.c.customer_id.in_(customers)))
    return list(connection.execute(select(served.c.well_id).distinct()).scalars())


def _word_ids(connection: Connection, words: set[str]) -> dict[str, int]:
    """The numbers of words, added where they are new, with their variants."""
    known: dict[str, int] = {}
    listed = sorted(words)
    for start in range(0, len(listed), 400):
        some = listed[start : start + 400]
        query = select(t.search_word.c.word, t.search_word.c.id).where(
            t.search_word.c.word.in_(some)
        )
        known.update({row[0]: row[1] for row in connection.execute(query)})
    new = [w for w in listed if w not in known]
    if new:
        made = added(connection, t.search_word, [{"word": w} for w in new], by="word")
        known.update(zip(new, made, strict=True))
        variants = [
            {"variant": v, "word_id": known[w]} for w in new if not w.isdigit() for v in left_out(w)
        ]
        put_rows(connection, t.search_variant, variants)
    return known


# -- asking ------------------------------------------------------------------------------------


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
    asked = words_of(text)
    if not asked:
        raise WellbookError("give some part of a name, number, road, town or tag", where="WORDS")
    found: dict[int, list[_Score]] = defaultdict(list)
    groups = _asked(text, asked)
    for group in groups:
        for well_id, score in _score(connection, group).items():
            found[well_id].append(score)
    most = max(map(len, found.values()), default=0)
    scores = {
        well_id: _Score(
            sum(one.points for one in some),
            min(one.fit for one in some) if len(some) == len(groups) else Fit.NEAR,
        )
        for well_id, some in found.items()
        if len(some) == most
    }
    # A tag in another spelling, or its number alone, is a tag for whoever asks.
    for well_id in _tagged(connection, text.strip()) or _numbered(connection, text.strip()):
        scores[well_id] = _Score(TAG_POINTS * len(groups), Fit.WHOLE)
    best = sorted(scores, key=lambda w: (-scores[w].points, w))[: limit * 3]
    matches = _matches(connection, best, scores)
    return sorted(matches, key=lambda m: (-m.score, m.role != "ours", m.tag))[:limit]


@dataclass(frozen=True, slots=True)
class _Asked:
    """One word, or one run of digits, that was asked for."""

    word: str
    digits: str


def _asked(text: str, words: list[str]) -> list[_Asked]:
    """Words one by one; a run of digits in any punctuation is one number as well."""
    bare = re.sub(r"\D", "", text)
    if len(bare) >= _SHORTEST_DIGITS and not re.search(r"[^\W\d_]", text):
        return [_Asked("", bare)] if len(words) > 1 else [_Asked(words[0], bare)]
    groups: list[_Asked] = []
    for run in re.findall(r"(?:[\d(][\d().\-]*(?: (?=[\d(]))?)+|[^\s]+", text):
        digits = re.sub(r"\D", "", run)
        inner = words_of(run)
        if digits and not re.search(r"[^\W\d_]", run) and len(digits) >= _SHORTEST_DIGITS:
            groups.append(_Asked(inner[0] if len(inner) == 1 else "", digits))
        else:
            groups += [_Asked(w, w if w.isdigit() else "") for w in inner]
    return groups


@dataclass(frozen=True, slots=True, order=True)
class _Score:
    """What a word, or all of them, make of a well."""

    points: int
    fit: Fit


_NONE = _Score(0, Fit.NEAR)
_FITS = {EXACT: Fit.WHOLE, BEGINS: Fit.PART, SLIP: Fit.NEAR, INSIDE: Fit.NEAR}


def _score(connection: Connection, asked: _Asked) -> dict[int, _Score]:
    """Wells that one word or number fits, with how well."""
    scores: dict[int, _Score] = {}
    if asked.word:
        fits = _words_like(connection, asked.word)
        for start in range(0, len(fits), 400):
            some = dict(list(fits.items())[start : start + 400])
            query = select(t.search_use.c.word_id, t.search_use.c.well_id, t.search_use.c.weight)
            query = query.where(t.search_use.c.word_id.in_(list(some))).limit(_MOST)
            for word_id, well_id, weight in connection.execute(query):
                score = _Score((some[word_id] + weight) * 10, _FITS[some[word_id]])
                scores[well_id] = max(score, scores.get(well_id, _NONE))
    if len(asked.digits) >= _SHORTEST_DIGITS:
        for well_id, exact in _digits(connection, asked.digits):
            score = _Score(EXACT * 10, Fit.WHOLE) if exact else _Score(DIGITS * 10, Fit.PART)
            scores[well_id] = max(score, scores.get(well_id, _NONE))
    return scores


def _words_like(connection: Connection, word: str) -> dict[int, int]:
    """Words of the book that fit one asked for: the same, beginning so, a slip away, holding it."""
    table = t.search_word
    found: dict[int, int] = {}
    begins = select(table.c.id, table.c.word).where(_begins(table.c.word, word)).limit(_MOST)
    for number, known in connection.execute(begins):
        found[number] = EXACT if known == word else BEGINS
    if not word.isdigit() and EXACT not in found.values():
        for number in _slips(connection, word):
            found.setdefault(number, SLIP)
    if not found and len(word) > 2:
        inside = select(table.c.id).where(table.c.word.contains(word, autoescape=True))
        found = dict.fromkeys(connection.execute(inside.limit(_MOST)).scalars(), INSIDE)
    return found


def _begins(column: ColumnElement[str], start: str) -> ColumnElement[bool]:
    """A prefix as a range of the index, which a LIKE would not use in every collation."""
    return (column >= start) & (column < start[:-1] + chr(ord(start[-1]) + 1))


def _slips(connection: Connection, word: str) -> list[int]:
    table, variant = t.search_word, t.search_variant
    shorter = sorted(left_out(word))
    if not shorter:
        return []
    by_variant = select(variant.c.word_id).where(variant.c.variant.in_([word, *shorter]))
    query = select(table.c.id, table.c.word).where(
        or_(table.c.id.in_(by_variant), table.c.word.in_(shorter))
    )
    return [n for n, known in connection.execute(query) if one_slip(word, known)]


def _digits(connection: Connection, digits: str) -> list[tuple[int, bool]]:
    table = t.search_digits
    # A country code in front that the book does not have, or has and the caller does not.
    tail = digits[-10:]
    query = select(table.c.well_id, table.c.digits).where(
        or_(
            _begins(table.c.digits, digits),
            _begins(table.c.backwards, tail[::-1]),
        )
    )
    return [(w, known == digits) for w, known in connection.execute(query.limit(_MOST))]


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
    return list(seen.values())


def the_well(connection: Connection, words: str) -> int:
    """The one well that a tag, or any words, single out.

    A word that looks like a tag ("TF-31", "tf31") is held against tags and permits alone: its digits
    may be somebody's telephone. Of other words, each has to fit as it stands; a well that is only a
    slip away is named, but never taken.

    Raises
    ------
    NotFoundError
        If none fits.
    WellbookError
        If several do: they are listed, never guessed between.
    """
    words = words.strip()
    tagged = _tagged(connection, words)
    if len(tagged) == 1:
        return tagged[0]
    tag_shaped = _TAG.fullmatch(words) and " " not in words
    found = [] if tag_shaped else find(connection, words)
    fits = [m for m in found if m.fit is not Fit.NEAR]
    whole = [m for m in fits if m.fit is Fit.WHOLE]
    for some in (whole, fits):
        if len(some) == 1:
            return some[0].well_id
    if fits:
        raise WellbookError(
            f"'{words}' fits several wells: {_named(whole or fits)}; name one by its tag"
        )
    if tag_shaped:
        raise NotFoundError(f"no well has the tag or permit '{words}'", where="WELL")
    near = f"; near to it: {_named(found)}; name one by its tag" if found else ""
    raise NotFoundError(f"no well fits '{words}'{near}", where="WELL")


_TAG = re.compile(r"([A-Za-z]+)[- ]?(\d+)")


def _tagged(connection: Connection, words: str) -> list[int]:
    """Wells with this tag, leading noughts aside, or else with this permit number."""
    well = t.well
    exact = select(well.c.id).where(well.c.tag == words.upper())
    found = list(connection.execute(exact).scalars())
    shaped = _TAG.fullmatch(words)
    if found or not shaped:
        return found
    letters, number = shaped[1].upper(), int(shaped[2])
    alike = select(well.c.id, well.c.tag).where(_begins(well.c.tag, letters))
    for well_id, tag in connection.execute(alike):
        other = _TAG.fullmatch(tag)
        if other and other[1] == letters and int(other[2]) == number:
            found.append(well_id)
    if found:
        return found
    permit = select(well.c.id).where(func.upper(well.c.permit_no) == words.upper())
    return list(connection.execute(permit).scalars()) or _once_tagged(connection, words)


def _once_tagged(connection: Connection, words: str) -> list[int]:
    """Wells that were joined with one of this tag, and are known as it since."""
    use, word = t.search_use, t.search_word
    query = (
        select(t.well.c.id, t.well.c.notes)
        .join(use, use.c.well_id == t.well.c.id)
        .join(word, word.c.id == use.c.word_id)
        .where(word.c.word == words_of(words)[-1])
    )
    asked = words.upper()
    return [
        number
        for number, notes in connection.execute(query)
        if asked in [name.upper() for name in names_in(notes)]
    ]


def _numbered(connection: Connection, digits: str) -> list[int]:
    """Wells of whose tags this is the number, leading noughts aside."""
    if not digits.isdigit():
        return []
    well = t.well
    ending = select(well.c.id, well.c.tag).where(well.c.tag.endswith(digits.lstrip("0") or "0"))
    shaped = ((n, _TAG.fullmatch(tag)) for n, tag in connection.execute(ending))
    return [n for n, shape in shaped if shape and int(shape[2]) == int(digits)]


def _named(matches: Sequence[Match]) -> str:
    some = "; ".join(
        ", ".join(
            x for x in (m.tag, m.known_as, m.customer or "customer unknown", m.road, m.town) if x
        )
        for m in matches[:6]
    )
    return some + (f" and {len(matches) - 6} more" if len(matches) > 6 else "")
