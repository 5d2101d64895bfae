"""Opens a store: makes it where there is none, brings an old one to today's shape, refuses a newer one.

Everything is written in one transaction a wish: either all of it is in the store or nothing. On SQLite a transaction
that writes takes the file's lock at its beginning, so that two programs wait for one another and never meet half way.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, create_engine, event, inspect, text
from sqlalchemy.orm import Session

from longpoint.errors import refuse
from longpoint.store.faults import NOT_WRITTEN, plainly
from longpoint.store.place import Place
from longpoint.store.tables import CHAIN

WAIT = 5.0
"""How long one program waits for another that writes. [s]"""


@dataclass(frozen=True, slots=True)
class Desk:
    """One transaction in a store.

    Attributes:
        session: The open session.
        who: Who asks.
        now: When; the same for all that is written in it.
        folder: Where photographs lie.
    """

    session: Session
    who: str
    now: datetime
    folder: Path


def _now() -> datetime:
    return datetime.now(UTC)


class Store:
    """An open store.

    Attributes:
        place: Where it lies.
        engine: Its connections.
    """

    def __init__(self, place: Place, engine: Engine, clock: Callable[[], datetime] = _now) -> None:
        self.place, self.engine, self._clock = place, engine, clock

    @contextmanager
    def reading(self, who: str = "") -> Iterator[Desk]:
        """One look at the store; what is changed in it is not kept."""
        with self._session(writing=False) as session:
            yield Desk(session, who, self._clock(), self.place.folder)
            session.rollback()

    @contextmanager
    def writing(self, who: str) -> Iterator[Desk]:
        """One change of the store: kept whole when the block ends, not at all when it raises.

        Raises:
            FaultsError: If the store cannot be written.
            ConflictError: If what was read is no longer so.
        """
        with self._session(writing=True) as session:
            session.connection()
            yield Desk(session, who, self._clock(), self.place.folder)
            session.commit()

    @contextmanager
    def _session(self, *, writing: bool) -> Iterator[Session]:
        bound = self.engine.execution_options(longpoint_writes=writing)
        with plainly(self.place), Session(bound, autoflush=True) as session:
            yield session

    def close(self) -> None:
        """Lets all connections go."""
        self.engine.dispose()


def open_store(place: Place, *, clock: Callable[[], datetime] = _now) -> Store:
    """Opens the store at a place; makes it where there is none.

    Args:
        place: Where it lies.
        clock: What time it is.

    Raises:
        FaultsError: If it cannot be opened or made, or was made by a newer program.
    """
    file = place.file
    if file is not None:
        _make_folder(file.parent)
    engine = engine_of(place)
    try:
        with plainly(place):
            shape = shape_of(engine)
            if shape != CHAIN[-1]:
                _bring_up(place, engine, shape)
    except BaseException:
        engine.dispose()
        raise
    return Store(place, engine, clock)


def engine_of(place: Place) -> Engine:
    """Connections to a place, not yet opened.

    Raises:
        FaultsError: If it is a server and what speaks to it is not installed.
    """
    if place.file is not None:
        engine = create_engine(place.url, connect_args={"timeout": WAIT, "check_same_thread": False})
        event.listen(engine, "connect", _prepare_file)
        event.listen(engine, "begin", _begin)
        return engine
    try:
        import psycopg  # noqa: F401
    except ImportError:
        raise refuse(
            "no-postgres",
            "what speaks to a PostgreSQL server is not installed.",
            "Install it with: pip install longpoint[postgres].",
        ) from None
    return create_engine(
        place.url,
        pool_pre_ping=True,
        connect_args={"connect_timeout": int(WAIT), "options": f"-c lock_timeout={int(WAIT * 2)}s"},
    )


def _prepare_file(connection: sqlite3.Connection, _record: Any) -> None:
    connection.isolation_level = None  # transactions begin where we say
    cursor = connection.cursor()
    cursor.execute(f"PRAGMA busy_timeout = {int(WAIT * 1000)}")
    cursor.execute("PRAGMA foreign_keys = ON")
    cursor.execute("PRAGMA synchronous = FULL")  # what was said to be kept survives a cut of power
    if cursor.execute("PRAGMA journal_mode").fetchone()[0] != "wal":
        try:
            cursor.execute("PRAGMA journal_mode = WAL")
        except sqlite3.OperationalError as error:
            # a folder that can only be read is no reason not to read
            if not error.sqlite_errorname.startswith(("SQLITE_READONLY", "SQLITE_BUSY")):
                raise
    cursor.close()


def _begin(connection: Connection) -> None:
    writes = connection.get_execution_options().get("longpoint_writes", True)
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")


def _make_folder(folder: Path) -> None:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise refuse(
            "store-closed",
            f"The folder {folder} cannot be made: {(error.strerror or str(error)).lower()}. {NOT_WRITTEN}",
            "Name another folder with --data.",
        ) from None


def shape_of(engine: Engine) -> str | None:
    """Which shape a store has; None where nothing is there yet.

    Raises:
        FaultsError: If what is there is no store of this program.
    """
    with engine.execution_options(longpoint_writes=False).connect() as connection:
        return _shape(connection)


def _shape(connection: Connection) -> str | None:
    names = inspect(connection).get_table_names()
    if "alembic_version" in names:
        found = connection.execute(text("SELECT version_num FROM alembic_version")).scalar()
        if found is None or str(found).startswith("m"):
            return None if found is None else str(found)
    if names:
        raise refuse(
            "not-a-store",
            f"The database holds tables of something else ({', '.join(sorted(names)[:3])}). {NOT_WRITTEN}",
            "Name an empty one, or another folder, with --data.",
        )
    return None


def _bring_up(place: Place, engine: Engine, shape: str | None) -> None:
    if shape is not None and shape not in CHAIN:
        raise refuse(
            "store-too-new",
            f"The store {place} was written by a newer longpoint (its shape is {shape}; this program knows "
            f"{CHAIN[-1]} and older). {NOT_WRITTEN}",
            "Use that longpoint, or name another store with --data.",
        )
    if shape is not None and place.file is not None:
        _copy_beside(place.file, shape)
    to_shape(engine, CHAIN[-1])


def to_shape(engine: Engine, wanted: str) -> None:
    """Brings a store to a shape, up or down the chain, in one transaction.

    Args:
        engine: Its connections.
        wanted: One of `CHAIN`; ``base`` for nothing at all.
    """
    from alembic import command
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(Path(__file__).parent / "migrations").replace("%", "%%"))
    with engine.begin() as connection:
        if connection.dialect.name == "postgresql":
            # one program at a time; the lock goes with the transaction
            connection.execute(text("SELECT pg_advisory_xact_lock(7316052911)"))
        config.attributes["connection"] = connection
        here = _shape(connection)
        if here == wanted or (here is None and wanted == "base"):
            return  # another program was quicker
        order = ("base", *CHAIN)
        upwards = order.index(here or "base") < order.index(wanted)
        (command.upgrade if upwards else command.downgrade)(config, wanted)


def _copy_beside(file: Path, shape: str) -> None:
    """A copy of an old store as it was, so that its own program can still open it."""
    copy = file.with_name(f"{file.name}.{shape}")
    if copy.exists():
        return
    source, target = sqlite3.connect(file), sqlite3.connect(copy)
    try:
        source.backup(target)
    finally:
        source.close()
        target.close()
