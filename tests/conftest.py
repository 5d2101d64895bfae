"""Tests of a file run in one process, so that what they share is worked out once; what they keep goes with the file."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parent


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Every file is a group of its own where its tests name none."""
    for item in items:
        if item.get_closest_marker("xdist_group") is None:
            item.add_marker(pytest.mark.xdist_group(item.path.relative_to(ROOT).with_suffix("").as_posix()))


@pytest.fixture(autouse=True, scope="module")
def _nothing_kept(request: pytest.FixtureRequest) -> Iterator[None]:
    """Plans that a file keeps are let go; what stays is never looked through for garbage again."""
    yield
    module = request.module
    kept = [
        value
        for value in vars(module).values()
        if getattr(value, "__module__", None) == module.__name__ and hasattr(value, "cache_clear")
    ]
    if kept:
        for value in kept:
            value.cache_clear()
        gc.collect()
        gc.freeze()
