"""By which versions a book's derived rows were made.

They stand by themselves, so that a book can be looked at without loading the rules and the replay.
"""

REPLAY = "4"
"""Raise it whenever sheets come to something else than before: every book is then replayed as it is
opened."""

RULES = "8"
"""Raise it whenever what all rules share changes what they say: every ledger is then renewed whole."""

OF_RULE = {
    "pump-age": 1,
    "cable-age": 1,
    "cable-wear": 1,
    "pipe-rating": 1,
    "lift-limit": 1,
    "useless-depth": 1,
    "observed-stall": 1,
    "shut-off-pressure": 1,
    "pump-depth": 1,
    "suction-lift": 1,
    "string-fittings": 1,
    "voltage-drop": 1,
    "insulation": 1,
    "motor-load": 1,
    "control-box": 1,
    "short-cycling": 1,
    "check-valve-spacing": 1,
    "check-up": 1,
    "season": 1,
    "water-test": 1,
    "samples-owed": 1,
    "water-figures": 1,
    "papers-owed": 1,
    "yield-protection": 1,
    "falling-level": 1,
    "falling-capacity": 1,
    "doubtful-record": 1,
    "unfinished": 1,
    "record-gap": 1,
}
"""Raise a rule's own whenever its judgement or its words change: what every ledger has by that rule is
then renewed. `tests/rules/test_versions.py` says when."""

WORDS = "2"
"""Raise it whenever a text gives other words or numbers to find a well by: all are then made anew."""
