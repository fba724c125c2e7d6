"""A file takes its name when it is whole, and two runs at once take two names."""

from __future__ import annotations

import errno
from collections.abc import Callable
from pathlib import Path

import pytest

from wellbook.whole_files import claimed, folder_to_disk, part_of


def test_two_runs_at_once_write_two_files(tmp_path: Path) -> None:
    wanted = tmp_path / "reminders.pdf"
    with claimed(wanted) as first, claimed(wanted) as second:
        assert (first.name, second.name) == ("reminders.pdf", "reminders-2.pdf")
        part_of(first).write_text("one")
        part_of(first).replace(first)
        with claimed(wanted) as third:
            assert third.name == "reminders-3.pdf"
    assert first.read_text() == "one"
    assert [path.name for path in tmp_path.iterdir()] == ["reminders.pdf"]


def test_what_a_killed_run_left_costs_a_number(tmp_path: Path) -> None:
    part_of(tmp_path / "calls.txt").touch()
    with claimed(tmp_path / "calls.txt") as path:
        assert path.name == "calls-2.txt"


def test_a_folder_that_cannot_be_brought_to_the_disk_by_itself_is_no_failure(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """fsync(2): EINVAL where a file system knows no such thing; a failing disk is still told of."""

    def refused(number: int) -> Callable[[int], None]:
        def fsync(_file: int) -> None:
            raise OSError(number, "no")

        return fsync

    monkeypatch.setattr("wellbook.whole_files.os.fsync", refused(errno.EINVAL))
    folder_to_disk(tmp_path)
    monkeypatch.setattr("wellbook.whole_files.os.fsync", refused(errno.EIO))
    with pytest.raises(OSError, match="no"):
        folder_to_disk(tmp_path)
