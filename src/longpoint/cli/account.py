"""``longpoint account``: who may sign in where the workshop is shared."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from longpoint.cli.at_store import Data, changing, looking

app = typer.Typer(
    name="account",
    help="Who signs in where the pages are shared.",
    no_args_is_help=True,
    rich_markup_mode=None,
)

Name = Annotated[str, typer.Argument(help="Their name.")]
Role = Annotated[
    str,
    typer.Option(help="look, bench (ticks besides), plan (plans besides) or own (keeps accounts besides)."),
]
PasswordFile = Annotated[
    Path | None,
    typer.Option(
        help="File whose first line is the password; otherwise it is asked for, or read from the pipe."
    ),
]


@app.command()
def add(name: Name, role: Role = "bench", password_file: PasswordFile = None, data: Data = "") -> None:
    """Makes an account. The first one of a workshop has to be one that keeps accounts: --role own."""
    from longpoint.store.benches.people import add_person

    password = _password(password_file)
    with changing(data) as desk:
        made = add_person(desk, name.strip(), password, role)  # type: ignore[arg-type]
    typer.echo(f"{made.name} has an account: {made.role}.")


@app.command(name="list")
def list_(data: Data = "") -> None:
    """Who has an account, and what they may do."""
    from longpoint.store.benches.people import people

    with looking(data) as desk:
        found = people(desk)
    for one in found:
        typer.echo(f"{one.name}  {one.role}")
    if not found:
        typer.echo("Nobody.")


@app.command()
def change(
    name: Name,
    role: Annotated[str, typer.Option(help="Another role.")] = "",
    password: Annotated[bool, typer.Option("--password", help="Asks for another password.")] = False,
    password_file: PasswordFile = None,
    data: Data = "",
) -> None:
    """Gives an account another role or password; whoever is signed in with it signs in anew."""
    from longpoint.errors import Where, refuse
    from longpoint.store.benches.people import ROLES, change_person

    if role and role not in ROLES:
        raise refuse("no-such-role", f"{role} is no role.", f"Use one of: {', '.join(ROLES)}.", Where("role"))
    if not role and not password and password_file is None:
        raise refuse("nothing-said", "nothing is to be changed.", "Say --role or --password.")
    new = _password(password_file) if password or password_file is not None else ""
    with changing(data) as desk:
        change_person(desk, name, password=new, role=role or None)
    typer.echo(f"{name}: changed.")


@app.command()
def close(name: Name, data: Data = "") -> None:
    """Closes an account; what they did stays in book and journal."""
    from longpoint.store.benches.people import change_person

    with changing(data) as desk:
        change_person(desk, name, close=True)
    typer.echo(f"{name}: closed.")


def _password(file: Path | None) -> str:
    """A password, which never stands among a command's words, where others on the machine read it."""
    from longpoint.cli.writing import read_bytes
    from longpoint.errors import Where, refuse

    if file is not None or not sys.stdin.isatty():
        contents = read_bytes(file) if file is not None else sys.stdin.buffer.readline(2000)
        try:
            lines = contents.decode("utf-8").splitlines()
        except UnicodeDecodeError:
            raise refuse(
                "no-text",
                "the password is no text in UTF-8.",
                "Write it with a text editor.",
                Where("password"),
            ) from None
        return lines[0] if lines else ""
    found: str = typer.prompt("Password", hide_input=True, confirmation_prompt="Once more")
    return found
