"""What has to be decided on of the records of a file, asked of each and answered by what is known."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace

from sqlalchemy import Connection, func, select

from wellbook.errors import WellbookError
from wellbook.exchange.deciding import (
    CUSTOMER,
    DOUBT,
    EQUIPMENT,
    WELL,
    Decisions,
    Question,
    number_of,
)
from wellbook.exchange.in_the_book import MOST, InTheBook, WellLike, one_town, wells_of_permit
from wellbook.exchange.rows_aside import RowsAside
from wellbook.exchange.well_record import Row, WellRecord
from wellbook.exchange.well_writing import Slot, WellInBook
from wellbook.hole.story import derived_uid
from wellbook.likeness.names import NameFit, compare_names
from wellbook.likeness.roads import RoadFit, compare_roads, house_key, road_key
from wellbook.store import tables as t
from wellbook.store.rows import records
from wellbook.store.wells import wells_of_customer

_LEAST_PERMIT = 4
"""Signs of a permit number that can be one well's alone: every list has a well 12."""
_MOST_ROWS = 6


class Asking:
    """Asks of one file, and says what was decided."""

    def __init__(self, aside: RowsAside, decisions: Decisions) -> None:
        self.aside, self.decisions = aside, decisions
        self.put_offs: Counter[str] = Counter()

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

    # -- what is like another of the file -----------------------------------------------------------

    def put_off(self, some: Sequence[WellRecord]) -> tuple[list[WellRecord], list[WellRecord]]:
        """The records to be written now, and those to be held against them afterwards: at one house,
        with one telephone number and another name, of one name; of a customer and without a place."""
        now: list[WellRecord] = []
        later: list[WellRecord] = []
        seen: dict[str, list[WellRecord]] = {}
        for record in sorted(some, key=_of_nowhere):
            keys = _signs(record)
            before = [r for key in keys for r in seen.get(key, ())]
            if any(_to_be_asked(record, r) for r in before) and self._few(keys):
                later.append(record)
                continue
            now.append(record)
            for key in keys:
                if len(same := seen.setdefault(key, [])) < MOST:
                    same.append(record)
        return now, later

    def _few(self, keys: Sequence[str]) -> bool:
        """Whether few were put off for a sign: what very many share says nothing."""
        self.put_offs.update(keys)
        return all(self.put_offs[key] <= MOST for key in keys)

    # -- what is like it in the book -----------------------------------------------------------

    def about_wells(
        self, connection: Connection, there: InTheBook, slots: Sequence[Slot], source: str
    ) -> Iterator[Slot]:
        """Of new records of wells: those that are not to be brought in. A record that is joined gets
        the well of the book."""
        like = dict(_like(connection, there, slots, source))
        wells = _wells(connection, {found.id for found in like.values()})
        for slot in slots:
            found, record = like.get(slot.record.key), slot.record
            if found is None:
                continue
            tag, well = wells[found.id]
            known = record.tag or (record.spelled if record.own_key else _called(record))
            of = f"that of {found.who} ({tag})" if found.who else f"{tag} of the book"
            question = f"{known}: is it {of}? {found.why}"
            # A well of this source is known by its key: in a look it has no identity that stays.
            which = found.told or well.uid
            decision = self._ask(record.rows, WELL, question, f"join {tag}", record.key, which)
            if decision == "skip":
                yield slot
            elif decision == "join":
                slot.well, slot.joined = well, True
            elif decision.startswith("join "):
                slot.well, slot.joined = _tagged(connection, decision[5:]), True
            if slot.well is not None and not record.own_key:
                # Of a well that several rows tell of each keeps its own facts apart.
                slot.well = replace(slot.well, uid=derived_uid(slot.well.uid, source, record.key))

    def about_people(self, there: InTheBook, slots: Sequence[Slot]) -> Iterator[Slot]:
        """Of records with a customer whom the book does not have: those not to be brought in."""
        for slot in slots:
            person = slot.record.person
            if person is None or slot.customer_id is not None:
                continue
            if there.same_person(person, *_address(slot.record)) is not None:
                continue
            alike = there.alike(person)
            if alike is None:
                continue
            has = f"has {', '.join(alike.digits)}" if alike.digits else "has no telephone"
            says = ", ".join(p.value for p in person.phones) or "no telephone"
            of = "this file" if alike.came else "the book"
            question = f"{person.name}, {says}: is it {alike.name} of {of}, who {has}?"
            decision = self._ask(
                slot.record.rows,
                CUSTOMER,
                question,
                f"join {alike.name}",
                *(person.told, *person.digits, "/", alike.name, *alike.digits),
            )
            if decision == "skip":
                yield slot
            elif decision == "join":
                slot.customer_id = alike.id


def _signs(record: WellRecord) -> list[str]:
    """By what a record may be like another of its file."""
    signs = []
    road, town = _address(record)
    if record.has_well and not record.own_key and house_key(road, town):
        signs.append(f"house {road_key(road, '')}")
    if record.person is not None:
        signs += [f"phone {digits}" for digits in record.person.digits]
        signs.append(f"name {record.person.told}")
    return signs


def _to_be_asked(one: WellRecord, other: WellRecord) -> bool:
    """Whether two records of a file that share a sign may be one, and nothing says that they are."""
    a, b = one.person, other.person
    if a is None or b is None or (one.has_well and other.has_well and _one_house(one, other)):
        return not one.second
    if set(a.digits) & set(b.digits):
        nowhere = _of_nowhere(one) and other.has_well
        return nowhere or compare_names(a.name, b.name) < NameFit.NEAR
    return not a.digits or not b.digits


def _of_nowhere(record: WellRecord) -> bool:
    """Whether nothing but its customer can tell which well a record is of."""
    return record.has_well and not record.own_key and record.person is not None and not record.site


def _one_house(one: WellRecord, other: WellRecord) -> bool:
    (mine, town), (theirs, its) = _address(one), _address(other)
    return (
        bool(house_key(mine, town))
        and road_key(mine, "") == road_key(theirs, "")
        and (compare_roads(mine, theirs) >= RoadFit.NEAR and one_town(town, its))
    )


def _like(
    connection: Connection, there: InTheBook, slots: Sequence[Slot], source: str
) -> Iterator[tuple[str, WellLike]]:
    """By the keys of records: a well of the book that each is likely to be, and why."""
    permits = {
        s.record.key: permit
        for s in slots
        if len(permit := str(s.record.well.get("permit_no", ""))) >= _LEAST_PERMIT
    }
    of_permit = wells_of_permit(connection, list(permits.values()), source)
    tags = [s.record.tag.upper() for s in slots if s.record.tag]
    by_tag = select(t.well.c.tag, t.well.c.id).where(t.well.c.tag.in_(tags))
    of_tag = {row.tag: row.id for row in connection.execute(by_tag)} if tags else {}
    for slot in slots:
        record = slot.record
        site = record.site
        if record.tag.upper() in of_tag:
            yield record.key, WellLike(of_tag[record.tag.upper()], "the same tag")
        elif permits.get(record.key) in of_permit:
            permit = permits[record.key]
            yield record.key, WellLike(of_permit[permit], f"the same permit number {permit}")
        elif (
            "latitude" in site
            and "longitude" in site
            and (near := next(there.wells_near(site["latitude"], site["longitude"]), None))
        ):
            yield record.key, near
        elif same := there.well_at(*_address(record), numbered=record.own_key or record.second):
            yield record.key, same
        elif _of_nowhere(record) and (only := _only_well(connection, there, record, source)):
            yield record.key, only


def _only_well(
    connection: Connection, there: InTheBook, record: WellRecord, source: str
) -> WellLike | None:
    """The well of a customer who has one and no more."""
    if record.person is None or (who := there.same_person(record.person, "", "")) is None:
        return None
    numbers = wells_of_customer(connection, who)
    if len(numbers) != 1:
        return None
    row = t.imported_row
    told = select(func.min(row.c.row_key)).where(
        row.c.well_id == numbers[0], row.c.source.startswith(f"{source} / ", autoescape=True)
    )
    key = connection.execute(told).scalar_one() or ""
    return WellLike(numbers[0], "the one well of that customer", key, record.person.name)


def _address(record: WellRecord) -> tuple[str, str]:
    return record.site.get("road", ""), record.site.get("town", "")


def _called(record: WellRecord) -> str:
    """What a record without a number is known as."""
    said = [record.person.name if record.person else "", *_address(record)]
    return ", ".join(x for x in said if x) or record.spelled


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
