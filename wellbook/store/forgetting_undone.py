"""What was undone of a person: it stands in the change log alone, and goes from there too."""

from __future__ import annotations

import json
from typing import Any

from sqlalchemy import Connection, select

from wellbook.store import tables as t
from wellbook.store.entries import UNDO
from wellbook.store.forgetting_imports import HIS


def undone_of(
    connection: Connection, customer_id: int
) -> dict[tuple[str, str], list[dict[str, Any]]]:
    """Rows of a customer of which a line says that they were undone, or done again.

    Returns
    -------
    By table and identity, what the lines have of them.
    """
    line = t.change
    query = select(line.c.what, line.c.row_uid, line.c.old, line.c.new).where(
        line.c.action == UNDO, line.c.what.in_(HIS)
    )
    found: dict[tuple[str, str], list[dict[str, Any]]] = {}
    for what, uid, *said in connection.execute(query.order_by(line.c.id)):
        rows = [json.loads(text) for text in said if text]
        if any(row.get("customer_id") == customer_id for row in rows):
            found.setdefault((what, uid), []).extend(rows)
    return found
