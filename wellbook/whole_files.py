"""Files that are there whole or not at all, under a name that no other run takes meanwhile."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path


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
