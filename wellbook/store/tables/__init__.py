"""The tables of a book, for SQLite and PostgreSQL alike.

Enumerations are text under a CHECK, units stand in the column names, every constraint has a name. An
uncertain date takes three columns: first possible day, last possible day, and the user's wording.
Rows marked *derived* follow from the sheets by replay, or from the records by the rules; they are
rebuilt, never edited.
"""

from __future__ import annotations

from wellbook.store.tables.base import Base
from wellbook.store.tables.finding import SearchDigits, SearchUse, SearchVariant, SearchWord
from wellbook.store.tables.imports import ImportedRow, ImportRun
from wellbook.store.tables.parts import (
    PART_TABLES,
    Booster,
    Cable,
    Cap,
    CheckValve,
    Component,
    ComponentClaim,
    Control,
    Motor,
    Pipe,
    Pump,
    Seal,
    Switch,
    Tank,
    TorqueArrestor,
    Treatment,
)
from wellbook.store.tables.places import (
    ContactPoint,
    Customer,
    Occupancy,
    Site,
    SystemSite,
    WaterSystem,
    Well,
)
from wellbook.store.tables.pumps import PumpModel, PumpPoint
from wellbook.store.tables.seen import (
    BoreInterval,
    CableInspection,
    Found,
    Observation,
    WaterSample,
)
from wellbook.store.tables.sheets import Call, Crew, Sheet, Technician
from wellbook.store.tables.shop import BookInfo, Change, Due, Setting, Silence

__all__ = [
    "PART_TABLES",
    "Base",
    "BookInfo",
    "Booster",
    "BoreInterval",
    "Cable",
    "CableInspection",
    "Call",
    "Cap",
    "Change",
    "CheckValve",
    "Component",
    "ComponentClaim",
    "ContactPoint",
    "Control",
    "Crew",
    "Customer",
    "Due",
    "Found",
    "ImportRun",
    "ImportedRow",
    "Motor",
    "Observation",
    "Occupancy",
    "Pipe",
    "Pump",
    "PumpModel",
    "PumpPoint",
    "Seal",
    "SearchDigits",
    "SearchUse",
    "SearchVariant",
    "SearchWord",
    "Setting",
    "Sheet",
    "Silence",
    "Site",
    "Switch",
    "SystemSite",
    "Tank",
    "Technician",
    "TorqueArrestor",
    "Treatment",
    "WaterSample",
    "WaterSystem",
    "Well",
]
