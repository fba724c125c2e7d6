"""The names of those rules that other modules speak of; all else of a rule is its own affair."""

from __future__ import annotations

from typing import Final

CABLE_AGE: Final = "cable-age"
CABLE_WEAR: Final = "cable-wear"
CHECK_VALVE_SPACING: Final = "check-valve-spacing"
CHECK_UP: Final = "check-up"
CONTROL_BOX: Final = "control-box"
PAPERS_OWED: Final = "papers-owed"
PIPE_RATING: Final = "pipe-rating"
RECORD_GAP: Final = "record-gap"
STRING_FITTINGS: Final = "string-fittings"
VOLTAGE_DROP: Final = "voltage-drop"
WATER_TEST: Final = "water-test"
