"""A step of the work, said to the person at the bench."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from longpoint.tables import SafetyCaution, safety_caution


@dataclass(frozen=True, slots=True)
class BenchStep:
    """One step.

    Attributes:
        title: What is done, a few words.
        text: How, one to three sentences with their figures.
        caution: Operation whose safety caution belongs beside it; "" for none.
    """

    title: str
    text: str
    caution: str = ""


def cautions_for(steps: Iterable[BenchStep]) -> tuple[SafetyCaution, ...]:
    """The safety cautions that belong beside steps, each once, in order.

    Args:
        steps: Steps.

    Returns:
        Cautions from the tables.
    """
    return tuple(
        safety_caution(name) for name in dict.fromkeys(step.caution for step in steps if step.caution)
    )
