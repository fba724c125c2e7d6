"""The records of a file: its good rows, those of one well joined. All of them share its outcome."""

from __future__ import annotations

from collections.abc import Iterator

from wellbook.exchange.asking import Asking
from wellbook.exchange.house_rows import by_well, one_customer
from wellbook.exchange.import_counts import Counts
from wellbook.exchange.in_the_book import MOST
from wellbook.exchange.rows_aside import RowsAside
from wellbook.exchange.well_clerk import Clerk
from wellbook.exchange.well_record import Row, WellRecord


def joined_records(
    aside: RowsAside, clerk: Clerk, counts: Counts, asking: Asking
) -> Iterator[WellRecord]:
    """The records of the good rows, the rows of one joined."""
    for rows in aside.wells():
        good: list[Row] = []
        for line in rows:
            row = clerk.row(line)
            counts.rows += 1
            if row.record is None:
                counts.refused += 1
                aside.refuse(row.refusals)
                continue
            aside.doubt(row.doubts)
            if asking.keeps(row):
                good.append(row)
            else:
                counts.skipped += 1
        for record in _joined(good, aside):
            asking.take_equipment(record)
            counts.wells += record.has_well
            yield record


def _joined(rows: list[Row], aside: RowsAside) -> Iterator[WellRecord]:
    """The records of rows of one key: one, or of a house one for each of its wells."""
    if not rows:
        return
    of_a_house = len(rows) > 1 and rows[0].record is not None and rows[0].record.of_a_house
    before: list[WellRecord] = []
    for n, of_one in enumerate(by_well(rows) if of_a_house else [rows], start=1):
        first, *more = (row.record for row in of_one if row.record is not None)
        for other in more:
            aside.doubt(first.join(other))
        if n > 1:
            first.key = first.spelled = f"{first.key}-{n}"
            first.second = any(one_customer(first, other) for other in before[:MOST])
        before.append(first)
        yield first
