"""Files that are there whole or not at all, under a name that no other run takes meanwhile."""

from __future__ import annotations

import glob
import os
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from errno import EINVAL, ENOSYS, ENOTSUP
from pathlib import Path

from wellbook.errors import WellbookError


def part_of(path: Path) -> Path:
    """Where a file is written until it is whole and takes its name.

    >>> part_of(Path("out/calls.txt")).name
    '.calls.txt.part'
    """
    return path.with_name(f".{path.name}.part")


@contextmanager
def claimed(path: Path) -> Iterator[Path]:
    """That name, or with a number the first that nothing has: what was printed this morning stays.

    Two runs at once get two names: a name is claimed by its part, which only one can make. What a
    run that was killed leaves of it costs a number and nothing else.
    """
    number, free = 1, path
    while not _claim(free):
        number += 1
        free = path.with_name(f"{path.stem}-{number}{path.suffix}")
    try:
        yield free
    finally:
        part_of(free).unlink(missing_ok=True)


def _claim(path: Path) -> bool:
    part = part_of(path)
    try:
        part.touch(exist_ok=False)
    except FileExistsError:
        return False
    # Asked after the claim: a run that was faster has its whole file there by now.
    if path.exists():
        part.unlink()
        return False
    return True


@contextmanager
def new_file(path: Path) -> Iterator[Path]:
    """Where to write a file that takes this name when it is whole. What is there already stays.

    Raises
    ------
    WellbookError
        If there is something of that name, now or by the time the file is whole.
    """
    _check_free(path)
    with beside(path) as folder:
        part = folder / path.name
        yield part
        try:
            # A link is refused where the name is taken; renaming would put the file in its place.
            os.link(part, path)
        except FileExistsError:
            raise _taken(path) from None
        except OSError:
            # Here a file cannot have two names.
            _check_free(path)
            part.rename(path)


@contextmanager
def new_folder(path: Path) -> Iterator[Path]:
    """Where to fill a folder that takes this name when it is whole. What is there already stays.

    Raises
    ------
    WellbookError
        If there is something of that name, now or by the time the folder is whole.
    """
    _check_free(path)
    with beside(path) as folder:
        part = folder / path.name
        part.mkdir()
        yield part
        _check_free(path)
        part.rename(path)


@contextmanager
def beside(path: Path) -> Iterator[Path]:
    """A folder of this run alone, beside the name that is wanted and so on the same disk.

    A run that is killed leaves it, hidden; nothing else is in the way of the next run.

    Raises
    ------
    WellbookError
        If it cannot be made, or something in it cannot be written.
    """
    try:
        folder = Path(tempfile.mkdtemp(prefix=f".{path.name}.", suffix=".part", dir=path.parent))
    except FileNotFoundError:
        raise WellbookError(f"there is no folder {path.parent}", where=str(path)) from None
    except OSError as error:
        raise WellbookError(error.strerror or "cannot be written", where=str(path)) from None
    try:
        yield folder
    except OSError as error:
        reason = error.strerror or str(error)
        raise WellbookError(f"nothing was written: {reason}", where=str(path)) from None
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def _check_free(path: Path) -> None:
    if path.exists() or path.is_symlink():
        raise _taken(path)


def _taken(path: Path) -> WellbookError:
    what = "folder" if path.is_dir() else "file"
    return WellbookError(
        f"there is such a {what} already, and it stays; name another", where=str(path)
    )


def folder_to_disk(folder: Path) -> None:
    """See to it that the names in a folder are on the disk, and not only on their way."""
    if os.name == "nt":  # pragma: no cover - there a folder cannot be opened
        return
    number = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(number)
    except OSError as error:
        # Some shares and sticks know no such thing of a folder (fsync(2)); the file itself is there.
        if error.errno not in (EINVAL, ENOTSUP, ENOSYS):
            raise
    finally:
        os.close(number)


def left_parts(folder: Path, start: str, now_s: float) -> list[Path]:
    """What runs that were killed have left in a folder: hidden parts of an hour ago and more, or ahead, by a
    clock that was set back since.

    Parameters
    ----------
    start
        How the name begins that the part was to take.
    now_s
        This moment, seconds since the epoch.
    """
    found = []
    for part in sorted(folder.glob(f".{glob.escape(start)}*.part")):
        with suppress(FileNotFoundError):
            if abs(now_s - part.stat().st_mtime) > _LEFT_SECONDS:
                found.append(part)
    return found


_LEFT_SECONDS = 3600
