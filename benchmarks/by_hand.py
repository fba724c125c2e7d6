"""What somebody who knows the tables would write by hand, with Python's own sqlite3: the peer of measurements.

    python benchmarks/by_hand.py BOOK TAG MODULES

reads all that is on record of a well and prints it as JSON, after importing the modules that a file
lists, one a line.
"""

from __future__ import annotations

import gc
import importlib
import json
import sqlite3
import sys
from collections.abc import Sequence
from contextlib import suppress
from pathlib import Path

PARTS = (
    "cap", "seal", "pipe", "check_valve", "cable", "torque_arrestor", "pump", "motor", "control",
    "tank", "switch", "booster", "treatment",
)  # fmt: skip

OF_WELL = (
    "SELECT * FROM component WHERE well_id = :well",
    *(
        f"SELECT p.* FROM {part} p JOIN component c ON c.id = p.component_id WHERE c.well_id = :well"
        for part in PARTS
    ),
    "SELECT q.* FROM component_claim q JOIN component c ON c.id = q.component_id"
    " WHERE c.well_id = :well",
    "SELECT * FROM observation WHERE well_id = :well",
    "SELECT * FROM bore_interval WHERE well_id = :well",
    "SELECT * FROM cable_inspection WHERE well_id = :well",
    "SELECT * FROM found WHERE well_id = :well",
    "SELECT * FROM water_sample WHERE well_id = :well",
    "SELECT r.* FROM water_result r JOIN water_sample s ON s.id = r.sample_id"
    " WHERE s.well_id = :well",
    "SELECT s.*, c.* FROM sheet s LEFT JOIN call c ON c.sheet_id = s.id"
    " WHERE s.well_id = :well AND s.status = 'valid' ORDER BY s.start_on, s.id",
    "SELECT c.sheet_id, p.name FROM sheet s JOIN crew c ON c.sheet_id = s.id"
    " JOIN technician p ON p.id = c.technician_id WHERE s.well_id = :well",
    "SELECT * FROM paper WHERE well_id = :well",
    "SELECT * FROM attachment WHERE well_id = :well",
    "SELECT * FROM silence WHERE well_id = :well",
    "SELECT a.*, c.* FROM contact_about a JOIN contact c ON c.id = a.contact_id"
    " WHERE a.well_id = :well",
    "SELECT * FROM water_system WHERE id = :system",
    "SELECT id, tag FROM well WHERE system_id = :system",
    "SELECT s.* FROM system_site d JOIN site s ON s.id = d.site_id WHERE d.system_id = :system",
    "SELECT * FROM site WHERE id = :site",
    "SELECT o.*, c.* FROM occupancy o JOIN customer c ON c.id = o.customer_id"
    " WHERE o.site_id = :site",
    "SELECT p.* FROM occupancy o JOIN contact_point p ON p.customer_id = o.customer_id"
    " WHERE o.site_id = :site",
    "SELECT q.* FROM occupancy o JOIN consent q ON q.customer_id = o.customer_id"
    " WHERE o.site_id = :site",
    "SELECT * FROM setting",
    "SELECT * FROM shop_fact",
)  # fmt: skip

DUE = """
SELECT w.tag, d.rule, d.subject, d.occurrence, d.may_from, d.surely_from, d.until, d.severity,
       d.occasion, d.reason, d.action, d.source, d.counts_from, d.numbers, d.to_customer,
       s.road, s.town, c.name,
       (SELECT p.value FROM contact_point p WHERE p.customer_id = c.id AND p.way = 'phone'
        ORDER BY p.id LIMIT 1)
FROM due d
JOIN well w ON w.id = d.well_id
LEFT JOIN site s ON s.id = w.site_id
LEFT JOIN occupancy o ON o.site_id = s.id AND o.until_text IS NULL
LEFT JOIN customer c ON c.id = o.customer_id
WHERE d.occasion IN ('now', 'next_visit') AND d.from_day BETWEEN :start AND :by
  AND (d.until IS NULL OR d.until > :by)
  AND NOT EXISTS (SELECT 1 FROM silence q WHERE q.well_id = d.well_id AND q.rule = d.rule
                  AND q.since <= :by AND (q.until IS NULL OR q.until > :by))
  AND NOT EXISTS (SELECT 1 FROM contact_about a JOIN contact k ON k.id = a.contact_id
                  WHERE a.well_id = d.well_id AND a.occurrence = d.occurrence
                  AND k.said IN ('declined', 'put_off'))
ORDER BY CASE d.severity WHEN 'act' THEN 0 WHEN 'plan' THEN 1 WHEN 'watch' THEN 2 ELSE 3 END,
         CASE d.occasion WHEN 'now' THEN 0 ELSE 1 END, coalesce(d.surely_from, '9999'),
         d.may_from, w.tag, d.occurrence
"""


def hole(place: Path, tag: str) -> list[list[tuple[object, ...]]]:
    """All rows about a well, a list for each statement."""
    file = sqlite3.connect(place)
    query = "SELECT * FROM well WHERE tag = ?"
    file.row_factory = sqlite3.Row
    well = file.execute(query, (tag,)).fetchone()
    file.row_factory = None
    keys = {"well": well["id"], "system": well["system_id"], "site": well["site_id"]}
    rows = [file.execute(query, keys).fetchall() for query in OF_WELL]
    file.close()
    return [[tuple(well)], *rows]


def due(file: sqlite3.Connection, start: str, by: str) -> Sequence[tuple[object, ...]]:
    """What comes due in a span, with whose well it is, worst first."""
    return file.execute(DUE, {"start": start, "by": by}).fetchall()


def main() -> None:
    """Import, read, print; the collector of garbage as quiet as the program has it."""
    gc.disable()
    place, tag, modules = sys.argv[1:]
    for name in Path(modules).read_text(encoding="utf-8").split():
        with suppress(ImportError):
            importlib.import_module(name)
    print(json.dumps(hole(Path(place), tag)))


if __name__ == "__main__":
    main()
