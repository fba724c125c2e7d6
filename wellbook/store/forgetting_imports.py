"""What imports keep of a person who is forgotten, and how it goes.

They keep sums of what a file said, to know a row again, and former rows, to take a run back. What would
bring a forgotten person back can be taken back no more: the undoing of a run says so.
"""

from __future__ import annotations

import json
from typing import Any

from sqlalchemy import Connection, select, update

from wellbook.store import tables as t
from wellbook.store.forgetting_doubles import Without, walked
from wellbook.store.rows import records

HIS = frozenset({"customer", "contact_point", "consent", "contact", "call"})
"""Tables of whose rows no words of him are kept."""
ALSO = "also written "
"""With this begins a note of another spelling of a customer's name."""


def names_kept(connection: Connection, uid: str, notes: str) -> set[str]:
    """Other names of a customer: what he was called before, and other spellings that are noted."""
    line, kept = t.change, t.import_change
    logged = select(line.c.old, line.c.new).where(
        line.c.row_uid == uid, line.c.what == t.customer.name
    )
    before = select(kept.c.old).where(kept.c.row_uid == uid, kept.c.what == t.customer.name)
    texts = [
        text for query in (logged, before) for row in connection.execute(query) for text in row
    ]
    names = {json.loads(text).get("name") for text in texts if text}
    names |= {x.removeprefix(ALSO) for x in notes.splitlines() if x.startswith(ALSO)}
    return {name for name in names if name}


def clear_runs(
    connection: Connection,
    customer_id: int,
    own: set[tuple[str, str]],
    without: Without,
    emptied: Without,
) -> None:
    """Take a person out of what runs of imports keep: of their files, and of how rows were before.

    Parameters
    ----------
    own
        His rows, by table and identity.
    without
        A text without his name and numbers.
    emptied
        Empties what says who he is in a row of his own.
    """
    run, row, step = t.import_run, t.imported_row, t.import_change
    for number, name in connection.execute(select(run.c.id, run.c.file_name)).all():
        if (new := without(name)) != name:
            connection.execute(update(run).where(run.c.id == number).values(file_name=new))
    his = records(connection, select(row).where(row.c.customer_id == customer_id))
    for known in his:
        if (said := _unnamed(known["said"])) != known["said"]:
            which = (row.c.source == known["source"], row.c.row_key == known["row_key"])
            connection.execute(update(row).where(*which).values(said=said))
    keys = {(known["source"], known["row_key"]) for known in his}
    for line in records(connection, select(step).where(step.c.old.is_not(None))):
        if line["what"] in HIS and (line["what"], line["row_uid"]) in own:
            new = emptied(line["old"])
        else:
            old: dict[str, Any] = json.loads(line["old"])
            # A former row may have the number of a record that was joined into his.
            if line["what"] == row.name and (
                old["customer_id"] == customer_id or (old["source"], old["row_key"]) in keys
            ):
                old["said"] = _unnamed(old["said"])
            new = json.dumps(walked(old, without), ensure_ascii=False)
        if new != line["old"]:
            place = (step.c.run_id == line["run_id"], step.c.position == line["position"])
            connection.execute(update(step).where(*place).values(old=new))


def _unnamed(said: str) -> str:
    """Sums without those of what a file said of him: a sum as short as that of a name is soon guessed."""
    sums = json.loads(said or "{}")
    kept = {name: value for name, value in sums.items() if not name.startswith("customer.")}
    return json.dumps(kept, separators=(",", ":")) if kept != sums else said
