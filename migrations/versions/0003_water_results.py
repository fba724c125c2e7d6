"""Results of a water sample: any analyte, and what was not found"""

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None

_HAD_COLUMNS = ("nitrate_mg_l", "arsenic_mg_l")


def upgrade() -> None:
    """Bring a book up to this revision; what the columns had becomes a row each."""
    op.create_table(
        "water_result",
        sa.Column("sample_id", sa.Integer(), nullable=False),
        sa.Column("analyte", sa.Text(), nullable=False),
        sa.Column("value", sa.Double(), nullable=True),
        sa.Column("below", sa.Boolean(), nullable=False),
        sa.ForeignKeyConstraint(
            ["sample_id"], ["water_sample.id"], name=op.f("fk_water_result_sample_id")
        ),
        sa.PrimaryKeyConstraint("sample_id", "analyte", name=op.f("pk_water_result")),
    )
    for name in _HAD_COLUMNS:
        op.execute(
            "INSERT INTO water_result (sample_id, analyte, value, below)"
            f" SELECT id, '{name}', {name}, false FROM water_sample WHERE {name} IS NOT NULL"
        )
        # Both engines drop a column in place; made anew, the table would lose its CHECK.
        op.execute(f"ALTER TABLE water_sample DROP COLUMN {name}")


def downgrade() -> None:
    """Take a book back to the revision before; it keeps the nitrate and arsenic that were found."""
    for name in _HAD_COLUMNS:
        op.add_column("water_sample", sa.Column(name, sa.Double(), nullable=True))
        op.execute(
            f"UPDATE water_sample SET {name} = (SELECT value FROM water_result"
            f" WHERE sample_id = water_sample.id AND analyte = '{name}' AND NOT below)"
        )
    op.drop_table("water_result")
