"""Eight people write into one book at once, for a minute, on either engine: is all of it there afterwards?

Each is a process of its own that gives commands as people do: visits to a well that all go to and to his
own, corrections, calls, a note and a new telephone number of one customer, what he was told, lists of what
is due; one of them changes a number of a rule, one brings files in. Beside that each adds one to a number
that all share, by reading it and writing it back. Not one command may be refused. At the end everything
that was confirmed has to be there, once, and the ledger has to be what the rules say from nothing.

    python benchmarks/eight_writers.py [BOOK-OR-URL] [--seconds 60] [--rounds N]

Without a place it is a file of its own, gone afterwards; a server's database has to be empty.
"""

from __future__ import annotations

import argparse
import io
import json
import multiprocessing
import os
import statistics
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager, redirect_stderr, redirect_stdout
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Table, func, select, update

from wellbook import cli
from wellbook.store import tables as t
from wellbook.store.book import Book, make_book, open_book
from wellbook.store.freshness import derive_anew
from wellbook.store.templates import keep_template

WRITERS = 8
SHARED = "W-0"
TODAY = "2026-11-25"
SHEET = """\
date = "{day}"
reason = "{reason}"
crew = ["Crew {writer}"]
notes = "{note}"
{more}
"""
PARTS = """
[set.pump]
hp = 1
rated_gpm = 10
set_depth_ft = 200
[set.pipe]
to_ft = 198
rating_psi = 160
"""


@dataclass
class Done:
    """What one writer was confirmed, and how long it had to wait."""

    writer: int
    confirmed: Counter[str] = field(default_factory=Counter)
    notes: list[str] = field(default_factory=list)
    phones: list[str] = field(default_factory=list)
    refused: list[str] = field(default_factory=list)
    waits_s: list[float] = field(default_factory=list)
    commands_s: list[float] = field(default_factory=list)


class Writer:
    """One person with a keyboard."""

    def __init__(self, place: str, number: int, folder: Path) -> None:
        self.place, self.number, self.folder = place, number, folder
        self.own = f"W-{number + 1}"
        self.done = Done(number)
        self.round = 0

    def command(self, what: str, *words: str) -> dict[str, Any]:
        """Give a command; what it answered, if it was in JSON."""
        out, err = io.StringIO(), io.StringIO()
        begun = time.perf_counter()
        with redirect_stdout(out), redirect_stderr(err):
            status = cli.run(["--book", self.place, *words])
        self.done.commands_s.append(time.perf_counter() - begun)
        if status:
            self.done.refused.append(f"{' '.join(words)}: {err.getvalue() or out.getvalue()}")
            return {}
        self.done.confirmed[what] += 1
        return dict(json.loads(out.getvalue())) if "--json" in words else {}

    def sheet(self, note: str, *, reason: str = "check up", more: str = "") -> str:
        """A sheet's file."""
        path = self.folder / f"sheet-{self.number}.toml"
        day = f"2026-{1 + self.round % 10:02}-{1 + self.number:02}"
        text = SHEET.format(day=day, reason=reason, writer=self.number, note=note, more=more)
        path.write_text(text, "utf-8")
        return str(path)

    def one_round(self) -> None:
        """What a person does in a while."""
        n, r = self.number, self.round
        note = f"writer {n} round {r}"
        level = f"[measured]\nstatic_level_ft = {40 + r % 20}\n"
        self.command("visit", "visit", SHARED, "--from", self.sheet(note, more=level), "--yes")
        self.done.notes.append(note)
        own = self.sheet(f"{note} own")
        made = self.command("visit", "visit", self.own, "--from", own, "--yes", "--json")
        mended = self.sheet(f"{note} mended")
        if made:
            number = str(made["visit"])
            self.command("correction", "correct", number, "--from", mended, "--yes")
            self.done.notes.append(f"{note} mended")
        self.command("call", "call", SHARED, "--symptom", note)
        phone = f"207-{n}{r // 10000:02}-{r % 10000:04}"
        self.command("edit", "customer", "edit", "1", "--notes", note, "--phone", phone)
        self.done.phones.append(phone)
        self.command("note", "well", "edit", self.own, "--notes", note)
        self.command("contact", "contact", self.own, "--told")
        self.command("list", "due", "--json")
        self.command("look", "hole", SHARED, "--json")
        if n == 0:
            self.command("setting", "rules", "set", "check-up.months", str(10 + r % 3), "--yes")
        if n == 1:
            self.bring_in()
        self.add_one()
        self.round += 1

    def bring_in(self) -> None:
        """A file with two wells that nobody has."""
        path = self.folder / f"list-{self.round}.csv"
        rows = [f"L-{self.round}-{k},{100 + k},{k} Fen Lane,Ambelow" for k in range(2)]
        path.write_text("\n".join(["Tag,Depth (ft),Address,Town", *rows, ""]), "utf-8")
        words = ("--as", "ours", "--source", f"list {self.round}", "--write", "--json")
        self.command("import", "import", str(path), *words)

    def add_one(self) -> None:
        """Read a number and write it back: the update that two writers most easily lose."""
        book = open_book(self.place)
        with book.writing() as connection:
            value = connection.execute(select(_COUNT.c.text).where(_IS_COUNT)).scalar_one()
            connection.execute(update(_COUNT).where(_IS_COUNT).values(text=str(int(value) + 1)))
        book.close()
        self.done.confirmed["one more"] += 1


_COUNT = t.template
_IS_COUNT = t.template.c.name == "count"


def write(place: str, number: int, folder: Path, rounds: int, seconds: float) -> Done:
    """One process: rounds by number, or until the time is over."""
    os.environ |= {"WELLBOOK_TODAY": TODAY, "WELLBOOK_WHO": f"writer {number}"}
    writer = Writer(place, number, folder)
    Book.writing = _timed(Book.writing, writer.done.waits_s)  # type: ignore[method-assign]
    end = time.monotonic() + seconds
    while writer.round < rounds if rounds else time.monotonic() < end:
        writer.one_round()
    return writer.done


def _timed(writing: Callable[[Book], Any], waits_s: list[float]) -> Any:
    @contextmanager
    def timed(book: Book) -> Iterator[Connection]:
        begun = time.perf_counter()
        with writing(book) as connection:
            waits_s.append(time.perf_counter() - begun)
            yield connection

    return timed


def prepare(place: str, folder: Path) -> None:
    """A customer, a property, and a well for all beside one for each."""
    os.environ |= {"WELLBOOK_TODAY": TODAY, "WELLBOOK_WHO": "me"}
    book = make_book(place, shop_name="Fen Pumps")
    with book.writing() as connection:
        keep_template(connection, "me", "count", "0")
    book.close()
    setting_up = Writer(place, 0, folder)
    setting_up.command("", "customer", "add", "Ada Fenwick")
    setting_up.command(
        "", "site", "add", "--road", "1 Fen Lane", "--town", "Ambelow", "--customer", "1"
    )
    for n in range(WRITERS + 1):
        setting_up.command("", "well", "add", f"W-{n}", "--site", "1", "--use", "house")
        sheet = setting_up.sheet("set", reason="replacement", more=PARTS)
        setting_up.command("", "visit", f"W-{n}", "--from", sheet, "--yes")
    assert not setting_up.done.refused, setting_up.done.refused


def found(place: str) -> dict[str, Any]:
    """What the book has, counted for itself."""
    book = open_book(place)
    sheet = t.sheet
    with book.reading() as connection:

        def count(table: Table, *where: Any) -> int:
            query = select(func.count()).select_from(table).where(*where)
            return int(connection.execute(query).scalar_one())

        one = t.contact_point
        query = select(one.c.value).where(one.c.way == "phone", one.c.customer_id == 1)
        phones = sorted(connection.execute(query).scalars())
        valid = (sheet.c.status == "valid", sheet.c.notes != "set", sheet.c.kind == "visit")
        notes = sorted(connection.execute(select(sheet.c.notes).where(*valid)).scalars())
        number = connection.execute(select(_COUNT.c.text).where(_IS_COUNT)).scalar_one()
        told = {
            "visit": count(sheet, sheet.c.kind == "visit", sheet.c.notes != "set")
            - count(sheet, sheet.c.status == "superseded"),
            "correction": count(sheet, sheet.c.status == "superseded"),
            "call": count(t.call),
            "contact": count(t.contact),
            "import": count(t.import_run),
            "setting": count(t.change, t.change.c.what == "setting"),
            "one more": int(number),
        }
    book.close()
    return {"told": told, "phones": phones, "notes": notes}


def worked_out(connection: Connection) -> dict[str, list[str]]:
    """What is derived, without numbers of rows."""
    rows = {}
    for table in (t.due, t.component):
        columns = [c for c in table.c if c.name != "id"]
        every = connection.execute(select(*columns))
        rows[table.name] = sorted(repr(tuple(row)) for row in every)
    return rows


class _Looked(Exception):  # noqa: N818 - it ends a look
    pass


def equals_from_nothing(place: str) -> bool:
    """Whether ledger and strings are what sheets and rules give when all is made anew."""
    book = open_book(place)
    same = False
    try:
        with book.writing() as connection:
            before = worked_out(connection)
            refused = list(derive_anew(connection))
            same = not refused and worked_out(connection) == before
            raise _Looked
    except _Looked:
        book.close()
        return same


def main() -> int:
    """Let them write, and say what came of it; 1 where anything is lost or refused."""
    parser = argparse.ArgumentParser()
    parser.add_argument("place", nargs="?", default="")
    parser.add_argument("--seconds", type=float, default=60.0)
    parser.add_argument("--rounds", type=int, default=0)
    given = parser.parse_args()
    with tempfile.TemporaryDirectory() as room:
        folder = Path(room)
        place = given.place or str(folder / "shared.book")
        prepare(place, folder)
        begun = time.monotonic()
        work = [(place, n, folder, given.rounds, given.seconds) for n in range(WRITERS)]
        with multiprocessing.Pool(WRITERS) as pool:
            done = pool.starmap(write, work, chunksize=1)
            pool.close()
            pool.join()
        took_s = time.monotonic() - begun
        confirmed = sum((d.confirmed for d in done), Counter[str]())
        there = found(place)
        refused = [line for d in done for line in d.refused]
        wrong = [
            f"{what}: {confirmed[what]} confirmed, {count} there"
            for what, count in there["told"].items()
            if confirmed[what] != count
        ]
        if sorted(p for d in done for p in d.phones) != there["phones"]:
            wrong.append("telephone numbers are lost")
        if sorted(n for d in done for n in d.notes) != there["notes"]:
            wrong.append("visits are lost or there twice")
        equal = equals_from_nothing(place)
        if not equal:
            wrong.append("the ledger is not what the rules say from nothing")
    waits = sorted(w for d in done for w in d.waits_s)
    commands = sorted(c for d in done for c in d.commands_s)
    print(
        f"{sum(confirmed.values())} confirmed by {WRITERS} writers in {took_s:.1f} s:"
        f" {', '.join(f'{n} {what}' for what, n in sorted(confirmed.items()))}"
    )
    each = ", ".join(str(sum(d.confirmed.values())) for d in done)
    print(f"of each writer: {each}")
    print(
        f"waited for the others' writing: median {1000 * statistics.median(waits):.0f} ms, worst"
        f" {waits[-1]:.2f} s; a command: median {1000 * statistics.median(commands):.0f} ms, worst"
        f" {commands[-1]:.2f} s"
    )
    ledger = "equal" if equal else "not equal"
    print(
        f"refused: {len(refused)}; lost: {len(wrong)}; ledger {ledger} to evaluation from nothing"
    )
    for line in [*refused, *wrong]:
        print(line.strip(), file=sys.stderr)
    return 1 if refused or wrong else 0


if __name__ == "__main__":
    raise SystemExit(main())
