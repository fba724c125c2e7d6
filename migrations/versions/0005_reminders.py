"""Reminders: consent, what customers were told and said, the outbox, the shop's facts and letters"""

from datetime import UTC, datetime
from uuid import uuid4

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None

# With the column, so that it goes with the column: both engines take it so.
REMIND_BY = """
ALTER TABLE customer ADD COLUMN remind_by TEXT CONSTRAINT ck_customer_remind_by
CHECK (remind_by IN ('letter', 'postcard', 'email', 'call', 'none'))
"""
BEFORE = "on record before this book kept when and how"


def upgrade() -> None:
    """Bring a book up to this revision."""
    op.create_table(
        "shop_fact",
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("value", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("name", name=op.f("pk_shop_fact")),
    )
    op.create_table(
        "template",
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("name", name=op.f("pk_template")),
    )
    op.execute(REMIND_BY)
    op.create_table(
        "consent",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("uid", sa.Text(), nullable=False),
        sa.Column("customer_id", sa.Integer(), nullable=False),
        sa.Column("way", sa.Text(), nullable=False),
        sa.Column("answer", sa.Text(), nullable=False),
        sa.Column("on_day", sa.Date(), nullable=False),
        sa.Column("how", sa.Text(), nullable=False),
        sa.Column("who", sa.Text(), nullable=False),
        sa.CheckConstraint("answer IN ('yes', 'no')", name=op.f("ck_consent_answer")),
        sa.CheckConstraint("way IN ('phone', 'email', 'post')", name=op.f("ck_consent_way")),
        sa.ForeignKeyConstraint(
            ["customer_id"], ["customer.id"], name=op.f("fk_consent_customer_id")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_consent")),
        sa.UniqueConstraint("uid", name=op.f("uq_consent_uid")),
    )
    op.create_index(op.f("ix_consent_customer_id"), "consent", ["customer_id"])
    _keep_answers()
    with op.batch_alter_table("contact_point", copy_from=_contact_point(with_answer=True)) as point:
        point.drop_constraint(op.f("ck_contact_point_may_use"), type_="check")
        point.drop_column("may_use")
    _messages()
    _contacts()


def _contact_point(*, with_answer: bool) -> sa.Table:
    """The table as it is before a change: SQLite's own account of it leaves out the checks."""
    answer = (
        [
            sa.Column("may_use", sa.Text(), nullable=False),
            sa.CheckConstraint(
                "may_use IN ('yes', 'no', 'unknown')", name="ck_contact_point_may_use"
            ),
        ]
        if with_answer
        else []
    )
    return sa.Table(
        "contact_point",
        sa.MetaData(),
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("uid", sa.Text(), nullable=False),
        sa.Column("customer_id", sa.Integer(), nullable=False),
        sa.Column("way", sa.Text(), nullable=False),
        sa.Column("value", sa.Text(), nullable=False),
        sa.Column("digits", sa.Text(), nullable=False),
        *answer,
        sa.CheckConstraint("way IN ('phone', 'email', 'post')", name="ck_contact_point_way"),
        sa.ForeignKeyConstraint(
            ["customer_id"], ["customer.id"], name="fk_contact_point_customer_id"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_contact_point"),
        sa.UniqueConstraint("uid", name="uq_contact_point_uid"),
        sa.Index("ix_contact_point_customer_id", "customer_id"),
    )


def _keep_answers() -> None:
    """What was said of a way stays said, of the customer; a no outweighs a yes."""
    connection = op.get_bind()
    point, consent = _contact_point(with_answer=True), _consent()
    said: dict[tuple[int, str], str] = {}
    for row in connection.execute(
        sa.select(point.c.customer_id, point.c.way, point.c.may_use).where(
            point.c.may_use != "unknown"
        )
    ):
        key = (row.customer_id, row.way)
        said[key] = "no" if "no" in (row.may_use, said.get(key)) else "yes"
    today = datetime.now(UTC).date()
    for (customer_id, way), answer in said.items():
        connection.execute(
            sa.insert(consent).values(
                uid=uuid4().hex,
                customer_id=customer_id,
                way=way,
                answer=answer,
                on_day=today,
                how=BEFORE,
                who="upgrade",
            )
        )


def _consent() -> sa.Table:
    return sa.Table(
        "consent",
        sa.MetaData(),
        sa.Column("id", sa.Integer(), primary_key=True),
        sa.Column("uid", sa.Text()),
        sa.Column("customer_id", sa.Integer()),
        sa.Column("way", sa.Text()),
        sa.Column("answer", sa.Text()),
        sa.Column("on_day", sa.Date()),
        sa.Column("how", sa.Text()),
        sa.Column("who", sa.Text()),
    )


def _messages() -> None:
    op.create_table(
        "message",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("uid", sa.Text(), nullable=False),
        sa.Column("run_uid", sa.Text(), nullable=False),
        sa.Column("customer_id", sa.Integer(), nullable=False),
        sa.Column("site_id", sa.Integer(), nullable=False),
        sa.Column("by", sa.Text(), nullable=False),
        sa.Column("address", sa.Text(), nullable=False),
        sa.Column("subject", sa.Text(), nullable=False),
        sa.Column("body", sa.Text(), nullable=False),
        sa.Column("status", sa.Text(), nullable=False),
        sa.Column("started_at", sa.Text(), nullable=False),
        sa.Column("ended_at", sa.Text(), nullable=True),
        sa.Column("on_day", sa.Date(), nullable=False),
        sa.Column("answer", sa.Text(), nullable=False),
        sa.Column("file_name", sa.Text(), nullable=False),
        sa.Column("who", sa.Text(), nullable=False),
        sa.CheckConstraint(
            "by IN ('letter', 'postcard', 'email', 'call', 'none')", name=op.f("ck_message_by")
        ),
        sa.CheckConstraint(
            "status IN ('going', 'made', 'refused', 'not_sent')", name=op.f("ck_message_status")
        ),
        sa.ForeignKeyConstraint(
            ["customer_id"], ["customer.id"], name=op.f("fk_message_customer_id")
        ),
        sa.ForeignKeyConstraint(["site_id"], ["site.id"], name=op.f("fk_message_site_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_message")),
        sa.UniqueConstraint("uid", name=op.f("uq_message_uid")),
    )
    op.create_index(op.f("ix_message_customer_id"), "message", ["customer_id"])
    op.create_index(op.f("ix_message_site_id"), "message", ["site_id"])
    op.create_index("ix_message_status", "message", ["status"])
    op.create_table(
        "message_about",
        sa.Column("message_id", sa.Integer(), nullable=False),
        sa.Column("well_id", sa.Integer(), nullable=False),
        sa.Column("occurrence", sa.Text(), nullable=False),
        sa.Column("round", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["message_id"], ["message.id"], name=op.f("fk_message_about_message_id")
        ),
        sa.ForeignKeyConstraint(["well_id"], ["well.id"], name=op.f("fk_message_about_well_id")),
        sa.PrimaryKeyConstraint(
            "message_id", "well_id", "occurrence", name=op.f("pk_message_about")
        ),
    )
    op.create_index(
        "ix_message_about_well_id_occurrence", "message_about", ["well_id", "occurrence"]
    )


def _contacts() -> None:
    op.create_table(
        "contact",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("uid", sa.Text(), nullable=False),
        sa.Column("well_id", sa.Integer(), nullable=False),
        sa.Column("on_day", sa.Date(), nullable=False),
        sa.Column("by", sa.Text(), nullable=True),
        sa.Column("said", sa.Text(), nullable=False),
        sa.Column("for_day", sa.Date(), nullable=True),
        sa.Column("for_time", sa.Text(), nullable=False),
        sa.Column("crew", sa.Text(), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("at", sa.Text(), nullable=False),
        sa.Column("who", sa.Text(), nullable=False),
        sa.Column("message_id", sa.Integer(), nullable=True),
        sa.Column("customer_id", sa.Integer(), nullable=True),
        sa.Column("booking_uid", sa.Text(), nullable=False),
        sa.CheckConstraint(
            "by IN ('letter', 'postcard', 'email', 'call', 'none')", name=op.f("ck_contact_by")
        ),
        sa.CheckConstraint(
            "said IN ('told', 'booked', 'declined', 'put_off')", name=op.f("ck_contact_said")
        ),
        sa.ForeignKeyConstraint(
            ["customer_id"], ["customer.id"], name=op.f("fk_contact_customer_id")
        ),
        sa.ForeignKeyConstraint(["message_id"], ["message.id"], name=op.f("fk_contact_message_id")),
        sa.ForeignKeyConstraint(["well_id"], ["well.id"], name=op.f("fk_contact_well_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_contact")),
        sa.UniqueConstraint("uid", name=op.f("uq_contact_uid")),
    )
    op.create_index(op.f("ix_contact_well_id"), "contact", ["well_id"])
    op.create_index(op.f("ix_contact_message_id"), "contact", ["message_id"])
    op.create_index(op.f("ix_contact_customer_id"), "contact", ["customer_id"])
    op.create_index(op.f("ix_contact_booking_uid"), "contact", ["booking_uid"])
    op.create_table(
        "contact_about",
        sa.Column("contact_id", sa.Integer(), nullable=False),
        sa.Column("well_id", sa.Integer(), nullable=False),
        sa.Column("occurrence", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(
            ["contact_id"], ["contact.id"], name=op.f("fk_contact_about_contact_id")
        ),
        sa.ForeignKeyConstraint(["well_id"], ["well.id"], name=op.f("fk_contact_about_well_id")),
        sa.PrimaryKeyConstraint(
            "contact_id", "well_id", "occurrence", name=op.f("pk_contact_about")
        ),
    )
    op.create_index(
        "ix_contact_about_well_id_occurrence", "contact_about", ["well_id", "occurrence"]
    )
    op.create_table(
        "calendar_entry",
        sa.Column("uid", sa.Text(), nullable=False),
        sa.Column("well_id", sa.Integer(), nullable=False),
        sa.Column("occurrence", sa.Text(), nullable=False),
        sa.Column("summary", sa.Text(), nullable=False),
        sa.Column("due_on", sa.Date(), nullable=False),
        sa.Column("digest", sa.Text(), nullable=False),
        sa.Column("sequence", sa.Integer(), nullable=False),
        sa.Column("changed_at", sa.Text(), nullable=False),
        sa.Column("done_at", sa.Text(), nullable=True),
        sa.ForeignKeyConstraint(["well_id"], ["well.id"], name=op.f("fk_calendar_entry_well_id")),
        sa.PrimaryKeyConstraint("uid", name=op.f("pk_calendar_entry")),
    )
    op.create_index(op.f("ix_calendar_entry_well_id"), "calendar_entry", ["well_id"])


def downgrade() -> None:
    """Take a book back to the revision before; contacts, messages and the shop's facts are lost.

    What was last said of a way to be reached by stays with each of the customer's addresses.
    """
    for name in ("calendar_entry", "contact_about", "contact", "message_about", "message"):
        op.drop_table(name)
    with op.batch_alter_table(
        "contact_point", copy_from=_contact_point(with_answer=False)
    ) as point:
        point.add_column(sa.Column("may_use", sa.Text(), nullable=False, server_default="unknown"))
        point.create_check_constraint(
            op.f("ck_contact_point_may_use"), "may_use IN ('yes', 'no', 'unknown')"
        )
    with op.batch_alter_table("contact_point", copy_from=_contact_point(with_answer=True)) as point:
        point.alter_column("may_use", server_default=None)
    connection = op.get_bind()
    point, consent = _contact_point(with_answer=True), _consent()
    for row in connection.execute(sa.select(consent).order_by(consent.c.on_day, consent.c.id)):
        connection.execute(
            sa.update(point)
            .where(point.c.customer_id == row.customer_id, point.c.way == row.way)
            .values(may_use=row.answer)
        )
    op.drop_table("consent")
    op.drop_column("customer", "remind_by")
    op.drop_table("template")
    op.drop_table("shop_fact")
