"""The words and numbers by which wells are found."""

from __future__ import annotations

from sqlalchemy import ForeignKey, Text
from sqlalchemy.orm import Mapped, mapped_column

from wellbook.store.tables.base import Base

BY_LETTER = Text().with_variant(Text(collation="C"), "postgresql")
"""Text that sorts by its letters alone, so that "begins with" is a range of an index."""


class SearchWord(Base):
    """Derived: a word by which wells are found."""

    __tablename__ = "search_word"
    id: Mapped[int] = mapped_column(primary_key=True)
    word: Mapped[str] = mapped_column(BY_LETTER, unique=True)


class SearchUse(Base):
    """Derived: a well that has a word; a well's words are few, so a plain pair will do."""

    __tablename__ = "search_use"
    word_id: Mapped[int] = mapped_column(ForeignKey("search_word.id"), primary_key=True)
    well_id: Mapped[int] = mapped_column(ForeignKey("well.id"), primary_key=True, index=True)
    weight: Mapped[int]


class SearchVariant(Base):
    """Derived: a word with one letter left out, by which a slip still finds it."""

    __tablename__ = "search_variant"
    variant: Mapped[str] = mapped_column(BY_LETTER, primary_key=True)
    word_id: Mapped[int] = mapped_column(ForeignKey("search_word.id"), primary_key=True)


class SearchDigits(Base):
    """Derived: telephone and permit digits; the same digits from behind find by their end."""

    __tablename__ = "search_digits"
    digits: Mapped[str] = mapped_column(BY_LETTER, primary_key=True)
    well_id: Mapped[int] = mapped_column(ForeignKey("well.id"), primary_key=True, index=True)
    backwards: Mapped[str] = mapped_column(BY_LETTER, index=True)
