"""One tag given to two wells in two books: which of them keeps it."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from wellbook.exchange.merging.sides import Conflict, Key, Plan, Row


def free_tag(tag: str, taken: Collection[str]) -> str:
    """A tag like one that is taken.

    >>> free_tag("W-0012", {"W-0012", "W-0012-2"})
    'W-0012-3'
    """
    n = 2
    while f"{tag}-{n}" in taken:
        n += 1
    return f"{tag}-{n}"


def find_clashes(plan: Plan, here: Mapping[Key, Row], there: Mapping[Key, Row]) -> None:
    """Plan conflicts where a tag of the other book is that of another well here."""
    part = plan.of("well")
    mine = {
        part.update.get(key, {}).get("tag", row["tag"]): key
        for key, row in here.items()
        if key not in part.delete
    }
    coming = {key: row["tag"] for key, row in part.insert.items()}
    coming |= {key: v["tag"] for key, v in part.update.items() if "tag" in v}
    taken = {*mine, *(row["tag"] for row in here.values()), *(row["tag"] for row in there.values())}
    for key, tag in coming.items():
        own = mine.get(tag)
        if own is None or own == key:
            continue
        free = free_tag(tag, taken)
        taken.add(free)
        values = ({"uid": own[0], "tag": tag, "free": free}, {"uid": key[0], "tag": tag})
        by = (plan.sides[0].log.by(("well", own[0])), plan.sides[1].log.by(("well", key[0])))
        plan.conflicts.append(Conflict("tag", "well", key, "tag", *values, *by))


def settle_tag(plan: Plan, conflict: Conflict, decision: str) -> None:
    """Give the free tag to the well that does not keep the one that both have."""
    part = plan.of("well")
    free = conflict.here["free"]
    uid = conflict.there["uid"] if decision == "here" else conflict.here["uid"]
    if (uid,) in part.insert:
        part.insert[uid,] = {**part.insert[uid,], "tag": free}
    else:
        part.update.setdefault((uid,), {})["tag"] = free
