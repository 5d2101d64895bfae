"""Small solves on one thread: more cost them more than they bring, and their last digits must not follow the machine.

The number of threads belongs to the program that uses this library; it is changed while one of our solves runs, and
given back.
"""

from __future__ import annotations

import threading
from collections.abc import Callable
from functools import cache, wraps
from typing import Any, ParamSpec, TypeVar

from threadpoolctl import ThreadpoolController

P = ParamSpec("P")
R = TypeVar("R")

_lock = threading.Lock()
_inside = 0
_before: Any = None


@cache
def _pools() -> ThreadpoolController:
    """The pools of threads of the linear algebra that is loaded; looked for once, when all of ours is."""
    return ThreadpoolController()


def on_one_thread(solve: Callable[P, R]) -> Callable[P, R]:
    """The same function, its linear algebra on one thread.

    Returns:
        The function, called the same way.
    """

    @wraps(solve)
    def run(*given: P.args, **named: P.kwargs) -> R:
        global _inside, _before
        with _lock:
            if _inside == 0:
                _before = _pools().limit(limits=1, user_api="blas")
            _inside += 1
        try:
            return solve(*given, **named)
        finally:
            with _lock:
                _inside -= 1
                if _inside == 0:
                    _before.restore_original_limits()

    return run
