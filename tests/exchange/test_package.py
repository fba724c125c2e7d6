"""The whole book leaves as a Frictionless Data Package, and comes back as an equal book."""

from __future__ import annotations

import csv
import json
import shutil
import signal
import subprocess
import sys
import tracemalloc
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, ExitStack
from datetime import date
from pathlib import Path
from typing import Any

import pandas
import pytest
from frictionless import validate
from sqlalchemy import insert, select

from tests.cli.commands import Commands
from tests.exchange.equal_books import all_rows
from wellbook import cli
from wellbook.errors import WellbookError
from wellbook.exchange import package_out
from wellbook.exchange.package_in import read_package
from wellbook.exchange.package_out import write_package
from wellbook.exchange.package_tables import DESCRIPTION, package_tables
from wellbook.store import tables as t
from wellbook.store.attachments import attach, files_of, take_off
from wellbook.store.book import Book, make_book
from wellbook.store.places import book_url
from wellbook.store.sheets import correct, the_sheet, withdraw

TODAY = date(2026, 11, 25)


@pytest.fixture(scope="module")
def demo(loaded_shop: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo book, with a sheet put right, one taken back, and a photograph of two wells."""
    folder = tmp_path_factory.mktemp("leaving")
    place = Path(shutil.copy(loaded_shop, folder / "shop.book"))
    book = Book(book_url(place))
    photo = folder / "lid.jpg"
    photo.write_bytes(b"\xff\xd8\xff\xe0 a lid")
    with book.writing() as connection:
        visits = list(
            connection.execute(
                select(t.sheet.c.id).where(t.sheet.c.kind == "visit").order_by(t.sheet.c.id.desc())
            ).scalars()
        )
        old = json.loads(the_sheet(connection, visits[0])["document"])
        correct(
            connection, "Ida", visits[0], {**old, "notes": "=put right"}, why="a slip", today=TODAY
        )
        withdraw(connection, "Ida", visits[1], why="+ not this well", today=TODAY)
        files = files_of(book, connection)
        for well_id in (1, 2):
            with files.copied(photo) as copied:
                attach(connection, "Ida", files, well_id, copied, name="lid.jpg", today=TODAY)
    book.close()
    return place


@pytest.fixture(scope="module")
def package(demo: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("package") / "all"
    write_package(Book(book_url(demo)), folder, TODAY)
    return folder


@pytest.fixture
def mine(package: Path, tmp_path: Path) -> Path:
    """A copy of the package, to be spoilt."""
    return Path(shutil.copytree(package, tmp_path / "package"))


# -- as others see it --------------------------------------------------------------------------


def test_frictionless_finds_nothing_wrong(package: Path) -> None:
    """The library of those who wrote the standard: types, enums, required, unique, keys, counts."""
    report = validate(str(package / DESCRIPTION))
    assert report.valid, report.flatten(["title", "rowNumber", "fieldName", "note"])
    assert len(report.tasks) == len(package_tables()) + 1


def test_frictionless_sees_a_row_that_points_nowhere(mine: Path) -> None:
    """So the check above is one."""
    lines = (mine / "tables" / "paper.csv").read_text("utf-8").splitlines(keepends=True)
    well = lines[1].split(",")[2]
    (mine / "tables" / "paper.csv").write_text("".join(lines).replace(well, "nobody", 1), "utf-8")
    report = validate(str(mine / DESCRIPTION))
    kinds = {kind for (kind,) in report.flatten(["type"])}
    assert "foreign-key" in kinds


def test_pandas_reads_the_rows_of_the_book(demo: Path, package: Path) -> None:
    frame = pandas.read_csv(
        package / "tables" / "well.csv", dtype=str, keep_default_na=False, na_filter=False
    )
    book = Book(book_url(demo))
    with book.reading() as connection:
        wells = connection.execute(select(t.well).order_by(t.well.c.id)).mappings().all()
    assert list(frame["tag"]) == [w["tag"] for w in wells]
    assert list(frame["permit_no"]) == [w["permit_no"] for w in wells]
    assert [x or None for x in frame["drilled_latest"]] == [
        w["drilled_latest"] and w["drilled_latest"].isoformat() for w in wells
    ]
    numbers = pandas.read_csv(package / "tables" / "site.csv")
    assert numbers["latitude"].dtype == "float64"
    assert (numbers["longitude"].dropna() < 0).all()


def test_the_files_are_csv_by_rfc_4180(package: Path) -> None:
    """Section 2: rows end in CR LF (1), each has as many fields (4), quotes are doubled (7)."""
    for file in sorted(package.rglob("*.csv")):
        raw = file.read_bytes()
        assert raw.endswith(b"\r\n")
        assert not raw.startswith(b"\xef\xbb\xbf")
        with file.open(encoding="utf-8", newline="") as lines:
            assert len({len(row) for row in csv.reader(lines, strict=True)}) == 1


def test_no_cell_begins_like_a_formula(package: Path) -> None:
    """OWASP, "CSV Injection": a cell that begins with = + - @, a tab or a return may be run."""
    seen = []
    for file in sorted(package.rglob("*.csv")):
        fields = {f["name"]: f["type"] for f in _schema(package, file)["fields"]}
        with file.open(encoding="utf-8", newline="") as lines:
            for row in csv.DictReader(lines):
                for name, cell in row.items():
                    if fields[name] == "string":
                        assert not cell.lstrip().startswith(("=", "+", "-", "@"))
                        assert not cell.startswith(("\t", "\r", "\n"))
                        seen.append(cell)
    assert "'=put right" in seen
    assert "'+ not this well" in seen


def _schema(package: Path, file: Path) -> dict[str, Any]:
    said = json.loads((package / DESCRIPTION).read_text("utf-8"))
    path = file.relative_to(package).as_posix()
    schema: dict[str, Any] = next(r["schema"] for r in said["resources"] if r["path"] == path)
    return schema


def test_the_description_says_what_a_reader_needs(package: Path, demo: Path) -> None:
    said = json.loads((package / DESCRIPTION).read_text("utf-8"))
    with Book(book_url(demo)).reading() as connection:
        assert said["id"] == connection.execute(select(t.book.c.uid)).scalar()
    assert said["wellbook"]["schema_revision"] == package_out.SCHEMA_REVISION
    assert "licenses" not in said
    for resource in said["resources"]:
        assert resource["description"]
        assert all(field["description"] for field in resource["schema"]["fields"])
    derived = [r["name"] for r in said["resources"] if r.get("wellbook", {}).get("derived")]
    assert derived == ["readable-wells"]


def test_the_table_for_people_has_each_well_in_one_line(package: Path) -> None:
    frame = pandas.read_csv(package / "readable" / "wells.csv", dtype={"postcode": str})
    well = frame.set_index("tag").loc["TF-0031"]
    assert well["customer"] == "Orla Venterick"
    assert well["depth_ft"] == 428
    assert well["pump_set_ft"] == 402
    assert "Quillmoor, Q7-15" in well["pump"]
    assert well["cable"].startswith("#12")
    assert well["last_visit"] == "2026-06-02"
    assert well["due"].startswith("act: coliform bacteria present")


def test_each_content_of_files_is_there_once(package: Path) -> None:
    (file,) = (package / "files").iterdir()
    assert file.read_bytes() == b"\xff\xd8\xff\xe0 a lid"


# -- and back ----------------------------------------------------------------------------------


@pytest.fixture
def empty(place: str) -> Iterator[Book]:
    """An empty book on each engine in turn."""
    made = make_book(place)
    yield made
    made.close()


def _with_a_folder_for_files(book: Book, tmp_path: Path) -> None:
    if not book.is_file:
        (tmp_path / "server files").mkdir()
        with book.writing() as connection:
            row = {"name": "files", "value": str(tmp_path / "server files")}
            connection.execute(insert(t.shop_fact).values(row))


def _without_folder(rows: dict[str, Any]) -> dict[str, Any]:
    """A server's book says where its files are; a file's does not."""
    facts = [r for r in rows["shop_fact"] if ("name", "'files'") not in r]
    return {**rows, "shop_fact": facts}


def test_the_demo_book_comes_back_equal(
    demo: Path, package: Path, empty: Book, tmp_path: Path
) -> None:
    _with_a_folder_for_files(empty, tmp_path)
    told: list[str] = []
    taken = read_package(empty, package, told.append)
    assert (taken.files, told) == (1, [])
    source, copy = all_rows(Book(book_url(demo))), _without_folder(all_rows(empty))
    for name, rows in source.items():
        assert copy[name] == rows, name
    assert len(source["due"]) > 300
    assert len(source["component"]) > 500
    assert len(source["search_use"]) > 500


def test_a_servers_book_comes_back_equal_on_a_server(
    package: Path, new_place: Callable[[], AbstractContextManager[str]], tmp_path: Path
) -> None:
    with ExitStack() as places:
        first = make_book(places.enter_context(new_place()))
        second = make_book(places.enter_context(new_place()))
        _with_a_folder_for_files(first, tmp_path)
        read_package(first, package)
        write_package(first, tmp_path / "again", TODAY)
        with second.writing() as connection:
            (tmp_path / "other").mkdir()
            row = {"name": "files", "value": str(tmp_path / "other")}
            connection.execute(insert(t.shop_fact).values(row))
        read_package(second, tmp_path / "again")
        assert _without_folder(all_rows(second)) == _without_folder(all_rows(first))
        with second.reading() as connection:
            folder = select(t.shop_fact.c.value).where(t.shop_fact.c.name == "files")
            assert connection.execute(folder).scalar() == str(tmp_path / "other")
        first.close()
        second.close()


def test_what_is_written_of_the_copy_is_the_same(
    package: Path, empty: Book, tmp_path: Path
) -> None:
    _with_a_folder_for_files(empty, tmp_path)
    read_package(empty, package)
    write_package(empty, tmp_path / "again", TODAY)
    for table in package_tables():
        first, second = (p / table.path for p in (package, tmp_path / "again"))
        # The engines sort the keys of texts each in its own way.
        one, two = (sorted(p.read_bytes().splitlines()) for p in (first, second))
        if table.name != "shop_fact":
            assert one == two, table.name


def test_the_book_counts_on_behind_what_came_in(package: Path, empty: Book, tmp_path: Path) -> None:
    from wellbook.store.wells import add_customer

    _with_a_folder_for_files(empty, tmp_path)
    read_package(empty, package)
    with empty.writing() as connection:
        most = max(connection.execute(select(t.customer.c.id)).scalars())
        assert add_customer(connection, "Ida", "Ferrin Oakes") == most + 1


def test_a_servers_book_needs_a_folder_of_its_own_for_files(
    package: Path, new_place: Callable[[], AbstractContextManager[str]]
) -> None:
    with new_place() as place:
        book = make_book(place)
        before = all_rows(book)
        with pytest.raises(WellbookError, match="wellbook shop set files"):
            read_package(book, package)
        assert all_rows(book) == before
        book.close()


# -- what is wrong with it ---------------------------------------------------------------------


def test_a_book_that_is_not_empty_is_left_alone(package: Path, shop: Path) -> None:
    book = Book(book_url(shop))
    before = all_rows(book)
    with pytest.raises(WellbookError, match=r"not empty.*wellbook merge"):
        read_package(book, package)
    assert all_rows(book) == before


def _cell(folder: Path, table: str, row: int, field: str, value: str) -> None:
    """Write another value into one cell; rows are counted as a spreadsheet does."""
    file = folder / "tables" / f"{table}.csv"
    with file.open(encoding="utf-8", newline="") as lines:
        rows = list(csv.reader(lines))
    rows[row - 1][rows[0].index(field)] = value
    with file.open("w", encoding="utf-8", newline="") as out:
        csv.writer(out, lineterminator="\r\n").writerows(rows)


@pytest.mark.parametrize(
    ("table", "row", "field", "value", "says"),
    [
        ("well", 3, "stick_up_ft", "1 1/2", "a number is wanted, not '1 1/2'"),
        ("well", 3, "status", "broken", "one of these is wanted: in_use, seasonal"),
        ("well", 3, "site_uid", "nowhere", "there is no site 'nowhere' in the package"),
        ("well", 3, "system_uid", "", "there is no water_system '' in the package"),
        ("well", 3, "entered_on", "25.11.2026", "a day such as 2026-11-25 is wanted"),
        ("well", 3, "entered_on", "2026-02-30", "a day such as 2026-11-25 is wanted"),
        ("well", 3, "flowing", "yes", "true or false is wanted"),
        ("well", 3, "number", "99999999999", "a whole number from 1 to 2147483647"),
        ("well", 3, "number", "0", "a whole number from 1 to"),
        ("well", 3, "drilled_latest", "1899-01-01", "the range runs backwards"),
        ("sheet", 5, "document", "{", "it is not JSON"),
        ("sheet", 5, "document", "[1]", "a JSON object is wanted"),
        ("sheet", 5, "document", '{"set": 7}', "a visit has a reason"),
        ("sheet", 5, "document", "[" * 100_000, "nested far too deep"),
        ("sheet", 5, "recorded_at", "yesterday", "Invalid isoformat"),
        ("change", 9, "new", "5", "a JSON object is wanted"),
        ("well", 3, "notes", "'\\half \\ud800", "half of a sign"),
        ("well", 3, "notes", "'\\torn \\u00", "a text, guarded as the package says, is wanted"),
    ],
)
def test_a_value_that_will_not_do_is_named(
    mine: Path, file_book: Book, table: str, row: int, field: str, value: str, says: str
) -> None:
    field_named = "document" if field == "recorded_at" else field
    _cell(mine, table, row, field, value)
    before = all_rows(file_book)
    with pytest.raises(WellbookError) as caught:
        read_package(file_book, mine)
    assert caught.value.where == f"tables/{table}.csv, row {row}, {field_named}"
    assert says in caught.value.message
    assert "\n" not in str(caught.value)
    assert all_rows(file_book) == before


def test_two_rows_with_one_tag_are_named(mine: Path, empty: Book) -> None:
    _cell(mine, "well", 9, "tag", "TF-0001")
    with pytest.raises(WellbookError, match="or has one like it already") as caught:
        read_package(empty, mine)
    assert caught.value.where == "tables/well.csv, row 9"


def test_a_sign_that_a_server_cannot_hold_is_named(
    mine: Path, new_place: Callable[[], AbstractContextManager[str]]
) -> None:
    _cell(mine, "well", 3, "notes", "'\\a\\u0000b")
    with new_place() as place:
        book = make_book(place)
        with pytest.raises(WellbookError, match="cannot hold the sign NUL"):
            read_package(book, mine)
        book.close()


def _text(folder: Path, path: str, change: Callable[[bytes], bytes]) -> None:
    (folder / path).write_bytes(change((folder / path).read_bytes()))


def _drop(folder: Path, path: str) -> None:
    (folder / path).unlink()


@pytest.mark.parametrize(
    ("spoil", "where", "says"),
    [
        (lambda f: _cell(f, "well", 3, "notes", "other"), "tables/well.csv", "not the file that"),
        (lambda f: _text(f, "tables/crew.csv", lambda b: b[: b.rindex(b"\r\n", 0, -2) + 2]),
         "tables/crew.csv", "not the file that"),
        (lambda f: _text(f, "tables/well.csv", lambda b: b.replace(b"tag,", b"label,")),
         "tables/well.csv, row 1", "the header should be: uid,number,tag"),
        (lambda f: _text(f, "tables/well.csv", lambda _: b""), "tables/well.csv", "is empty"),
        (lambda f: _text(f, "tables/well.csv", lambda b: b + b'"open'),
         "tables/well.csv, row 95", "cannot be read as CSV"),
        (lambda f: _text(f, "tables/well.csv", lambda b: b + b"a,b\r\n"),
         "tables/well.csv, row 95", "19 cells are wanted, and there are 2"),
        (lambda f: _text(f, "tables/well.csv", lambda b: b + b"\xff\r\n"),
         "tables/well.csv", "not UTF-8"),
        (lambda f: _drop(f, "tables/well.csv"), "well.csv", "No such file"),
        (lambda f: _text(f, DESCRIPTION, lambda b: b[:-9]), DESCRIPTION, "not JSON"),
        (lambda f: _text(f, DESCRIPTION, lambda _: b"[]"), DESCRIPTION, "JSON object"),
        (lambda f: _text(f, DESCRIPTION, lambda _: b"\xff"), DESCRIPTION, "UTF-8"),
        (lambda f: _text(f, DESCRIPTION, lambda _: b"[" * 200_000), DESCRIPTION, "not JSON"),
        (lambda f: _said(f, {"wellbook": None}), DESCRIPTION, "was not written by wellbook export"),
        (lambda f: _said(f, {"resources": 5}), DESCRIPTION, "names no tables"),
        (lambda f: _said(f, {"resources": []}), DESCRIPTION, "it has no table book"),
        (lambda f: _said(f, {"resources": [{"name": ["well"]}, 7]}), DESCRIPTION, "no table book"),
        (lambda f: _fields(f, [{"name": ["uid"], "type": {}}, 7]), DESCRIPTION, "it lacks uid"),
        (lambda f: _fields(f, {"name": "uid"}), DESCRIPTION, "it lacks uid"),
        (lambda f: _own(f, schema_revision="9999", program="7.1"), DESCRIPTION,
         "newer (wellbook 7.1) than this program; install the newer wellbook"),
        (lambda f: _own(f, package=2), DESCRIPTION, "newer"),
        (lambda f: _own(f, package=True), DESCRIPTION, "by which version"),
        (lambda f: _own(f, package=0), DESCRIPTION, "at which no package was written yet"),
        (lambda f: _own(f, schema_revision="0001"), DESCRIPTION, "at which no package was written"),
        (lambda f: _own(f, schema_revision=None), DESCRIPTION, "by which version"),
        (lambda f: _drop(f, DESCRIPTION), "", "has no datapackage.json"),
        (lambda f: [x.unlink() for x in (f / "files").iterdir()], "files", "is not there"),
        (lambda f: [x.write_text("other") for x in (f / "files").iterdir()], "files", "content"),
    ],
)  # fmt: skip
def test_a_package_that_is_not_whole_changes_nothing(
    mine: Path, file_book: Book, spoil: Callable[[Path], object], where: str, says: str
) -> None:
    spoil(mine)
    before = all_rows(file_book)
    with pytest.raises(WellbookError) as caught:
        read_package(file_book, mine)
    assert where in caught.value.where
    assert says in caught.value.message
    assert "\n" not in str(caught.value)
    assert all_rows(file_book) == before


def _said(folder: Path, values: dict[str, Any]) -> None:
    file = folder / DESCRIPTION
    file.write_text(json.dumps({**json.loads(file.read_text("utf-8")), **values}), "utf-8")


def _fields(folder: Path, fields: Any) -> None:
    said = json.loads((folder / DESCRIPTION).read_text("utf-8"))
    said["resources"][0]["schema"]["fields"] = fields
    _said(folder, said)


def _own(folder: Path, **values: Any) -> None:
    said = json.loads((folder / DESCRIPTION).read_text("utf-8"))
    _said(folder, {"wellbook": {**said["wellbook"], **values}})


# -- whole or not at all -----------------------------------------------------------------------


def test_a_folder_that_is_there_is_left_alone(demo: Path, tmp_path: Path) -> None:
    (tmp_path / "all").mkdir()
    with pytest.raises(WellbookError, match="there is such a folder already"):
        write_package(Book(book_url(demo)), tmp_path / "all", TODAY)
    assert list((tmp_path / "all").iterdir()) == []
    assert [p.name for p in tmp_path.iterdir()] == ["all"]


KILLED = """
import os, sys
from datetime import date
from pathlib import Path
from wellbook.store.book import open_book
from wellbook.exchange import package_{way} as way
from wellbook.exchange.package_in import read_package
from wellbook.exchange.package_out import write_package
book, folder, at = sys.argv[1], Path(sys.argv[2]), int(sys.argv[3])
own, count = way.{step}, 0
def step(*given, **more):
    global count
    count += 1
    if count == at:
        os.kill(os.getpid(), 9)
    return own(*given, **more)
way.{step} = step
{run}
"""


def _killed(way: str, step: str, run: str, *words: object) -> None:
    code = KILLED.format(way=way, step=step, run=run)
    done = subprocess.run([sys.executable, "-c", code, *map(str, words)], capture_output=True)
    assert done.returncode == -signal.SIGKILL, done.stderr


@pytest.mark.skipif(sys.platform == "win32", reason="a signal of its own")
@pytest.mark.parametrize("at", [1, 17, 31])
def test_a_run_that_is_killed_leaves_no_package(demo: Path, tmp_path: Path, at: int) -> None:
    run = "write_package(open_book(book), folder, date(2026, 11, 25))"
    _killed("out", "_sum", run, demo, tmp_path / "all", at)
    assert [p for p in tmp_path.iterdir() if not p.name.startswith(".")] == []
    write_package(Book(book_url(demo)), tmp_path / "all", TODAY)
    assert validate(str(tmp_path / "all" / DESCRIPTION)).valid


@pytest.mark.skipif(sys.platform == "win32", reason="a signal of its own")
@pytest.mark.parametrize(
    ("way", "step", "at"),
    [("loading", "_write", 1), ("loading", "_write", 20), ("in", "derive_anew", 1)],
)
def test_an_import_that_is_killed_leaves_an_empty_book(
    package: Path, tmp_path: Path, way: str, step: str, at: int
) -> None:
    make_book(tmp_path / "new.book").close()
    before = all_rows(Book(book_url(tmp_path / "new.book")))
    _killed(way, step, "read_package(open_book(book), folder)", tmp_path / "new.book", package, at)
    book = Book(book_url(tmp_path / "new.book"))
    assert all_rows(book) == before
    read_package(book, package)


FULL = """
import resource, sys
resource.setrlimit(resource.RLIMIT_FSIZE, (60_000, 60_000))
from wellbook import cli
sys.exit(cli.run(["--book", sys.argv[1], "export", sys.argv[2], *sys.argv[3:]]))
"""


@pytest.mark.skipif(sys.platform == "win32", reason="no limit of this kind")
def test_a_full_disk_is_one_line_and_leaves_nothing(demo: Path, tmp_path: Path) -> None:
    """A limit on the length of files does what a full disk does: a write fails in the middle."""
    words = [sys.executable, "-c", FULL, str(demo), str(tmp_path / "all")]
    done = subprocess.run(words, capture_output=True, text=True)
    assert (done.returncode, done.stdout) == (2, "")
    assert "nothing was written" in done.stderr
    assert done.stderr.count("\n") == 1
    assert list(tmp_path.iterdir()) == []


@pytest.mark.skipif(sys.platform == "win32", reason="no limit of this kind")
def test_a_disk_that_is_full_of_files_is_one_line_and_leaves_nothing(
    demo: Path, tmp_path: Path
) -> None:
    """The tables have room, and a photograph has not."""
    place = Path(shutil.copy(demo, tmp_path / "shop.book"))
    book = Book(book_url(place))
    photo = tmp_path / "large.jpg"
    photo.write_bytes(b"\xff\xd8\xff\xe0" + bytes(3_000_000))
    with book.writing() as connection:
        for one in connection.execute(select(t.attachment.c.id)).scalars().all():
            take_off(connection, "Ida", one, why="not here")
        files = files_of(book, connection)
        with files.copied(photo) as copied:
            attach(connection, "Ida", files, 1, copied, name="large.jpg", today=TODAY)
    (tmp_path / "out").mkdir()
    code = FULL.replace("60_000, 60_000", "2_000_000, 2_000_000")
    words = [sys.executable, "-c", code, str(place), str(tmp_path / "out" / "all")]
    done = subprocess.run(words, capture_output=True, text=True)
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr.startswith(f"wellbook: {tmp_path / 'out' / 'all'}: nothing was written: ")
    assert done.stderr.count("\n") == 1
    assert list((tmp_path / "out").iterdir()) == []


@pytest.mark.parametrize(
    ("spoil", "says"),
    [
        (lambda p: p.unlink(), "1 of 1 files of wells are gone.*wellbook files off NO"),
        (lambda p: p.write_bytes(b"other"), "the file is changed"),
    ],
)
def test_a_file_that_is_not_what_it_was_does_not_leave(
    demo: Path, tmp_path: Path, spoil: Callable[[Path], object], says: str
) -> None:
    place = Path(shutil.copy(demo, tmp_path / "shop.book"))
    kept = shutil.copytree(f"{demo}.files", tmp_path / "shop.book.files")
    (file,) = (p for p in Path(kept).rglob("*") if p.is_file())
    spoil(file)
    (tmp_path / "out").mkdir()
    with pytest.raises(WellbookError, match=says) as caught:
        write_package(Book(book_url(place)), tmp_path / "out" / "all", TODAY)
    assert "\n" not in str(caught.value)
    assert list((tmp_path / "out").iterdir()) == []


# -- size --------------------------------------------------------------------------------------


def _peak(run: Callable[[], object]) -> int:
    tracemalloc.start()
    run()
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    return peak


def test_memory_does_not_grow_with_the_book(tmp_path: Path) -> None:
    peaks = []
    for many in (200, 4_000, 16_000):
        book, copy = make_book(tmp_path / f"{many}.book"), make_book(tmp_path / f"{many}c.book")
        with book.writing() as connection:
            for start in range(0, many, 1000):
                # Of few names, since how names are read is remembered up to a bound.
                rows = [
                    {"uid": f"u{n}", "name": f"Customer {n % 100}", "notes": "n" * 200}
                    for n in range(start, min(start + 1000, many))
                ]
                connection.execute(insert(t.customer), rows)
        folder = tmp_path / f"{many}"
        out = _peak(lambda b=book, f=folder: write_package(b, f, TODAY))  # type: ignore[misc]
        come = _peak(lambda c=copy, f=folder: read_package(c, f))  # type: ignore[misc]
        peaks.append((out, come))
    # The first run loads what the others find loaded.
    (_, (out_some, in_some), (out_many, in_many)) = peaks
    assert out_many < 1.3 * out_some
    assert in_many < 1.3 * in_some


# -- as a command ------------------------------------------------------------------------------


@pytest.fixture
def wellbook(at_the_demo: None, capsys: pytest.CaptureFixture[str]) -> Commands:
    return Commands(capsys)


def test_there_and_back_by_command(
    wellbook: Commands, shop: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    said = wellbook.fine("export", str(tmp_path / "all"))
    assert "93 wells" in said
    assert "names, addresses, telephone numbers" in said
    assert "already" in wellbook.refused("export", str(tmp_path / "all"))
    assert "wellbook merge" in wellbook.refused("import", str(tmp_path / "all"))
    monkeypatch.setenv("WELLBOOK_BOOK", str(tmp_path / "new.book"))
    wellbook.fine("init")
    counts = wellbook.json("import", str(tmp_path / "all"))
    assert counts["schema"] == {"name": "wellbook.import_package", "version": 1}
    assert counts["rows"]["well"] == 93
    assert all_rows(Book(book_url(tmp_path / "new.book"))) == all_rows(Book(book_url(shop)))
    assert "has no datapackage.json" in wellbook.refused("import", str(tmp_path))


def test_the_description_alone_is_no_file_of_records(
    file_book: Book, capsys: pytest.CaptureFixture[str]
) -> None:
    words = ["--book", str(file_book.path), "import", "all/datapackage.json"]
    assert cli.run(words) == 2
    said = capsys.readouterr().err
    assert "name its folder: wellbook import all" in said and said.count("\n") == 1
