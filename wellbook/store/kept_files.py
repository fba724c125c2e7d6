"""Files that are kept beside a book, each named by the sum of what is in it.

The sum is SHA-256 (FIPS 180-4), so that the same content is kept once, however many wells name it
and under whatever names, and so that it can be seen whether it is still what it was. A file is
written whole under another name, brought to the disk, and only then takes its own: a run that is
killed leaves at most a file that no well names.
"""

from __future__ import annotations

import hashlib
import os
import stat
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from io import BufferedReader
from pathlib import Path
from typing import BinaryIO, Final

from wellbook.errors import WellbookError
from wellbook.store.file_kinds import HEAD_BYTES, media_type, size_text
from wellbook.store.identity import new_uid
from wellbook.whole_files import folder_to_disk

MOST_BYTES: Final = 200 * 1000 * 1000
"""A photograph has some millions; what is larger than this is most likely a slip."""
_CHUNK = 1 << 20
# Not waiting for a pipe's other end, and no line ends made up.
_READ_ONLY = os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)
_UNDERWAY = ".part"
_UNDERWAY_SECONDS = 3600
"""A part that is older than this belongs to a run that was killed."""


@dataclass(frozen=True, slots=True)
class Incoming:
    """A file that was copied beside the book and has not yet taken its name.

    Parameters
    ----------
    part
        Where it is.
    sha256
        The sum of what is in it, 64 hexadecimal digits.
    size_bytes
        How long it is.
    media_type
        What it is, by its first bytes.
    """

    part: Path
    sha256: str
    size_bytes: int
    media_type: str


@dataclass(frozen=True, slots=True)
class KeptFiles:
    """The folder of a book's files."""

    folder: Path

    def path(self, sha256: str) -> Path:
        """Where the content of that sum is, if it is there: two letters to a folder.

        >>> KeptFiles(Path("shop.book.files")).path("ab" + 62 * "0").parent.name
        'ab'
        """
        if len(sha256) != 64 or set(sha256) - set("0123456789abcdef"):
            raise WellbookError(f"'{sha256}' is no SHA-256 sum of 64 digits")
        return self.folder / sha256[:2] / sha256

    @contextmanager
    def copied(self, source: Path) -> Iterator[Incoming]:
        """Copy a file beside the book; it is gone again unless `settle` gives it its name.

        Raises
        ------
        WellbookError
            If it is no file, empty, too large, or cannot be read or kept.
        """
        with _opened(source) as file:
            part = self._part()
            try:
                yield self._copy(file, source, part)
            finally:
                part.unlink(missing_ok=True)

    def settle(self, incoming: Incoming) -> Path:
        """Give a copied file its name, for good; what was damaged there is whole again."""
        target = self.path(incoming.sha256)
        with self._writing():
            _make(target.parent)
            incoming.part.replace(target)
            folder_to_disk(target.parent)
        return target

    def adopt(self, source: Path, sha256: str) -> Path:
        """Keep a file that comes from a package or another book, if it is what it should be.

        Raises
        ------
        WellbookError
            If its content has another sum, or it cannot be read or kept.
        """
        with self.copied(source) as incoming:
            if incoming.sha256 != sha256:
                raise WellbookError(
                    "its content is not what it was when it was attached (its sum is"
                    f" {incoming.sha256[:12]}…, not {sha256[:12]}…); take it from a good copy",
                    where=str(source),
                )
            return self.settle(incoming)

    def wrong(self, sha256: str) -> str:
        """What is wrong with the content of that sum: "" if it is there and whole.

        >>> KeptFiles(Path("none")).wrong(64 * "0")
        'gone'
        """
        path = self.path(sha256)
        try:
            with path.open("rb") as file:
                return "" if _sum(file) == sha256 else "changed"
        except (FileNotFoundError, NotADirectoryError):
            return "gone"
        except OSError as error:
            return f"unreadable ({error.strerror})"

    def copy_out(self, sha256: str, target: Path) -> None:
        """Copy content to a file that is there whole or not at all, checked as it is copied.

        Raises
        ------
        WellbookError
            If it is gone, unreadable or not what it was: nothing is then written.
        """
        part = target.with_name(f".{target.name}.{new_uid()[:8]}{_UNDERWAY}")
        try:
            wrong = self._copied_wrong(sha256, part)
            if wrong:
                raise WellbookError(
                    f"the file is {wrong}; put {sha256} back from a copy of {self.folder}, or attach"
                    " the file again",
                    where=str(self.path(sha256)),
                )
            part.replace(target)
        except OSError as error:
            raise WellbookError(error.strerror or "cannot be written", where=str(target)) from error
        finally:
            part.unlink(missing_ok=True)

    def _copied_wrong(self, sha256: str, part: Path) -> str:
        try:
            source = self.path(sha256).open("rb")
        except (FileNotFoundError, NotADirectoryError):
            return "gone"
        except OSError as error:
            return f"unreadable ({error.strerror})"
        with source, part.open("xb") as copy:
            total = hashlib.sha256()
            while chunk := source.read(_CHUNK):
                total.update(chunk)
                copy.write(chunk)
            _flushed(copy)
        return "" if total.hexdigest() == sha256 else "changed"

    def all_sums(self) -> set[str]:
        """The sums by which files here are named; what else lies here is none of the book's."""
        if not self.folder.is_dir():
            return set()
        return {p.name for p in self.folder.glob("??/*") if _is_sum(p)}

    def left_underway(self) -> list[Path]:
        """What runs that were killed have left."""
        now = time.time()
        found = []
        for part in self.folder.glob(f".*{_UNDERWAY}") if self.folder.is_dir() else ():
            with suppress(FileNotFoundError):
                if now - part.stat().st_mtime > _UNDERWAY_SECONDS:
                    found.append(part)
        return found

    def drop(self, sha256: str) -> None:
        """Take content off the disk: only where no well names it any more."""
        with self._writing():
            self.path(sha256).unlink(missing_ok=True)

    def _part(self) -> Path:
        with self._writing():
            _make(self.folder)
        return self.folder / f".{new_uid()}{_UNDERWAY}"

    def _copy(self, file: BinaryIO, source: Path, part: Path) -> Incoming:
        total, size, head = hashlib.sha256(), 0, b""
        with self._writing(), part.open("xb") as copy:
            while chunk := _read(file, source):
                size += len(chunk)
                if size > MOST_BYTES:
                    raise _too_large(source)
                head = head or chunk[:HEAD_BYTES]
                total.update(chunk)
                copy.write(chunk)
            _flushed(copy)
        if not size:
            raise WellbookError("is empty; there is nothing to keep", where=str(source))
        return Incoming(part, total.hexdigest(), size, media_type(head))

    @contextmanager
    def _writing(self) -> Iterator[None]:
        try:
            yield
        except OSError as error:
            raise WellbookError(
                f"the book's files cannot be kept here: {error.strerror or error}",
                where=str(self.folder),
            ) from None


@contextmanager
def _opened(source: Path) -> Iterator[BufferedReader]:
    """A plain file, open for reading: a pipe would wait for ever, a device never end."""
    try:
        # Asked before it is opened, since opening alone can do something to a device.
        _plain(source, source.stat().st_mode)
        file = os.fdopen(os.open(source, _READ_ONLY), "rb")
    except OSError as error:
        raise WellbookError(error.strerror or "cannot be read", where=str(source)) from None
    except ValueError:
        raise WellbookError("is no name of a file", where=repr(str(source))) from None
    with file:
        about = os.fstat(file.fileno())
        _plain(source, about.st_mode)
        if about.st_size > MOST_BYTES:
            raise _too_large(source)
        yield file


def _plain(source: Path, mode: int) -> None:
    if stat.S_ISDIR(mode):
        raise WellbookError("is a folder; name the files in it", where=str(source))
    if not stat.S_ISREG(mode):
        raise WellbookError("is no file but a pipe or a device", where=str(source))


def _too_large(source: Path) -> WellbookError:
    return WellbookError(
        f"is larger than {size_text(MOST_BYTES)}, the most that is kept of one file",
        where=str(source),
    )


def _read(file: BinaryIO, source: Path) -> bytes:
    try:
        return file.read(_CHUNK)
    except OSError as error:
        raise WellbookError(error.strerror or "cannot be read", where=str(source)) from None


def _sum(file: BufferedReader) -> str:
    return hashlib.file_digest(file, "sha256").hexdigest()


def _is_sum(path: Path) -> bool:
    name = path.name
    return (
        len(name) == 64 and not set(name) - set("0123456789abcdef") and name[:2] == path.parent.name
    )


def _flushed(file: BinaryIO) -> None:
    file.flush()
    os.fsync(file.fileno())


def _make(folder: Path) -> None:
    """A folder whose own name is on the disk too."""
    if not folder.is_dir():
        folder.mkdir(parents=True, exist_ok=True)
        folder_to_disk(folder.parent)
