"""Serves the pages from this machine to this machine."""

from __future__ import annotations

import os
from pathlib import Path

import uvicorn

from longpoint.store import place_of
from longpoint.web.app import Settings, make_app

LOOPBACK = "127.0.0.1"


def data_folder() -> Path:
    """Where batches lie if nothing else is said: beside the store."""
    return place_of("", os.environ).folder


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
