"""`wellbook merge`."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import typer

from wellbook.cli.session import (
    JSON,
    Session,
    can_ask,
    choose,
    note,
    session,
    show,
    show_json,
    write_file,
)
from wellbook.errors import WellbookError

if TYPE_CHECKING:
    from wellbook.exchange.merging.merged import Merged

app = typer.Typer(rich_markup_mode=None)


@app.command("merge")
def merge(
    ctx: typer.Context,
    other: str = typer.Argument(..., metavar="OTHER-BOOK", help="Its file, or its URL."),
    decisions: Path = typer.Option(
        None,
        "--decisions",
        metavar="FILE.csv",
        help="What was changed in both books, to be decided; made where it is not there yet.",
    ),
    write: bool = typer.Option(False, "--write", help="Write it; else it is only looked at."),
    unrelated: bool = typer.Option(
        False, "--unrelated", help="Also where the two books share no past: all of it is new."
    ),
    as_json: bool = JSON,
) -> None:
    """Bring home what another copy of this book has: visits, customers, what was said.

    What changed in one book only follows that book. What changed in both is shown side by side and
    decided. The other book is never changed.
    """
    from wellbook.present.merge_lines import merge_json, merge_lines

    desk = _Desk(session(ctx), other, unrelated=unrelated)
    merged = desk.look({})
    decided = _from_file(decisions, merged) if decisions is not None else {}
    if decided:
        merged = desk.look(decided)
        # What only shows once the rest is decided can be decided in the same file.
        decided = _from_file(decisions, merged)
        merged = desk.look(decided)
    asking = write and can_ask() and not as_json
    if not (as_json or asking):
        show(merge_lines(merged))
    if decisions is not None and (merged.undecided or not decisions.exists()):
        _keep(decisions, merged)
    copy = None
    if write and not merged.nothing_new:
        if asking:
            decided = _ask(desk, merged, decided)
        copy = desk.write(decided)
    if as_json:
        show_json(merge_json(merged, written=write and not merged.nothing_new, copy=copy))
    elif not merged.nothing_new:
        show(_next(merged, write, copy, other, on_a_server=not desk.book.is_file))


def _next(
    merged: Merged, write: bool, copy: str | None, other: str, *, on_a_server: bool
) -> list[str]:
    if write:
        back = f"; this book as it was before is at {copy}" if copy else ""
        names = "who is forgotten is still in that copy: delete it when all is well"
        return [
            f"written{back}",
            *([names] if copy and merged.forgotten else []),
            f"{other} is as it was; merge this book there to even both out",
        ]
    left = len(merged.undecided)
    todo = (
        f"{left} to decide: --decisions FILE.csv, or --write on a terminal" if left else "--write"
    )
    first = "this book is on a server and is not copied first: back it up there"
    return ["", *([first] if on_a_server else []), f"nothing is written yet; next: {todo}"]


class _Desk:
    """Two books, looked at and written."""

    def __init__(self, here: Session, other: str, *, unrelated: bool) -> None:
        self.here, self.other, self.unrelated = here, other, unrelated
        self.book = here.open()
        self.seen: tuple[str, ...] = ()

    def _merge(self, decided: dict[int, str], *, write: bool) -> Merged:
        from wellbook.exchange.merging.files_coming import bring_files
        from wellbook.exchange.merging.merge import merge as united
        from wellbook.exchange.merging.other_book import other_book
        from wellbook.store.book import Book
        from wellbook.store.places import book_url

        found: list[Merged] = []
        try:
            with other_book(self.other, self.book) as its, self.book.writing() as mine:
                who, unrelated = self.here.who, self.unrelated
                found.append(united(mine, its, who=who, decisions=decided, unrelated=unrelated))
                if write:
                    self._as_seen(found[0])
                there = Book(book_url(self.other))
                bring_files((self.book, mine), (there, its), found[0].files, write=write)
                if not write:
                    raise _OnlyLooked
        except _OnlyLooked:
            self.seen = _same(found[0])
        return found[0]

    def _as_seen(self, merged: Merged) -> None:
        if merged.undecided:
            left = len(merged.undecided)
            raise WellbookError(
                f"{left} {'is' if left == 1 else 'are'} changed in both books and undecided; nothing"
                " was written; decide with: --decisions FILE.csv, or --write on a terminal"
            )
        if self.seen != _same(merged):
            raise WellbookError(
                "the book was changed while this was decided; nothing was written; look anew"
            )

    def look(self, decided: dict[int, str]) -> Merged:
        """What a merge would come to."""
        return self._merge(decided, write=False)

    def write(self, decided: dict[int, str]) -> str | None:
        """Write it; where the copy of this book is that was made before."""
        from wellbook.store.book import safety_copy

        merged = self.look(decided)
        self._as_seen(merged)
        copy = safety_copy(self.book, "merge") if self.book.is_file else None
        try:
            self._merge(decided, write=True)
        except BaseException:
            if copy is not None:
                copy.unlink(missing_ok=True)
            raise
        return str(copy) if copy else None


class _OnlyLooked(Exception):  # noqa: N818 - it is the end of a look, and no error
    """A look is over, and lets go of what it wrote."""


def _same(merged: Merged) -> tuple[str, ...]:
    from wellbook.exchange.merging.decisions import marks

    return tuple(marks(merged.conflicts))


def _from_file(path: Path, merged: Merged) -> dict[int, str]:
    from wellbook.exchange.merging.decisions import read_decisions

    if not path.exists():
        return {}
    return read_decisions(path, merged.conflicts)


def _keep(path: Path, merged: Merged) -> None:
    """Write what is to be decided into the file, with what was decided already."""
    from wellbook.exchange.merging.decisions import decisions_text

    if merged.conflicts:
        write_file(path, decisions_text(merged.conflicts))
        note(f"{len(merged.undecided)} to decide in {path}: fill in the column 'decision'")


def _ask(desk: _Desk, merged: Merged, decided: dict[int, str]) -> dict[int, str]:
    """Ask for what is undecided, one after the other; what shows only then is asked for too."""
    from wellbook.present.merge_lines import conflict_lines, merge_lines

    show(merge_lines(merged))
    while merged.undecided:
        for one in merged.undecided:
            show(conflict_lines(one))
            decided[one.number] = choose("which counts", *one.choices)
        merged = desk.look(decided)
    return decided
