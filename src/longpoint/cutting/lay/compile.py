"""One door to the compiler, so that strict type checking sees through it."""

from __future__ import annotations

from collections.abc import Callable
from typing import ParamSpec, TypeVar, cast

from numba import njit

P = ParamSpec("P")
R = TypeVar("R")


def compiled(function: Callable[P, R]) -> Callable[P, R]:
    """The function compiled to machine code at its first call, and kept on disk for the next process.

    Returns:
        The compiled function, called the same way.
    """
    return cast("Callable[P, R]", njit(cache=True)(function))
