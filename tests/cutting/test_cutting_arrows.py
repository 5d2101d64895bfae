"""Imports of cloth, lays and the replanned rest run one way, and none hides in a function."""

from __future__ import annotations

import ast
from graphlib import TopologicalSorter
from pathlib import Path

import longpoint.cutting

ROOM = Path(longpoint.cutting.__path__[0])
OURS = sorted(file for word in ("cloth", "lay", "replan") for file in ROOM.glob(f"{word}*.py"))
PREFIX = "longpoint.cutting."


def imports(tree: ast.AST) -> set[str]:
    found = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.ImportFrom) and node.module and node.module.startswith(PREFIX):
            found.add(node.module.removeprefix(PREFIX).split(".")[0])
    return found


def test_imports_run_one_way() -> None:
    arrows = {file.stem: imports(ast.parse(file.read_text("utf-8"))) for file in OURS}
    assert arrows["cloth_search"] >= {"cloth", "lay_solve"}
    order = list(TopologicalSorter(arrows).static_order())  # raises CycleError with the circle
    assert order.index("cloth") < order.index("cloth_search")


def test_no_import_of_the_room_hides_in_a_function() -> None:
    hidden = {
        f"{file.name}, line {node.lineno}"
        for file in OURS
        for function in ast.walk(ast.parse(file.read_text("utf-8")))
        if isinstance(function, ast.FunctionDef)
        for node in ast.walk(function)
        if isinstance(node, ast.ImportFrom) and node.module and node.module.startswith(PREFIX)
    }
    assert hidden == set()
