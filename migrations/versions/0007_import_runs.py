"""Runs of imports that can be taken back"""

revision = "0007"
down_revision = "0006"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Bring a book up to this revision."""


def downgrade() -> None:
    """Take a book back to the revision before."""
