"""Files of wells: kept once beside the book, checked as they are handed out, never half there."""

from __future__ import annotations

import hashlib
import os
import signal
import subprocess
import sys
from datetime import date
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sqlalchemy import Connection, insert, inspect, select, text

from wellbook.errors import NotFoundError, WellbookError
from wellbook.hole.records import AttachedFile
from wellbook.store import sheets
from wellbook.store import tables as t
from wellbook.store.attachments import (
    Attached,
    adopt,
    attach,
    attachments,
    contents,
    files_of,
    sweep,
    take_off,
    verify,
)
from wellbook.store.book import Book, migrate
from wellbook.store.file_kinds import fit_name, media_type, size_text
from wellbook.store.holes import load_hole
from wellbook.store.kept import kept_tables
from wellbook.store.kept_files import KeptFiles
from wellbook.store.loading import plain_rows
from wellbook.store.shop import say_of_shop
from wellbook.store.wells import add_well

TODAY = date(2026, 11, 25)
# FIPS 180-4's own example of one block (NIST, "SHA Examples", SHA-256): the message is abc.
ABC = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"


@pytest.fixture
def wells(book: Book, tmp_path: Path) -> tuple[int, int]:
    """Two wells, and a folder for the files of a server's book."""
    shared = tmp_path / "shared"
    shared.mkdir()
    with book.writing() as connection:
        say_of_shop(connection, "me", "files", str(shared))
        one, other = (
            add_well(connection, "me", tag, {"entered_on": date(2020, 1, 1)}, today=TODAY)
            for tag in ("A-1", "A-2")
        )
    return one, other


def kept(book: Book) -> KeptFiles:
    with book.reading() as connection:
        return files_of(book, connection)


def bring(book: Book, well: int, path: Path, visit: int | None = None, note: str = "") -> Attached:
    folder = kept(book)
    with folder.copied(path) as incoming, book.writing() as connection:
        return attach(
            connection,
            "Ida",
            folder,
            well,
            incoming,
            name=path.name,
            note=note,
            visit=visit,
            today=TODAY,
        )


def made(path: Path, content: bytes = b"abc") -> Path:
    path.write_bytes(content)
    return path


def everything(folder: Path) -> list[str]:
    return sorted(p.name for p in folder.rglob("*") if p.is_file())


def test_a_file_is_named_by_its_sum_and_kept_once_for_all_wells(
    book: Book, wells: tuple[int, int], tmp_path: Path
) -> None:
    first = bring(book, wells[0], made(tmp_path / "log.txt"), note="driller's")
    second = bring(book, wells[1], made(tmp_path / "same again.txt"))
    assert first.new and second.new
    assert first.attachment.file.sha256 == ABC
    folder = kept(book)
    assert everything(folder.folder) == [ABC]
    assert folder.path(ABC) == folder.folder / "ba" / ABC
    with book.reading() as connection:
        (one,) = load_hole(connection, wells[0]).files
        assert contents(book, connection) == {ABC: folder.path(ABC)}
        assert [a.tag for a in attachments(connection)] == ["A-1", "A-2"]
    assert (one.name, one.media_type, one.size_bytes, one.note, one.added_on, one.who) == (
        "log.txt", "text/plain", 3, "driller's", TODAY, "Ida",
    )  # fmt: skip
    if book.is_file:
        assert folder.folder.name == f"{book.path.name}.files"


def test_what_is_there_already_stays_once_and_its_note_is_put_right(
    book: Book, wells: tuple[int, int], tmp_path: Path
) -> None:
    path = made(tmp_path / "log.txt")
    assert bring(book, wells[0], path).new
    again = bring(book, wells[0], path, note="found in the shed")
    assert (again.new, again.changed) == (False, True)
    assert again.attachment.file.note == "found in the shed"
    # Nothing said takes nothing away.
    assert not bring(book, wells[0], path).changed
    with book.reading() as connection:
        assert len(attachments(connection, wells[0])) == 1


def test_a_file_of_a_visit_stays_with_it_when_the_visit_is_put_right(
    book: Book, wells: tuple[int, int], tmp_path: Path
) -> None:
    with book.writing() as connection:
        data = {"date": "2026-11-20", "reason": "check up"}
        sheets.record(connection, "me", wells[0], data, today=TODAY)
        (visit,) = load_hole(connection, wells[0]).visits
    bring(book, wells[0], made(tmp_path / "a.txt"), visit=visit.number)
    with book.writing() as connection:
        later = {"date": "2026-11-21", "reason": "check up"}
        sheets.correct(connection, "me", visit.number, later, today=TODAY, why="the day")
        hole = load_hole(connection, wells[0])
        assert hole.files[0].sheet_uid == hole.visits[0].uid
    with pytest.raises(NotFoundError, match="of another well"):
        bring(book, wells[1], made(tmp_path / "a.txt"), visit=hole.visits[0].number)
    with pytest.raises(WellbookError, match="superseded"):
        bring(book, wells[0], made(tmp_path / "b.txt", b"b"), visit=visit.number)
    with book.reading() as connection:
        assert len(attachments(connection)) == 1


def test_what_is_taken_off_is_in_the_log_and_its_content_goes_by_a_sweep(
    book: Book, wells: tuple[int, int], tmp_path: Path
) -> None:
    one = bring(book, wells[0], made(tmp_path / "a.txt")).attachment.file
    other = bring(book, wells[1], made(tmp_path / "b.txt")).attachment.file
    with book.writing() as connection:
        take_off(connection, "Ida", one.number, why="of the neighbour")
        log = select(t.change.c.old, t.change.c.new).where(
            t.change.c.what == "attachment", t.change.c.action == "remove"
        )
        ((old, new),) = connection.execute(log).all()
        assert ABC in old and "of the neighbour" in new
    # The other well names it still.
    assert sweep(book) == 0 and kept(book).wrong(ABC) == ""
    with book.writing() as connection:
        take_off(connection, "Ida", other.number, why="")
    assert verify(book).nobodys == [ABC]
    assert sweep(book) == 1
    assert everything(kept(book).folder) == []
    with book.writing() as connection, pytest.raises(NotFoundError, match="no file has the number"):
        take_off(connection, "Ida", other.number, why="")


def test_what_is_gone_or_changed_is_said_and_never_handed_out(
    book: Book, wells: tuple[int, int], tmp_path: Path
) -> None:
    path = made(tmp_path / "a.txt")
    bring(book, wells[0], path)
    folder, out = kept(book), tmp_path / "out.txt"
    folder.copy_out(ABC, out)
    assert out.read_bytes() == b"abc"
    out.unlink()
    for break_it, wrong in (
        (lambda: folder.path(ABC).write_bytes(b"abd"), "changed"),
        (lambda: folder.path(ABC).unlink(), "gone"),
    ):
        break_it()
        ((one, why),) = verify(book).wrong
        assert (one.tag, why) == ("A-1", wrong)
        with pytest.raises(WellbookError, match=f"the file is {wrong}; put {ABC} back"):
            folder.copy_out(ABC, out)
        assert not out.exists() and list(tmp_path.glob(".out*")) == []
        # Attached again it is whole again.
        assert not bring(book, wells[0], path).new
        assert (verify(book).whole, verify(book).wrong) == (1, [])


def test_content_from_a_package_is_kept_only_if_it_is_what_it_should_be(
    book: Book, wells: tuple[int, int], tmp_path: Path
) -> None:
    good, bad = made(tmp_path / "good"), made(tmp_path / "bad", b"abd")
    with book.writing() as connection:
        assert adopt(book, connection, good, ABC).read_bytes() == b"abc"
        with pytest.raises(WellbookError, match="not what it was when it was attached"):
            adopt(book, connection, bad, ABC)
        with pytest.raises(WellbookError, match="no SHA-256 sum"):
            kept(book).path("../../etc/passwd")
    assert everything(kept(book).folder) == [ABC]


def test_what_is_no_file_to_be_kept_is_refused_in_one_line(file_book: Book, tmp_path: Path) -> None:
    folder = kept(file_book)
    os.mkfifo(tmp_path / "pipe")
    cases = {
        "pipe": "is no file but a pipe or a device",
        ".": "is a folder; name the files in it",
        "none": "No such file or directory",
        "empty": "is empty; there is nothing to keep",
    }
    made(tmp_path / "empty", b"")
    for name, says in cases.items():
        with pytest.raises(WellbookError) as caught, folder.copied(tmp_path / name):
            pytest.fail("it was taken")
        assert says in str(caught.value) and str(tmp_path / name) in str(caught.value)
    for bad in (Path("/dev/zero"), Path("a\0b")):
        with pytest.raises(WellbookError), folder.copied(bad):
            pytest.fail("it was taken")
    assert everything(folder.folder) == []


def test_a_file_that_is_too_large_is_refused_before_and_while_it_is_copied(
    file_book: Book, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("wellbook.store.kept_files.MOST_BYTES", 2)
    with (
        pytest.raises(WellbookError, match="larger than 2 bytes"),
        kept(file_book).copied(made(tmp_path / "a")),
    ):
        pytest.fail("it was taken")
    # One that grows is seen too: a file of the kernel's has no size beforehand.
    with (
        pytest.raises(WellbookError, match="larger than 2 bytes"),
        kept(file_book).copied(Path("/proc/self/status")),
    ):
        pytest.fail("it was taken")
    assert everything(kept(file_book).folder) == []


@pytest.mark.skipif(os.geteuid() == 0, reason="nothing is closed to root")
def test_a_file_that_may_not_be_read_is_refused(file_book: Book, tmp_path: Path) -> None:
    path = made(tmp_path / "a")
    path.chmod(0)
    with pytest.raises(WellbookError, match="Permission denied"), kept(file_book).copied(path):
        pytest.fail("it was taken")


def test_a_folder_that_cannot_be_written_is_said_in_one_line(
    file_book: Book, tmp_path: Path
) -> None:
    folder = KeptFiles(made(tmp_path / "in the way"))
    with (
        pytest.raises(WellbookError, match="files cannot be kept here"),
        folder.copied(made(tmp_path / "a")),
    ):
        pytest.fail("it was taken")


def test_a_servers_book_needs_a_folder_that_is_there(book: Book, tmp_path: Path) -> None:
    if book.is_file:
        pytest.skip("a file's book has its own")
    with pytest.raises(WellbookError, match="wellbook shop set files /srv"):
        kept(book)
    assert verify(book).whole == 0
    with book.writing() as connection:
        say_of_shop(connection, "me", "files", str(tmp_path / "unplugged"))
    with pytest.raises(WellbookError, match="unplugged: the shop's folder for files cannot be rea"):
        kept(book)
    with book.writing() as connection, pytest.raises(WellbookError, match="no whole path"):
        say_of_shop(connection, "me", "files", "files")


KILLED = """
import os, signal, sys
from datetime import date
from pathlib import Path
from wellbook.store import kept_files
from wellbook.store.attachments import attach, files_of
from wellbook.store.book import open_book

place, path, at = sys.argv[1], Path(sys.argv[2]), int(sys.argv[3])
steps = iter(range(1, 9999))

def count(frame, event, arg):
    inside = frame.f_code.co_filename.endswith(("kept_files.py", "attachments.py", "rows.py"))
    if event == "line" and inside and next(steps, 0) == at:
        os.kill(os.getpid(), signal.SIGKILL)
    return count if inside else None

book = open_book(place)
with book.reading() as connection:
    folder = files_of(book, connection)
def into():
    with folder.copied(path) as incoming, book.writing() as connection:
        attach(connection, "Ida", folder, 1, incoming, name="a", today=date(2026, 11, 25))
sys.settrace(lambda f, e, a: count(f, e, a))
into()
sys.settrace(None)
print("done")
"""


def test_a_run_that_is_killed_anywhere_leaves_no_row_without_its_file(
    file_book: Book, tmp_path: Path
) -> None:
    with file_book.writing() as connection:
        add_well(connection, "me", "A-1", {"entered_on": date(2020, 1, 1)}, today=TODAY)
    path = made(tmp_path / "a")
    done, at = None, 0
    while done is None or done.returncode:
        at += 6
        given_to = [sys.executable, "-c", KILLED, str(file_book.path), str(path), str(at)]
        done = subprocess.run(given_to, capture_output=True, text=True, check=False)
        assert done.returncode in (0, -signal.SIGKILL), done.stderr
        seen = verify(file_book)
        assert seen.wrong == [], at
        with file_book.reading() as connection:
            assert len(attachments(connection)) == seen.whole
    assert at > 60 and done.stdout == "done\n"
    assert (seen.whole, seen.nobodys) == (1, [])
    # What killed runs left is known by its age and goes with a sweep.
    for part in kept(file_book).folder.glob(".*"):
        os.utime(part, (0, 0))
    assert verify(file_book).underway
    sweep(file_book)
    assert everything(kept(file_book).folder) == [ABC]


def test_the_files_of_a_hole_cost_one_query_more(
    book: Book, wells: tuple[int, int], monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[str] = []
    ask = plain_rows._asked
    monkeypatch.setattr(plain_rows, "_asked", lambda *given: asked.append(given[1]) or ask(*given))
    with book.reading() as connection:
        load_hole(connection, wells[0])
    assert sum("FROM attachment" in one for one in asked) == 1
    with book.reading() as connection:
        connection.exec_driver_sql("ANALYZE")
        plan = "EXPLAIN QUERY PLAN" if book.is_file else "EXPLAIN"
        if not book.is_file:
            connection.exec_driver_sql("SET enable_seqscan = off")
        query = f"{plan} SELECT * FROM attachment WHERE well_id IN (1, 2)"
        assert "INDEX" in str(connection.execute(text(query)).all()).upper()


def test_files_are_of_the_books_truth() -> None:
    names = [one.name for one in kept_tables()]
    assert names.index("attachment") > names.index("well")


def indexes(connection: Connection) -> set[str | None]:
    return {i["name"] for i in inspect(connection).get_indexes("site")}


def test_the_table_goes_up_and_down_with_what_is_in_the_book(
    book: Book, wells: tuple[int, int], tmp_path: Path
) -> None:
    bring(book, wells[0], made(tmp_path / "a.txt"))
    with book.writing() as connection:
        connection.execute(
            insert(t.site).values(
                uid="s", road="", town="", region="", postcode="", latitude=44.5, longitude=-72.5,
                access="", well_head="", notes="",
            )
        )  # fmt: skip
    migrate(book, "0005")
    with book.reading() as connection:
        assert not inspect(connection).has_table("attachment")
        assert "ix_site_latitude_longitude" not in indexes(connection)
    migrate(book)
    with book.reading() as connection:
        assert "ix_site_latitude_longitude" in indexes(connection)
        assert connection.execute(select(t.site.c.latitude)).scalar() == 44.5
        assert attachments(connection) == []
    # The rows are gone with the table; what is in the files is not.
    assert kept(book).wrong(ABC) == ""
    assert bring(book, wells[0], made(tmp_path / "a.txt")).new


# -- what a file is, and what it may be called ---------------------------------------------------


@pytest.mark.parametrize(
    ("head", "name"),
    [
        # Signatures: ITU-T T.81 (SOI and a marker); ISO/IEC 15948 section 5.2; ISO 32000-1 section
        # 7.5.2; TIFF revision 6.0 section 2; ISO/IEC 23008-12 annex B (brands).
        (b"\xff\xd8\xff\xe1\x00\x18Exif", "image/jpeg"),
        (b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR", "image/png"),
        (b"%PDF-1.4\n%\xe2\xe3\xcf\xd3\n", "application/pdf"),
        (b"II*\x00\x08\x00\x00\x00", "image/tiff"),
        (b"MM\x00*\x00\x00\x00\x08", "image/tiff"),
        (b"\x00\x00\x00\x18ftypheic\x00\x00\x00\x00", "image/heic"),
        (b"\x00\x00\x00\x18ftypmif1\x00\x00\x00\x00", "image/heif"),
        (b"\x00\x00\x00\x18ftypisom\x00\x00\x00\x00", "application/octet-stream"),
        # MIME Sniffing Standard, sections 3 and 7: text is what has no binary data byte.
        ("0 to 12 ft clay, Tämsin".encode(), "text/plain"),
        ("0 to 12 ft clay, Tämsin".encode("cp1252"), "text/plain"),
        ("clay".encode("utf-16"), "text/plain"),
        (b"\x1b[31mclay", "text/plain"),
        (b"PK\x03\x04\x14\x00\x00", "application/octet-stream"),
        (b"MZ\x90\x00", "application/octet-stream"),
    ],
)
def test_what_a_file_is_follows_from_its_first_bytes(head: bytes, name: str) -> None:
    assert media_type(head) == name


@pytest.mark.parametrize(
    ("name", "fit"),
    [
        ("Lab report 2026.pdf", "Lab report 2026.pdf"),
        ("../../home/x/.ssh/key", "key"),
        ("C:\\scans\\log.pdf", "log.pdf"),
        ("a\x1b[31mb\r\nc.txt", "ab c.txt"),
        ("photo\u202egpj.exe", "photogpj.exe"),
        ('what?: "so".jpg', "what__ _so_.jpg"),
        # Microsoft Learn, "Naming Files, Paths, and Namespaces".
        ("CON", "_CON"),
        ("nul.tar.gz", "_nul.tar.gz"),
        ("COM1 .txt", "_COM1 .txt"),
        ("console.txt", "console.txt"),
        ("ends in dots. . .", "ends in dots"),
        (".hidden", "_.hidden"),
        ("..", "file"),
        ("", "file"),
        ("\udc80.jpg", "\N{REPLACEMENT CHARACTER}.jpg"),
        ("e\u0301.jpg", "\u00e9.jpg"),
    ],
)
def test_a_name_is_made_fit(name: str, fit: str) -> None:
    assert fit_name(name) == fit


@given(st.text(max_size=300))
def test_any_name_is_made_fit_once_and_for_all(name: str) -> None:
    fit = fit_name(name)
    assert fit and fit == fit_name(fit) and len(fit) <= 121
    assert not set(fit) & set('/\\<>:"|?*\n\r\x1b') and fit[-1] not in ". " and fit[0] not in ". "


def test_a_size_in_words() -> None:
    sizes = (1, 999, 1000, 999_499, 999_500, 3_040_000, 200_000_000)
    assert [size_text(s) for s in sizes] == [
        "1 byte", "999 bytes", "1 kB", "999 kB", "1.0 MB", "3.0 MB", "200 MB",
    ]  # fmt: skip


def test_a_hostile_row_of_another_book_is_shown_under_a_fit_name(
    book: Book, wells: tuple[int, int]
) -> None:
    with book.writing() as connection:
        connection.execute(
            insert(t.attachment).values(
                uid="u", well_id=wells[0], sha256=hashlib.sha256(b"x").hexdigest(),
                file_name="../\x1b[2Jx", media_type="x", size_bytes=1, note="", added_on=TODAY,
                who="",
            )
        )  # fmt: skip
        (file,) = load_hole(connection, wells[0]).files
    assert isinstance(file, AttachedFile) and file.name == "x"
