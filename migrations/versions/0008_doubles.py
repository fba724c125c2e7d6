"""Telephone numbers in E.164, and doubles that were joined or told apart"""

import sqlalchemy as sa
from alembic import op

revision = "0008"
down_revision = "0007"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Bring a book up to this revision.

    What the new columns hold is worked out by the program as it opens the book: how a number or a
    name is read belongs to the program, and a migration outlives it. Until then they are empty.
    """
    op.add_column("contact_point", sa.Column("e164", sa.Text(), nullable=True))
    op.create_index(op.f("ix_contact_point_e164"), "contact_point", ["e164"])
    op.create_index(op.f("ix_contact_point_value"), "contact_point", ["value"])
    op.add_column("customer", sa.Column("name_key", sa.Text(), nullable=True))
    op.create_index(op.f("ix_customer_name_key"), "customer", ["name_key"])
    op.add_column("site", sa.Column("road_key", sa.Text(), nullable=True))
    op.create_index(op.f("ix_site_road_key"), "site", ["road_key"])
    op.add_column("imported_row", sa.Column("facts_uid", sa.Text(), nullable=True))
    op.create_table(
        "decided_pair",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("uid", sa.Text(), nullable=False),
        sa.Column("what", sa.Text(), nullable=False),
        sa.Column("decision", sa.Text(), nullable=False),
        sa.Column("one_uid", sa.Text(), nullable=False),
        sa.Column("other_uid", sa.Text(), nullable=False),
        sa.Column("names", sa.Text(), nullable=False),
        sa.Column("steps", sa.Text(), nullable=False),
        sa.Column("at", sa.Text(), nullable=False),
        sa.Column("who", sa.Text(), nullable=False),
        sa.Column("taken_back_at", sa.Text(), nullable=True),
        sa.CheckConstraint("what IN ('customer', 'well')", name=op.f("ck_decided_pair_what")),
        sa.CheckConstraint(
            "decision IN ('joined', 'apart')", name=op.f("ck_decided_pair_decision")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_decided_pair")),
        sa.UniqueConstraint("uid", name=op.f("uq_decided_pair_uid")),
    )
    op.create_index(op.f("ix_decided_pair_one_uid"), "decided_pair", ["one_uid"])
    op.create_index(op.f("ix_decided_pair_other_uid"), "decided_pair", ["other_uid"])


def downgrade() -> None:
    """Take a book back to the revision before; what was joined stays joined, and that it was is lost."""
    op.drop_table("decided_pair")
    op.drop_column("imported_row", "facts_uid")
    op.drop_index(op.f("ix_site_road_key"), "site")
    op.drop_column("site", "road_key")
    op.drop_index(op.f("ix_customer_name_key"), "customer")
    op.drop_column("customer", "name_key")
    op.drop_index(op.f("ix_contact_point_value"), "contact_point")
    op.drop_index(op.f("ix_contact_point_e164"), "contact_point")
    op.drop_column("contact_point", "e164")
