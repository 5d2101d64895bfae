"""What the rack is searched by stands in a narrow table of its own, in small letters; indexes no search used go."""

from __future__ import annotations

import unicodedata

import sqlalchemy as sa
from alembic import op

revision = "m0005"
down_revision = "m0004"

KEY = sa.BigInteger().with_variant(sa.Integer(), "sqlite")


def upgrade() -> None:
    """Makes the table and fills it."""
    op.create_table(
        "words",
        sa.Column("item_id", KEY, nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["item_id"], ["item.id"], name="fk_words_item_id"),
        sa.PrimaryKeyConstraint("item_id", name="pk_words"),
    )
    names = ("id", "label", "name", "timber", "place")
    item = sa.table("item", *(sa.column(name) for name in names))
    words = sa.table("words", sa.column("item_id"), sa.column("text"))
    link = op.get_bind()
    rows = [
        {"item_id": row[0], "text": unicodedata.normalize("NFC", "\n".join(row[1:])).casefold()}
        for row in link.execute(sa.select(item).order_by(item.c.id))
    ]
    if rows:
        link.execute(sa.insert(words), rows)
    for column in ("timber", "place", "name"):
        op.drop_index(f"ix_item_{column}", table_name="item")


def downgrade() -> None:
    """Takes it away."""
    for column in ("timber", "place", "name"):
        op.create_index(f"ix_item_{column}", "item", [column], unique=False)
    op.drop_table("words")
