"""A person is forgotten on his wish: his rows go, his words are taken out, the well's history stays.

What stays of him is that it was done: the identities of the rows, and a sum over his name and each way to
reach him, by which a list or another book that still has him is known (`store.forgotten`).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, Table, delete, insert, select, update

from wellbook.hole.story import derived_uid
from wellbook.store import tables as t
from wellbook.store.forgetting_doubles import clear_decisions, former_of, lines_besides
from wellbook.store.forgetting_imports import HIS, clear_runs, names_kept
from wellbook.store.forgetting_undone import Undone, UndoneRows, undone_of
from wellbook.store.forgetting_words import emptied, finder, without
from wellbook.store.forgotten import NOBODY, mark_of
from wellbook.store.judging import renew
from wellbook.store.replaying import rebuild
from wellbook.store.rows import batches, log, moment, records
from wellbook.store.wells import wells_of_customer
from wellbook.store.word_index import drop_unused, index_wells
from wellbook.store.words import words_of
from wellbook.terms import ContactWay


@dataclass(frozen=True, slots=True)
class Forgot:
    """What was erased: rows that are gone, rows in which words were taken out; and how many files
    of his wells stay, in which nobody looked."""

    gone: int
    emptied: int
    files: int


def forget(
    connection: Connection,
    who: str,
    customer_id: int,
    *,
    at: str = "",
    quietly: bool = False,
) -> Forgot:
    """Take a person out of the book, its change log and its sheets; wells and visits stay.

    Parameters
    ----------
    at
        When it was done, where another book says so; else now.
    quietly
        Whether no line of the change log is written, since the other book's comes in.
    """
    eraser = _Eraser(connection, who, customer_id, at or moment(connection))
    eraser.erase()
    if not quietly:
        log(connection, who, "forget", "customer", eraser.uid)
    return Forgot(eraser.gone, eraser.emptied, eraser.files())


def forget_undone(
    connection: Connection, who: str, person: Undone, *, at: str = "", quietly: bool = False
) -> Forgot:
    """Forget a customer whose adding was undone: what the log still has of him goes.

    Parameters
    ----------
    at, quietly
        As for `forget`.
    """
    table = t.customer
    undone = undone_of(connection, person.uid, person.number)
    # His record comes back for the moment in which he is forgotten, so that there is one way to do it.
    again = {"uid": person.uid, "name": person.name, "notes": person.notes}
    number = connection.execute(insert(table).values(**again)).inserted_primary_key[0]  # type: ignore[index]
    eraser = _Eraser(connection, who, number, at or moment(connection), undone)
    eraser.erase()
    connection.execute(delete(table).where(table.c.id == number))
    if not quietly:
        log(connection, who, "forget", "customer", eraser.uid)
    return Forgot(eraser.gone, eraser.emptied, 0)


class _Eraser:
    def __init__(
        self,
        connection: Connection,
        who: str,
        number: int,
        at: str,
        undone: UndoneRows | None = None,
    ) -> None:
        self.connection, self.who, self.at, self.id = connection, who, at, number
        person = records(connection, select(t.customer).where(t.customer.c.id == number))[0]
        self.uid: str = person["uid"]
        self.name: str = person["name"]
        self.notes: str = person["notes"]
        self.gone = self.emptied = 0
        self.wells = wells_of_customer(connection, number)
        points = select(t.contact_point).where(t.contact_point.c.customer_id == number)
        self.points = records(connection, points)
        self.undone = undone or undone_of(connection, self.uid, number)
        self.former = former_of(connection, self.uid)
        self.names = {self.name, *self.former.names, *names_kept(connection, self.uid, self.notes)}
        """What he is or was called, and how else he is written."""
        self.words = finder(self.names - {NOBODY}, self._ways())
        gone = {*self.former.rows, *self.undone}
        self.uids: set[str] = {self.uid, *(uid for _, uid in gone)}
        self.tombs: list[tuple[str, str]] = sorted(gone)

    def _ways(self) -> set[tuple[str, str]]:
        """Each way to reach him, now or under a record that was joined into his."""
        whole = {(p["way"], p["e164"]) for p in self.points if p["e164"]}
        undone = {
            (row["way"], row[name])
            for rows in self.undone.values()
            for row in rows
            for name in ("value", "e164")
            if row.get("way") and row.get(name)
        }
        return {(p["way"], p["value"]) for p in self.points} | self.former.ways | whole | undone

    def files(self) -> int:
        """How many files of his wells stay."""
        file = t.attachment
        return sum(
            len(self.connection.execute(select(file.c.id).where(file.c.well_id.in_(some))).all())
            for some in batches(self.wells)
        )

    def erase(self) -> None:
        ways = {value for way, value in self._ways() if way != ContactWay.POST.value}
        marks = [mark_of(name, way) for name in self.names - {NOBODY} for way in ways]
        for table in (t.contact_point, t.consent):
            self._delete(table)
        blank: dict[str, Any] = {
            "name": NOBODY,
            "notes": "",
            "remind_by": None,
            "contract_month": None,
        }
        blank["name_key"] = None
        self._blank(t.customer, t.customer.c.id == self.id, blank)
        letter = {"address": "", "subject": "", "body": "", "answer": ""}
        self._blank(t.message, t.message.c.customer_id == self.id, letter)
        self._blank(t.contact, t.contact.c.customer_id == self.id, {"note": ""})
        systems = self._places()
        # Before the decisions let go of what they know.
        self.uids |= lines_besides(self.connection, self.wells)
        own = set(self.tombs)
        clear_decisions(self.connection, own, self._without, NOBODY)
        clear_runs(self.connection, self.id, own, self._without, emptied)
        self._log_lines()
        self._keep(marks)
        numbers = rebuild(self.connection, *systems) if systems else []
        numbers = sorted({*numbers, *self.wells})
        renew(self.connection, numbers)
        index_wells(self.connection, numbers)
        self._found_no_more()

    def _found_no_more(self) -> None:
        """Take the words of his name out of the index where no well has them any more."""
        word = t.search_word
        mine = word.c.word.in_({*words_of(" ".join(self.names)), *words_of(self.notes)})
        words = self.connection.execute(select(word.c.id).where(mine)).scalars()
        drop_unused(self.connection, list(words))

    def _delete(self, table: Table) -> None:
        which = table.c.customer_id == self.id
        uids = list(self.connection.execute(select(table.c.uid).where(which)).scalars())
        self.connection.execute(delete(table).where(which))
        self.gone += len(uids)
        self._note(table, uids)

    def _blank(self, table: Table, which: Any, values: Mapping[str, Any]) -> None:
        """Empty some columns of all rows that something holds of."""
        uids = list(self.connection.execute(select(table.c.uid).where(which)).scalars())
        if uids:
            self.connection.execute(update(table).where(which).values(**values))
        self.emptied += len(uids)
        self._note(table, uids)

    def _note(self, table: Table, uids: Sequence[str]) -> None:
        self.uids.update(uids)
        self.tombs += [(table.name, uid) for uid in uids]

    def _places(self) -> set[int]:
        """Take his name and numbers out of what is written of his wells; the systems of changed
        sheets."""
        sites = select(t.occupancy.c.site_id).where(t.occupancy.c.customer_id == self.id)
        here = list(self.connection.execute(sites).scalars())
        self._scrub(t.site, t.site.c.id.in_(here), ("access", "well_head", "notes"))
        systems: set[int] = set()
        for some in batches(self.wells):
            self._scrub(t.well, t.well.c.id.in_(some), ("notes",))
            self._scrub(t.attachment, t.attachment.c.well_id.in_(some), ("file_name", "note"))
            self._scrub(t.paper, t.paper.c.well_id.in_(some), ("sent_to",))
            self._scrub(t.contact, t.contact.c.well_id.in_(some), ("note",))
            self._scrub(t.silence, t.silence.c.well_id.in_(some), ("reason",))
            texts = ("document", "notes", "left_for_next_time", "status_why")
            changed = self._scrub(t.sheet, t.sheet.c.well_id.in_(some), texts)
            self._calls(some)
            self._calendar(some)
            if changed:
                of_sheets = (
                    select(t.well.c.system_id)
                    .join(t.sheet, t.sheet.c.well_id == t.well.c.id)
                    .where(t.sheet.c.id.in_(changed))
                )
                systems |= set(self.connection.execute(of_sheets).scalars())
        return systems

    def _calendar(self, wells: Sequence[int]) -> None:
        """What was given to a calendar has no number of its own."""
        entry = t.calendar_entry
        for row in records(self.connection, select(entry).where(entry.c.well_id.in_(wells))):
            if (new := self._without(row["summary"])) != row["summary"]:
                which = entry.c.uid == row["uid"]
                self.connection.execute(update(entry).where(which).values(summary=new))
                self._note(entry, [row["uid"]])

    def _calls(self, wells: Sequence[int]) -> None:
        """Calls about his wells in which he, or somebody from his number, rang."""
        call, sheet = t.call, t.sheet
        query = select(call, sheet.c.uid).join(sheet, sheet.c.id == call.c.sheet_id)
        texts = ("caller", "caller_phone", "symptom", "promised", "outcome")
        for row in records(self.connection, query.where(sheet.c.well_id.in_(wells))):
            new = {name: self._without(row[name]) for name in texts}
            if any(new[name] != row[name] for name in ("caller", "caller_phone")):
                # Whoever rang for him is told of in the same breath.
                new |= {"caller": "", "caller_phone": ""}
            if any(new[name] != row[name] for name in texts):
                which = call.c.sheet_id == row["sheet_id"]
                self.connection.execute(update(call).where(which).values(**new))
                self.emptied += 1
                self._note(call, [row["uid"]])

    def _scrub(self, table: Table, which: Any, names: Sequence[str]) -> list[int]:
        """Take his words out of texts; the rows that had any."""
        if self.words is None:
            return []
        columns = [table.c[name] for name in names]
        changed: list[int] = []
        query = select(table.c.id, table.c.uid, *columns).where(which)
        for row in records(self.connection, query):
            new = {n: self._without(row[n]) for n in names if row[n]}
            new = {n: text for n, text in new.items() if text != row[n]}
            if new:
                self.connection.execute(update(table).where(table.c.id == row["id"]).values(**new))
                changed.append(row["id"])
                self._note(table, [row["uid"]])
        self.emptied += len(changed)
        return changed

    def _without(self, text: str) -> str:
        return without(text, self.words)

    def _log_lines(self) -> None:
        """Empty the lines of the change log about his own rows, and scrub those about his wells."""
        line = t.change
        own = {uid for what, uid in self.tombs if what in HIS}
        for some in batches(sorted(self.uids | self._about())):
            query = select(line).where(line.c.row_uid.in_(some))
            for row in records(self.connection, query):
                new: dict[str, Any] = {}
                for name in ("old", "new"):
                    text = row[name]
                    if text is not None and row["row_uid"] in own:
                        new[name] = emptied(text)
                    elif text is not None:
                        new[name] = self._without(text)
                new = {n: text for n, text in new.items() if text != row[n]}
                if new:
                    which = line.c.id == row["id"]
                    self.connection.execute(update(line).where(which).values(**new))

    def _about(self) -> set[str]:
        """The identities of his wells, places and their sheets: the log tells of them too."""
        found: set[str] = set()
        for some in batches(self.wells):
            wells = select(t.well.c.uid).where(t.well.c.id.in_(some))
            sheets = select(t.sheet.c.uid).where(t.sheet.c.well_id.in_(some))
            sites = select(t.site.c.uid).join(t.occupancy, t.occupancy.c.site_id == t.site.c.id)
            for query in (wells, sheets, sites.where(t.occupancy.c.customer_id == self.id)):
                found |= set(self.connection.execute(query).scalars())
        return found

    def _keep(self, marks: Sequence[str]) -> None:
        """Keep that it was done: an identity that follows from the row's, so that two books that
        forget the same row say it in one row."""
        table = t.forgotten
        for what, uid in dict.fromkeys(self.tombs):
            known = select(table.c.id).where(table.c.row_uid == uid, table.c.what == what)
            if self.connection.execute(known).first() is None:
                row = {"uid": derived_uid(uid, what, "forgotten"), "what": what, "row_uid": uid}
                self.connection.execute(insert(table).values(**row, at=self.at, who=self.who))
        own = select(table.c.id).where(table.c.row_uid == self.uid, table.c.what == "customer")
        number = self.connection.execute(own).scalar_one()
        mark = t.forgotten_mark
        old = select(mark.c.mark).where(mark.c.forgotten_id == number)
        there = set(self.connection.execute(old).scalars())
        if new := [{"forgotten_id": number, "mark": m} for m in sorted(set(marks) - there)]:
            self.connection.execute(insert(mark), new)
