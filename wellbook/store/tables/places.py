"""Customers, properties, water systems and wells."""

from __future__ import annotations

from sqlalchemy import Boolean, CheckConstraint, Date, Double, Integer, Text

from wellbook.store.tables.base import (
    column,
    maybe,
    maybe_when,
    numbered,
    one_of,
    reference,
    table,
    when,
)
from wellbook.terms import Answer, Construction, ContactWay, RemindBy, Role, WellStatus

customer = numbered(
    "customer",
    column("name", Text),
    maybe("name_key", Text, index=True),
    column("notes", Text),
    maybe("remind_by", Text),
    maybe("contract_month", Integer),
    one_of("remind_by", RemindBy),
    CheckConstraint("contract_month BETWEEN 1 AND 12", name="contract_month"),
)
"""A person or firm; with a yearly contract, the month in which the check-ups are.

`remind_by` is empty where the shop's own way does. `name_key` is the name as it is compared
(`store.keys`), empty until that is worked out.
"""

contact_point = numbered(
    "contact_point",
    reference("customer_id", "customer", index=True),
    column("way", Text),
    column("value", Text, index=True),
    column("digits", Text),
    maybe("e164", Text, index=True),
    one_of("way", ContactWay),
)
"""A way to reach a customer: `value` is what was written.

`digits` are a telephone number's digits, for finding it; `e164` is the number itself where it is a
valid one, blank where it is none, and empty until that is worked out (`store.keys`).
"""

consent = numbered(
    "consent",
    reference("customer_id", "customer", index=True),
    column("way", Text),
    column("answer", Text),
    column("on_day", Date),
    column("how", Text),
    column("who", Text),
    one_of("way", ContactWay),
    one_of("answer", Answer),
)
"""What a customer said of being reached in a way, when and how. The last one counts."""

site = numbered(
    "site",
    column("road", Text),
    maybe("road_key", Text, index=True),
    column("town", Text),
    column("region", Text),
    column("postcode", Text),
    maybe("latitude", Double),
    maybe("longitude", Double),
    column("access", Text),
    column("well_head", Text),
    column("notes", Text),
)
"""A property. `road_key` is the address as it is compared (`store.keys`), empty until worked out."""

occupancy = numbered(
    "occupancy",
    reference("customer_id", "customer", index=True),
    reference("site_id", "site", index=True),
    *when("since"),
    *maybe_when("until"),
)
"""A customer at a property, from and to."""

water_system = numbered(
    "water_system",
    column("name", Text),
    maybe("rise_to_tank_ft", Double),
)
"""Wells feed it, properties draw on it."""

system_site = table(
    "system_site",
    reference("system_id", "water_system", primary_key=True),
    reference("site_id", "site", primary_key=True, index=True),
)
"""A property that draws on a water system."""

well = numbered(
    "well",
    column("tag", Text, unique=True),
    column("permit_no", Text, index=True),
    reference("system_id", "water_system", index=True),
    reference("site_id", "site", index=True, nullable=True),
    column("role", Text),
    column("use", Text),
    column("status", Text),
    column("construction", Text),
    maybe("flowing", Boolean),
    column("driller", Text),
    *when("drilled"),
    maybe("stick_up_ft", Double),
    maybe("frost_depth_ft", Double),
    column("entered_on", Date),
    column("notes", Text),
    one_of("role", Role),
    one_of("status", WellStatus),
    one_of("construction", Construction),
)
"""A well: the shop's own care, or a public record for reference."""
