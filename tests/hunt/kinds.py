"""The kinds of cases that the hunt knows: each makes a case from a seed and says what is wrong with its answer."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Checked:
    """What one case came to.

    Attributes:
        wrong: What is wrong with the answer; empty where nothing is.
        counts: What to count over all cases, such as proofs by kind.
    """

    wrong: tuple[str, ...]
    counts: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of cases.

    Attributes:
        name: Its name on the command line.
        write: The case of a seed as text, for a case file.
        check: Makes the case of a seed, answers it and checks the answer. An exception is wrong, too.
        quick: How many of the first seeds run in the ordinary tests.
    """

    name: str
    write: Callable[[int], str]
    check: Callable[[int], Checked]
    quick: int


KINDS: dict[str, Kind] = {}


def register(kind: Kind) -> None:
    """Add a kind."""
    KINDS[kind.name] = kind
