"""Words in the order of their key, by version; what comes back on a day is found by it"""

import sqlalchemy as sa
from alembic import op

revision = "0010"
down_revision = "0009"
branch_labels = None
depends_on = None

BY_LETTER = sa.Text().with_variant(sa.Text(collation="C"), "postgresql")


def upgrade() -> None:
    """Bring a book up to this revision; its words are made anew as it is opened."""
    op.add_column("book", sa.Column("words_version", sa.Text(), nullable=False, server_default=""))
    _make_anew(sqlite_with_rowid=False)
    op.create_index(op.f("ix_silence_until"), "silence", ["until"])
    op.create_index(op.f("ix_contact_for_day"), "contact", ["for_day"])


def downgrade() -> None:
    """Take a book back to the revision before, whose wells get their words as they change."""
    op.drop_index(op.f("ix_contact_for_day"), "contact")
    op.drop_index(op.f("ix_silence_until"), "silence")
    with op.batch_alter_table("book") as batch:
        batch.drop_column("words_version")
    _make_anew()


def _make_anew(**more: bool) -> None:
    """The tables of words, empty: what stands in them follows from the rest of the book."""
    for name in ("search_digits", "search_variant", "search_use"):
        op.drop_table(name)
    op.execute("DELETE FROM search_word")
    op.create_table(
        "search_use",
        sa.Column("word_id", sa.Integer(), nullable=False),
        sa.Column("well_id", sa.Integer(), nullable=False),
        sa.Column("weight", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["well_id"], ["well.id"], name=op.f("fk_search_use_well_id")),
        sa.ForeignKeyConstraint(
            ["word_id"], ["search_word.id"], name=op.f("fk_search_use_word_id")
        ),
        sa.PrimaryKeyConstraint("word_id", "well_id", name=op.f("pk_search_use")),
        **more,
    )
    op.create_index(op.f("ix_search_use_well_id"), "search_use", ["well_id"])
    op.create_table(
        "search_variant",
        sa.Column("variant", BY_LETTER, nullable=False),
        sa.Column("word_id", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["word_id"], ["search_word.id"], name=op.f("fk_search_variant_word_id")
        ),
        sa.PrimaryKeyConstraint("variant", "word_id", name=op.f("pk_search_variant")),
        **more,
    )
    op.create_table(
        "search_digits",
        sa.Column("digits", BY_LETTER, nullable=False),
        sa.Column("well_id", sa.Integer(), nullable=False),
        sa.Column("backwards", BY_LETTER, nullable=False),
        sa.ForeignKeyConstraint(["well_id"], ["well.id"], name=op.f("fk_search_digits_well_id")),
        sa.PrimaryKeyConstraint("digits", "well_id", name=op.f("pk_search_digits")),
        **more,
    )
    op.create_index(op.f("ix_search_digits_backwards"), "search_digits", ["backwards"])
    op.create_index(op.f("ix_search_digits_well_id"), "search_digits", ["well_id"])
