"""What all tables share: names of constraints, words under a CHECK, an identity."""

from __future__ import annotations

from enum import StrEnum

from sqlalchemy import CheckConstraint, Double, MetaData, Text
from sqlalchemy.orm import DeclarativeBase, Mapped, mapped_column


class Base(DeclarativeBase):
    """What all tables share: how constraints are named."""

    metadata = MetaData(
        naming_convention={
            "ix": "ix_%(table_name)s_%(column_0_N_name)s",
            "uq": "uq_%(table_name)s_%(column_0_N_name)s",
            "ck": "ck_%(table_name)s_%(constraint_name)s",
            "fk": "fk_%(table_name)s_%(column_0_N_name)s",
            "pk": "pk_%(table_name)s",
        }
    )
    # Said here, since what a float is without a word differs from SQLAlchemy 2.0 to 2.1.
    type_annotation_map = {str: Text, float: Double}  # noqa: RUF012 - read by the declarative base


def one_of(column: str, words: type[StrEnum]) -> CheckConstraint:
    """A CHECK that a column holds one of the book's words (or nothing, where it may be null)."""
    listed = ", ".join(f"'{w.value}'" for w in words)
    return CheckConstraint(f"{column} IN ({listed})", name=column)


class Numbered:
    """An own number, and an identity that is unique across books."""

    id: Mapped[int] = mapped_column(primary_key=True)
    uid: Mapped[str] = mapped_column(unique=True)
