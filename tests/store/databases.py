"""A PostgreSQL server of the tests' own: on loopback, in a folder of its own, gone when they end."""

from __future__ import annotations

import contextlib
import getpass
import os
import pwd
import shutil
import socket
import subprocess
import tempfile
import uuid
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from longpoint.store import open_store, place_of
from longpoint.store.tables import Base

PROGRAMS = sorted(Path("/usr/lib/postgresql").glob("*/bin"), key=lambda path: int(path.parent.name))


def server_is_there() -> bool:
    """Whether Debian's server is installed, and somebody without rights can run it."""
    return bool(PROGRAMS) and (os.geteuid() != 0 or _nobody() is not None)


def _nobody() -> str | None:
    """Who runs the server where the tests run as root, which the server refuses."""
    for name in ("postgres", "nobody"):
        with contextlib.suppress(KeyError):
            return pwd.getpwnam(name).pw_name
    return None


class Server:
    """A server that can be stopped and started again."""

    def __init__(self, folder: Path) -> None:
        self.folder, self._first = folder, ""
        self._as = (
            {"user": _nobody(), "group": pwd.getpwnam(_nobody() or "").pw_gid} if os.geteuid() == 0 else {}
        )
        self.user = str(self._as.get("user") or getpass.getuser())
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self.port = free.getsockname()[1]
        if self._as:
            shutil.chown(folder, self.user)
        self._run(
            "initdb",
            "-A",
            "trust",
            "--no-sync",
            "-E",
            "UTF8",
            "--locale",
            "C.UTF-8",
            "-D",
            str(folder / "data"),
        )
        self.start()

    def _run(self, program: str, *words: str) -> None:
        made = subprocess.run(
            [str(PROGRAMS[-1] / program), *words],
            capture_output=True,
            cwd=self.folder,
            check=False,
            **self._as,
        )
        if made.returncode:
            raise RuntimeError(f"{program}: {made.stdout.decode()} {made.stderr.decode()}")

    def start(self) -> None:
        """Starts it and waits until it answers."""
        words = f"-c listen_addresses=127.0.0.1 -c port={self.port} -c unix_socket_directories={self.folder} "
        words += "-c fsync=off -c max_connections=60 -c shared_buffers=64MB"
        log = str(self.folder / "log")
        self._run(
            "pg_ctl", "-D", str(self.folder / "data"), "-o", words, "-l", log, "-w", "-t", "60", "start"
        )

    def stop(self) -> None:
        """Stops it at once; connections break."""
        self._run("pg_ctl", "-D", str(self.folder / "data"), "-m", "immediate", "-w", "stop")

    def made(self) -> str:
        """The URL of a store with nothing in it, always the same one, emptied."""
        if not self._first:
            self._first = self.new()
            open_store(place_of(self._first, {})).close()
        else:
            names = ", ".join(f'"{table}"' for table in Base.metadata.tables if table != "number")
            with self._link(self._first) as link:
                link.execute(f"TRUNCATE {names} RESTART IDENTITY CASCADE")
                link.execute("UPDATE number SET last = 0")
        return self._first

    @staticmethod
    def _link(url: str) -> Any:
        import psycopg

        return psycopg.connect(url, autocommit=True)

    def new(self) -> str:
        """The URL of a database with nothing in it."""
        name = f"t{uuid.uuid4().hex[:12]}"
        with self._link(f"postgresql://{self.user}@127.0.0.1:{self.port}/postgres") as link:
            link.execute(f"CREATE DATABASE {name} STRATEGY FILE_COPY")
        return f"postgresql://{self.user}@127.0.0.1:{self.port}/{name}"


@contextlib.contextmanager
def running_server() -> Iterator[Server]:
    """A server for as long as the block runs."""
    folder = Path(tempfile.mkdtemp(prefix="longpoint-pg-"))
    server = None
    try:
        folder.chmod(0o755)
        server = Server(folder)
        yield server
    finally:
        if server is not None:
            with contextlib.suppress(RuntimeError):
                server.stop()
        shutil.rmtree(folder, ignore_errors=True)
