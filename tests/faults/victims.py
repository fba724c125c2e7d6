"""What the program is killed at: each operation on a small invented shop's book, from a beginning that is
the same in every run, with a line in `confirmed` for all that the user has been told is done.

Identities and moments count up from nothing, so that a book after a kill can be held against the books
before and after, row by row.
"""

from __future__ import annotations

import errno
import os
import shutil
import uuid
from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

from tests.reminders.reminder_book import FakeMailer, begin, customer, notices, run, write_plainly
from wellbook import cli
from wellbook.cli.draft import Draft
from wellbook.reminders.sending import ON_PAPER, print_letters, send_emails
from wellbook.reminders.smtp import Sent
from wellbook.store import identity
from wellbook.store.book import SCHEMA_REVISION, Book, make_book, migrate, open_book
from wellbook.store.daily_backups import daily_place
from wellbook.store.places import book_url
from wellbook.terms import ContactWay, RemindBy

TODAY = date(2026, 11, 25)
Confirm = Callable[[str], None]


def steadily(run: int) -> None:
    """From here on identities count up, and the clock stands: in a process of its own only.

    Of two runs on one book, the second one's identities are others.
    """
    numbers = iter(range(run << 40, (run + 1) << 40))
    uuid.uuid4 = lambda: uuid.UUID(int=next(numbers))

    class Clock(datetime):
        @classmethod
        def now(cls, _tz: Any = None) -> datetime:  # type: ignore[override]
            return datetime(2026, 11, 25, 9, tzinfo=UTC)

    identity.datetime = Clock  # type: ignore[misc]


def place(folder: Path) -> Path:
    """Where the book of a victim is."""
    return folder / "shop.book"


def _cli(folder: Path, *words: object) -> None:
    status = cli.run(["--book", str(place(folder)), *map(str, words)])
    assert status == 0, words


# -- beginnings ------------------------------------------------------------------------------------

LISTED = """\
Tag,Customer,Phone,Address,Town,Depth (ft),Equipment,Visit,Work,Tech,Level (ft),Notes
Q-1,Corvin Mossiter,(207) 555-0147,12 Mill Rd,Ambelow,310,1/2hp 7gpm 2011,2019-05-03,no water,Lu,42,barn
Q-2,Ida Quill,207-555-0166,40 Hill St,Ambelow,200,,2020-02-02,check up,Lu,,gate
Q-3,Hob Tamsley,207-555-0188,4 Larkspur Bend,Nettlewick,150,,about 2019,check up,,12,
"""
SHEET = """\
date = {day}
reason = "pull and inspect"
crew = ["Lu"]
notes = "{notes}"
[set.pump]
hp = 1
rated_gpm = 10
set_depth_ft = {depth}
[set.pipe]
to_ft = {depth}
rating_psi = 160
[measured]
static_level_ft = 40
yield_gpm = 6
"""


def _shop(folder: Path) -> None:
    """Three customers, each with a well, one of them by e-mail; what is to be done lies beside the book."""
    book = make_book(place(folder), shop_name="Fen Pumps")
    begin(book)
    customer(book, "Ada", "A-1")
    customer(book, "Bo", "A-2")
    for n in range(2):
        email = f"c{n}@x.example"
        customer(book, f"Cy {n}", f"E-{n}", remind_by="email", email=email, agreed=ContactWay.EMAIL)
    book.close()
    for n, day in enumerate(("2026-11-02", "2026-11-20"), 1):
        text = SHEET.format(day=day, notes=f"sheet {n}", depth=100 + n)
        (folder / f"sheet-{n}.toml").write_text(text, "utf-8")
    (folder / "list.csv").write_text(LISTED, "utf-8")
    (folder / "lid.jpg").write_bytes(b"\xff\xd8\xff\xe0 a lid" + bytes(range(256)) * 64)


def _older(folder: Path) -> None:
    """The same shop, with a visit, as each older program would hand it over, in a folder of its own."""
    _shop(folder)
    _cli(folder, "visit", "A-1", "--from", folder / "sheet-1.toml")
    book = Book(book_url(place(folder)))
    for revision in reversed(OLDER):
        migrate(book, revision)
        older = folder / revision
        older.mkdir()
        shutil.copy(book.path, place(older))


def _kept(folder: Path) -> None:
    """The same shop with a visit, a file and a backup of both; then the file goes and a second visit comes.

    One daily backup is kept, and it is of the day before.
    """
    _shop(folder)
    _cli(folder, "shop", "set", "daily_backups", 1)
    _cli(folder, "customer", "edit", "Ada", "--name", FORGOTTEN)
    _cli(folder, "visit", "A-1", "--from", folder / "sheet-1.toml")
    _cli(folder, "attach", "A-1", folder / "lid.jpg")
    _cli(folder, "backup", folder / "first.zip")
    _cli(folder, "files", "off", 1, "--because", "another well")
    _cli(folder, "files", "check", "--sweep")
    _cli(folder, "attach", "A-2", folder / "list.csv")
    _cli(folder, "visit", "A-1", "--from", folder / "sheet-2.toml")
    daily = daily_place(place(folder), TODAY)
    daily.rename(daily_place(place(folder), TODAY - timedelta(days=1)))


def _harmed(folder: Path) -> None:
    """That shop, with rows lost that follow from others, and a part of a run that was broken off."""
    _kept(folder)
    with open_book(place(folder)).writing() as connection:
        for table in LOST:
            connection.exec_driver_sql(f"DELETE FROM {table}")
    part = folder / ".shop.book.old.part"
    part.mkdir()
    os.utime(part, (0, 0))


# -- operations ------------------------------------------------------------------------------------


def _visits(folder: Path, confirm: Confirm) -> None:
    for n in (1, 2):
        _cli(folder, "visit", "A-1", "--from", folder / f"sheet-{n}.toml")
        confirm(f"sheet {n}")


def _tried(folder: Path, *words: object) -> None:
    """A command whose answer is the matter."""
    status = cli.run(["--book", str(place(folder)), *map(str, words)])
    print(f"status {status}")


def _look(folder: Path, confirm: Confirm) -> None:
    _tried(folder, "hole", "A-1")


def _write(folder: Path, confirm: Confirm) -> None:
    _tried(folder, "visit", "A-1", "--from", folder / "sheet-1.toml")


def _bring(folder: Path, confirm: Confirm) -> None:
    words = ("--source", "shop list", "--as", "ours", "--write", "--json")
    _tried(folder, "import", folder / "list.csv", *words)


def _bring_up(folder: Path, confirm: Confirm) -> None:
    _tried(folder, "upgrade")


def _import(folder: Path, confirm: Confirm) -> None:
    words = ("--source", "shop list", "--as", "ours", "--write")
    _cli(folder, "import", folder / "list.csv", *words)
    confirm("imported")


def _attach(folder: Path, confirm: Confirm) -> None:
    _cli(folder, "attach", "A-1", folder / "lid.jpg")
    confirm("attached")


def _upgrade(folder: Path, confirm: Confirm) -> None:
    _cli(folder, "upgrade")
    confirm("upgraded")


DRAFTS = ("a first word", "a first word\nand a second", "all of it " * 500)


def _draft(folder: Path, confirm: Confirm) -> None:
    draft = Draft(Book(book_url(place(folder))), "visit-A-1")
    for text in DRAFTS:
        draft.put(text)
        confirm(text)


def _remind(folder: Path, confirm: Confirm) -> None:
    """Letters into one file, e-mails to a server that writes down whom it took one for."""
    book = open_book(place(folder))
    going = [n for n in notices(book) if n.goes]
    one = run(book)
    paper = [n for n in going if n.choice.by in ON_PAPER]
    mails = [n for n in going if n.choice.by is RemindBy.EMAIL]
    number = 1 + len(list(folder.glob("letters-*.txt")))
    print_letters(one, paper, folder / f"letters-{number}.txt", write_plainly)
    confirm("letters")

    class Mailer(FakeMailer):
        def send(self, mail: Any) -> Sent:
            with (folder / "delivered").open("a") as file:
                file.write(f"{mail['To'].addresses[0].addr_spec}\n")
            return super().send(mail)

    send_emails(one, mails, Mailer())
    confirm("e-mails")


def _backup(folder: Path, confirm: Confirm) -> None:
    """Two by hand; the first makes the day's as well."""
    copy = folder / "copy.zip"
    if not copy.exists():
        _cli(folder, "backup", copy)
    confirm("copied")
    _cli(folder, "backup")
    confirm("by hand")


def _restore(folder: Path, confirm: Confirm) -> None:
    _cli(folder, "restore", folder / "first.zip")
    confirm("restored")


def _restore_without_links(folder: Path, confirm: Confirm) -> None:
    """On a disk on which a file cannot have two names."""

    def link(one: object, _other: object) -> None:
        raise PermissionError(errno.EPERM, os.strerror(errno.EPERM), str(one))

    os.link, link_of_links = link, os.link  # type: ignore[assignment]
    try:
        _restore(folder, confirm)
    finally:
        os.link = link_of_links


def _mend(folder: Path, confirm: Confirm) -> None:
    _cli(folder, "doctor", "--mend")
    confirm("mended")


def _undo(folder: Path, confirm: Confirm) -> None:
    _cli(folder, "undo", "--yes")
    confirm("taken back")
    _cli(folder, "undo", "--again", "--yes")
    confirm("done again")


FORGOTTEN = "Orsolya"


def _forget(folder: Path, confirm: Confirm) -> None:
    _cli(folder, "customer", "forget", FORGOTTEN, "--yes")
    confirm("forgotten")


LOST = ("due", "search_digits", "component_claim", "search_variant")
"""Tables of what is derived from other rows."""
OLDER = tuple(f"{n:04}" for n in range(1, int(SCHEMA_REVISION)))
BEGINNINGS: dict[str, Callable[[Path], None]] = {
    "shop": _shop,
    "older": _older,
    "kept": _kept,
    "harmed": _harmed,
}
OPERATIONS: dict[str, Callable[[Path, Confirm], None]] = {
    # In an order in which each finds what it needs, as one warms up.
    "undo": _undo,
    "backup": _backup,
    "mend": _mend,
    "forget": _forget,
    "restore": _restore,
    "restore without links": _restore_without_links,
    "visits": _visits,
    "import": _import,
    "attach": _attach,
    "draft": _draft,
    "remind": _remind,
    "upgrade": _upgrade,
    "look": _look,
    "write": _write,
    "bring": _bring,
    "bring up": _bring_up,
}


def warm_up(folder: Path) -> None:
    """Let all be imported and compiled that the operations use."""
    _kept(folder)
    for operation in OPERATIONS.values():
        operation(folder, lambda _: None)
    book = Book(book_url(place(folder)))
    migrate(book, OLDER[0])
    book.close()
    _upgrade(folder, lambda _: None)
