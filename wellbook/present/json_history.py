"""The history of a well for other programs."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import TYPE_CHECKING

from wellbook.hole.hole import Hole
from wellbook.present.envelope import Shape, day_json, envelope
from wellbook.present.history import Entry
from wellbook.present.json_page import component_json, visit_json

if TYPE_CHECKING:
    from wellbook.store.past_sheets import SheetVersion


def history_json(
    hole: Hole, entries: Sequence[Entry], versions: Sequence[SheetVersion] = ()
) -> Shape:
    """The history for other programs."""
    return envelope(
        "wellbook.history",
        1,
        well=hole.tag,
        entries=[_entry_json(hole, e) for e in entries],
        sheets=[version_json(v) for v in versions],
    )


def _entry_json(hole: Hole, entry: Entry) -> Shape:
    return {
        "what": entry.what,
        "day": None if entry.day == date.min else day_json(entry.day),
        "label": entry.label,
        "number": entry.number,
        "text": entry.text,
        "details": [{"word": word, "text": text} for word, text in entry.details],
        "visit": visit_json(entry.visit) if entry.visit else None,
        "component": component_json(hole, entry.component) if entry.component else None,
    }


def version_json(version: SheetVersion) -> Shape:
    """One sheet as it was entered, and what became of it."""
    return {
        "number": version.number,
        "uid": version.root_uid,
        "kind": version.kind.value,
        "status": version.status.value,
        "recorded_on": day_json(version.recorded_on),
        "recorded_by": version.recorded_by,
        "ended_on": day_json(version.ended_on),
        "ended_by": version.ended_by,
        "why": version.why,
        "document": dict(version.document),
    }
