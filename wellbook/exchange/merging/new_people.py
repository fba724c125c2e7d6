"""Two customers who moved into one property in two books: who it is."""

from __future__ import annotations

from collections.abc import Mapping

from wellbook.exchange.merging.sides import Conflict, Key, Plan, Row


def find_two_who_moved_in(plan: Plan, here: Mapping[Key, Row]) -> None:
    """Plan conflicts where both books have somebody new at a property, and not the same."""
    part = plan.of("occupancy")
    mine, its = plan.sides
    new = {
        row["site_id"]: (key, row)
        for key, row in here.items()
        if ("occupancy", key[0]) in mine.log.new
        and part.update.get(key, row).get("until_text") is None
        and row["until_text"] is None
    }
    for key, row in part.insert.items():
        if row["until_text"] is not None or row["site_id"] not in new:
            continue
        other, stay = new[row["site_id"]]
        mine_by, its_by = mine.log.by(("occupancy", other[0])), its.log.by(("occupancy", key[0]))
        ours = {"uid": other[0], "customer_id": stay["customer_id"]}
        theirs = {"uid": key[0], "customer_id": row["customer_id"]}
        site, choices = (row["site_id"],), ("here", "there", "both")
        plan.conflicts.append(
            Conflict("stay", "site", site, "customer_id", ours, theirs, mine_by, its_by, choices)
        )


def settle_stay(plan: Plan, conflict: Conflict, decision: str, here: Mapping[Key, Row]) -> None:
    """Leave one of two stays out, or neither."""
    part = plan.of("occupancy")
    if decision == "here":
        key = (conflict.there["uid"],)
        part.gone[key] = part.insert.pop(key)
    elif decision == "there":
        key = (conflict.here["uid"],)
        part.update.pop(key, None)
        part.delete[key] = here[key]
