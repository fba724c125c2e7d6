"""Runs of imports that can be taken back; rows that became customers; what was decided on"""

import sqlalchemy as sa
from alembic import op

revision = "0007"
down_revision = "0006"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Bring a book up to this revision."""
    run = "import_run"
    for name in ("skipped", "first_change", "last_change"):
        op.add_column(run, sa.Column(name, sa.Integer(), nullable=False, server_default="0"))
    for name in ("columns", "made"):
        op.add_column(run, sa.Column(name, sa.Text(), nullable=False, server_default=""))
    op.add_column(run, sa.Column("undone_at", sa.Text(), nullable=True))
    # What a record says can be of a customer alone: the table is copied once for that.
    with op.batch_alter_table("imported_row", copy_from=_imported_row(with_people=False)) as row:
        row.alter_column("well_id", existing_type=sa.Integer(), nullable=True)
        row.add_column(sa.Column("said", sa.Text(), nullable=False, server_default=""))
        for name in ("customer_id", "site_id"):
            row.add_column(sa.Column(name, sa.Integer(), nullable=True))
            to = name.removesuffix("_id")
            row.create_foreign_key(op.f(f"fk_imported_row_{name}"), to, [name], ["id"])
            row.create_index(op.f(f"ix_imported_row_{name}"), [name])
    op.create_table(
        "import_change",
        sa.Column("run_id", sa.Integer(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("what", sa.Text(), nullable=False),
        sa.Column("row_uid", sa.Text(), nullable=False),
        sa.Column("old", sa.Text(), nullable=True),
        sa.ForeignKeyConstraint(
            ["run_id"], ["import_run.id"], name=op.f("fk_import_change_run_id")
        ),
        sa.PrimaryKeyConstraint("run_id", "position", name=op.f("pk_import_change")),
    )
    op.create_table(
        "import_answer",
        sa.Column("source", sa.Text(), nullable=False),
        sa.Column("number", sa.Text(), nullable=False),
        sa.Column("answer", sa.Text(), nullable=False),
        sa.Column("run_id", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["run_id"], ["import_run.id"], name=op.f("fk_import_answer_run_id")
        ),
        sa.PrimaryKeyConstraint("source", "number", name=op.f("pk_import_answer")),
    )
    op.create_index(op.f("ix_import_answer_run_id"), "import_answer", ["run_id"])


def _imported_row(*, with_people: bool) -> sa.Table:
    """The table as it is before a change."""
    people = (
        [
            sa.Column("said", sa.Text(), nullable=False, server_default=""),
            sa.Column("customer_id", sa.Integer(), nullable=True),
            sa.Column("site_id", sa.Integer(), nullable=True),
            *(
                sa.ForeignKeyConstraint([f"{to}_id"], [f"{to}.id"], name=f"fk_imported_row_{to}_id")
                for to in ("customer", "site")
            ),
            sa.Index("ix_imported_row_customer_id", "customer_id"),
            sa.Index("ix_imported_row_site_id", "site_id"),
        ]
        if with_people
        else []
    )
    return sa.Table(
        "imported_row",
        sa.MetaData(),
        sa.Column("source", sa.Text(), nullable=False),
        sa.Column("row_key", sa.Text(), nullable=False),
        sa.Column("digest", sa.Text(), nullable=False),
        sa.Column("well_id", sa.Integer(), nullable=with_people),
        sa.Column("run_id", sa.Integer(), nullable=False),
        *people,
        sa.ForeignKeyConstraint(["run_id"], ["import_run.id"], name="fk_imported_row_run_id"),
        sa.ForeignKeyConstraint(["well_id"], ["well.id"], name="fk_imported_row_well_id"),
        sa.PrimaryKeyConstraint("source", "row_key", name="pk_imported_row"),
        sa.Index("ix_imported_row_run_id", "run_id"),
        sa.Index("ix_imported_row_well_id", "well_id"),
    )


def downgrade() -> None:
    """Take a book back to the revision before: no run can be taken back then, and records of
    customers alone are no longer known again."""
    op.drop_table("import_answer")
    op.drop_table("import_change")
    op.execute("DELETE FROM imported_row WHERE well_id IS NULL")
    with op.batch_alter_table("imported_row", copy_from=_imported_row(with_people=True)) as row:
        for name in ("customer_id", "site_id"):
            row.drop_constraint(op.f(f"fk_imported_row_{name}"), type_="foreignkey")
            row.drop_index(op.f(f"ix_imported_row_{name}"))
            row.drop_column(name)
        row.drop_column("said")
        row.alter_column("well_id", existing_type=sa.Integer(), nullable=False)
    for name in ("undone_at", "made", "columns", "last_change", "first_change", "skipped"):
        op.drop_column("import_run", name)
