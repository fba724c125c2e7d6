"""Every file that a command reads is hostile: taken as text, or refused in one clear line."""

from __future__ import annotations

import csv
import json
import re
import shutil
import sqlite3
import sys
import zipfile
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
import vobject

from tests.faults.warm import picture
from tests.hostile.shelf import hostile as hostile  # noqa: PLC0414 - a fixture
from tests.hostile.shelf import made as made  # noqa: PLC0414 - a fixture
from tests.hostile.test_every_option import COMMANDS
from tests.hostile.test_hostile_entries import book as book  # noqa: PLC0414 - a fixture
from tests.hostile.texts import ALL, NEVER_SHOWN, TEXTS
from wellbook import cli
from wellbook.store.book import Book

# What a file of plain text cannot hold is left out: a table with controls in it is refused whole.
PLAIN = re.sub("[\x00-\x08\x0b-\x1f\x7f-\x9f]", "", ALL)
SOME = {"all": ALL, "plain": PLAIN, **{n: TEXTS[n] for n in ("lines", "long")}}
Words = list[list[str]]


def rows(name: str, *some: list[str]) -> str:
    with Path(name).open("w", encoding="utf-8", newline="") as file:
        csv.writer(file).writerows(some)
    return name


def toml(text: str) -> str:
    said = json.dumps(text, ensure_ascii=False)
    return re.sub("[\x7f-\x9f]", lambda m: f"\\u{ord(m[0]):04x}", said)


def written(name: str, text: str) -> str:
    Path(name).write_text(text, "utf-8", newline="")
    return name


# -- files of one kind each: the commands that read them, from a text ----------------------------


def _sheet(text: str) -> Words:
    said = f'reason = "check up"\nnotes = {toml(text)}\ncrew = [{toml(text)}]\n'
    good = written("s.toml", f'date = "2026-01-05"\n{said}')
    bad = written(
        "b.toml", f"date = {toml(text)}\n{said}{toml(text)} = 1\n[set.{toml(text)}]\nx = 1\n"
    )
    raw = written("r.toml", text)
    first = ["visit", "A-1", "--from"]
    again = ["correct", "1", "--because", text, "--from"]
    return [[*w, f] for w in (first, again) for f in (good, bad, raw)]


def _plan(text: str) -> Words:
    pump = f"[set.pump]\nhp = 1\nrated_gpm = 10\nset_depth_ft = 100\nmodel = {toml(text)}\n"
    good = written("p.toml", f'date = "2026-01-05"\nreason = "other"\n{pump}')
    bad = written("q.toml", f"reason = {toml(text)}\n{pump}{toml(text)} = 2\n")
    return [["plan", "A-1", good], ["plan", "A-1", bad], ["plan", "A-1", written("r.toml", text)]]


def _cases(text: str) -> Words:
    good = rows("c.csv", ["gpm", "drawdown_ft", text], ["5", "20", text], [text, "20", text])
    return [["calc", "specific-capacity", "--from", f] for f in (good, written("r.csv", text))]


def _pumps(text: str) -> Words:
    good = ["Oskerby", "O-1", "1", "5", text]
    head = ["maker", "model", "hp", "rated_gpm", "notes", "gpm", "head_ft"]
    files = (
        rows("p.csv", head, [*good, "0", "330"], ["", "", "", "", "", "5", "300"]),
        rows("q.csv", head, [text, text, "1", "5", text, "0", "330"]),
        rows("u.csv", [*head, text], [*good, text, text, text]),
        written("r.csv", text),
    )
    return [
        *(["pump", "add", "--from", file] for file in files),
        ["pump", "edit", "O-1", "--from", files[1]],
        ["pump", "list"],
    ]


def _letter(text: str) -> Words:
    files = (written("l.txt", f"Dear {{{{ customer }}}}\n{text}\n"), written("r.txt", text))
    return [
        *(["shop", "letter", "letter", "--from", f] for f in files),
        ["shop", "letter", "letter"],
    ]


def _cards(text: str) -> Words:
    card = vobject.vCard()
    card.add("fn").value = text
    card.add("n").value = vobject.vcard.Name(family=text, given=text)
    card.add("note").value = text
    card.add("adr").value = vobject.vcard.Address(street=text, city=text)
    card.add("tel").value = "555-0142"
    good = written("c.vcf", card.serialize())
    lines = (
        f"BEGIN:VCARD\r\nVERSION:4.0\r\nFN:{text}\r\nTEL:{text}\r\n{text}:{text}\r\nEND:VCARD\r\n"
    )
    bad = written("b.vcf", lines)
    more = ["--source", "s", "--as", "ours"]
    return [
        ["import", good, *more],
        ["import", bad, *more, "--rejects", "refused.vcf"],
        ["import", good, *more, "--write"],
        ["import", bad, *more, "--write"],
        ["customer", "list"],
    ]


def _mapping(text: str) -> Words:
    table = rows("t.csv", ["id", "town", "notes"], ["900", "Ambelow", "n"])
    files = (
        written("m.toml", f'source = {toml(text)}\n[columns]\nkey = "id"\n{toml(text)} = "town"\n'),
        written("n.toml", f'source = "s"\n[columns]\nkey = {toml(text)}\nnotes = "notes"\n'),
        written("r.toml", text),
    )
    return [["import", table, "--as", "reference", "--mapping", file] for file in files]


def _decisions(text: str) -> Words:
    table = rows("t.csv", ["Tag", "Customer", "Equipment"], ["Z-1", "Ida", "1/2hp 7gpm 2011"])
    more = ["import", table, "--source", "s", "--as", "ours"]
    files = (
        rows("d.csv", ["number", "decision", "question"], [text, text, text], ["q1", text, text]),
        written("r.csv", text),
    )
    return [[*more, "--decisions", file] for file in files]


def _attached(text: str) -> Words:
    name = re.sub("[/\x00]", "", text).encode()[:200].decode("utf-8", "ignore")
    return [
        ["attach", "--note", text, "--", "A-1", written(f"a {name}", "a lid")],
        ["files", "list"],
        ["files", "check"],
        ["hole", "A-1"],
    ]


KINDS: dict[str, Callable[[str], Words]] = {
    "sheet": _sheet,
    "plan": _plan,
    "cases": _cases,
    "pumps": _pumps,
    "letter": _letter,
    "cards": _cards,
    "mapping": _mapping,
    "decisions": _decisions,
    "attached": _attached,
}


def tried(words: list[str], capsys: pytest.CaptureFixture[str]) -> tuple[int, str]:
    """Run a command; its status and what it said, of which nothing may reach a terminal."""
    status = cli.run(words)
    said = capsys.readouterr()
    assert status in (0, 1, 2), (words, said.err)
    for shown in (said.out, said.err):
        found = NEVER_SHOWN.search(shown)
        assert not found, (words, ascii(shown[max(0, found.start() - 80) : found.end() + 20]))
    assert "Traceback" not in said.err
    lines = said.err.splitlines()
    assert all(line.startswith("wellbook: ") for line in lines), said.err
    assert not any(line.startswith(("wellbook: Bcc", "wellbook: BEGIN")) for line in lines)
    return status, said.out + said.err


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("name", SOME)
def test_a_hostile_file_is_taken_as_text_or_refused(
    kind: str, name: str, book: Book, capsys: pytest.CaptureFixture[str]
) -> None:
    if sys.platform == "win32" and kind == "attached":
        pytest.skip("no file can be called so")
    capsys.readouterr()
    before = set(Path.cwd().parent.iterdir())
    for words in KINDS[kind](SOME[name]):
        tried(words, capsys)
    assert set(Path.cwd().parent.iterdir()) == before


def test_a_card_is_brought_in_as_it_is(book: Book, capsys: pytest.CaptureFixture[str]) -> None:
    """Written by another library; what RFC 6350 cannot hold (controls) is not in it."""
    capsys.readouterr()
    assert tried(_cards(f"{PLAIN}\nsecond line")[2], capsys)[0] == 0
    # A cell has single blanks between its words.
    kept = " ".join(f"{PLAIN} second line".split())
    assert (kept, kept) in said_in(book.path, "customer", "name", "notes")
    assert (kept, kept) in said_in(book.path, "site", "road", "town")


def test_a_pump_file_is_kept_as_it_is(book: Book, capsys: pytest.CaptureFixture[str]) -> None:
    capsys.readouterr()
    assert tried(_pumps(PLAIN)[0], capsys)[0] == 0
    assert said_in(book.path, "pump_model", "notes") == [(PLAIN.strip(),)]


# -- what holds a whole book -------------------------------------------------------------------


def said_in(book: Path, table: str, *names: str) -> list[tuple[Any, ...]]:
    """What stands in some columns of a table."""
    with closing(sqlite3.connect(book)) as connection:
        return sorted(connection.execute(f"SELECT {', '.join(names)} FROM {table}"), key=repr)


def same(one: Path, other: Path) -> None:
    """Two books say the same of people and places."""
    for table, *names in (
        ("customer", "name", "notes"),
        ("site", "road", "town", "access", "notes"),
        ("well", "tag", "notes", "driller"),
        ("sheet", "document"),
        ("attachment", "file_name", "note"),
    ):
        assert said_in(one, table, *names) == said_in(other, table, *names), table


def test_a_package_carries_every_text(hostile: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert tried(["export", "out"], capsys)[0] == 0
    assert tried(["--book", "new.book", "init"], capsys)[0] == 0
    # A whole book goes into an empty one at once.
    assert tried(["--book", "new.book", "import", "out"], capsys)[0] == 0
    same(hostile, Path("new.book"))


def test_a_package_of_which_any_line_is_hostile(
    book: Book, capsys: pytest.CaptureFixture[str]
) -> None:
    capsys.readouterr()
    assert tried(["export", "out"], capsys)[0] == 0
    assert tried(["--book", "new.book", "init"], capsys)[0] == 0
    before = picture(Path("new.book"))

    def brought_in() -> None:
        shutil.copyfile("new.book", "a.book")
        status, _ = tried(["--book", "a.book", "import", "out"], capsys)
        assert status == 0 or picture(Path("a.book")) == before

    (description,) = Path("out").glob("*.json")
    said = json.loads(description.read_text("utf-8"))
    for spoilt in _spoilt(said, ALL, 10):
        description.write_text(json.dumps(spoilt), "utf-8")
        brought_in()
    description.write_text(json.dumps(said), "utf-8")
    for file in sorted(Path("out").rglob("*.csv"))[::3]:
        text = file.read_bytes()
        file.write_bytes(text + ALL.encode() + b"\r\n")
        brought_in()
        file.write_bytes(text)


def _spoilt(said: Any, text: str, most: int = 40) -> Iterator[Any]:
    """The same, each time with one more of its values or names replaced by a text."""
    paths: list[tuple[Any, ...]] = []

    def walk(value: Any, path: tuple[Any, ...]) -> None:
        items = value.items() if isinstance(value, dict) else enumerate(value)
        for key, one in items:
            paths.append((*path, key))
            if isinstance(one, (dict, list)):
                walk(one, (*path, key))

    walk(said, ())
    for path in paths[:: max(1, len(paths) // most)]:
        copy = json.loads(json.dumps(said))
        inner = copy
        for step in path[:-1]:
            inner = inner[step]
        inner[path[-1]] = text
        yield copy


def test_a_book_that_is_merged_brings_every_text(
    hostile: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert tried(["--book", "new.book", "init"], capsys)[0] == 0
    words = ["--book", "new.book", "merge", str(hostile), "--unrelated"]
    assert tried(words, capsys)[0] == 0
    assert tried([*words, "--write"], capsys)[0] == 0
    same(hostile, Path("new.book"))


def test_what_is_to_be_decided_between_two_books(
    hostile: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    shutil.copyfile(hostile, "other.book")
    for where in (str(hostile), "other.book"):
        words = ["--book", where, "customer", "edit", "2", "--notes", f"{where} {ALL}"]
        assert tried(words, capsys)[0] == 0
    words = ["merge", "other.book", "--decisions", "d.csv"]
    tried(words, capsys)
    text = Path("d.csv").read_bytes()
    assert text.count(b"\n") > 1
    for bad in (text.replace(b"\n", ALL.encode() + b"\n"), text + ALL.encode(), ALL.encode()):
        Path("d.csv").write_bytes(bad)
        tried(words, capsys)


def test_a_backup_carries_every_text_and_may_say_anything_of_itself(
    hostile: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = picture(hostile)
    assert tried(["backup", "b.zip"], capsys)[0] == 0
    assert tried(["--book", "new.book", "restore", "b.zip"], capsys)[0] == 0
    same(hostile, Path("new.book"))
    with zipfile.ZipFile("b.zip") as archive:
        inside = {name: archive.read(name) for name in archive.namelist()}
    said = json.loads(inside["backup.json"])
    for number, spoilt in enumerate(_spoilt(said, ALL)):
        with zipfile.ZipFile(f"{number}.zip", "w") as archive:
            for name, data in inside.items():
                archive.writestr(name, json.dumps(spoilt) if name == "backup.json" else data)
            archive.writestr(f"files/../../{number}", "out of the way")
        tried(["--book", f"{number}.book", "restore", f"{number}.zip"], capsys)
        shutil.move(f"{number}.zip", "h/h.book.backups")
    with Path("h/h.book.backups/elsewhere.txt").open("a", encoding="utf-8") as file:
        file.write(ALL)
    assert tried(["backup", "--list"], capsys)[0] == 0
    assert tried(["backup", "--list", "--json"], capsys)[0] == 0
    tried(["backup", "--list", "--forgotten"], capsys)
    tried(["customer", "forget", "1", "--yes"], capsys)
    assert len(before["customer"]) == len(picture(hostile)["customer"])


@pytest.mark.skipif(sys.platform == "win32", reason="no folder can be called so")
def test_a_place_of_a_book_is_shown_harmless(
    made: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    name = re.sub("[/\x00]", "", ALL).encode()[:240].decode("utf-8", "ignore")
    shutil.copytree(made, tmp_path / name)
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("WELLBOOK_TODAY", "2026-11-25")
    monkeypatch.setenv("WELLBOOK_BOOK", str(tmp_path / name / "h.book"))
    for words in (
        *(["hole", "Q-1"], ["backup"], ["backup", "--list"], ["doctor"], ["doctor", "--mend"]),
        *(["export", "out"], ["merge", "none"], ["upgrade"], ["log"], ["init"]),
        *(["copy", str(tmp_path / name / "h.book"), f"{name}.book"],),
        ["--book", f"{name}/none.book", "hole", "Q-1"],
        ["--book", f"{name}/none.book", "init", "--shop", ALL],
    ):
        tried(words, capsys)
    monkeypatch.setenv("WELLBOOK_TODAY", ALL)
    assert tried(["hole", "Q-1"], capsys)[0] == 2


# -- nothing is left out -----------------------------------------------------------------------

READ = {
    ("plan", "well"): "plan",
    ("pump add", "file"): "pumps",
    ("pump edit", "file"): "pumps",
    ("visit", "source"): "sheet",
    ("correct", "source"): "sheet",
    ("attach", "file"): "attached",
    ("shop letter", "file"): "letter",
    ("import files", "paths"): "cards",
    ("import files", "mapping_file"): "mapping",
    ("import files", "decisions"): "decisions",
    ("merge", "other"): "test_a_book_that_is_merged_brings_every_text",
    ("merge", "decisions"): "test_what_is_to_be_decided_between_two_books",
    ("restore", "file"): "test_a_backup_carries_every_text_and_may_say_anything_of_itself",
    ("copy", "source"): "test_a_place_of_a_book_is_shown_harmless",
}
"""Every place where a command reads a file, and what gives it a hostile one; tables and workbooks are in
`test_hostile_entries`."""
WRITTEN = {
    *(("import files", name) for name in ("keep", "rejects")),
    *(("files get", "to"), ("remind", "to"), ("calendar", "file"), ("checkups", "csv")),
    *(("export", "target"), ("backup", "file"), ("copy", "place"), ("pump show", "svg")),
    ("draw", "words"),
}
_A_FILE = re.compile(r"FILE|FOLDER|BOOK|\.toml|\.svg|FROM|^TO$")


def test_every_file_that_is_read_is_here() -> None:
    found = {
        (name, p.name)
        for name, command in COMMANDS.items()
        for p in command.params
        if _A_FILE.search(getattr(p, "metavar", None) or "")
    }
    calculators = {one for one in found if one[0].startswith("calc ")}
    printed = {one for one in found if one[0].startswith("print ")}
    assert all(p == "from_file" for _, p in calculators) and all(p == "to" for _, p in printed)
    assert found - calculators - printed == READ.keys() | WRITTEN
    assert all(by in KINDS or by in globals() for by in READ.values())
