"""Telephone numbers in E.164, and doubles that were joined or told apart"""

revision = "0008"
down_revision = "0007"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Bring a book up to this revision."""


def downgrade() -> None:
    """Take a book back to the revision before."""
