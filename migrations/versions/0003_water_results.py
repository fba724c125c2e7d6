"""Place holder: dropped at the merge for the migration that keeps water results"""

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Nothing."""


def downgrade() -> None:
    """Nothing."""
