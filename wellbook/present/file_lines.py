"""Files of a well in words, and for other programs."""

from __future__ import annotations

from typing import Final

from wellbook.hole.records import AttachedFile
from wellbook.present.envelope import Shape, day_json
from wellbook.store.file_kinds import size_text

_KINDS: Final = {
    "image/jpeg": "JPEG picture",
    "image/png": "PNG picture",
    "image/heic": "HEIC picture",
    "image/heif": "HEIF picture",
    "image/tiff": "TIFF picture",
    "application/pdf": "PDF",
    "text/plain": "text",
}


def kind_of(file: AttachedFile) -> str:
    """What it is, by its content: "JPEG picture"; "other" for what the program does not know."""
    return _KINDS.get(file.media_type, "other")


def file_text(file: AttachedFile) -> str:
    """A file in one line: number, name, size, note.

    By the number it is handed out and taken off.
    """
    said = f"no. {file.number}, {file.name}, {size_text(file.size_bytes)}"
    return f"{said}: {file.note}" if file.note else said


def file_json(file: AttachedFile, tag: str) -> Shape:
    """A file of a well for other programs; `visit_uid` is the `uid` of its visit in `wellbook.hole`."""
    return {
        "well": tag,
        "number": file.number,
        "uid": file.uid,
        "name": file.name,
        "media_type": file.media_type,
        "size_bytes": file.size_bytes,
        "sha256": file.sha256,
        "note": file.note,
        "visit_uid": file.sheet_uid,
        "added_on": day_json(file.added_on),
        "added_by": file.who,
    }
