"""``longpoint serve``: the pages in the browser, from this machine to this machine, or to a workshop that signs in."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from longpoint.web.serve import Sharing


def serve(
    port: Annotated[int, typer.Option(help="Port of this machine.", min=1, max=65535)] = 8420,
    data: Annotated[
        str,
        typer.Option(
            metavar="PLACE",
            help="Folder that batches are kept in; otherwise LONGPOINT_DATA, else your own folder for data. Or a "
            "server as postgresql://NAME@MACHINE/DATABASE for rack, book and accounts.",
        ),
    ] = "",
    show: Annotated[bool, typer.Option("--show/--no-show", help="Open the browser.")] = True,
    shared: Annotated[
        bool, typer.Option("--shared", help="Let other machines of your network in, with an account each.")
    ] = False,
    at: Annotated[
        str,
        typer.Option(
            metavar="ADDRESS", help="Address of this machine to listen at, with --shared; otherwise its own."
        ),
    ] = "",
    host: Annotated[
        list[str] | None,
        typer.Option(
            metavar="NAME",
            help="A name that this machine is asked under besides its address; may be repeated.",
        ),
    ] = None,
    certificate: Annotated[
        Path | None, typer.Option(metavar="FILE", help="Certificate (PEM) that the line is encrypted with.")
    ] = None,
    key: Annotated[
        Path | None, typer.Option(metavar="FILE", help="Its key (PEM), without a password.")
    ] = None,
    unencrypted: Annotated[
        bool,
        typer.Option(
            "--unencrypted", help="Share without encryption: whoever listens on the network reads passwords."
        ),
    ] = False,
) -> None:
    """Open the workshop in the browser: say what to make, plan it, cut, glue and stretch by it."""
    import threading
    import webbrowser

    from longpoint.errors import refuse
    from longpoint.store import place_of
    from longpoint.web.room import built
    from longpoint.web.serve import serve as run
    from longpoint.web.serve import sharing_of

    sharing = sharing_of(
        shared=shared, at=at, hosts=tuple(host or ()), certificate=certificate, key=key, unencrypted=unencrypted,
        port=port,
    )  # fmt: skip
    place = place_of(data, os.environ)
    try:
        place.folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        raise refuse(
            "cannot-write", f"{place.folder} cannot be made: {reason}.", "Name another with --data."
        ) from None
    if shared:
        _somebody_keeps_accounts(data)
    for address in sharing.addresses(port):
        typer.echo(address)
    typer.echo(f"batches are kept in {place.folder}   stop with Ctrl-C")
    _warn(sharing)
    if not built():
        typer.echo("The browser code is not built (no Node.js was found): pages are plain forms.", err=True)
    if show:
        threading.Timer(0.8, webbrowser.open, [sharing.addresses(port)[0]]).start()
    run(port=port, place=place, sharing=sharing)


def _somebody_keeps_accounts(data: str) -> None:
    from longpoint.cli.at_store import looking
    from longpoint.errors import refuse
    from longpoint.store.benches.people import people

    with looking(data) as desk:
        known = any(one.role == "own" for one in people(desk))
    if not known:
        where = f" --data {data}" if data else ""
        raise refuse(
            "nobody-signs-in",
            "nobody has an account that keeps accounts: nobody could sign in.",
            f"Make the first one: longpoint account add NAME --role own{where}",
        )


def _warn(sharing: Sharing) -> None:
    if not sharing.shared:
        return
    typer.echo("Only for a network of your own, behind its router: not for the internet.", err=True)
    if not sharing.secure:
        typer.echo(
            "The line is not encrypted: whoever listens on this network reads passwords and pages.", err=True
        )
