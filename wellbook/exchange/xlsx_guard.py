"""A workbook is a ZIP file of XML from anywhere: what is hostile in it is refused before it is read.

A small file can swell to any size, by its compression or by entities in its XML. The sizes that its
directory names are summed before anything is inflated; that the directory does not lie is seen to
while reading, since no entry gives more bytes than its directory says, and is then compared with
its checksum. A document type, in which entities are defined, has no place in a workbook at all.
"""

from __future__ import annotations

import zipfile
from pathlib import Path
from xml.parsers import expat
from zipfile import ZipFile

from wellbook.errors import WellbookError

_MOST_ENTRIES = 5_000
_MOST_BYTES = 1_500_000_000
"""Of all entries. A hundred thousand rows of twenty columns have about a tenth of it."""
_MOST_OF_A_PART = {"sharedStrings.xml": 250_000_000}
_MOST_OF_OTHERS = 60_000_000
"""Of a part that is held in memory: styles, the list of sheets."""
_RATIO, _FROM_BYTES = 250, 10_000_000
"""How many times its size an entry may swell to; small ones may."""
_PROLOG = 1 << 16
_SAVE = "save it as XLSX or CSV"
_BESIDE = "__MACOSX/"
"""A folder that an archiver of one system adds when it packs a workbook anew."""


def check(path: Path) -> None:
    """Refuse what is no workbook of the kind that is read, or is hostile.

    Raises
    ------
    WellbookError
        On one line; OSError where the file cannot be read at all.
    """
    try:
        with ZipFile(path) as archive:
            _check_names(set(archive.namelist()), path)
            _check_sizes(archive, path)
            _check_strict(archive, path)
            for name in archive.namelist():
                # What is beside the parts is never read.
                if name.endswith((".xml", ".rels")) and not name.startswith(_BESIDE):
                    _check_prolog(archive, name, path)
    except (zipfile.BadZipFile, ValueError, RuntimeError, NotImplementedError, EOFError) as error:
        raise damaged(path) from error
    except zipfile.zlib.error as error:  # type: ignore[attr-defined]
        raise damaged(path) from error


def damaged(path: Path) -> WellbookError:
    """What is said of a workbook that cannot be read."""
    said = "the workbook is damaged; open it in a spreadsheet program and save it again"
    return WellbookError(said, where=str(path))


def of_old(head: bytes, path: Path) -> WellbookError:
    """What is said of a file in the form of older office programs, by its first bytes."""
    if "EncryptedPackage".encode("utf-16-le") in head:
        said = f"the workbook is locked with a password; take it off, or {_SAVE}"
    else:
        said = f"this is a spreadsheet of an older form (XLS); {_SAVE}"
    return WellbookError(said, where=str(path))


def _check_names(names: set[str], path: Path) -> None:
    if any(n.lower().endswith("xl/workbook.xml") for n in names):
        return
    if "xl/workbook.bin" in names:
        raise WellbookError(
            f"this is a spreadsheet of a binary form (XLSB); {_SAVE}", where=str(path)
        )
    if "Index/Document.iwa" in names or "Index.zip" in names:
        raise WellbookError(f"this is a spreadsheet of another program; {_SAVE}", where=str(path))
    if {"mimetype", "content.xml"} <= names:
        raise WellbookError(f"this is an OpenDocument file (ODS); {_SAVE}", where=str(path))
    if "[Content_Types].xml" not in names:
        raise WellbookError("this is a ZIP file; unpack it first", where=str(path))
    raise damaged(path)


def _check_sizes(archive: ZipFile, path: Path) -> None:
    entries = archive.infolist()
    swollen = [
        e
        for e in entries
        if e.file_size > _FROM_BYTES and e.file_size > _RATIO * max(1, e.compress_size)
    ]
    held = [
        e
        for e in entries
        if "/worksheets/" not in e.filename
        and e.filename.endswith((".xml", ".rels"))
        and e.file_size > _MOST_OF_A_PART.get(e.filename.rpartition("/")[2], _MOST_OF_OTHERS)
    ]
    total = sum(e.file_size for e in entries)
    if swollen or held or total > _MOST_BYTES or len(entries) > _MOST_ENTRIES:
        said = (
            f"it would swell to {total / 1e6:,.0f} MB in {len(entries):,} parts; it is not opened"
        )
        raise WellbookError(said, where=str(path))


def _check_strict(archive: ZipFile, path: Path) -> None:
    """The strict form of the standard, which office programs offer beside the usual one."""
    with archive.open(
        next(n for n in archive.namelist() if n.lower().endswith("xl/workbook.xml"))
    ) as part:
        if b"purl.oclc.org/ooxml" in part.read(_PROLOG):
            said = "this is a workbook of the strict form of XLSX; save it as the usual XLSX"
            raise WellbookError(said, where=str(path))


def _check_prolog(archive: ZipFile, name: str, path: Path) -> None:
    """Refuse a document type: it stands before the first element."""
    begun: list[str] = []

    def refuse(*_: object) -> None:
        said = "its XML has a document type, which no workbook has; it is not opened"
        raise WellbookError(said, where=str(path))

    parser = expat.ParserCreate()
    parser.StartDoctypeDeclHandler = refuse
    parser.StartElementHandler = lambda tag, _: begun.append(tag)
    with archive.open(name) as part:
        try:
            while not begun and (piece := part.read(_PROLOG)):
                parser.Parse(piece)
        except expat.ExpatError as error:
            raise damaged(path) from error
