"""Which backups of a book there are, and which of them still hold a person who was forgotten.

Beside the book stand the daily ones, those made by hand without another place, the copies from before an
upgrade or a merge, and books that a restore took the place of. Where others are put by hand is kept in a
plain list beside them, `elsewhere.txt`: a place is a matter of this machine and not of the book. It is
kept before the work begins, so that what a run leaves there that is killed is known as well.
"""

from __future__ import annotations

import glob
import json
import math
from collections.abc import Collection
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from tempfile import TemporaryDirectory

from wellbook.errors import BookError, WellbookError
from wellbook.store.backup_file import looked_at, opened, said_in
from wellbook.store.daily_backups import backups_folder, dailies
from wellbook.store.forgotten import NOBODY
from wellbook.whole_files import left_parts

_ELSEWHERE = "elsewhere.txt"
MENDING = "before-mending-"
"""How the name of a copy begins that is made before a book is mended."""
PART = "part"
"""The kind of what is no backup and may become none, but has the rows of a book in it."""
_IN_WORK = "being made, or broken off; after an hour wellbook doctor --mend takes it away"
_ENGINES_FILE = b"SQLite format 3\0"


@dataclass(frozen=True, slots=True)
class Known:
    """A backup that is there, or was made.

    Parameters
    ----------
    path
        Where it is.
    kind
        What it is: daily, by hand, from before an upgrade, a merge, a mending or a restore; or a part,
        which is being made or was broken off.
    made_at
        When it was made, in universal time; empty where that cannot be read.
    revision
        The revision of its tables; empty where it cannot be read.
    size_bytes
        How large it is.
    wrong
        Why it cannot be used; "" where it can.
    """

    path: Path
    kind: str
    made_at: str
    revision: str
    size_bytes: int
    wrong: str


def backups_of(book: Path) -> list[Known]:
    """The backups of a file's book, the newest first; those that cannot be read at the end."""
    folder = backups_folder(book)
    daily = set(dailies(book))
    found = [(path, "daily") for path in daily]
    own = [path for path in folder.glob("*.zip") if path not in daily]
    found += [(p, "before mending" if p.name.startswith(MENDING) else "by hand") for p in own]
    found += [(path, "by hand") for path in _elsewhere(folder) if path.parent != folder]
    for word in ("before", "replaced"):
        found += [(path, word) for path in _beside(book, word)]
    known = [_known(path, _kind(path, kind)) for path, kind in found]
    # An empty one only keeps a name from others.
    parts = [path for path in parts_of(book, math.inf) if any(path.glob("*"))]
    known += [Known(path, PART, "", "", 0, _IN_WORK) for path in parts]
    return sorted(known, key=lambda k: (not k.wrong, k.made_at, k.path.name), reverse=True)


def _beside(book: Path, word: str) -> list[Path]:
    """Copies that stand beside a book; what an engine keeps beside a database goes with it."""
    its_own = second_names(book)
    there = book.parent.glob(f"{glob.escape(book.name)}.{word}-*")
    return [p for p in there if not p.name.endswith(("-wal", "-shm")) and p not in its_own]


def second_names(book: Path) -> list[Path]:
    """Names under which a restore that was killed was about to keep a book: it is the book itself still,
    and no copy of it."""
    if not book.exists():
        return []
    there = book.parent.glob(f"{glob.escape(book.name)}.replaced-*")
    return [path for path in there if path.samefile(book)]


def parts_of(book: Path, now_s: float) -> list[Path]:
    """What runs that were killed have left of a book, an hour ago and more: beside it, among its backups, and
    where backups were put by hand.

    Parameters
    ----------
    now_s
        This moment, seconds since the epoch; infinity also gives what is being made.
    """
    folder = backups_folder(book)
    return [
        *left_parts(book.parent, book.name, now_s),
        *left_parts(book.parent, "looked-into", now_s),
        *left_parts(folder, "", now_s),
        *(part for p in _places(folder) for part in left_parts(p.parent, f"{p.name}.", now_s)),
    ]


def _kind(path: Path, kind: str) -> str:
    if kind != "before":
        return {"replaced": "before a restore"}.get(kind, kind)
    what = path.name.rpartition(".before-")[2].partition("-")[0]
    return "before a merge" if what == "merge" else "before an upgrade"


def _known(path: Path, kind: str) -> Known:
    try:
        size = path.stat().st_size
        if is_database(path):
            with looked_at(path) as connection:
                revision = said_in(connection)["revision"]
            made = datetime.fromtimestamp(path.stat().st_mtime, UTC)
            return Known(path, kind, made.isoformat(timespec="seconds"), revision, size, "")
        with opened(path) as backup:
            said = backup.manifest
        return Known(path, kind, said.made_at, said.revision, size, "")
    except WellbookError as error:
        return Known(path, kind, "", "", 0, error.message)
    except OSError as error:
        return Known(path, kind, "", "", 0, (error.strerror or "cannot be read").lower())


def is_database(path: Path) -> bool:
    """Whether a file is a plain database, such as a copy from before an upgrade."""
    with path.open("rb") as file:
        return file.read(len(_ENGINES_FILE)) == _ENGINES_FILE


# -- made elsewhere ----------------------------------------------------------------------------


def remember(book: Path, backup: Path) -> None:
    """Keep where a backup is put by hand."""
    folder = backups_folder(book)
    place = backup.resolve()
    if place.parent == folder.resolve():
        return
    folder.mkdir(exist_ok=True)
    # A name need not be text: bytes that are none are kept as they are.
    with (folder / _ELSEWHERE).open("a", encoding="utf-8", errors="surrogateescape") as file:
        file.write(f"{place}\n")


def _elsewhere(folder: Path) -> list[Path]:
    # Where the folder is there and the file is not, somebody deleted it. A stick that is not
    # plugged in may still have it.
    return [p for p in _places(folder) if p.exists() or not p.parent.exists()]


def _places(folder: Path) -> list[Path]:
    with suppress(FileNotFoundError):
        text = (folder / _ELSEWHERE).read_text("utf-8", errors="surrogateescape")
        return [Path(line) for line in dict.fromkeys(text.splitlines()) if line.strip()]
    return []


# -- who is in them ----------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Holding:
    """Which backups hold a person still, and which cannot be looked into."""

    hold: tuple[Known, ...]
    unread: tuple[Known, ...]


def that_hold(book: Path, customers: Collection[str]) -> Holding:
    """The backups in which any of some customers, by their identities, is named still."""
    hold, unread = [], []
    for known in backups_of(book):
        try:
            if known.wrong:
                raise BookError(known.wrong)
            if _named(known.path, customers, book.parent):
                hold.append(known)
        except (WellbookError, OSError):
            unread.append(known)
    return Holding(tuple(hold), tuple(unread))


def _named(path: Path, customers: Collection[str], beside: Path) -> bool:
    with TemporaryDirectory(prefix=".looked-into.", suffix=".part", dir=beside) as room:
        database = path
        if not is_database(path):
            database = Path(room, "book.sqlite")
            with opened(path) as backup:
                backup.take_out(database)
        with looked_at(database) as connection:
            marks = ", ".join("?" * len(customers))
            query = f"SELECT 1 FROM customer WHERE uid IN ({marks}) AND name <> ? LIMIT 1"
            if connection.execute(query, (*customers, NOBODY)).fetchone() is not None:
                return True
            # Whose adding was undone stands in the change log alone.
            logged = f"SELECT old, new FROM change WHERE what = 'customer' AND row_uid IN ({marks})"
            lines = connection.execute(logged, tuple(customers))
            return any(json.loads(text).get("name") for line in lines for text in line if text)
