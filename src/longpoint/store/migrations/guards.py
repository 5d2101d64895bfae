"""Tables of which rows are only ever added: the database itself refuses to change or to take away one."""

from __future__ import annotations

from alembic import op

_SERVER = """
CREATE FUNCTION {table}_only_added() RETURNS trigger LANGUAGE plpgsql AS
$$ BEGIN RAISE EXCEPTION 'rows of {table} are only added'; END $$
"""


def only_added(table: str) -> None:
    """Refuses changes of rows from now on."""
    if op.get_bind().dialect.name == "postgresql":
        op.execute(_SERVER.format(table=table))
        op.execute(
            f"CREATE TRIGGER {table}_only_added BEFORE UPDATE OR DELETE ON {table} "
            f"FOR EACH ROW EXECUTE FUNCTION {table}_only_added()"
        )
        return
    for verb in ("UPDATE", "DELETE"):
        op.execute(
            f"CREATE TRIGGER {table}_no_{verb.lower()} BEFORE {verb} ON {table} "
            f"BEGIN SELECT RAISE(ABORT, 'rows of {table} are only added'); END"
        )


def may_change(table: str) -> None:
    """Allows changes of rows again; the table is about to go."""
    if op.get_bind().dialect.name == "postgresql":
        op.execute(f"DROP TRIGGER {table}_only_added ON {table}")
        op.execute(f"DROP FUNCTION {table}_only_added()")
        return
    for verb in ("UPDATE", "DELETE"):
        op.execute(f"DROP TRIGGER {table}_no_{verb.lower()}")
