"""``longpoint examples``: whole batches to try, which travel with the program."""

from __future__ import annotations

import tomllib
from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path
from typing import Annotated

import typer

from longpoint.errors import Where, refuse

_NOT_BATCHES = ("replan-",)


def examples(
    copy: Annotated[str, typer.Argument(help="The one to copy to where you are; left out: list them.")] = "",
) -> None:
    """List example batches, or copy one to the folder you are in."""
    from longpoint.cli.writing import write_file

    found = {item.name.removesuffix(".toml"): item for item in _shelf().iterdir() if _is_batch(item.name)}
    if not copy:
        for name, item in sorted(found.items()):
            typer.echo(f"{name:<16} {_about(item)}")
        typer.echo("Copy one: longpoint examples NAME")
        return
    name = copy.removesuffix(".toml")
    if name not in found:
        remedy = f"Use one of: {', '.join(sorted(found))}."
        raise refuse("no-such-example", f"there is no example {copy!r}.", remedy, Where("NAME"))
    file = Path(f"{name}.toml")
    write_file(file, found[name].read_bytes())
    typer.echo(f"{file} is written. Look at it: longpoint look {file}   Plan it: longpoint plan {file}")


def _shelf() -> Traversable:
    """Where examples lie: in the installed program, or beside its source."""
    inside = files("longpoint") / "examples"
    return inside if inside.is_dir() else Path(__file__).parents[3] / "examples"


def _is_batch(name: str) -> bool:
    return name.endswith(".toml") and not name.startswith(_NOT_BATCHES)


def _about(item: Traversable) -> str:
    """Its first comment, or its title and how many works it has."""
    text = item.read_text(encoding="utf-8")
    first = text.lstrip().splitlines()[0]
    if first.startswith("#"):
        return first.lstrip("# ").strip()
    read = tomllib.loads(text)
    works = sum(int(work.get("how_many", 1)) for work in read.get("work", []))
    return f"{read.get('title', 'A batch')}: {works} {'work' if works == 1 else 'works'}"
