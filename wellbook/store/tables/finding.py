"""The words and numbers by which wells are found."""

from __future__ import annotations

from sqlalchemy import Integer, Text

from wellbook.store.tables.base import column, ordered, reference, table

BY_LETTER = Text().with_variant(Text(collation="C"), "postgresql")
"""Text that sorts by its letters alone, so that "begins with" is a range of an index."""

search_word = table(
    "search_word",
    column("id", Integer, primary_key=True),
    column("word", BY_LETTER, unique=True),
)
"""Derived: a word by which wells are found."""

search_use = ordered(
    "search_use",
    reference("word_id", "search_word", primary_key=True),
    reference("well_id", "well", primary_key=True, index=True),
    column("weight", Integer),
)
"""Derived: a well that has a word; a well's words are few, so a plain pair will do."""

search_variant = ordered(
    "search_variant",
    column("variant", BY_LETTER, primary_key=True),
    reference("word_id", "search_word", primary_key=True),
)
"""Derived: a word with one letter left out, by which a slip still finds it."""

search_digits = ordered(
    "search_digits",
    column("digits", BY_LETTER, primary_key=True),
    reference("well_id", "well", primary_key=True, index=True),
    column("backwards", BY_LETTER, index=True),
)
"""Derived: telephone and permit digits; the same digits from behind find by their end."""
