"""Answers kept for the very values they were asked of, never for equal ones.

Two works are equal where one states what the other leaves to its default; they are not planned alike. Comparing
briefs whole would take longer than most answers, too.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable
from functools import wraps
from typing import Any, Generic, ParamSpec, TypeVar
from weakref import WeakKeyDictionary

G = TypeVar("G")
P = ParamSpec("P")
R = TypeVar("R")


def remembered(most: int) -> Callable[[Callable[P, R]], Callable[P, R]]:
    """Keeps the latest answers of a pure function.

    Args:
        most: How many are kept. Each keeps what it was asked of alive, so that no other value takes its place.
    """

    def keeping(function: Callable[P, R]) -> Callable[P, R]:
        kept: OrderedDict[tuple[object, ...], tuple[object, R]] = OrderedDict()

        @wraps(function)
        def asked(*given: P.args, **named: P.kwargs) -> R:
            key = (
                *map(_the_very, given),
                *((name, _the_very(value)) for name, value in sorted(named.items())),
            )
            found = kept.get(key)
            if found is None:
                found = kept[key] = (given, named), function(*given, **named)
                if len(kept) > most:
                    kept.popitem(last=False)
            return found[1]

        return asked

    return keeping


class KeptWith(Generic[G, R]):
    """A pure function of one value whose answer is kept as long as that value lives, or until it is let go.

    Args:
        function: The function; its answer holds no reference to what it was asked of.
    """

    def __init__(self, function: Callable[[G], R]) -> None:
        self._function = function
        self._kept: WeakKeyDictionary[G, R] = WeakKeyDictionary()
        _ALL_KEPT.append(self._kept)

    def __call__(self, given: G) -> R:
        """The answer."""
        if given not in self._kept:
            self._kept[given] = self._function(given)
        return self._kept[given]


_ALL_KEPT: list[WeakKeyDictionary[Any, Any]] = []


def let_go(given: object) -> None:
    """Forgets every answer about a value that is kept with it: nobody will ask again."""
    for kept in _ALL_KEPT:
        kept.pop(given, None)


def _the_very(value: Any) -> object:
    """Words and numbers by what they say, everything else by what it is."""
    return value if isinstance(value, str | int) else id(value)
