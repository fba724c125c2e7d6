"""Files attached to wells, and the index by which wells near a place are found"""

import sqlalchemy as sa
from alembic import op

revision = "0006"
down_revision = "0005"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Bring a book up to this revision."""
    op.create_table(
        "attachment",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("uid", sa.Text(), nullable=False),
        sa.Column("well_id", sa.Integer(), nullable=False),
        sa.Column("sheet_root_uid", sa.Text(), nullable=True),
        sa.Column("sha256", sa.Text(), nullable=False),
        sa.Column("file_name", sa.Text(), nullable=False),
        sa.Column("media_type", sa.Text(), nullable=False),
        sa.Column("size_bytes", sa.BigInteger(), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("added_on", sa.Date(), nullable=False),
        sa.Column("who", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["well_id"], ["well.id"], name=op.f("fk_attachment_well_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_attachment")),
        sa.UniqueConstraint("uid", name=op.f("uq_attachment_uid")),
        sa.UniqueConstraint("well_id", "sha256", name=op.f("uq_attachment_well_id_sha256")),
    )
    op.create_index(op.f("ix_attachment_sha256"), "attachment", ["sha256"])
    op.create_index("ix_site_latitude_longitude", "site", ["latitude", "longitude"])


def downgrade() -> None:
    """Take a book back to the revision before; which files belong to wells is lost, not the files."""
    op.drop_index("ix_site_latitude_longitude", "site")
    op.drop_index(op.f("ix_attachment_sha256"), "attachment")
    op.drop_table("attachment")
