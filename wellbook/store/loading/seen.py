"""What was measured, found, sampled, sent and attached, of some wells at once."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from typing import Any

from sqlalchemy import Connection

from wellbook.engineering.analytes import ANALYTES, Result
from wellbook.hole.materials import read_material
from wellbook.hole.records import (
    AttachedFile,
    Found,
    Inspection,
    Interval,
    Observation,
    Paper,
    Sample,
)
from wellbook.store import tables as t
from wellbook.store.loading.cells import day, maybe_words, when, words, yes
from wellbook.store.loading.plain_rows import Row, plain_rows
from wellbook.terms import (
    Bacteria,
    Basis,
    FoundKind,
    IntervalKind,
    Kind,
    LevelState,
    MeasuringPoint,
    PaperKind,
    Quantity,
    Severity,
)

OBSERVATION = (
    *("uid", "quantity", "value", "when_earliest", "when_latest", "when_text", "basis"),
    *("point", "state", "method", "at_gpm", "minutes", "sheet_root_uid"),
)
INTERVAL = (
    *("uid", "kind", "from_ft", "to_ft", "diameter_in", "material", "basis"),
    *("when_earliest", "when_latest", "when_text", "sheet_root_uid"),
)
INSPECTION = (
    *("uid", "component_uid", "inspected_on", "splices", "rubs", "splices_added"),
    "sheet_root_uid",
)
FOUND = (
    *("uid", "found_on", "what", "part", "depth_ft", "count", "severity", "note"),
    "sheet_root_uid",
)
SAMPLE = (
    *("id", "uid", "taken_earliest", "taken_latest", "taken_text", "bacteria", "laboratory"),
    *("note", "sheet_root_uid"),
)
PAPER = ("uid", "sheet_root_uid", "kind", "sent_on", "sent_to", "who")
FILE = (
    *("uid", "id", "sheet_root_uid", "sha256", "file_name", "media_type", "size_bytes"),
    *("note", "added_on", "who"),
)


def observation(row: Row) -> Observation:
    """An observation from its cells."""
    _, uid, quantity, value, when_1, when_2, said, basis, point, state, *rest = row
    return Observation(
        uid,
        words(Quantity)[quantity],
        value,
        when(when_1, when_2, said),
        words(Basis)[basis],
        maybe_words(MeasuringPoint)[point],
        maybe_words(LevelState)[state],
        *rest,
    )


def interval(row: Row, zones: Mapping[str, Mapping[str, Any]]) -> Interval:
    """A stretch of the bore, with what only the sheet tells of a fractured zone."""
    _, uid, kind, from_ft, to_ft, diameter_in, material, basis, *days, sheet_uid = row
    return Interval(
        uid,
        words(IntervalKind)[kind],
        from_ft,
        to_ft,
        diameter_in,
        read_material(material),
        words(Basis)[basis],
        when(*days),
        sheet_uid,
        **zones.get(uid, {}),
    )


def inspection(row: Row) -> Inspection:
    """What was counted on a cable."""
    _, uid, component_uid, inspected_on, *counts = row
    return Inspection(uid, component_uid, day(inspected_on), *counts)


def found(row: Row) -> Found:
    """One thing found at a visit."""
    _, uid, found_on, what, part, depth_ft, count, severity, note, sheet_uid = row
    return Found(
        uid,
        day(found_on),
        words(FoundKind)[what],
        maybe_words(Kind)[part],
        depth_ft,
        count,
        maybe_words(Severity)[severity],
        note,
        sheet_uid,
    )


def sample(row: Row, bases: Mapping[str, Basis], results: Mapping[str, Result]) -> Sample:
    """A water sample, with what its sheet rests on and what the laboratory said."""
    _, _, uid, taken_1, taken_2, taken, bacteria, laboratory, note, sheet_uid = row
    return Sample(
        uid,
        when(taken_1, taken_2, taken),
        maybe_words(Bacteria)[bacteria],
        laboratory,
        note,
        sheet_uid,
        bases.get(sheet_uid, Basis.PAPER_RECORD),
        {a: results[a] for a in ANALYTES if a in results} if results else {},
    )


def results_of(connection: Connection, samples: list[int]) -> dict[int, dict[str, Result]]:
    """What laboratories said of samples, by their numbers."""
    told: dict[int, dict[str, Result]] = defaultdict(dict)
    columns = ("analyte", "value", "below")
    for row in plain_rows(connection, t.water_result, "sample_id", samples, columns):
        number, analyte, value, below = row
        told[number][analyte] = Result(value, yes(below))
    return told


def paper(row: Row) -> Paper:
    """A paper that was sent."""
    _, uid, sheet_uid, kind, sent_on, sent_to, who = row
    return Paper(uid, sheet_uid, words(PaperKind)[kind], day(sent_on), sent_to, who)


def attached_file(row: Mapping[str, Any]) -> AttachedFile:
    """A row as the well's record has it; a name from another book is made fit here too."""
    # Few wells have files: here, so that those without load nothing of them.
    from wellbook.store.file_kinds import fit_name

    return AttachedFile(
        uid=row["uid"],
        number=row["id"],
        sheet_uid=row["sheet_root_uid"],
        sha256=row["sha256"],
        name=fit_name(row["file_name"]),
        media_type=row["media_type"],
        size_bytes=row["size_bytes"],
        note=row["note"],
        added_on=day(row["added_on"]),
        who=row["who"],
    )
