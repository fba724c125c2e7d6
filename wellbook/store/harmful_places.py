"""Places that are known to harm a book's file: network shares, and folders that a service copies.

A book's file is written by one machine, which locks parts of it and keeps its newest pages in two files
beside it. A network share does not keep these locks nor share that memory between machines
(sqlite.org/wal.html: "WAL does not work over a network filesystem"), and a service that copies
folders takes the files one by one, at moments of its own (sqlite.org/howtocorrupt.html, 1.2 and 1.4).
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from pathlib import Path

# As the kernel names them in a list of mounts; what is mounted by a program of its own is "fuse.NAME".
_NETWORK = re.compile(
    r"nfs\d?|cifs|smb\d?|smbfs|9p|afs|ceph|glusterfs|lustre|ncpfs|davfs2?|webdav|"
    r"fuse\.(sshfs|rclone|davfs2?|s3fs|gcsfuse|goofys|curlftpfs|smbnetfs|glusterfs|.*drive.*)"
)
_MOUNTS = Path("/proc/self/mountinfo")

# How services that copy folders name theirs, and the marks that they leave in them.
_SYNCED_NAMES = re.compile(
    r"dropbox( \(.*\))?|onedrive( - .*)?|google ?drive|my drive|googledrive-.*|icloud ?drive|"
    r"mobile documents|cloudstorage|nextcloud\d?|owncloud\d?|syncthing|pcloud ?drive|mega(sync)?|"
    r"box( sync)?|seafile|yandex\.disk|tresorit|sync",
    re.IGNORECASE,
)
_SYNCED_MARKS = (
    ".stfolder",
    ".dropbox",
    ".dropbox.cache",
    ".sync",
    ".owncloud",
    ".tmp.drivedownload",
)
_SYNCED_PATTERNS = (".sync_*.db", "._sync_*.db", ".owncloudsync.log*", ".nextcloudsync.log*")


def warning(path: Path) -> str:
    """What is to be said of the place of a book's file; "" where nothing speaks against it.

    It costs a look at the list of mounts and at the folders above: for moments at which a book gets its
    place or is looked over, and not for every call.
    """
    place = path.absolute()
    if kind := network_share(place):
        return (
            f"{place} is on a network share ({kind}), where two machines can damage a book: keep it on"
            " this machine's own disk, or share one on a PostgreSQL server; keep copies here by:"
            " wellbook backup"
        )
    if folder := synced_folder(place):
        return (
            f"{place} is in a folder that a service copies ({folder}); it may take half of a change, or"
            " put an old file over a new one: keep the book outside, and only its copies here by:"
            " wellbook backup"
        )
    return ""


def network_share(place: Path, mounts: str | None = None) -> str:
    """By what kind of network share a path is reached; "" where by none, or where it cannot be told.

    Parameters
    ----------
    mounts
        The list of mounts, as Linux gives it (proc(5), "mountinfo"); by default this machine's.

    >>> network_share(Path("/srv/a.book"), "30 1 0:40 / /srv rw - nfs4 office:/shop rw")
    'nfs4'
    """
    if str(place).startswith(("//", "\\\\")):
        return "a path of another machine"
    if mounts is None:
        try:
            mounts = _MOUNTS.read_text("utf-8", errors="surrogateescape")
        except OSError:
            return ""
    where = _resolved(place)
    best, kind = -1, ""
    for point, its_kind in _points(mounts):
        # The last of equals lies over those before it.
        if where.is_relative_to(point) and len(point.parts) >= best:
            best, kind = len(point.parts), its_kind
    return kind if _NETWORK.fullmatch(kind) else ""


def _points(mounts: str) -> Iterable[tuple[Path, str]]:
    for line in mounts.splitlines():
        left, parted, right = line.partition(" - ")
        words, kinds = left.split(" "), right.split(" ")
        if parted and len(words) > 4 and kinds[0]:
            # A blank, a tab, a line's end and a backslash stand there as octal numbers.
            named = re.sub(r"\\([0-7]{3})", lambda m: chr(int(m[1], 8)), words[4])
            yield Path(named), kinds[0]


def synced_folder(place: Path) -> str:
    """The folder above a path that a service copies elsewhere; "" where none is known by its name or mark."""
    where = _resolved(place)
    for folder in where.parents:
        if _SYNCED_NAMES.fullmatch(folder.name) or _is_marked(folder):
            return str(folder)
    return ""


def _is_marked(folder: Path) -> bool:
    try:
        if any((folder / mark).exists() for mark in _SYNCED_MARKS):
            return True
        return any(next(folder.glob(pattern), None) for pattern in _SYNCED_PATTERNS)
    except OSError:
        return False


def _resolved(place: Path) -> Path:
    try:
        return place.resolve()
    except (OSError, RuntimeError):
        return place
