"""The shop's own list of pump models"""

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Bring a book up to this revision."""
    op.create_table(
        "pump_model",
        sa.Column("maker", sa.Text(), nullable=False),
        sa.Column("model", sa.Text(), nullable=False),
        sa.Column("maker_key", sa.Text(), nullable=False),
        sa.Column("model_key", sa.Text(), nullable=False),
        sa.Column("hp", sa.Double(), nullable=False),
        sa.Column("rated_gpm", sa.Double(), nullable=False),
        sa.Column("service_factor", sa.Double(), nullable=True),
        sa.Column("service_factor_a", sa.Double(), nullable=True),
        sa.Column("supply_v", sa.Double(), nullable=True),
        sa.Column("phases", sa.Integer(), nullable=True),
        sa.Column("notes", sa.Text(), nullable=False),
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("uid", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_pump_model")),
        sa.UniqueConstraint(
            "model_key", "maker_key", name=op.f("uq_pump_model_model_key_maker_key")
        ),
        sa.UniqueConstraint("uid", name=op.f("uq_pump_model_uid")),
    )
    op.create_table(
        "pump_point",
        sa.Column("pump_model_id", sa.Integer(), nullable=False),
        sa.Column("gpm", sa.Double(), nullable=False),
        sa.Column("head_ft", sa.Double(), nullable=False),
        sa.ForeignKeyConstraint(
            ["pump_model_id"], ["pump_model.id"], name=op.f("fk_pump_point_pump_model_id")
        ),
        sa.PrimaryKeyConstraint("pump_model_id", "gpm", name=op.f("pk_pump_point")),
    )


def downgrade() -> None:
    """Take a book back to the revision before; the list of pump models is lost."""
    op.drop_table("pump_point")
    op.drop_table("pump_model")
