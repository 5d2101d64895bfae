"""Several benches: people, sessions, an audit trail, and long work that waits its turn."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from longpoint.store.migrations.guards import may_change, only_added

revision = "m0003"
down_revision = "m0002"

KEY = sa.BigInteger().with_variant(sa.Integer(), "sqlite")


def upgrade() -> None:
    """Makes the tables."""
    op.create_table(
        "audit",
        sa.Column("id", KEY, nullable=False),
        sa.Column("at", sa.String(27), nullable=False),
        sa.Column("who", sa.String(length=80), nullable=False),
        sa.Column("what", sa.String(length=40), nullable=False),
        sa.Column("about", sa.String(length=120), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_audit"),
    )
    op.create_index("ix_audit_at", "audit", ["at"], unique=False)
    op.create_table(
        "long_work",
        sa.Column("id", KEY, nullable=False),
        sa.Column("kind", sa.String(length=20), nullable=False),
        sa.Column("given", sa.JSON(), nullable=False),
        sa.Column("state", sa.String(length=10), nullable=False),
        sa.Column("share", sa.Double(), nullable=False),
        sa.Column("says", sa.Text(), nullable=False),
        sa.Column("cancel", sa.Boolean(), nullable=False),
        sa.Column("runner", sa.String(length=80), nullable=False),
        sa.Column("tries", sa.Integer(), nullable=False),
        sa.Column("at", sa.String(27), nullable=False),
        sa.Column("who", sa.String(length=80), nullable=False),
        sa.Column("sign", sa.String(27), nullable=True),
        sa.Column("ended", sa.String(27), nullable=True),
        sa.Column("answer", sa.JSON(), nullable=True),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_long_work"),
    )
    op.create_index("ix_long_work_state_id", "long_work", ["state", "id"], unique=False)
    op.create_table(
        "person",
        sa.Column("id", KEY, nullable=False),
        sa.Column("name", sa.String(length=80), nullable=False),
        sa.Column("role", sa.String(length=10), nullable=False),
        sa.Column("password", sa.String(length=200), nullable=False),
        sa.Column("at", sa.String(27), nullable=False),
        sa.Column("until", sa.String(27), nullable=True),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_person"),
        sa.UniqueConstraint("name", name="uq_person_name"),
    )
    op.create_table(
        "signed_in",
        sa.Column("token", sa.String(length=64), nullable=False),
        sa.Column("person_id", KEY, nullable=False),
        sa.Column("at", sa.String(27), nullable=False),
        sa.Column("until", sa.String(27), nullable=False),
        sa.ForeignKeyConstraint(["person_id"], ["person.id"], name="fk_signed_in_person_id"),
        sa.PrimaryKeyConstraint("token", name="pk_signed_in"),
    )
    op.create_index("ix_signed_in_person_id", "signed_in", ["person_id"], unique=False)
    only_added("audit")


def downgrade() -> None:
    """Takes them away."""
    may_change("audit")
    op.drop_table("signed_in")
    op.drop_table("person")
    op.drop_table("long_work")
    op.drop_table("audit")
