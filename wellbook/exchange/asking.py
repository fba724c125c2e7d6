"""What has to be decided on of the records of a file, asked of each and answered by what is known."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from sqlalchemy import Connection, select

from wellbook.errors import WellbookError
from wellbook.exchange.alike import plain_address, plain_place
from wellbook.exchange.deciding import (
    CUSTOMER,
    DOUBT,
    EQUIPMENT,
    WELL,
    Decisions,
    Question,
    number_of,
)
from wellbook.exchange.in_the_book import InTheBook, wells_of_permit
from wellbook.exchange.rows_aside import RowsAside
from wellbook.exchange.well_record import Row, WellRecord
from wellbook.exchange.well_writing import Slot, WellInBook
from wellbook.store import tables as t
from wellbook.store.rows import records

_LEAST_PERMIT = 4
"""Signs of a permit number that can be one well's alone: every list has a well 12."""
_MOST_ROWS = 6


class Asking:
    """Asks of one file, and says what was decided."""

    def __init__(self, aside: RowsAside, decisions: Decisions) -> None:
        self.aside, self.decisions = aside, decisions

    def _ask(
        self, rows: Sequence[int], what: str, question: str, proposal: str, *of: object
    ) -> str:
        number = number_of(what, *of)
        decision = self.decisions.on(number)
        shown = ", ".join(map(str, rows[:_MOST_ROWS])) + (" …" if len(rows) > _MOST_ROWS else "")
        self.aside.ask(rows[0], Question(number, shown, what, question, proposal, decision))
        return decision

    def keeps(self, row: Row) -> bool:
        """Whether a row is brought in in spite of what is doubtful in it."""
        if not row.doubts or row.record is None:
            return True
        said = [(d.column, d.value, d.reason) for d in row.doubts]
        question = "; ".join(f"{c} {v!r}: {why}" for c, v, why in said)
        decision = self._ask([row.number], DOUBT, question, "keep", row.record.key, said)
        return decision != "skip"

    def take_equipment(self, record: WellRecord) -> None:
        """Read free text of what hangs in a well, where somebody decides so."""
        from wellbook.exchange.equipment_text import read_equipment

        for text, day in record.equipment:
            reading = read_equipment(text)
            said = {n: v for n, v in reading.said.items() if "." in n}
            if not said:
                continue
            proposal = ", ".join(f"{name} {value}" for name, value in said.items())
            more = [*reading.doubts, *([f"not read: {reading.unread}"] if reading.unread else ())]
            proposal = "; ".join((proposal, *more))
            decision = self._ask(record.rows, EQUIPMENT, text, proposal, record.key, text)
            if decision == "take":
                record.take(said, day)

    # -- what is like it in the book -----------------------------------------------------------

    def about_wells(
        self, connection: Connection, there: InTheBook, slots: Sequence[Slot], source: str
    ) -> Iterator[Slot]:
        """Of new records of wells: those that are not to be brought in. A record that is joined gets
        the well of the book."""
        like = dict(_like(connection, there, slots, source))
        wells = _wells(connection, {number for number, _ in like.values()})
        for slot in slots:
            found = like.get(slot.record.key)
            if found is None:
                continue
            number, why = found
            tag, well = wells[number]
            question = f"{slot.record.tag or slot.record.spelled}: is it {tag} of the book? {why}"
            decision = self._ask(
                slot.record.rows, WELL, question, f"join {tag}", slot.record.key, well.uid
            )
            if decision == "skip":
                yield slot
            elif decision == "join":
                slot.well, slot.joined = well, True
            elif decision.startswith("join "):
                slot.well, slot.joined = _tagged(connection, decision[5:]), True

    def about_people(self, there: InTheBook, slots: Sequence[Slot]) -> Iterator[Slot]:
        """Of records with a customer whom the book does not have: those not to be brought in."""
        for slot in slots:
            person = slot.record.person
            if person is None or slot.customer_id is not None:
                continue
            site = slot.record.site
            address = plain_place(site.get("road", ""), site.get("town", ""))
            if there.same_person(person, address) is not None:
                continue
            alike = there.alike(person)
            if alike is None:
                continue
            has = f"has {', '.join(alike.digits)}" if alike.digits else "has no telephone"
            says = ", ".join(p.value for p in person.phones) or "no telephone"
            question = f"{person.name}, {says}: is it {alike.name} of the book, who {has}?"
            decision = self._ask(
                slot.record.rows,
                CUSTOMER,
                question,
                f"join {alike.name}",
                *(person.plain, *person.digits, "/", *alike.digits),
            )
            if decision == "skip":
                yield slot
            elif decision == "join":
                slot.customer_id = alike.id


def _like(
    connection: Connection, there: InTheBook, slots: Sequence[Slot], source: str
) -> Iterator[tuple[str, tuple[int, str]]]:
    """By the keys of records: a well of the book that each is likely to be, and why."""
    permits = {
        s.record.key: permit
        for s in slots
        if len(permit := str(s.record.well.get("permit_no", ""))) >= _LEAST_PERMIT
    }
    of_permit = wells_of_permit(connection, permits.values(), source)
    tags = [s.record.tag.upper() for s in slots if s.record.tag]
    by_tag = select(t.well.c.tag, t.well.c.id).where(t.well.c.tag.in_(tags))
    of_tag = {row.tag: row.id for row in connection.execute(by_tag)} if tags else {}
    for slot in slots:
        record = slot.record
        site = record.site
        if record.tag.upper() in of_tag:
            yield record.key, (of_tag[record.tag.upper()], "the same tag")
        elif permits.get(record.key) in of_permit:
            permit = permits[record.key]
            yield record.key, (of_permit[permit], f"the same permit number {permit}")
        elif (
            "latitude" in site
            and "longitude" in site
            and (near := next(there.wells_near(site["latitude"], site["longitude"]), None))
        ):
            yield record.key, (near[0], f"it lies {near[1]:.0f} ft away")
        elif (address := plain_address(site.get("road", ""), site.get("town", ""))) and (
            same := there.wells_at(address)
        ):
            yield record.key, (same[0], "the same address")


def _wells(connection: Connection, numbers: set[int]) -> dict[int, tuple[str, WellInBook]]:
    if not numbers:
        return {}
    query = select(t.well).where(t.well.c.id.in_(sorted(numbers)))
    return {row["id"]: (row["tag"], WellInBook.of(row)) for row in records(connection, query)}


def _tagged(connection: Connection, tag: str) -> WellInBook:
    found = records(connection, select(t.well).where(t.well.c.tag == tag))
    if not found:
        raise WellbookError(
            f"'join {tag}' was decided, and there is no well {tag} in the book", where="--decisions"
        )
    return WellInBook.of(found[0])
