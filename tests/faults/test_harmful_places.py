"""Places that are known to harm a book's file are told of, once, where a book gets its place."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from tests.faults.fault_table import as_shown, the_line
from tests.store.small_shop import FOLDER
from wellbook import cli
from wellbook.store import harmful_places
from wellbook.store.book import SCHEMA_REVISION as NEWEST
from wellbook.store.harmful_places import network_share, synced_folder, warning

# Lines as proc(5) has them: number, parent, device, root, mount point, options, optional fields, a hyphen,
# type, source, options of the file system.
MOUNTS = """\
22 1 259:2 / / rw,relatime shared:1 - ext4 /dev/nvme0n1p2 rw
29 22 0:26 / /dev/shm rw,nosuid,nodev shared:4 - tmpfs tmpfs rw
40 22 0:50 / /mnt/office rw,relatime shared:20 - nfs4 office:/shop rw,vers=4.2
41 22 0:51 / /mnt/the\\040yard rw - cifs //yard/shop rw
42 40 0:52 / /mnt/office/local rw - ext4 /dev/sdb1 rw
43 22 0:53 / /home/ida/remote rw - fuse.sshfs ida@office:/ rw
44 22 0:54 / /home/ida/cloud rw - fuse.rclone keep: rw
45 22 0:55 / /host rw - 9p host rw
46 22 0:56 / /windows rw - smb3 //w/c rw
47 22 0:57 / /home/ida/disk rw - fuseblk /dev/sdc1 rw
48 22 0:58 / /var/lib/x rw - overlay overlay rw
49 22 0:59 / /twice rw - nfs a:/ rw
50 22 0:60 / /twice rw - ext4 /dev/sdd1 rw
"""


@pytest.mark.parametrize(
    ("place", "kind"),
    [
        ("/home/ida/shop.book", ""),
        ("/dev/shm/shop.book", ""),
        ("/mnt/office/shop.book", "nfs4"),
        ("/mnt/office2/shop.book", ""),
        ("/mnt/the yard/books/shop.book", "cifs"),
        ("/mnt/office/local/shop.book", ""),
        ("/home/ida/remote/shop.book", "fuse.sshfs"),
        ("/home/ida/cloud/shop.book", "fuse.rclone"),
        ("/host/shop.book", "9p"),
        ("/windows/shop.book", "smb3"),
        ("/home/ida/disk/shop.book", ""),
        ("/var/lib/x/shop.book", ""),
        ("/twice/shop.book", ""),
        ("//office/shop/shop.book", "a path of another machine"),
        (r"\\office\shop\shop.book", "a path of another machine"),
    ],
)
def test_a_network_share_is_told_by_the_list_of_mounts(place: str, kind: str) -> None:
    assert network_share(Path(place), MOUNTS) == kind


@pytest.mark.parametrize("mounts", ["", "\n", "nonsense", " - ", "1 2 3 / / rw", "1 2 3 / - x"])
def test_a_list_of_mounts_that_cannot_be_read_is_no_matter(mounts: str) -> None:
    assert network_share(Path("/srv/shop.book"), mounts) == ""


def test_this_machine_s_own_list_is_read(tmp_path: Path) -> None:
    assert isinstance(network_share(tmp_path / "shop.book"), str)


def test_a_network_share_is_warned_of(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Where a book gets its place or is looked over, and with no other command."""
    mounts = tmp_path / "mounts"
    named = str(tmp_path).replace(" ", r"\040")
    mounts.write_text(f"{MOUNTS}99 22 0:70 / {named} rw - nfs4 office:/ rw\n")
    monkeypatch.setattr(harmful_places, "_MOUNTS", mounts)
    _said_by_all_that_look(tmp_path, capsys, "network share")


NAMES = [
    "Dropbox",
    "OneDrive - Fen Pumps",
    "Google Drive",
    "Nextcloud",
    "CloudStorage",
    "iCloud Drive",
]


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("below", ["", "books/2026"])
def test_a_folder_that_a_service_copies_is_known_by_its_name(
    tmp_path: Path, name: str, below: str
) -> None:
    assert synced_folder(tmp_path / name / below / "shop.book") == str(tmp_path / name)
    assert synced_folder(tmp_path / f"not {name}" / below / "shop.book") == ""


def _a_folder(folder: Path) -> None:
    (folder / ".stfolder").mkdir()


def _a_database(folder: Path) -> None:
    (folder / ".sync_1f2e3d.db").touch()


@pytest.mark.parametrize("mark", [_a_folder, _a_database])
def test_a_folder_that_a_service_copies_is_warned_of(
    tmp_path: Path, mark: Callable[[Path], None], capsys: pytest.CaptureFixture[str]
) -> None:
    mark(tmp_path)
    _said_by_all_that_look(tmp_path, capsys, "synced folder")


def test_a_place_of_its_own_is_not_warned_of(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert warning(tmp_path / "shop.book") == ""
    assert cli.run(["--book", str(tmp_path / "shop.book"), "init"]) == 0
    assert capsys.readouterr().err == ""


def _said_by_all_that_look(folder: Path, capsys: pytest.CaptureFixture[str], name: str) -> None:
    place = folder / "shop.book"
    for command in (["init"], ["upgrade"], ["doctor"], ["restore", str(FOLDER / f"{NEWEST}.zip")]):
        assert cli.run(["--book", str(place), *command]) == 0
        err = capsys.readouterr().err
        assert err.count("\n") == 1
        assert as_shown(err, place) == the_line(name)
    assert cli.run(["--book", str(place), "due"]) in (0, 1)
    assert "where two machines" not in capsys.readouterr().err
