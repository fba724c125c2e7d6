"""A shop's list with customers, properties, wells and visits, and the truth of a book in plain values."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

from sqlalchemy import select

from wellbook.store.book import Book
from wellbook.store.kept import kept_tables

Answer = Callable[..., dict[str, Any]]
MAPPING = """\
source = "shop list"
table = "all"
[columns]
tag = "Tag"
customer.name = "Customer"
customer.phone = "Phone"
customer.email = "E-mail"
road = "Address"
town = "Town"
depth_ft = { column = "Depth", unit = "ft" }
equipment = "Equipment"
pump.hp = { column = "HP", unit = "hp" }
visit.on = "Visit"
visit.reason = "Work"
visit.crew = "Tech"
water_level_ft = { column = "Level", unit = "ft" }
notes = "Notes"
"""
HEAD = "Tag,Customer,Phone,E-mail,Address,Town,Depth,Equipment,HP,Visit,Work,Tech,Level,Notes\n"
ROWS = (
    'Q-1,"Smith, John",(555) 014-7788,john@smith.example,12 Mill Road,Sutton,310,'
    "1/2hp 7gpm 2011,1/2,2019-05-03,no water,Ida,42,by the barn\n"
    'Q-1,"Smith, John",(555) 014-7788,,12 Mill Road,Sutton,,,,2021-06-04,Check-up,Ida & Ben,44,\n'
    "Q-2,SMITH JOHN & MARY,555.014.7788,,40 Hill St,Sutton,200,,,2020-02-02,pump replaced,Ben,,\n"
    "Q-4,Ann Lee,,,4 Larkspur Bend,Nettlewick,150,,,2020-02,service,,12,\n"
    ",Bob Nowell,555-014-9999,,,,,,,,,,,\n"
)
OF_RUNS = frozenset({"book", "change", "import_run", "import_change"})


def listed(folder: Path, rows: str = ROWS) -> tuple[Path, str, Path]:
    """The list as a file, and the words that read it."""
    mapping = folder / "m.toml"
    mapping.write_text(MAPPING, "utf-8")
    path = folder / "list.csv"
    path.write_text(HEAD + rows, "utf-8")
    return path, "--mapping", mapping


def truth(book: Book) -> dict[str, list[tuple[Any, ...]]]:
    """All rows of the book's truth without their numbers, but for what tells of runs and changes.

    Rows that others point to are named by their identities, so that numbers may differ.
    """
    found: dict[str, list[tuple[Any, ...]]] = {}
    with book.reading() as connection:
        uids: dict[str, dict[int, str]] = {}
        for kept in kept_tables():
            if kept.has_uid and "id" in kept.table.c:
                rows = connection.execute(select(kept.table.c.id, kept.table.c.uid))
                uids[kept.name] = {row.id: row.uid for row in rows}
        for kept in kept_tables():
            if kept.name in OF_RUNS:
                continue
            query = select(kept.table)
            query = query if kept.which is None else query.where(kept.which)
            named = []
            for row in connection.execute(query).mappings():
                values = []
                for column in kept.columns:
                    value = row[column.name]
                    to = kept.points.get(column.name)
                    values.append(uids[to.name][value] if to is not None and value else value)
                named.append(tuple(values))
            found[kept.name] = sorted(named, key=repr)
    return found
