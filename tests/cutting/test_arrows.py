"""Imports of the cutting room run one way; in cloth, lays and the rest none hides in a function."""

from __future__ import annotations

import ast
from graphlib import TopologicalSorter
from pathlib import Path

import longpoint.cutting

ROOM = Path(longpoint.cutting.__path__[0])
OURS = sorted(file for word in ("boards", "cloth", "lay", "rest") for file in (ROOM / word).rglob("*.py"))
ROOMS_OF_CLOTH = [file for file in OURS if file.relative_to(ROOM).parts[0] != "boards"]
PREFIX = "longpoint.cutting."


def named(file: Path) -> str:
    return ".".join(file.relative_to(ROOM).with_suffix("").parts)


def imports(tree: ast.AST) -> set[str]:
    found = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.ImportFrom) and node.module and node.module.startswith(PREFIX):
            found.add(node.module.removeprefix(PREFIX))
    return found


def test_imports_run_one_way() -> None:
    arrows = {named(file): imports(ast.parse(file.read_text("utf-8"))) for file in OURS}
    assert arrows["cloth.search"] >= {"cloth.problem", "lay.solve"}
    order = list(TopologicalSorter(arrows).static_order())  # raises CycleError with the circle
    assert order.index("cloth.problem") < order.index("cloth.search")


def test_no_import_of_the_room_hides_in_a_function() -> None:
    hidden = {
        f"{file.name}, line {node.lineno}"
        for file in ROOMS_OF_CLOTH
        for function in ast.walk(ast.parse(file.read_text("utf-8")))
        if isinstance(function, ast.FunctionDef)
        for node in ast.walk(function)
        if isinstance(node, ast.ImportFrom) and node.module and node.module.startswith(PREFIX)
    }
    assert hidden == set()
