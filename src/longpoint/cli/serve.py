"""``longpoint serve``: the pages in the browser, from this machine to this machine."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer


def serve(
    port: Annotated[int, typer.Option(help="Port of this machine.", min=1, max=65535)] = 8420,
    data: Annotated[
        Path | None, typer.Option(help="Folder that batches are kept in; otherwise your own folder for data.")
    ] = None,
    show: Annotated[bool, typer.Option("--show/--no-show", help="Open the browser.")] = True,
) -> None:
    """Open the workshop in the browser: say what to make, plan it, cut, glue and stretch by it."""
    import socket
    import threading
    import webbrowser

    from longpoint.errors import refuse
    from longpoint.web.room import built
    from longpoint.web.serve import LOOPBACK, data_folder
    from longpoint.web.serve import serve as run

    with socket.socket() as tried:
        tried.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            tried.bind((LOOPBACK, port))
        except OSError:
            remedy = "Stop it, or name another port with --port."
            raise refuse("port-taken", f"another program listens on port {port}.", remedy) from None
    folder = data or data_folder()
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        raise refuse(
            "cannot-write", f"{folder} cannot be made: {reason}.", "Name another with --data."
        ) from None
    address = f"http://{LOOPBACK}:{port}/"
    typer.echo(f"{address}   batches are kept in {folder}   stop with Ctrl-C")
    if not built():
        typer.echo("The browser code is not built (no Node.js was found): pages are plain forms.", err=True)
    if show:
        threading.Timer(0.8, webbrowser.open, [address]).start()
    run(port=port, data=folder)
