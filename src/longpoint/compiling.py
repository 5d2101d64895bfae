"""One door to the compiler: loops become machine code, kept on disk between runs where there is a place for it.

Nowhere to keep it, a full disk or a spoilt file there make a run slower, never impossible.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, ParamSpec, TypeVar, cast

P = ParamSpec("P")
R = TypeVar("R")

_unkept: list[str] = []


def compiled(function: Callable[P, R]) -> Callable[P, R]:
    """The function compiled to machine code at its first call.

    Returns:
        The compiled function, called the same way.
    """
    from numba import config, njit, types  # a heavy module: loaded where something is compiled, not before

    if config.DISABLE_JIT:  # somebody looks for a fault, plainly and slowly
        return function
    try:
        made = njit(cache=True)(function)
    except RuntimeError:  # no folder that can be written
        _unkept.append(function.__name__)
        made = njit(function)
    else:
        made._cache = _Forgiving(made._cache)
    asked = made.get_call_template

    def once(args: Any, kws: Any) -> Any:
        return asked(
            [types.unliteral(arg) for arg in args], {name: types.unliteral(arg) for name, arg in kws.items()}
        )

    made.get_call_template = once  # else each constant that a kernel is called with makes a kernel of its own
    return cast("Callable[P, R]", made)


def is_kept() -> bool:
    """Whether everything compiled so far could be kept for the next run."""
    return not _unkept


class _Forgiving:
    """The compiler's store: what cannot be read is compiled again, what cannot be written is not."""

    def __init__(self, store: Any) -> None:
        self._store = store

    def __getattr__(self, name: str) -> Any:
        return getattr(self._store, name)

    def load_overload(self, signature: Any, target: Any) -> Any:
        try:
            return self._store.load_overload(signature, target)
        except Exception:  # whatever a spoilt file makes of the reader
            return None

    def save_overload(self, signature: Any, code: Any) -> None:
        try:
            try:
                self._store.save_overload(signature, code)
            except OSError:
                raise
            except Exception:  # a spoilt index: begun anew
                self._store.flush()
                self._store.save_overload(signature, code)
        except OSError:
            _unkept.append(str(signature))
