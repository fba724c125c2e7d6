"""What is due stands in the order of wells and rules, so that one rule is read, and written, by itself"""

import sqlalchemy as sa
from alembic import op

revision = "0011"
down_revision = "0010"
branch_labels = None
depends_on = None

BEFORE = "due_before"


def upgrade() -> None:
    """Bring a book up to this revision, with its rows."""
    _make_anew("position", "well_id", "rule", "position", sqlite_with_rowid=False)


def downgrade() -> None:
    """Take a book back to the revision before, in which a position was one well's and not one rule's."""
    anew = "row_number() OVER (PARTITION BY well_id ORDER BY rule, position) - 1"
    _make_anew(anew, "well_id", "position")


def _make_anew(position: str, *key: str, **more: bool) -> None:
    """The table with another key, and the rows that it had at positions worked out from theirs."""
    for column in ("rule", "occasion"):
        op.drop_index(op.f(f"ix_due_{column}_from_day"), "due")
    op.rename_table("due", BEFORE)
    if op.get_bind().dialect.name != "sqlite":
        # The name of a key is one of the whole schema there.
        op.drop_constraint(op.f("pk_due"), BEFORE)
    made = op.create_table(
        "due",
        sa.Column("well_id", sa.Integer(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("rule", sa.Text(), nullable=False),
        sa.Column("subject", sa.Text(), nullable=False),
        sa.Column("occurrence", sa.Text(), nullable=False),
        sa.Column("from_day", sa.Date(), nullable=False),
        sa.Column("may_from", sa.Date()),
        sa.Column("surely_from", sa.Date()),
        sa.Column("until", sa.Date()),
        sa.Column("severity", sa.Text(), nullable=False),
        sa.Column("occasion", sa.Text(), nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("action", sa.Text(), nullable=False),
        sa.Column("source", sa.Text(), nullable=False),
        sa.Column("counts_from", sa.Text(), nullable=False),
        sa.Column("numbers", sa.Text(), nullable=False),
        sa.Column("to_customer", sa.Text(), nullable=False),
        sa.CheckConstraint(
            "severity IN ('act', 'plan', 'watch', 'ask')", name=op.f("ck_due_severity")
        ),
        sa.CheckConstraint(
            "occasion IN ('now', 'next_visit', 'next_pull')", name=op.f("ck_due_occasion")
        ),
        sa.ForeignKeyConstraint(["well_id"], ["well.id"], name=op.f("fk_due_well_id")),
        sa.PrimaryKeyConstraint(*key, name=op.f("pk_due")),
        **more,
    )
    names = [column.name for column in made.c]
    told = ", ".join(position if name == "position" else name for name in names)
    op.execute(
        f"INSERT INTO due ({', '.join(names)}) SELECT {told} FROM {BEFORE}"
        f" ORDER BY {', '.join(key)}"
    )
    op.drop_table(BEFORE)
    for column in ("occasion", "rule"):
        op.create_index(op.f(f"ix_due_{column}_from_day"), "due", [column, "from_day"])
