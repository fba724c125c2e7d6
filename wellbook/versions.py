"""By which versions a book's derived rows were made.

They stand by themselves, so that a book can be looked at without loading the rules and the replay.
"""

REPLAY = "4"
"""Raise it whenever sheets come to something else than before: every book is then replayed as it is
opened."""

RULES = "8"
"""Raise it whenever a rule's judgement or its words change: every ledger is then renewed."""

WORDS = "2"
"""Raise it whenever a text gives other words or numbers to find a well by: all are then made anew."""
