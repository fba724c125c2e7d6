"""Every migration, down to the first and up again, on either engine, with rows in every table."""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import Any

from sqlalchemy import MetaData, select

from wellbook.store.book import SCHEMA_REVISION, Book, alembic_config, migrate
from wellbook.store.copying import copy_book, summed
from wellbook.store.freshness import freshen
from wellbook.store.places import book_url

Values = dict[tuple[str, str], list[Any]]


def there(book: Book) -> Values:
    """Each column of each table as it is in the database, its values in the order of the key."""
    found: Values = {}
    with book.reading() as connection:
        tables = MetaData()
        tables.reflect(connection)
        for table in tables.sorted_tables:
            # What wells are found by is made anew as the book is opened.
            if table.name != "alembic_version" and not table.name.startswith("search_"):
                rows = connection.execute(select(table)).mappings()
                key = [c.name for c in table.primary_key]
                columns = list(table.c)
                if table.name == "due":
                    # A position tells rows apart, and is each revision's own.
                    key = ["well_id", "rule", "occurrence", "severity"]
                    columns.remove(table.c.position)
                ordered = sorted(rows, key=lambda row: tuple(row[name] for name in key))
                for column in columns:
                    found[table.name, column.name] = [row[column.name] for row in ordered]
    return found


def revisions() -> list[str]:
    """All of them, the oldest first."""
    from alembic.script import ScriptDirectory

    steps = ScriptDirectory.from_config(alembic_config()).walk_revisions()
    return [step.revision for step in steps][::-1]


MADE_ANOTHER = {
    ("contact_point", "may_use"),
    ("water_sample", "nitrate_mg_l"),
    ("water_sample", "arsenic_mg_l"),
}
"""Columns of older revisions whose values are rows of another table since."""


def test_down_to_the_first_and_up_again_nothing_is_lost_that_both_have(
    place: str, lived_in: Path
) -> None:
    """A step may take away what the older revision has no room for, and nothing else."""
    if "://" in place:
        copy_book(Book(book_url(lived_in)), place)
    else:
        shutil.copy(lived_in, place)
    book = Book(book_url(place))
    before = start = there(book)
    order = revisions()
    assert order[-1] == SCHEMA_REVISION
    assert all(start.values()), "a table without a row shows nothing"
    lowest = dict(start)
    for revision in [*order[-2::-1], *order[1:]]:
        migrate(book, revision)
        now = there(book)
        for name in before.keys() & now.keys() - MADE_ANOTHER:
            assert now[name] == before[name], (revision, name)
        before = now
        lowest = now if revision == order[0] else lowest
    assert len(lowest) < len(start)
    # What the oldest revision knew came back as it was; the rest is an empty table, or empty in a row.
    end = there(book)
    assert end.keys() == start.keys()
    for name in lowest.keys() & start.keys():
        assert end[name] == start[name], name
    # And the program goes on with it: what follows from the sheets is made again.
    freshen(book)
    with book.reading() as connection:
        counts = summed(connection)
    for table in ("due", "component", "search_word", "well", "sheet"):
        assert counts[table].rows > 0, table
