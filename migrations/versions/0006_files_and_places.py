"""Files attached to wells, and the index by which wells near a place are found"""

revision = "0006"
down_revision = "0005"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Bring a book up to this revision."""


def downgrade() -> None:
    """Take a book back to the revision before."""
