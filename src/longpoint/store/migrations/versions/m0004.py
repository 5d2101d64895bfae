"""Plans that pages made are found by their name there, and a tick says more than done: spoiled, split, a number."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "m0004"
down_revision = "m0003"


def upgrade() -> None:
    """Adds the columns."""
    op.add_column("plan", sa.Column("on_desk", sa.String(length=40), nullable=False, server_default=""))
    op.add_column("tick", sa.Column("state", sa.String(length=80), nullable=False, server_default=""))
    op.create_index("ix_plan_on_desk", "plan", ["on_desk"], unique=False)


def downgrade() -> None:
    """Takes them away."""
    op.drop_index("ix_plan_on_desk", table_name="plan")
    op.drop_column("tick", "state")
    op.drop_column("plan", "on_desk")
