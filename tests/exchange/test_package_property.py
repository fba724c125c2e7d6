"""Whatever stands in the columns of a book, the book that comes of its package is equal.

Every table of the book's truth is filled by its own columns: any text where there is text, nothing
where there may be nothing, uncertain dates with open ends.
"""

from __future__ import annotations

import json
import shutil
import tempfile
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pandas
import pytest
from frictionless import Resource, Schema
from hypothesis import HealthCheck, Phase, example, given, settings
from hypothesis import strategies as st
from sqlalchemy import (
    BigInteger,
    Boolean,
    Connection,
    Date,
    Double,
    Integer,
    UniqueConstraint,
    insert,
    update,
)

from tests.exchange.equal_books import all_rows
from wellbook.exchange.package_cells import CellKind, read, written
from wellbook.exchange.package_in import read_package
from wellbook.exchange.package_out import write_package
from wellbook.exchange.package_tables import PackageTable, package_tables
from wellbook.store import tables as t
from wellbook.store.book import Book, make_book
from wellbook.store.freshness import derive_anew
from wellbook.store.keys import fill_keys
from wellbook.store.tables.base import words_of

TODAY = date(2026, 11, 25)
HOSTILE = (
    *(
        "",
        "'",
        "''",
        "'\\",
        "\\",
        '"',
        '""',
        '"=1"',
        "=1+1",
        "+1",
        "-1",
        "@SUM(A1)",
        "\t=1",
        "\r=1",
        "\n",
    ),
    *(
        "a\r\nb",
        "a\rb",
        "a\nb",
        " =1",
        "\u00a0=1",
        "\uff1d1",
        "\uff0b1",
        "\uff0d1",
        "\uff201",
        "'=1",
    ),
    *(
        "\ufeff",
        "\ufffe",
        "\uffff",
        "\u2028",
        "\x85",
        "\x1b[31m",
        "\x7f",
        ",",
        ";",
        "NULL",
        "NaN",
        "null",
    ),
    *("007", "-12.5", "1e5", "true", "2026-11-25", "'\\u0041", "=cmd|' /C calc'!A0", "x" * 300),
)
TEXT = st.one_of(st.sampled_from(HOSTILE), st.text(max_size=30))


@given(st.one_of(st.none(), TEXT), st.booleans())
@example("\ud800", True)
@example("\x00", False)
def test_a_text_comes_back_out_of_its_cell(text: str | None, nullable: bool) -> None:
    if text is None and not nullable:
        return
    cell = written(text, nullable=nullable)
    assert read(cell, CellKind.STRING, nullable=nullable) == text
    # OWASP, "CSV Injection": what a cell may not begin with.
    assert not cell.lstrip().startswith(
        ("=", "+", "-", "@", "\uff1d", "\uff0b", "\uff0d", "\uff20")
    )
    assert not cell.startswith(("\t", "\r", "\n"))
    assert "\x00" not in cell


@given(st.floats())
def test_a_number_comes_back_out_of_its_cell(number: float) -> None:
    again = read(written(number, nullable=True), CellKind.NUMBER, nullable=True)
    assert repr(again) == repr(number)


class Filler:
    """Rows for every table, from a handful of texts and a source of chance."""

    def __init__(self, texts: list[str], rows: int, chance: Any) -> None:
        self._texts, self._rows, self._chance = texts, rows, chance

    def fill(self, connection: Connection) -> None:
        for table in package_tables():
            # A file that a row names has to be there: that is tried in test_package.
            if table.name in ("book", "attachment"):
                continue
            rows = [self._row(table, n) for n in range(1, self._rows + 1)]
            connection.execute(insert(table.kept.table), rows)

    def _row(self, table: PackageTable, n: int) -> dict[str, Any]:
        row = {c.name: self._value(table, c, n) for c in table.kept.columns}
        if table.kept.has_uid and "id" in table.kept.table.c:
            # With gaps, as a book has them where rows were taken away.
            row["id"] = 3 * n
        for name in [name.removesuffix("_earliest") for name in row if name.endswith("_earliest")]:
            days = sorted(self._day() for _ in range(2))
            row[f"{name}_earliest"] = self._maybe(days[0])
            row[f"{name}_latest"] = self._maybe(days[1])
        return {**row, **self._needed(table.name)}

    def _value(self, table: PackageTable, column: Any, n: int) -> Any:
        value = self._any(table, column, n)
        return self._maybe(value) if column.nullable else value

    def _any(self, table: PackageTable, column: Any, n: int) -> Any:
        words = words_of(table.kept.table).get(column.name)
        kind = column.type
        if column.name in table.kept.points:
            # Each row of a table without a uid points elsewhere.
            return 3 * n if not table.kept.has_uid else 3 * self._chance.randint(1, self._rows)
        if words:
            return self._chance.choice(words)
        if isinstance(kind, Boolean):
            return self._chance.random() < 0.5
        if isinstance(kind, Date):
            return self._day()
        if isinstance(kind, Double):
            return float(n) if column.primary_key else self._chance.uniform(-500, 500)
        if isinstance(kind, Integer | BigInteger):
            return n if column.primary_key else self._chance.randint(1, 12)
        text = self._chance.choice(self._texts)
        alone = column.unique or column.primary_key or column.name in _unique(table)
        return f"{text[:200]}{n}" if alone else text

    def _maybe(self, value: Any) -> Any:
        return value if self._chance.random() < 0.7 else None

    def _day(self) -> date:
        return date(1850, 1, 1) + timedelta(days=self._chance.randint(0, 100_000))

    def _needed(self, table: str) -> dict[str, Any]:
        """What the program reads as more than text."""
        said = self._chance.choice(self._texts)
        document = {"date": "2020-05-01", "reason": "check_up", "notes": said}
        return {
            "sheet": {"document": json.dumps(document), "recorded_at": "2026-11-25T10:00:00+00:00"},
            "change": {"old": None, "new": json.dumps({"notes": said}, ensure_ascii=False)},
            "setting": {"value": json.dumps(said)},
        }.get(table, {})


def _unique(table: PackageTable) -> set[str]:
    """The columns that are unique only together."""
    some = [c for c in table.kept.table.constraints if isinstance(c, UniqueConstraint)]
    return {column.name for constraint in some for column in constraint.columns}


def _filled(book: Book, texts: list[str], rows: int, chance: Any) -> None:
    with book.writing() as connection:
        Filler(texts, rows, chance).fill(connection)
        # What names and roads are compared by is no text of anybody's: it is worked out from them.
        connection.execute(update(t.customer).values(name_key=None))
        connection.execute(update(t.site).values(road_key=None))
        fill_keys(connection)
        assert list(derive_anew(connection)) == []


@pytest.fixture
def folder() -> Iterator[Path]:
    made = Path(tempfile.mkdtemp())
    yield made
    shutil.rmtree(made)


def _there_and_back(source: Book, copy: Book, folder: Path) -> None:
    package = folder / f"package-{len(list(folder.iterdir()))}"
    write_package(source, package, TODAY)
    told: list[str] = []
    read_package(copy, package, told.append)
    assert told == []
    one, two = all_rows(source), all_rows(copy)
    for name, rows in one.items():
        assert two[name] == rows, name


TEXTS = st.lists(TEXT, min_size=1, max_size=12)
FEW = settings(
    max_examples=5,
    suppress_health_check=list(HealthCheck),
    # A case takes seconds: what fails is shown as it was found.
    phases=(Phase.explicit, Phase.generate),
)


@FEW
@given(texts=TEXTS, rows=st.integers(1, 6), chance=st.randoms(use_true_random=False))
@example(texts=[*HOSTILE, "a\x00b", "\x00"], rows=25, chance=__import__("random").Random(1))
def test_a_file_comes_back_equal(folder: Path, texts: list[str], rows: int, chance: Any) -> None:
    number = len(list(folder.iterdir()))
    source, copy = (make_book(folder / f"{number}-{which}.book") for which in ("one", "two"))
    _filled(source, texts, rows, chance)
    _there_and_back(source, copy, folder)


@settings(FEW, max_examples=2)
@given(texts=TEXTS, rows=st.integers(1, 6), chance=st.randoms(use_true_random=False))
@example(texts=list(HOSTILE), rows=25, chance=__import__("random").Random(1))
def test_a_file_comes_back_equal_on_a_server_and_from_there_in_a_file(
    folder: Path,
    new_place: Callable[[], AbstractContextManager[str]],
    texts: list[str],
    rows: int,
    chance: Any,
) -> None:
    texts = [x.replace("\x00", "") for x in texts]
    number = len(list(folder.iterdir()))
    source, last = (make_book(folder / f"{number}-{which}.book") for which in ("one", "two"))
    _filled(source, texts, rows, chance)
    with new_place() as place:
        server = make_book(place)
        _there_and_back(source, server, folder)
        _there_and_back(server, last, folder)
        server.close()


def test_others_see_the_same_texts(folder: Path) -> None:
    """pandas and frictionless split the cells alike; the guard is taken off as the package says."""
    from random import Random

    book = make_book(folder / "one.book")
    _filled(book, list(HOSTILE), 80, Random(2))
    write_package(book, folder / "package", TODAY)
    with book.reading() as connection:
        names = list(connection.execute(t.customer.select().order_by(t.customer.c.id)).mappings())
    table = next(x for x in package_tables() if x.name == "customer")
    frame = pandas.read_csv(
        folder / "package" / table.path, dtype=str, keep_default_na=False, na_filter=False
    )
    schema = Schema.from_descriptor(table.schema())
    with Resource(
        path=str(folder / "package" / table.path), schema=schema, encoding="utf-8"
    ) as resource:
        rows = [row.to_dict() for row in resource.row_stream]
    for cells in (list(frame["notes"]), [row["notes"] for row in rows]):
        assert [_plain(cell) for cell in cells] == [row["notes"] for row in names]
    reminded = [row["remind_by"] for row in rows]
    assert reminded == [row["remind_by"] for row in names]


def _plain(cell: str) -> str:
    """A text by the description of the package, in words of our own."""
    if cell[:2] == "'\\":
        return str(json.loads('"' + cell[2:] + '"'))
    return cell[1:] if cell[:1] == "'" else cell


def test_each_table_points_only_to_those_before_it() -> None:
    """A row is read after those that it points to; a table that points to itself would need two passes."""
    seen: set[str] = set()
    for table in package_tables():
        assert {field.points_to for field in table.fields} - {""} <= seen, table.name
        seen.add(table.name)


@settings(max_examples=500)
@given(cell=TEXT, kind=st.sampled_from(CellKind), nullable=st.booleans())
def test_any_cell_is_read_or_refused_in_one_line(cell: str, kind: CellKind, nullable: bool) -> None:
    try:
        read(cell, kind, nullable=nullable)
    except ValueError as error:
        assert "wanted" in str(error)
        assert "\n" not in str(error)
