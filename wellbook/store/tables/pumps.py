"""The shop's own list of pump models, with their head-capacity points."""

from __future__ import annotations

from sqlalchemy import Double, Integer, Text, UniqueConstraint

from wellbook.store.tables.base import column, maybe, numbered, reference, table

pump_model = numbered(
    "pump_model",
    column("maker", Text),
    column("model", Text),
    column("maker_key", Text),
    column("model_key", Text),
    column("hp", Double),
    column("rated_gpm", Double),
    maybe("service_factor", Double),
    maybe("service_factor_a", Double),
    maybe("supply_v", Double),
    maybe("phases", Integer),
    column("notes", Text),
    # The model stands first: a record may lack the maker, and is then found by the model alone.
    UniqueConstraint("model_key", "maker_key"),
)
"""A pump as its maker sells it.

`maker_key` and `model_key` are the names as they are compared: small letters, no blanks. A
database folds only the letters that it knows, and the two engines know different ones.
"""

pump_point = table(
    "pump_point",
    reference("pump_model_id", "pump_model", primary_key=True),
    column("gpm", Double, primary_key=True),
    column("head_ft", Double),
)
"""How high a pump model lifts at one flow."""
