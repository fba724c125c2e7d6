"""Who was forgotten on his wish"""

revision = "0009"
down_revision = "0008"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Bring a book up to this revision."""


def downgrade() -> None:
    """Take a book back to the revision before."""
