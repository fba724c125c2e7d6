"""Lines of the change log about what a merge decided, so that a later one knows who had the last word."""

from __future__ import annotations

import json
from collections.abc import Mapping

from sqlalchemy import Connection

from wellbook.exchange.merging.sides import Conflict, Key, Row
from wellbook.exchange.merging.writing import VALUES
from wellbook.store.rows import log


def log_decision(
    connection: Connection,
    who: str,
    conflict: Conflict,
    decision: str,
    sheets: tuple[Mapping[Key, Row], Mapping[Key, Row]],
) -> None:
    """Keep what was decided, so that a later merge knows who had the last word."""
    table, key = conflict.table, str(conflict.key[0])
    sides = [dict(conflict.there), dict(conflict.here)]
    old, new = sides if decision == "here" else sides[::-1]
    if conflict.kind == "field" and table in VALUES:
        _log_value(connection, who, table, key, (old["value"], new["value"]))
    elif conflict.kind == "field":
        log(connection, who, "merge", table, key, old=old, new={**new, "decided": decision})
    elif conflict.kind in ("gone", "stay"):
        log(connection, who, "merge", table, key, new={"decided": decision})
    elif conflict.kind == "tag":
        uid = conflict.there["uid"] if decision == "here" else conflict.here["uid"]
        free, tag = {"tag": conflict.here["free"]}, {"tag": conflict.there["tag"]}
        log(connection, who, "merge", "well", uid, old=tag, new=free)
    elif conflict.kind == "sheet":
        for (uid,), row in {**sheets[1], **sheets[0]}.items():
            if row["root_uid"] == key:
                said = {"status": row["status"], "decided": decision}
                log(connection, who, "merge", "sheet", uid, new=said)


def _log_value(
    connection: Connection, who: str, table: str, name: str, values: tuple[object, object]
) -> None:
    """A decided setting, fact or letter, as the log has changes of them."""
    old, new = values
    if table == "setting":
        pair = [{name: json.loads(str(v))} if v is not None else {} for v in (old, new)]
        log(connection, who, "change", "setting", "rules", old=pair[0], new=pair[1])
    else:
        what, column = ("shop", name) if table == "shop_fact" else ("template", "text")
        log(connection, who, "change", what, name, old={column: old}, new={column: new})
