"""What the other columns of a file tell of what one header may mean.

A "name" beside a telephone is a customer's; a "date" beside levels alone is theirs; an "install date" in
a list without pumps is the well's.
"""

from __future__ import annotations

import re

from wellbook import quantities
from wellbook.exchange import cell_kinds
from wellbook.exchange.header_words import said_in_full
from wellbook.exchange.headers import split_unit, unit_and_point
from wellbook.exchange.mapping import unit_of

_MOST = 0.8
_HALF = 0.5
_LENGTHS = {"well": "depth_ft", "pump": "pump.set_depth_ft", "casing": "casing_to_ft"}
_CONSTRUCTION = frozenset({"depth_ft", "driller", "construction", "casing_to_ft"})
_PUMPS = ("pump.", "pipe.", "cable.", "motor.", "equipment")


def weigh_in_context(
    by_header: dict[int, dict[str, float]], headers: tuple[str, ...], values: list[list[str]]
) -> None:
    """Weigh the targets of each column anew by what the others of its file are."""
    # "By" is who went only where other columns tell of visits.
    alone = {n for n in by_header if said_in_full(headers[n]) == "by"}
    known = {t for n in by_header.keys() - alone for t in list(by_header[n])[:1]}
    contacts = any(
        cell_kinds.share(some, is_one) >= _MOST
        for some in values
        for is_one in (cell_kinds.is_phone, cell_kinds.is_email)
    )
    pumps = any(t.startswith(_PUMPS) for t in known - {"pump.set_on"})
    visits = bool(known & {"visit.reason", "visit.crew", "visit.notes"})
    last_name_wanted = "customer.first_name" in known and "customer.last_name" not in known
    for n, targets in by_header.items():
        full = said_in_full(headers[n])
        if "customer.name" in targets and (
            cell_kinds.share(values[n], cell_kinds.is_with_phone) > _HALF
        ):
            targets["customer.name"] += 0.09
        if (one := _of_a_length(headers[n], full, values[n])) is not None:
            targets.clear()
            targets[one] = 0.8
        if full == "date" and "water_level_ft" in known and not (known & _CONSTRUCTION or visits):
            targets["measured_on"] = 0.86
        if "drilled_on" in targets and "pump.set_on" in targets and not pumps:
            targets["pump.set_on"] -= 0.3
        if full == "name" and last_name_wanted:
            targets["customer.last_name"] = 0.95
        elif contacts and "customer.name" in targets and "name" in targets:
            targets["customer.name"] += 0.08
        # "Who" is a customer beside telephones: whom they reach.
        if (n in alone and not visits) or (full == "who" and not contacts):
            targets.clear()
        if visits and full == "number" and len(set(values[n])) == len(values[n]):
            targets.clear()  # visits are counted: each well would be another
        if "visit.on" in targets:
            # A shop's own list has its visits' days; a register has those of measurements.
            targets["visit.on"] += 0.09 if visits or (contacts and full != "date") else -0.06
        for rank, second in enumerate(("customer.phone_2", "customer.phone_3", "customer.email_2")):
            if second in targets:
                targets[second] -= 0.04 + 0.02 * (rank % 2)


def _of_a_length(header: str, full: str, values: list[str]) -> str | None:
    """What a header says that names a thing and is of a length: "Well ft", or "Pump" over 180'."""
    target = _LENGTHS.get(split_unit(full)[0])
    if target is None:
        return None
    unit = unit_and_point(header)[0]
    by_header = unit != "in" and fits_target(unit, target)
    return target if by_header or (not unit and bear_units(values, target)) else None


def fits_target(unit: str, target: str) -> bool:
    """Whether a unit is of the target's kind: "cut in" is no length."""
    try:
        return bool(unit and quantities.read(f"1 {unit}", unit_of(target)))
    except ValueError:
        return False


def bear_units(values: list[str], target: str) -> bool:
    """Whether the cells name their unit themselves."""

    def bears(text: str) -> bool:
        try:
            quantities.read(text, unit_of(target))
        except ValueError:
            return False
        return bool(re.search(r"[^\W\d_]|['\"′″’”]", text))

    return bool(values) and cell_kinds.share(values, bears) >= _MOST
