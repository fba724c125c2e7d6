"""The file in which a sheet from the keyboard stands until it is written.

It is there from the first word, beside the book, and is taken away when the sheet is recorded. So a
killed session, an editor that fails or a no at the end loses nothing: the same command finds it again.
"""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING
from urllib.parse import quote

from wellbook.cli.session import write_file
from wellbook.errors import WellbookError

if TYPE_CHECKING:
    from wellbook.store.book import Book

MARK = "# !! "
"""How the lines begin that the program puts above a sheet."""


class Draft:
    """A sheet's file.

    Parameters
    ----------
    book
        Beside it the file stands; a server's are kept in the user's data folder.
    name
        What the sheet is, such as `visit-TF-0031`.
    """

    def __init__(self, book: Book, name: str) -> None:
        from wellbook.store.places import default_place

        folder = book.path.parent if book.is_file else default_place().parent
        stem = book.path.stem if book.is_file else book.url.database or "book"
        self.path = folder.resolve() / f"{stem}-{quote(name, safe=' ')}.toml"

    @property
    def saved_at(self) -> datetime:
        """When it was last saved, by the clock of this machine."""
        return datetime.fromtimestamp(self.path.stat().st_mtime)

    @property
    def saved(self) -> str:
        """The same in words."""
        return self.saved_at.strftime("%Y-%m-%d %H:%M")

    def text(self) -> str:
        """What stands in it, without the program's own lines; "" where there is no file."""
        try:
            raw = self.path.read_bytes()
        except FileNotFoundError:
            return ""
        except OSError as error:
            raise self._refused(error) from None
        try:
            text = raw.decode("utf-8-sig")
        except UnicodeDecodeError:
            # An old editor saves in its machine's own code page; better a letter wrong than all
            # lost.
            text = raw.decode("cp1252", errors="replace")
        # Only a line feed ends a line: what follows another sign is what somebody typed.
        lines = text.replace("\r\n", "\n").split("\n")
        return "\n".join(line for line in lines if not line.startswith(MARK))

    def put(self, text: str, marks: list[str] | None = None) -> None:
        """Write the sheet, with lines of the program's own above it."""
        above = "".join(f"{MARK}{line}\n" for line in marks or [])
        try:
            self.path.parent.mkdir(parents=True, exist_ok=True)
            # Whole or not at all: what was typed before stays, whatever happens at this moment.
            write_file(self.path, above + text)
        except OSError as error:
            raise self._refused(error) from None

    def drop(self) -> None:
        """Take the file away: its sheet is recorded, or nothing was typed."""
        self.path.unlink(missing_ok=True)

    def put_aside(self) -> Path:
        """Give the file another name, under which it is kept and not found again."""
        for n in range(1, 1000):
            place = self.path.with_name(f"{self.path.stem}.old-{n}.toml")
            if not place.exists():
                return self.path.rename(place)
        raise WellbookError("too many sheets were put aside; move some away", where=str(self.path))

    def _refused(self, error: OSError) -> WellbookError:
        words = (error.strerror or "cannot be read or written").lower()
        return WellbookError(f"the sheet cannot be kept here: {words}", where=str(self.path))
