"""Steps of the work and pieces of advice, said to the person at the bench.

Each has a stable key and its figures as facts, so that a sheet in another language can say the same.
"""

from __future__ import annotations

from dataclasses import dataclass

Facts = tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Advice:
    """A piece of advice.

    Attributes:
        key: Stable name, e.g. ``backing-board``.
        text: One or two sentences.
        facts: Names and texts of its figures.
    """

    key: str
    text: str
    facts: Facts = ()

    def __str__(self) -> str:
        return self.text


@dataclass(frozen=True, slots=True)
class BenchStep:
    """One step.

    Attributes:
        key: Stable name of the kind of step, e.g. ``cut-to-thread``.
        title: What is done, a few words.
        text: How, one to three sentences with their figures.
        caution: Operation whose safety caution belongs beside it; "" for none.
        facts: Names and texts of its figures.
    """

    key: str
    title: str
    text: str
    caution: str = ""
    facts: Facts = ()
