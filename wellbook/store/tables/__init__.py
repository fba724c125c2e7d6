"""The tables of a book, for SQLite and PostgreSQL alike.

Enumerations are text under a CHECK, units stand in the column names, every constraint has a name. An
uncertain date takes three columns: first possible day, last possible day, and the user's wording.
Rows marked *derived* follow from the sheets by replay, or from the records by the rules; they are
rebuilt, never edited.
"""

from __future__ import annotations

from wellbook.store.tables.attachments import attachment
from wellbook.store.tables.base import METADATA
from wellbook.store.tables.doubles import decided_pair
from wellbook.store.tables.finding import search_digits, search_use, search_variant, search_word
from wellbook.store.tables.forgotten import forgotten, forgotten_mark
from wellbook.store.tables.imports import (
    import_answer,
    import_change,
    import_run,
    imported_row,
)
from wellbook.store.tables.papers import paper
from wellbook.store.tables.parts import (
    PART_TABLES,
    booster,
    cable,
    cap,
    check_valve,
    component,
    component_claim,
    control,
    motor,
    pipe,
    pump,
    seal,
    switch,
    tank,
    torque_arrestor,
    treatment,
)
from wellbook.store.tables.places import (
    consent,
    contact_point,
    customer,
    occupancy,
    site,
    system_site,
    water_system,
    well,
)
from wellbook.store.tables.pumps import pump_model, pump_point
from wellbook.store.tables.reminders import (
    calendar_entry,
    contact,
    contact_about,
    message,
    message_about,
)
from wellbook.store.tables.seen import (
    bore_interval,
    cable_inspection,
    found,
    observation,
    water_result,
    water_sample,
)
from wellbook.store.tables.sheets import call, crew, sheet, technician
from wellbook.store.tables.shop import (
    book,
    change,
    due,
    setting,
    shop_fact,
    silence,
    template,
)

__all__ = [
    "METADATA",
    "PART_TABLES",
    "attachment",
    "book",
    "booster",
    "bore_interval",
    "cable",
    "cable_inspection",
    "calendar_entry",
    "call",
    "cap",
    "change",
    "check_valve",
    "component",
    "component_claim",
    "consent",
    "contact",
    "contact_about",
    "contact_point",
    "control",
    "crew",
    "customer",
    "decided_pair",
    "due",
    "forgotten",
    "forgotten_mark",
    "found",
    "import_answer",
    "import_change",
    "import_run",
    "imported_row",
    "message",
    "message_about",
    "motor",
    "observation",
    "occupancy",
    "paper",
    "pipe",
    "pump",
    "pump_model",
    "pump_point",
    "seal",
    "search_digits",
    "search_use",
    "search_variant",
    "search_word",
    "setting",
    "sheet",
    "shop_fact",
    "silence",
    "site",
    "switch",
    "system_site",
    "tank",
    "technician",
    "template",
    "torque_arrestor",
    "treatment",
    "water_result",
    "water_sample",
    "water_system",
    "well",
]
