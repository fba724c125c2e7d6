"""Files that belong to wells: attached, listed, handed out, taken off again, looked after.

A row says whose a file is and how it is called; its content stands beside the book, once
(`kept_files`). First the file is there, then the row: what is broken off between leaves a file that
no well names, and never a row without its file. Content goes into its place, and out of it, while
its writer holds the book: nobody can name it meanwhile.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Select, delete, select

from wellbook.errors import NotFoundError, WellbookError
from wellbook.hole.records import AttachedFile
from wellbook.store import tables as t
from wellbook.store.book import Book
from wellbook.store.file_kinds import fit_name
from wellbook.store.kept_files import Incoming, KeptFiles
from wellbook.store.loading.seen import attached_file
from wellbook.store.rows import add, by_id, change, log, log_about, records
from wellbook.store.shop import shop_says


def files_of(book: Book, connection: Connection) -> KeptFiles:
    """Where a book's files are: `NAME.files` beside a file's book, else the shop's own folder.

    Raises
    ------
    WellbookError
        If the book is a server's and the shop names no folder, or it cannot be reached.
    """
    if book.is_file:
        return KeptFiles(book.path.with_name(f"{book.path.name}.files"))
    named = shop_says(connection)["files"]
    if not named:
        raise WellbookError(
            "a server's book needs a folder for its files that all who use it reach; name it:"
            " wellbook shop set files /srv/wellbook/files"
        )
    if not Path(named).is_dir():
        raise WellbookError(
            "the shop's folder for files cannot be reached from here; connect it, make it, or name"
            " another: wellbook shop set files FOLDER",
            where=named,
        )
    return KeptFiles(Path(named))


@dataclass(frozen=True, slots=True)
class Attachment:
    """A file with the well that it belongs to."""

    tag: str
    well_id: int
    file: AttachedFile


def attachments(connection: Connection, well_id: int | None = None) -> list[Attachment]:
    """The files of one well, or of all, by the wells' tags and in the order in which they came."""
    query = select(t.attachment, t.well.c.tag).join(t.well, t.well.c.id == t.attachment.c.well_id)
    if well_id is not None:
        query = query.where(t.attachment.c.well_id == well_id)
    return _found(connection, query.order_by(t.well.c.tag, t.attachment.c.id))


def attachment(connection: Connection, number: int) -> Attachment:
    """One file by its number.

    Raises
    ------
    NotFoundError
        If there is none.
    """
    query = select(t.attachment, t.well.c.tag).join(t.well, t.well.c.id == t.attachment.c.well_id)
    found = _found(connection, query.where(t.attachment.c.id == number))
    if not found:
        raise NotFoundError(
            f"no file has the number {number}; wellbook files list shows the numbers", where="NO"
        )
    return found[0]


def _found(connection: Connection, query: Select[Any]) -> list[Attachment]:
    return [
        Attachment(row["tag"], row["well_id"], attached_file(row))
        for row in records(connection, query)
    ]


@dataclass(frozen=True, slots=True)
class Attached:
    """What came of attaching a file: it is new at the well, or was there and what is said of it differs."""

    attachment: Attachment
    new: bool
    changed: bool


def attach(
    connection: Connection,
    who: str,
    files: KeptFiles,
    well_id: int,
    incoming: Incoming,
    *,
    name: str,
    note: str = "",
    visit: int | None = None,
    today: date,
) -> Attached:
    """Attach a copied file to a well. What is attached already stays once; its note is put right.

    Parameters
    ----------
    incoming
        From `files.copied`.
    name
        As it is called; it is made fit.
    visit
        The number of the sheet that it belongs to; None for none.

    Raises
    ------
    NotFoundError
        If the well has no such sheet.
    WellbookError
        If the sheet does not count any more, or the file cannot be kept.
    """
    root = None if visit is None else _root(connection, well_id, visit)
    files.settle(incoming)
    known = connection.execute(
        select(t.attachment.c.id).filter_by(well_id=well_id, sha256=incoming.sha256)
    ).scalar()
    if known is not None:
        told = {"note": note, "sheet_root_uid": root}
        changed = change(connection, who, t.attachment, known, {k: v for k, v in told.items() if v})
        return Attached(attachment(connection, known), new=False, changed=changed)
    number = add(
        connection,
        who,
        t.attachment,
        {
            "well_id": well_id,
            "sheet_root_uid": root,
            "sha256": incoming.sha256,
            "file_name": fit_name(name),
            "media_type": incoming.media_type,
            "size_bytes": incoming.size_bytes,
            "note": note,
            "added_on": today,
            "who": who,
        },
    )
    return Attached(attachment(connection, number), new=True, changed=False)


def _root(connection: Connection, well_id: int, visit: int) -> str:
    # Here, since whoever writes sheets has the rules with him.
    from wellbook.store.sheets import the_sheet

    sheet = the_sheet(connection, visit)
    if sheet["well_id"] != well_id:
        tag = connection.execute(select(t.well.c.tag).where(t.well.c.id == well_id)).scalar()
        raise NotFoundError(
            f"visit {visit} is of another well; wellbook history {tag} shows the numbers",
            where="--visit",
        )
    return str(sheet["root_uid"])


def take_off(connection: Connection, who: str, number: int, *, why: str) -> Attachment:
    """Take a file off its well. Its content stays beside the book until `sweep`.

    Raises
    ------
    NotFoundError
        If there is none of that number.
    """
    found = attachment(connection, number)
    row = records(connection, select(t.attachment).where(t.attachment.c.id == number))[0]
    connection.execute(delete(t.attachment).where(t.attachment.c.id == number))
    log(connection, who, "remove", "attachment", row["uid"], old=row, new={"why": why})
    log_about(connection, who, by_id(connection, t.well, row["well_id"])["uid"])
    return found


# -- looking after them ------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Verified:
    """How the files are.

    Parameters
    ----------
    whole
        How many contents are there and are what they were.
    wrong
        Files that cannot be handed out, each with why: gone, changed, or unreadable.
    nobodys
        The sums of contents that no well names.
    underway
        What runs that were killed have left.
    """

    whole: int
    wrong: Sequence[tuple[Attachment, str]]
    nobodys: Sequence[str]
    underway: Sequence[Path]


def verify(book: Book) -> Verified:
    """Read every file, and say which are gone or changed, and which are nobody's."""
    with book.reading() as connection:
        some = attachments(connection)
        if not some and not book.is_file and not shop_says(connection)["files"]:
            return Verified(0, (), (), ())
        files = files_of(book, connection)
    states = {sha256: files.wrong(sha256) for sha256 in {a.file.sha256 for a in some}}
    return Verified(
        whole=sum(not wrong for wrong in states.values()),
        wrong=[(a, states[a.file.sha256]) for a in some if states[a.file.sha256]],
        nobodys=sorted(files.all_sums() - set(states)),
        underway=files.left_underway(),
    )


def sweep(book: Book) -> int:
    """Take off the disk what no well names; how many contents that were.

    The writers' lock is held meanwhile, so that nobody names one of them at that moment.
    """
    with book.writing() as connection:
        files = files_of(book, connection)
        named = set(connection.execute(select(t.attachment.c.sha256)).scalars())
        nobodys = files.all_sums() - named
        for sha256 in sorted(nobodys):
            files.drop(sha256)
        for part in files.left_underway():
            part.unlink(missing_ok=True)
    return len(nobodys)


def adopt(book: Book, connection: Connection, source: Path, sha256: str) -> Path:
    """Keep the content of a row that comes from a package or from another book, before its row.

    Within the writing transaction of the row, so that no sweep takes it away between.

    Raises
    ------
    WellbookError
        If it is not what the row says, or cannot be read or kept.
    """
    return files_of(book, connection).adopt(source, sha256)


def contents(book: Book, connection: Connection) -> dict[str, Path]:
    """Every content that a well names, by its sum, with where it is: for exports and backups.

    Whether it is whole is seen as it is copied (`KeptFiles.copy_out`), or by `KeptFiles.wrong`.
    Empty, and no folder asked for, where nothing is attached.
    """
    query = select(t.attachment.c.sha256).group_by(t.attachment.c.sha256)
    sums = list(connection.execute(query.order_by(t.attachment.c.sha256)).scalars())
    if not sums:
        return {}
    files = files_of(book, connection)
    return {sha256: files.path(sha256) for sha256 in sums}
