"""Files that are no books, or no longer: each command ends in an answer or in one clear line."""

from __future__ import annotations

import random
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.faults.fault_table import as_shown, the_line
from wellbook import cli
from wellbook.store.damage import damage

PAGE_BYTES = 4096
READ = (
    ("find", "orla"),
    ("hole", "TF-0031"),
    ("due", "--within", "60d"),
    ("history", "TF-0031"),
    ("remind",),
    ("checkups",),
)
SHEET = 'date = 2026-11-20\nreason = "check up"\n[measured]\nstatic_level_ft = 40\n'


@pytest.fixture(autouse=True)
def the_day(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("WELLBOOK_TODAY", "2026-11-25")
    monkeypatch.setenv("WELLBOOK_WHO", "Ida")


def _say(book: Path, capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, str]:
    capsys.readouterr()
    status = cli.run(["--book", str(book), *words])
    err = capsys.readouterr().err
    assert status in (0, 1, 2)
    assert err.count("\n") == (status != 0), err
    return status, as_shown(err, book)


@pytest.mark.parametrize(
    ("content", "name"),
    [
        (b"Dear Sir, " * 900, "no database"),
        (random.Random(1).randbytes(20_000), "no database"),
        (b"", "empty"),
    ],
    ids=["letter", "bytes", "empty"],
)
@pytest.mark.parametrize("words", [*READ, ("visit", "TF-0031", "--from", "-"), ("upgrade",)])
def test_what_is_no_book_is_said_and_left_alone(
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    content: bytes,
    name: str,
    words: tuple[str, ...],
) -> None:
    file = tmp_path / "letter.book"
    file.write_bytes(content)
    assert _say(file, capsys, *words) == (2, the_line(name))
    assert file.read_bytes() == content
    assert [p.name for p in tmp_path.iterdir()] == ["letter.book"]


@pytest.mark.parametrize("kept", [0.99, 0.9, 0.5, 0.1, 0.003])
def test_a_book_that_is_cut_short_is_never_written_to(
    shop: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], kept: float
) -> None:
    sheet = tmp_path / "sheet.toml"
    sheet.write_text(SHEET, "utf-8")
    content = shop.read_bytes()[: int(shop.stat().st_size * kept)]
    shop.write_bytes(content)
    for words in (*READ, ("visit", "TF-0031", "--from", str(sheet))):
        assert _say(shop, capsys, *words) == (2, the_line("truncated"))
    assert shop.read_bytes() == content


def _noise(book: bytearray, dice: random.Random) -> None:
    at = dice.randrange(len(book) // PAGE_BYTES) * PAGE_BYTES
    book[at : at + PAGE_BYTES] = dice.randbytes(PAGE_BYTES)


def _zeros(book: bytearray, dice: random.Random) -> None:
    at = dice.randrange(len(book) // PAGE_BYTES) * PAGE_BYTES
    book[at : at + PAGE_BYTES] = bytes(PAGE_BYTES)


def _much_noise(book: bytearray, dice: random.Random) -> None:
    for _ in range(30):
        _noise(book, dice)


def _another(book: bytearray, dice: random.Random) -> None:
    """A page stands in another's place: right in itself, and wrong there."""
    one, other = (dice.randrange(len(book) // PAGE_BYTES) * PAGE_BYTES for _ in range(2))
    book[one : one + PAGE_BYTES] = book[other : other + PAGE_BYTES]


def _a_run(book: bytearray, dice: random.Random) -> None:
    at = dice.randrange(len(book) - 300)
    book[at : at + 300] = dice.randbytes(300)


def _some(book: bytearray, dice: random.Random) -> None:
    for _ in range(40):
        book[dice.randrange(len(book))] = dice.randrange(256)


def _letters(book: bytearray, dice: random.Random) -> None:
    """Of texts, so that what is read is no date, no JSON and no word of the book any more."""
    for _ in range(400):
        at = dice.randrange(2 * PAGE_BYTES, len(book))
        if 40 < book[at] < 123:
            book[at] = dice.choice(b'aZ09-:{}"x5,. ')


def _header(book: bytearray, dice: random.Random) -> None:
    book[dice.randrange(100)] = dice.randrange(256)


def _schema(book: bytearray, dice: random.Random) -> None:
    at = dice.randrange(100, PAGE_BYTES - 8)
    book[at : at + 8] = dice.randbytes(8)


HARMS = (_noise, _zeros, _much_noise, _another, _a_run, _some, _letters, _header, _schema)


@pytest.mark.parametrize("harm", HARMS, ids=lambda harm: harm.__name__.strip("_"))
def test_on_damaged_pages_each_command_answers_or_says_so(
    shop: Path,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    harm: Callable[[bytearray, random.Random], None],
) -> None:
    sheet = tmp_path / "sheet.toml"
    sheet.write_text(SHEET, "utf-8")
    whole = shop.read_bytes()
    for seed in range(4):
        dice = random.Random(f"{harm.__name__} {seed}")
        book = bytearray(whole)
        harm(book, dice)
        for log in tmp_path.glob("shop.book-*"):
            log.unlink()
        shop.write_bytes(book)
        found = damage(shop)
        commands = [
            dice.choice(READ),
            dice.choice(READ),
            ("visit", "TF-0031", "--from", str(sheet)),
        ]
        for words in commands:
            status, said = _say(shop, capsys, *words)
            if status == 2:
                # The engine checks its own pages, and not what a text says.
                unread = "a text in the book cannot be read"
                assert found or harm is _header or unread in said, said
                # Some say in brackets what was found.
                known = (the_line("damaged"), the_line("no database"), f"BOOK: {unread}")
                assert said.startswith(known), said


def test_a_whole_book_has_no_damage_and_a_defect_of_the_program_is_shown_as_one(
    shop: Path,
) -> None:
    from wellbook.store.book import open_book

    assert damage(shop) == ""
    assert damage(shop.with_name("none.book")) == ""
    with pytest.raises(ZeroDivisionError), open_book(shop).reading():
        raise ZeroDivisionError


def test_what_no_book_could_hold_is_blamed_on_damage_only_where_there_is_some(
    shop: Path, tmp_path: Path
) -> None:
    from wellbook.errors import BookError
    from wellbook.store.book import open_book

    book = open_book(shop)
    hurt = bytearray(shop.read_bytes())
    at = len(hurt) - PAGE_BYTES
    hurt[at:] = random.Random(5).randbytes(PAGE_BYTES)
    with pytest.raises(BookError, match="is damaged"), book.reading():
        shop.write_bytes(hurt)
        raise ValueError("no such word")
    shutil.rmtree(tmp_path, ignore_errors=True)
