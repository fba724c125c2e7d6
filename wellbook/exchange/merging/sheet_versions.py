"""Of each sheet one version counts, or none: what both books say of it, held against each other."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping

from wellbook.exchange.merging.lines import Touch
from wellbook.exchange.merging.sides import Conflict, Key, Plan, Row, Side
from wellbook.terms import SheetStatus

OTHER_COUNTS = "another version counts since two books were merged"
LEFT_OUT = "left out when two books were merged"
_VALID = SheetStatus.VALID.value

Versions = Mapping[Key, Row]


def merge_versions(plan: Plan, here: Mapping[Key, Row], there: Mapping[Key, Row]) -> None:
    """Plan which versions of sheets count; the rows themselves must have been planned before."""
    mine, its = _by_root(here.values()), _by_root(there.values())
    for root, theirs in its.items():
        ours = mine.get(root)
        if ours is None:
            continue
        last = [_last(v, side) for v, side in zip((ours, theirs), plan.sides, strict=True)]
        if last[1] is None:
            continue
        if last[0] is None:
            settle(plan, ours, theirs, "there")
        elif _counting(ours) == _counting(theirs):
            earlier = min((touch.at, touch.who, n) for n, touch in enumerate(last) if touch)
            settle(plan, ours, theirs, ("here", "there")[earlier[2]])
        else:
            mine_by, its_by = (touch.by if touch else "" for touch in last)
            values = (_shown(ours), _shown(theirs))
            plan.conflicts.append(
                Conflict("sheet", "sheet", (root,), "the sheet", *values, mine_by, its_by)
            )


def _by_root(rows: Iterable[Row]) -> dict[str, dict[Key, Row]]:
    found: dict[str, dict[Key, Row]] = defaultdict(dict)
    for row in rows:
        found[row["root_uid"]][row["uid"],] = row
    return found


def _last(versions: Versions, side: Side) -> Touch | None:
    """Who changed a sheet on one side: corrected or withdrew it, or entered it."""
    ids = [("sheet", key[0]) for key in versions]
    touches = [touch for one in ids if (touch := side.log.touch(one, "status"))]
    return max(touches, key=lambda t: t.at) if touches else None


def _counting(versions: Versions) -> str | None:
    return next((r["document"] for r in versions.values() if r["status"] == _VALID), None)


def _shown(versions: Versions) -> dict[str, str]:
    """What one side says of a sheet: its document, or that it was withdrawn."""
    document = _counting(versions)
    return {"document": document} if document is not None else {"withdrawn": "withdrawn"}


def settle(plan: Plan, ours: Versions, theirs: Versions, winner: str) -> None:
    """Let the versions of a sheet count as they do on one side; those of the other stay readable."""
    part = plan.of("sheet")
    wins, loses = (ours, theirs) if winner == "here" else (theirs, ours)
    for key, row in {**loses, **wins}.items():
        status, why = row["status"], row["status_why"]
        if key not in wins and status == _VALID:
            status, why = SheetStatus.SUPERSEDED.value, OTHER_COUNTS
        if key not in ours:
            part.insert[key] = {**row, "status": status, "status_why": why}
        elif (status, why) != (ours[key]["status"], ours[key]["status_why"]):
            part.update.setdefault(key, {}).update(status=status, status_why=why)


def versions_of(rows: Mapping[Key, Row], root: str) -> Versions:
    """All versions of one sheet in one book."""
    return {key: row for key, row in rows.items() if row["root_uid"] == root}
