"""The names of those rules that other modules speak of; all else of a rule is its own affair."""

from __future__ import annotations

from typing import Final

CABLE_AGE: Final = "cable-age"
CABLE_WEAR: Final = "cable-wear"
CHECK_UP: Final = "check-up"
CHECK_VALVE_SPACING: Final = "check-valve-spacing"
CONTROL_BOX: Final = "control-box"
FALLING_LEVEL: Final = "falling-level"
INSULATION: Final = "insulation"
MOTOR_LOAD: Final = "motor-load"
PAPERS_OWED: Final = "papers-owed"
PIPE_RATING: Final = "pipe-rating"
PUMP_AGE: Final = "pump-age"
RECORD_GAP: Final = "record-gap"
SAMPLES_OWED: Final = "samples-owed"
SEASON: Final = "season"
SHORT_CYCLING: Final = "short-cycling"
STRING_FITTINGS: Final = "string-fittings"
VOLTAGE_DROP: Final = "voltage-drop"
WATER_FIGURES: Final = "water-figures"
WATER_TEST: Final = "water-test"
YIELD_PROTECTION: Final = "yield-protection"
