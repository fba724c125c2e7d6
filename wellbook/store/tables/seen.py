"""What was measured, found and sampled. *Derived* from the sheets by replay, or imported."""

from __future__ import annotations

from sqlalchemy import Boolean, Date, Double, Integer, Text

from wellbook.store.tables.base import column, maybe, numbered, one_of, reference, table, when
from wellbook.terms import (
    Bacteria,
    Basis,
    FoundKind,
    IntervalKind,
    Kind,
    LevelState,
    MeasuringPoint,
    Quantity,
    Severity,
)

observation = numbered(
    "observation",
    reference("well_id", "well", index=True),
    column("quantity", Text),
    maybe("value", Double),
    *when("when"),
    column("basis", Text),
    maybe("point", Text),
    maybe("state", Text),
    column("method", Text),
    maybe("at_gpm", Double),
    maybe("minutes", Double),
    maybe("sheet_root_uid", Text),
    one_of("quantity", Quantity),
    one_of("basis", Basis),
    one_of("point", MeasuringPoint),
    one_of("state", LevelState),
)
"""A value measured or told. Derived where it comes from a sheet, else entered with the well."""

bore_interval = numbered(
    "bore_interval",
    reference("well_id", "well", index=True),
    column("kind", Text),
    maybe("from_ft", Double),
    maybe("to_ft", Double),
    maybe("diameter_in", Double),
    column("material", Text),
    column("basis", Text),
    *when("when"),
    maybe("sheet_root_uid", Text),
    one_of("kind", IntervalKind),
    one_of("basis", Basis),
)
"""A stretch of the bore. Derived where it comes from a sheet."""

cable_inspection = numbered(
    "cable_inspection",
    reference("well_id", "well", index=True),
    column("component_uid", Text),
    column("inspected_on", Date),
    maybe("splices", Integer),
    maybe("rubs", Integer),
    column("splices_added", Integer),
    column("sheet_root_uid", Text),
)
"""Derived: what was counted on a cable at a visit."""

found = numbered(
    "found",
    reference("well_id", "well", index=True),
    column("found_on", Date),
    column("what", Text),
    maybe("part", Text),
    maybe("depth_ft", Double),
    maybe("count", Integer),
    maybe("severity", Text),
    column("note", Text),
    column("sheet_root_uid", Text),
    one_of("what", FoundKind),
    one_of("part", Kind),
    one_of("severity", Severity),
)
"""Derived: one thing found at a visit."""

water_sample = numbered(
    "water_sample",
    reference("well_id", "well", index=True),
    *when("taken"),
    maybe("bacteria", Text),
    column("laboratory", Text),
    column("note", Text),
    maybe("sheet_root_uid", Text),
    one_of("bacteria", Bacteria),
)
"""Derived: a water sample."""

water_result = table(
    "water_result",
    reference("sample_id", "water_sample", primary_key=True),
    column("analyte", Text, primary_key=True),
    maybe("value", Double),
    column("below", Boolean),
)
"""Derived: what a laboratory said of one analyte, in the unit of its word.

The words are those of `engineering.analytes`, which grow, so that no CHECK names them.
"""
