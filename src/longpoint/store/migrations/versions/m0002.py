"""The build book: copies of works, ticks, measured values, photographs."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from longpoint.store.migrations.guards import may_change, only_added

revision = "m0002"
down_revision = "m0001"

KEY = sa.BigInteger().with_variant(sa.Integer(), "sqlite")


def upgrade() -> None:
    """Makes the tables."""
    op.create_table(
        "copy",
        sa.Column("id", KEY, nullable=False),
        sa.Column("batch_id", KEY, nullable=False),
        sa.Column("work", sa.String(length=80), nullable=False),
        sa.Column("code", sa.String(length=10), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("of", sa.Integer(), nullable=False),
        sa.Column("label", sa.String(length=20), nullable=False),
        sa.Column("state", sa.String(length=10), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["batch_id"], ["batch.id"], name="fk_copy_batch_id"),
        sa.PrimaryKeyConstraint("id", name="pk_copy"),
        sa.UniqueConstraint("batch_id", "work", "number", name="uq_copy_batch_id_work_number"),
        sa.UniqueConstraint("label", name="uq_copy_label"),
    )
    op.create_index("ix_copy_state", "copy", ["state"], unique=False)
    op.create_index("ix_copy_work", "copy", ["work"], unique=False)
    op.create_table(
        "measured",
        sa.Column("id", KEY, nullable=False),
        sa.Column("uid", sa.String(length=64), nullable=False),
        sa.Column("copy_id", KEY, nullable=True),
        sa.Column("about", sa.String(length=120), nullable=False),
        sa.Column("what", sa.String(length=40), nullable=False),
        sa.Column("value", sa.Double(), nullable=False),
        sa.Column("planned", sa.Double(), nullable=True),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("at", sa.String(27), nullable=False),
        sa.Column("who", sa.String(length=80), nullable=False),
        sa.ForeignKeyConstraint(["copy_id"], ["copy.id"], name="fk_measured_copy_id"),
        sa.PrimaryKeyConstraint("id", name="pk_measured"),
        sa.UniqueConstraint("uid", name="uq_measured_uid"),
    )
    op.create_index("ix_measured_copy_id", "measured", ["copy_id"], unique=False)
    op.create_index("ix_measured_what_about", "measured", ["what", "about"], unique=False)
    op.create_table(
        "photograph",
        sa.Column("id", KEY, nullable=False),
        sa.Column("copy_id", KEY, nullable=False),
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.Column("kind", sa.String(length=10), nullable=False),
        sa.Column("size", sa.Integer(), nullable=False),
        sa.Column("caption", sa.Text(), nullable=False),
        sa.Column("at", sa.String(27), nullable=False),
        sa.Column("who", sa.String(length=80), nullable=False),
        sa.ForeignKeyConstraint(["copy_id"], ["copy.id"], name="fk_photograph_copy_id"),
        sa.PrimaryKeyConstraint("id", name="pk_photograph"),
    )
    op.create_index("ix_photograph_copy_id", "photograph", ["copy_id"], unique=False)
    op.create_table(
        "tick",
        sa.Column("id", KEY, nullable=False),
        sa.Column("uid", sa.String(length=64), nullable=False),
        sa.Column("plan_id", KEY, nullable=False),
        sa.Column("copy_id", KEY, nullable=True),
        sa.Column("kind", sa.String(length=10), nullable=False),
        sa.Column("key", sa.String(length=200), nullable=False),
        sa.Column("done", sa.Boolean(), nullable=False),
        sa.Column("at", sa.String(27), nullable=False),
        sa.Column("who", sa.String(length=80), nullable=False),
        sa.ForeignKeyConstraint(["copy_id"], ["copy.id"], name="fk_tick_copy_id"),
        sa.ForeignKeyConstraint(["plan_id"], ["plan.id"], name="fk_tick_plan_id"),
        sa.PrimaryKeyConstraint("id", name="pk_tick"),
        sa.UniqueConstraint("uid", name="uq_tick_uid"),
    )
    op.create_index("ix_tick_copy_id", "tick", ["copy_id"], unique=False)
    op.create_index("ix_tick_plan_id_kind_key", "tick", ["plan_id", "kind", "key"], unique=False)
    only_added("tick")
    only_added("measured")


def downgrade() -> None:
    """Takes them away."""
    may_change("tick")
    may_change("measured")
    op.drop_table("tick")
    op.drop_table("photograph")
    op.drop_table("measured")
    op.drop_table("copy")
