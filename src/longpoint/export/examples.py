"""Example batches that travel with the program: where they lie, and what each is in a line."""

from __future__ import annotations

import itertools
import tomllib
from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path

_NOT_BATCHES = ("replan-",)


def example_files() -> dict[str, Traversable]:
    """The example batches by name."""
    found = (item for item in _shelf().iterdir() if _is_batch(item.name))
    return {item.name.removesuffix(".toml"): item for item in sorted(found, key=lambda item: item.name)}


def about_example(item: Traversable) -> str:
    """The first sentence of its first comment, or its title and how many works it has."""
    text = item.read_text(encoding="utf-8")
    comment = itertools.takewhile(lambda line: line.startswith("#"), text.lstrip().splitlines())
    told = " ".join(line.lstrip("# ").strip() for line in comment)
    if told:
        return told.split(". ")[0].rstrip(".") + "."
    read = tomllib.loads(text)
    works = sum(int(work.get("how_many", 1)) for work in read.get("work", []))
    return f"{read.get('title', 'A batch')}: {works} {'work' if works == 1 else 'works'}"


def _shelf() -> Traversable:
    """Where examples lie: in the installed program, or beside its source."""
    inside = files("longpoint") / "examples"
    return inside if inside.is_dir() else Path(__file__).parents[3] / "examples"


def _is_batch(name: str) -> bool:
    return name.endswith(".toml") and not name.startswith(_NOT_BATCHES)
