"""Serves the pages from this machine to this machine."""

from __future__ import annotations

import os
from pathlib import Path

import uvicorn

from longpoint.web.app import Settings, make_app

LOOPBACK = "127.0.0.1"


def data_folder() -> Path:
    """Where batches lie if nothing else is said: the user's own folder for data of programs."""
    said = os.environ.get("XDG_DATA_HOME", "")
    root = Path(said) if said.startswith("/") else Path.home() / ".local" / "share"
    return root / "longpoint"


def hosts_of(port: int) -> frozenset[str]:
    """Names under which a server on this machine is asked."""
    return frozenset(f"{name}:{port}" for name in (LOOPBACK, "localhost", "[::1]"))


def serve(*, port: int, data: Path) -> None:
    """Serves until it is stopped.

    Args:
        port: On which port of this machine.
        data: Folder of batches.
    """
    app = make_app(Settings(data=data, hosts=hosts_of(port), warm=True))
    uvicorn.run(app, host=LOOPBACK, port=port, log_level="warning", access_log=False, server_header=False)
