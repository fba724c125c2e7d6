"""Whatever somebody types or brings in is kept as it is, or refused in one clear line."""

from __future__ import annotations

import csv
import json
from collections.abc import Iterator
from pathlib import Path

import pytest
from openpyxl import Workbook
from sqlalchemy import Connection, select

from tests.hostile.texts import ALL, NEVER_SHOWN, TEXTS
from wellbook import cli
from wellbook.limits import LONGEST_TEXT
from wellbook.store import tables as t
from wellbook.store.book import Book, make_book

SOME = {"all": ALL, **{name: TEXTS[name] for name in ("formula", "lines", "option", "long")}}


@pytest.fixture
def book(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Book]:
    """A new book with a well, a property and a customer."""
    made = make_book(tmp_path / "x.book")
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("WELLBOOK_BOOK", str(tmp_path / "x.book"))
    monkeypatch.setenv("WELLBOOK_TODAY", "2026-11-25")
    for words in (
        ["customer", "add", "Orla Finch"],
        ["site", "add", "--road", "4 Larkspur Bend", "--town", "Nettlewick"],
        ["well", "add", "A-1", "--site", "1"],
        ["site", "moved-in", "1", "--customer", "1", "--since", "2020"],
    ):
        assert cli.run(words) in (0, 2)
    yield made
    made.close()


def _toml(text: str) -> str:
    return json.dumps(text).replace("\\ud83d\\udc69", "\\U0001f469").replace("\x7f", "\\u007f")


def _sheet(text: str) -> list[str]:
    said = json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")
    said = "".join(f"\\u{ord(x):04x}" if "\x80" <= x <= "\x9f" else x for x in said)
    Path("s.toml").write_text(
        f'date = "2026-01-05"\nreason = "check up"\nnotes = {said}\n', "utf-8"
    )
    return ["visit", "A-1", "--from", "s.toml"]


def _csv(text: str) -> list[str]:
    with Path("r.csv").open("w", encoding="utf-8", newline="") as file:
        csv.writer(file).writerows([["id", "town", "notes"], ["900", "Ambelow", text]])
    return ["import", "r.csv", "--source", "s", "--as", "reference", "--write"]


def _xlsx(text: str) -> list[str]:
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    from openpyxl.cell.cell import ILLEGAL_CHARACTERS_RE

    said = ILLEGAL_CHARACTERS_RE.sub("", text)[:32_000]
    for row in (["id", "town", "notes"], ["900", "Ambelow", said]):
        sheet.append(row)
    for cell in sheet[2]:
        cell.data_type = "s"
    book.save("r.xlsx")
    return ["import", "r.xlsx", "--source", "s", "--as", "reference", "--write"]


def _columns(connection: Connection, table: str, name: str) -> list[str]:
    tables = t.METADATA.tables
    return list(connection.execute(select(tables[table].c[name])).scalars())


def _given(name: str, text: str) -> list[str]:
    """The words of a command, with a text in one option."""
    return {
        "customer.notes": ["customer", "edit", "1", "--notes", text],
        "customer.name": ["customer", "edit", "1", "--name", text],
        "site.access": ["site", "edit", "1", "--access", text],
        "site.road": ["site", "edit", "1", "--road", text],
        "well.notes": ["well", "edit", "A-1", "--notes", text],
        "well.driller": ["well", "edit", "A-1", "--driller", text],
        "call.symptom": ["call", "A-1", "--symptom", text],
        "call.caller": ["call", "A-1", "--caller", text, "--symptom", "no water"],
        "contact.note": ["contact", "A-1", "--booked", "2026-12-01", "--note", text],
        "silence.reason": ["rules", "silence", "pump-age", "A-1", "--because", text],
        "shop_fact.value": ["shop", "set", "--", "licence", text],
        "pump_model.notes": [
            *("pump", "add", "O-1", "--maker", "Oskerby", "--hp", "1", "--rated-gpm", "5"),
            *("--notes", text),
        ],
        "consent.how": ["customer", "consent", "1", "phone", "yes", "--how", text],
        "sheet.notes": _sheet(text),
        "sheet.document": _sheet(text),
    }[name]


ENTRIES = (
    *("customer.notes", "customer.name", "site.access", "site.road", "well.notes"),
    *("well.driller", "call.symptom", "call.caller", "contact.note", "silence.reason"),
    *("shop_fact.value", "pump_model.notes", "consent.how", "sheet.notes", "sheet.document"),
)


@pytest.mark.parametrize("entry", ENTRIES)
def test_a_text_is_kept_as_it_is_or_refused(
    entry: str, book: Book, capsys: pytest.CaptureFixture[str]
) -> None:
    table, column = entry.split(".")
    capsys.readouterr()
    kept = 0
    for name, text in SOME.items():
        status = cli.run(_given(entry, text))
        said = capsys.readouterr()
        for shown in (said.out, said.err):
            found = NEVER_SHOWN.search(shown)
            assert not found, (name, shown[max(0, found.start() - 60) : found.end() + 9])
        if status:
            assert said.err.count("\n") == 1, said.err
            continue
        with book.reading() as connection:
            values = _columns(connection, table, column)
        if column == "document":
            assert text in [json.loads(value).get("notes") for value in values]
        elif entry == "shop_fact.value":
            assert text in values
        else:
            assert any(value.strip() == text.strip() for value in values), (name, values)
        kept += 1
    assert kept or entry in ("shop_fact.value",)


def test_what_is_longer_than_any_text_is_refused(
    book: Book, capsys: pytest.CaptureFixture[str]
) -> None:
    capsys.readouterr()
    text = "soft ground " * 900_000
    assert len(text) > 10_000_000
    for words in (
        ["customer", "edit", "1", "--notes", text],
        ["well", "edit", "A-1", "--notes", text],
        ["call", "A-1", "--symptom", text],
        ["shop", "letter", "letter", "--from", "l.txt"],
        _sheet(text),
    ):
        Path("l.txt").write_text(text, "utf-8")
        assert cli.run(words) == 2
        said = capsys.readouterr()
        assert said.err.count("\n") == 1
        assert f"{LONGEST_TEXT:,}" in said.err or "at most 20000 signs" in said.err, said.err


@pytest.mark.parametrize("form", [_csv, _xlsx], ids=["csv", "xlsx"])
@pytest.mark.parametrize("name", ["all", "formula", "lines", "long"])
def test_a_cell_is_brought_in_as_it_is(
    form: object, name: str, book: Book, capsys: pytest.CaptureFixture[str]
) -> None:
    assert callable(form)
    capsys.readouterr()
    status = cli.run([*form(SOME[name]), "--json"])
    said = capsys.readouterr()
    assert status in (0, 1, 2), said.err
    assert not NEVER_SHOWN.search(said.out + said.err)


def test_a_row_with_a_cell_that_is_too_long_is_refused(
    book: Book, capsys: pytest.CaptureFixture[str]
) -> None:
    capsys.readouterr()
    cli.run([*_csv("x" * (LONGEST_TEXT + 1)), "--json"])
    assert "is too long" in "".join(capsys.readouterr())
    with book.reading() as connection:
        assert _columns(connection, "well", "tag") == ["A-1"]


def test_bytes_that_are_no_text_are_refused(
    book: Book, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    capsys.readouterr()
    # As the system gives bytes that are no UTF-8 to a program (PEP 383).
    bad = b"a\xff\xfeb".decode("utf-8", "surrogateescape")
    for words in (
        ["customer", "add", bad],
        ["call", "A-1", "--symptom", bad],
        ["well", "edit", "A-1", "--notes", bad],
    ):
        assert cli.run(words) == 2
        said = capsys.readouterr().err
        assert "no text in UTF-8" in said and said.count("\n") == 1
    Path("s.toml").write_text(
        'date = "2026-01-05"\nreason = "other"\nnotes = "a\\u0000b"\n', "utf-8"
    )
    assert cli.run(["visit", "A-1", "--from", "s.toml"]) == 2
    assert "is no text" in capsys.readouterr().err
    monkeypatch.setenv("WELLBOOK_WHO", "Ida\x1b[31m\nBo " + "x" * 500)
    assert cli.run(["customer", "edit", "1", "--notes", "n"]) == 0
    with book.reading() as connection:
        who = _columns(connection, "change", "who")[-1]
    assert who.startswith("Ida Bo xxx") and len(who) == 200
