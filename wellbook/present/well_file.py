"""All of one well as one file for other programs: `wellbook export FILE.json --well WELL`.

The envelope is that of every answer in JSON, `{"schema": {"name": "wellbook.well", "version": 1}, …}`. Its
members:

`day`, `well`, `customers`, `bore`, `string`, `levels`, `readings`, `samples`, `findings`, `files`, `load` and the
like are those of `wellbook hole --json` on that day. Beside them stands all that the page leaves
out: `customers_ever` (who was there, from when to when), `parts_ever` (each part that was ever set), `seen`
(each value that was ever measured or told), `found` and `inspections` (what visits found and counted),
`sheets` (each sheet as it was written, in all its versions: the truth from which the rest follows) and
`papers` (what was sent to whom). A date is `{"earliest", "latest", "text"}`, a unit stands in a name's
end or beside the value.
"""

from __future__ import annotations

from collections.abc import Sequence

from wellbook.hole.hole import Hole
from wellbook.hole.records import Observation, Occupant
from wellbook.present.envelope import Shape, day_json, envelope
from wellbook.present.json_history import version_json
from wellbook.present.json_page import component_json, occupant_json, page_json
from wellbook.present.json_shapes import fact_json
from wellbook.store.judged_wells import JudgedWell
from wellbook.store.past_sheets import SheetVersion


def well_file_json(judged: JudgedWell, record: Hole, versions: Sequence[SheetVersion]) -> Shape:
    """All of one well.

    Parameters
    ----------
    judged
        The well as of the day.
    record
        All that is known of it, ever.
    versions
        Its sheets, in all their versions.
    """
    quiet, said = judged.silenced, judged.said
    page = page_json(judged.hole, judged.findings, judged.day, silenced=quiet, lives=said)
    del page["schema"]
    return envelope(
        "wellbook.well",
        1,
        **page,
        customers_ever=[_stay(o) for o in record.occupants],
        parts_ever=[component_json(record, c) for c in record.components],
        seen=[_seen(o) for o in record.observations],
        found=[
            {
                "on": day_json(f.on),
                "what": f.what.value,
                "part": f.part.value if f.part else None,
                "depth_ft": f.depth_ft,
                "count": f.count,
                "severity": f.severity.value if f.severity else None,
                "note": f.note,
            }
            for f in record.found
        ],
        inspections=[
            {
                "cable": i.component_uid,
                "on": day_json(i.on),
                "splices": i.splices,
                "rubs": i.rubs,
                "splices_added": i.splices_added,
            }
            for i in record.inspections
        ],
        sheets=[version_json(v) for v in versions],
        papers=[
            {
                "kind": p.kind.value,
                "sheet": p.sheet_uid,
                "sent_on": day_json(p.sent_on),
                "sent_to": p.sent_to,
                "who": p.who,
            }
            for p in record.papers
        ],
    )


def _stay(occupant: Occupant) -> Shape:
    return {**occupant_json(occupant), "until": occupant.until}


def _seen(seen: Observation) -> Shape:
    more = {"at_gpm": seen.at_gpm, "minutes": seen.minutes, "sheet": seen.sheet_uid}
    return {"quantity": seen.quantity.value, **(fact_json(seen.fact()) or {}), **more}
