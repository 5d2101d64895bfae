"""The rack: its journal, what follows from it, and the plans that keep boards."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from longpoint.store.migrations.guards import may_change, only_added

revision = "m0001"
down_revision = None

KEY = sa.BigInteger().with_variant(sa.Integer(), "sqlite")


def upgrade() -> None:
    """Makes the tables."""
    op.create_table(
        "batch",
        sa.Column("id", KEY, nullable=False),
        sa.Column("title", sa.Text(), nullable=False),
        sa.Column("state", sa.String(length=10), nullable=False),
        sa.Column("at", sa.String(27), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_batch"),
    )
    op.create_index("ix_batch_title", "batch", ["title"], unique=False)
    op.create_table(
        "item",
        sa.Column("id", KEY, nullable=False),
        sa.Column("label", sa.String(length=80), nullable=False),
        sa.Column("kind", sa.String(length=10), nullable=False),
        sa.Column("name", sa.String(length=80), nullable=False),
        sa.Column("timber", sa.String(length=80), nullable=False),
        sa.Column("thickness", sa.BigInteger(), nullable=False),
        sa.Column("depth", sa.BigInteger(), nullable=False),
        sa.Column("length", sa.BigInteger(), nullable=False),
        sa.Column("grade", sa.String(length=20), nullable=False),
        sa.Column("serves", sa.String(length=20), nullable=False),
        sa.Column("place", sa.String(length=80), nullable=False),
        sa.Column("facts", sa.JSON(), nullable=False),
        sa.Column("amount", sa.BigInteger(), nullable=False),
        sa.Column("reserved", sa.BigInteger(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.CheckConstraint("amount >= 0", name="ck_item_amount"),
        sa.CheckConstraint("reserved >= 0 AND reserved <= amount", name="ck_item_reserved"),
        sa.PrimaryKeyConstraint("id", name="pk_item"),
        sa.UniqueConstraint("label", name="uq_item_label"),
    )
    op.create_index("ix_item_kind_amount", "item", ["kind", "amount"], unique=False)
    op.create_index(
        "ix_item_kind_thickness_depth_length", "item", ["kind", "thickness", "depth", "length"], unique=False
    )
    op.create_index("ix_item_name", "item", ["name"], unique=False)
    op.create_index("ix_item_place", "item", ["place"], unique=False)
    op.create_index("ix_item_timber", "item", ["timber"], unique=False)
    op.create_table(
        "number",
        sa.Column("kind", sa.String(length=20), nullable=False),
        sa.Column("last", sa.BigInteger(), nullable=False),
        sa.PrimaryKeyConstraint("kind", name="pk_number"),
    )
    op.create_table(
        "plan",
        sa.Column("id", KEY, nullable=False),
        sa.Column("batch_id", KEY, nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("revision", sa.String(length=64), nullable=False),
        sa.Column("kind", sa.String(length=10), nullable=False),
        sa.Column("state", sa.String(length=10), nullable=False),
        sa.Column("at", sa.String(27), nullable=False),
        sa.Column("who", sa.String(length=80), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("document", sa.LargeBinary(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["batch_id"], ["batch.id"], name="fk_plan_batch_id"),
        sa.PrimaryKeyConstraint("id", name="pk_plan"),
        sa.UniqueConstraint("batch_id", "number", name="uq_plan_batch_id_number"),
    )
    op.create_index("ix_plan_revision", "plan", ["revision"], unique=False)
    op.create_table(
        "event",
        sa.Column("id", KEY, nullable=False),
        sa.Column("at", sa.String(27), nullable=False),
        sa.Column("who", sa.String(length=80), nullable=False),
        sa.Column("kind", sa.String(length=12), nullable=False),
        sa.Column("item_id", KEY, nullable=False),
        sa.Column("plan_id", KEY, nullable=True),
        sa.Column("amount", sa.BigInteger(), nullable=False),
        sa.Column("facts", sa.JSON(), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["item_id"], ["item.id"], name="fk_event_item_id"),
        sa.ForeignKeyConstraint(["plan_id"], ["plan.id"], name="fk_event_plan_id"),
        sa.PrimaryKeyConstraint("id", name="pk_event"),
    )
    op.create_index("ix_event_at", "event", ["at"], unique=False)
    op.create_index("ix_event_item_id_id", "event", ["item_id", "id"], unique=False)
    op.create_table(
        "reservation",
        sa.Column("plan_id", KEY, nullable=False),
        sa.Column("item_id", KEY, nullable=False),
        sa.Column("amount", sa.BigInteger(), nullable=False),
        sa.CheckConstraint("amount > 0", name="ck_reservation_amount"),
        sa.ForeignKeyConstraint(["item_id"], ["item.id"], name="fk_reservation_item_id"),
        sa.ForeignKeyConstraint(["plan_id"], ["plan.id"], name="fk_reservation_plan_id"),
        sa.PrimaryKeyConstraint("plan_id", "item_id", name="pk_reservation"),
    )
    op.create_index("ix_reservation_item_id", "reservation", ["item_id"], unique=False)
    only_added("event")
    kinds = ("board", "offcut", "roll", "supply", "copy")
    op.bulk_insert(
        sa.table("number", sa.column("kind", sa.String), sa.column("last", sa.BigInteger)),
        [{"kind": kind, "last": 0} for kind in kinds],
    )


def downgrade() -> None:
    """Takes them away."""
    may_change("event")
    op.drop_table("reservation")
    op.drop_table("event")
    op.drop_table("plan")
    op.drop_table("number")
    op.drop_table("item")
    op.drop_table("batch")
