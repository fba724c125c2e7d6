"""Letters that the shop words itself, kept in the book so that a shared one has them too."""

from __future__ import annotations

from sqlalchemy import Connection, delete, insert, select

from wellbook.store import tables as t
from wellbook.store.rows import fit_lengths, log


def template_text(connection: Connection, name: str) -> str:
    """The shop's own words of a letter; empty where the program's do."""
    query = select(t.template.c.text).where(t.template.c.name == name)
    return str(connection.execute(query).scalar() or "")


def keep_template(connection: Connection, who: str, name: str, text: str | None) -> None:
    """Keep the shop's own words of a letter; None goes back to the program's."""
    fit_lengths({name: text})
    old = template_text(connection, name)
    connection.execute(delete(t.template).where(t.template.c.name == name))
    if text is not None:
        connection.execute(insert(t.template).values(name=name, text=text))
    log(connection, who, "change", "template", name, old={"text": old}, new={"text": text or ""})
