"""The index of the words and numbers by which wells are found, renewed with what it follows from."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence

from sqlalchemy import Connection, Select, Subquery, delete, select, union, update

from wellbook import versions
from wellbook.store import tables as t
from wellbook.store.in_bulk import added, put_rows
from wellbook.store.rows import batches
from wellbook.store.words import (
    NAME_WEIGHT,
    OLD_WEIGHT,
    PLACE_WEIGHT,
    SHORTEST_NUMBER,
    TAG_WEIGHT,
    digits_of,
    is_number,
    left_out,
    names_in,
    runs_of,
)


def index_wells(connection: Connection, well_ids: Iterable[int]) -> None:
    """Renew the words and numbers by which these wells are found."""
    for some in batches(list(well_ids), 400):
        _index(connection, some)


def unindex(connection: Connection, well_ids: Iterable[int]) -> None:
    """Take wells that go out of the index, and the words that no other well has: a name may be one."""
    use = t.search_use
    for some in batches(list(well_ids), 400):
        mine = use.c.well_id.in_(some)
        words = list(connection.execute(select(use.c.word_id).where(mine).distinct()).scalars())
        for table in (use, t.search_digits):
            connection.execute(delete(table).where(table.c.well_id.in_(some)))
        drop_unused(connection, words)


def drop_unused(connection: Connection, word_ids: Iterable[int]) -> None:
    """Of these words take those out that no well has any more, with what stands for them."""
    use, word, variant = t.search_use, t.search_word, t.search_variant
    used = select(use.c.word_id).where(use.c.word_id == word.c.id).exists()
    for some in batches(list(word_ids)):
        query = select(word.c.id).where(word.c.id.in_(some), ~used)
        unused = list(connection.execute(query).scalars())
        connection.execute(delete(variant).where(variant.c.word_id.in_(unused)))
        connection.execute(delete(word).where(word.c.id.in_(unused)))


def index_all(connection: Connection) -> None:
    """Renew all words and numbers, and let the book say by which version."""
    for table in (t.search_use, t.search_variant, t.search_digits, t.search_word):
        connection.execute(delete(table))
    index_wells(connection, connection.execute(select(t.well.c.id).order_by(t.well.c.id)).scalars())
    connection.execute(update(t.book).values(words_version=versions.WORDS))


def _index(connection: Connection, wells: Sequence[int]) -> None:
    for table in (t.search_use, t.search_digits):
        connection.execute(delete(table).where(table.c.well_id.in_(wells)))
    words: dict[tuple[str, int], int] = {}
    numbers: set[tuple[str, int]] = set()
    for well, text, weight in _texts(connection, wells):
        for run in runs_of(text):
            if is_number(run):
                numbers.add((run, well))
            elif weight:
                words[run, well] = max(weight, words.get((run, well), 0))
        # A number is asked for without its punctuation, or with another.
        whole = digits_of(text) if weight in (TAG_WEIGHT, 0) else ""
        if len(whole) >= SHORTEST_NUMBER:
            numbers.add((whole, well))
    known = _word_ids(connection, {word for word, _ in words})
    uses = [
        {"word_id": known[word], "well_id": well, "weight": weight}
        for (word, well), weight in words.items()
    ]
    put_rows(connection, t.search_use, uses)
    rows = [{"digits": d, "well_id": well, "backwards": d[::-1]} for d, well in sorted(numbers)]
    put_rows(connection, t.search_digits, rows)


def _texts(connection: Connection, numbers: Sequence[int]) -> Iterator[tuple[int, str, int]]:
    """What a well is known by: (well, text, weight); of a telephone, of weight 0, only the digits."""
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
    table = t.search_word
    known: dict[str, int] = {}
    listed = sorted(words)
    for some in batches(listed, 400):
        query = select(table.c.word, table.c.id).where(table.c.word.in_(some))
        known |= {row[0]: row[1] for row in connection.execute(query)}
    new = [word for word in listed if word not in known]
    made = added(connection, table, [{"word": word} for word in new], by="word")
    known |= dict(zip(new, made, strict=True))
    variants = [
        {"variant": variant, "word_id": known[word]}
        for word in new
        if not word.isdigit()
        for variant in left_out(word)
    ]
    put_rows(connection, t.search_variant, variants)
    return known
