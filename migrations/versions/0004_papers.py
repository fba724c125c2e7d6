"""Papers that a job owes, what a customer is told, and the month of a yearly contract"""

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None

# Both engines take a named CHECK with a new column; a batch would copy the whole table for it.
CONTRACT_MONTH = """
ALTER TABLE customer ADD COLUMN contract_month INTEGER
CONSTRAINT ck_customer_contract_month CHECK (contract_month BETWEEN 1 AND 12)
"""


def upgrade() -> None:
    """Bring a book up to this revision."""
    op.execute(CONTRACT_MONTH)
    # The ledger is made anew as the book is opened; until then its lines tell a customer nothing.
    op.add_column("due", sa.Column("to_customer", sa.Text(), nullable=False, server_default=""))
    op.create_table(
        "paper",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("uid", sa.Text(), nullable=False),
        sa.Column("well_id", sa.Integer(), nullable=False),
        sa.Column("sheet_root_uid", sa.Text(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("sent_on", sa.Date(), nullable=False),
        sa.Column("sent_to", sa.Text(), nullable=False),
        sa.Column("who", sa.Text(), nullable=False),
        sa.CheckConstraint(
            "kind IN ('report', 'laboratory_sheet', 'pump_report', 'sealing_record',"
            " 'warranty_return')",
            name=op.f("ck_paper_kind"),
        ),
        sa.ForeignKeyConstraint(["well_id"], ["well.id"], name=op.f("fk_paper_well_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_paper")),
        sa.UniqueConstraint("uid", name=op.f("uq_paper_uid")),
        sa.UniqueConstraint(
            "well_id",
            "sheet_root_uid",
            "kind",
            name=op.f("uq_paper_well_id_sheet_root_uid_kind"),
        ),
    )


def downgrade() -> None:
    """Take a book back to the revision before; which papers were sent, and contracts, are lost."""
    op.drop_table("paper")
    op.drop_column("due", "to_customer")
    op.drop_column("customer", "contract_month")
