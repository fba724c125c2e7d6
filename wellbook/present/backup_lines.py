"""What is said of backups: one that was made, which there are, one that was put back."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from wellbook.present.envelope import Shape, envelope
from wellbook.present.text import plural
from wellbook.store.backing_up import Made, lost_words, missing_words
from wellbook.store.backups_there import Holding, Known
from wellbook.store.file_kinds import size_text
from wellbook.store.restoring import Restored


def made_lines(made: Made) -> list[str]:
    """A backup that was made."""
    said = made.manifest
    lines = [
        f"{made.path}: {size_text(made.size_bytes)}, {_in_short(said.rows)},"
        f" {plural(made.files, 'file')} of wells; read back and whole"
    ]
    return lines + [
        words for words in (missing_words(said.missing), lost_words(made.links_lost)) if words
    ]


def made_json(made: Made) -> Shape:
    """A backup that was made, for programs."""
    said = made.manifest
    return envelope(
        "wellbook.backup",
        1,
        file=str(made.path),
        size_bytes=made.size_bytes,
        made_at=said.made_at,
        revision=said.revision,
        rows=dict(said.rows),
        files=made.files,
        files_missing=dict(said.missing),
        links_lost=made.links_lost,
    )


def _in_short(rows: Mapping[str, int]) -> str:
    asked = {"well": "well", "customer": "customer", "sheet": "sheet"}
    return ", ".join(plural(rows.get(table, 0), word) for table, word in asked.items())


def known_rows(some: Sequence[Known]) -> list[list[str]]:
    """The rows of a table of backups."""
    return [
        [
            _moment(k.made_at) or "?",
            k.kind,
            k.revision or "?",
            size_text(k.size_bytes) if not k.wrong else k.wrong,
            str(k.path),
        ]
        for k in some
    ]


def known_json(known: Known) -> dict[str, Any]:
    """A backup that is there, for programs."""
    return {
        "file": str(known.path),
        "kind": known.kind.replace(" ", "_"),
        "made_at": known.made_at or None,
        "revision": known.revision or None,
        "size_bytes": known.size_bytes,
        "wrong": known.wrong or None,
    }


def holding_lines(holding: Holding) -> list[str]:
    """Which backups hold somebody who was forgotten, and how to be rid of them."""
    lines = []
    if holding.hold:
        lines.append(
            "These backups still hold the name. Make a new one (wellbook backup), then delete them:"
        )
        lines += [f"  {k.path}  {k.kind}, {_moment(k.made_at)}" for k in holding.hold]
    if holding.unread:
        lines.append("These could not be looked into; they may hold it:")
        lines += [f"  {k.path}  {k.wrong or k.kind}" for k in holding.unread]
    return lines


def restored_lines(restored: Restored, place: str) -> list[str]:
    """A backup that was put in the place of the book."""
    of = f" of {_moment(restored.made_at)}" if restored.made_at else ""
    lines = [f"{place} is the book{of}: {_in_short(restored.rows)}"]
    if restored.kept_as is not None:
        whose = f", another one ({restored.another})" if restored.another else ""
        lines.append(f"the book that was there{whose} is kept: {restored.kept_as}")
    if restored.forgotten:
        people = plural(restored.forgotten, "customer")
        lines.append(f"{people} forgotten since the backup: forgotten in this book too")
    if restored.marks_unread and restored.marks_of:
        lines.append(
            f"whom the book had forgotten by {_moment(restored.marks_of)} is taken from a backup, since it"
            " cannot say so itself: whoever was forgotten after that, forget anew: wellbook customer forget"
        )
    elif restored.marks_unread:
        lines.append(
            "nothing here could say who was forgotten since the backup: whoever was is in this book again;"
            " forget them anew: wellbook customer forget"
        )
    if restored.files:
        lines.append(f"{plural(restored.files, 'file')} of wells put back")
    if restored.files_missing:
        lines.append(
            f"{plural(len(restored.files_missing), 'file')} of wells whole neither in the backup nor"
            " beside the book: wellbook files check"
        )
    return lines


def restored_json(restored: Restored, place: str) -> Shape:
    """A backup that was put in the place of the book, for programs."""
    return envelope(
        "wellbook.restore",
        1,
        book=place,
        rows=restored.rows,
        revision=restored.revision,
        made_at=restored.made_at or None,
        kept_as=str(restored.kept_as) if restored.kept_as else None,
        forgotten=restored.forgotten,
        marks_unread=restored.marks_unread,
        marks_of=restored.marks_of or None,
        files=restored.files,
        files_missing=list(restored.files_missing),
    )


def _moment(made_at: str) -> str:
    """A moment as a person reads it; the engine's "+00:00" is universal time."""
    return f"{made_at[:16].replace('T', ' ')} UTC" if made_at else ""
