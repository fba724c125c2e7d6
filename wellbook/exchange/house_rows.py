"""The rows of one house, told apart: as a rule they are visits to one well, and of one customer.

They are of two wells where their depths, permits or years of drilling say so, and of two customers where
their names cannot be one. Common practice, no published source: a house has one well, and whoever writes a
list spells a name differently each time.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from wellbook.dates import When
from wellbook.exchange.in_the_book import MOST
from wellbook.exchange.well_record import Row, WellRecord
from wellbook.likeness.names import NameFit, compare_names
from wellbook.likeness.wells import plain_permit
from wellbook.terms import Quantity

_OFF_FT, _OFF = 20.0, 0.2
"""By more than both of these the depths of one well do not differ, however it was sounded."""


def by_well(rows: Sequence[Row]) -> list[list[Row]]:
    """The rows of a house, well by well; in whatever order they stand, they are parted alike."""
    wells: list[list[Row]] = []
    for row in sorted(rows, key=_order):
        record = row.record
        assert record is not None
        # Beyond so many a house is none, and each row is compared with few.
        near = wells[:MOST]
        mine = next((w for w in near if all(_one(record, r.record) for r in w[:MOST])), None)
        if mine is None:
            wells.append([row])
        else:
            mine.append(row)
    return [sorted(well, key=lambda r: r.number) for well in wells]


def one_customer(a: WellRecord, b: WellRecord) -> bool:
    """Whether the names of two records may be one."""
    names = (a.person.name, b.person.name) if a.person and b.person else ("", "")
    return compare_names(*names) in (NameFit.UNKNOWN, NameFit.NEAR, NameFit.SAME)


def _order(row: Row) -> tuple[date, tuple[str, ...]]:
    visits = row.record.visits if row.record else {}
    return min(visits, default=date.min), row.cells


def _one(a: WellRecord, b: WellRecord | None) -> bool:
    """Whether two rows of a house may be of one well and one customer."""
    assert b is not None
    return one_customer(a, b) and _one_depth(a, b) and _one_permit(a, b) and _one_year(a, b)


def _one_depth(a: WellRecord, b: WellRecord) -> bool:
    mine, theirs = _depths(a), _depths(b)
    return all(abs(x - y) <= max(_OFF_FT, _OFF * max(x, y)) for x in mine for y in theirs)


def _depths(record: WellRecord) -> list[float]:
    return [r.value for r in record.readings if r.quantity is Quantity.DEPTH_FT]


def _one_permit(a: WellRecord, b: WellRecord) -> bool:
    mine, theirs = (plain_permit(str(r.well.get("permit_no", ""))) for r in (a, b))
    return not mine or not theirs or mine == theirs


def _one_year(a: WellRecord, b: WellRecord) -> bool:
    mine, theirs = a.well.get("drilled"), b.well.get("drilled")
    if not isinstance(mine, When) or not isinstance(theirs, When):
        return True
    return mine.within(theirs) or theirs.within(mine)
