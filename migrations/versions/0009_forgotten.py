"""Who was forgotten on his wish"""

import sqlalchemy as sa
from alembic import op

revision = "0009"
down_revision = "0008"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Bring a book up to this revision."""
    op.create_table(
        "forgotten",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("uid", sa.Text(), nullable=False),
        sa.Column("what", sa.Text(), nullable=False),
        sa.Column("row_uid", sa.Text(), nullable=False),
        sa.Column("at", sa.Text(), nullable=False),
        sa.Column("who", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_forgotten")),
        sa.UniqueConstraint("uid", name=op.f("uq_forgotten_uid")),
        sa.UniqueConstraint("row_uid", "what", name=op.f("uq_forgotten_row_uid_what")),
    )
    op.create_table(
        "forgotten_mark",
        sa.Column("forgotten_id", sa.Integer(), nullable=False),
        sa.Column("mark", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(
            ["forgotten_id"], ["forgotten.id"], name=op.f("fk_forgotten_mark_forgotten_id")
        ),
        sa.PrimaryKeyConstraint("forgotten_id", "mark", name=op.f("pk_forgotten_mark")),
    )
    op.create_index(op.f("ix_forgotten_mark_mark"), "forgotten_mark", ["mark"])


def downgrade() -> None:
    """Take a book back to the revision before; who was forgotten stays so in this book alone."""
    op.drop_table("forgotten_mark")
    op.drop_table("forgotten")
