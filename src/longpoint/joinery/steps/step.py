"""One step of building, as a value: what is in hand, what is done, what is checked, and how long it takes.

A step says nothing itself: its sentences are keys, its figures are facts, and the sheets put both into words.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Lying = Literal["FACE UP", "FACE DOWN", "ON EDGE", "APART"]


@dataclass(frozen=True, slots=True, kw_only=True)
class GlueClock:
    """How long glue is open in a step, against how long it may be.

    Attributes:
        minutes: From the first spreading to the last joint closed, or to the check that must come before it
            sets; estimate. [min]
        open_minutes: What the glue allows. [min]
        until: Key of what has to be done by then.
    """

    minutes: float
    open_minutes: float
    until: str

    @property
    def holds(self) -> bool:
        """Whether there is time enough."""
        return self.minutes <= self.open_minutes


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One step.

    Attributes:
        number: From 1.
        key: Stable name of the kind of step, e.g. ``corners``.
        title: Key of its heading.
        lies: How the frame lies in front of you.
        members: Members put in or worked on.
        parts: Marks of their parts.
        in_place: Members in their place when the step is done.
        screws: Names of the screws driven.
        joints: Names of the joints closed.
        facts: Names and texts of the step's figures.
        do: What is done: keys of its sentences.
        measure: Key of what is measured, or "".
        check: Keys of what is checked, and how it is mended.
        caution: Keys of what can go wrong or hurt.
        meanwhile: Key of what can be done while the glue sets, or "".
        clock: The glue's clock; None where no glue is open.
        minutes: How long it takes; estimate. [min]
        people: How many it takes.
        half: Which half of a frame in two halves it is for, 1 or 2; 0 for the whole.
        bolts: Names of the bolts put in.
    """

    number: int
    key: str
    title: str
    lies: Lying
    members: tuple[str, ...]
    parts: tuple[str, ...]
    in_place: tuple[str, ...]
    screws: tuple[str, ...] = ()
    joints: tuple[str, ...] = ()
    facts: tuple[tuple[str, str], ...] = ()
    do: tuple[str, ...] = ()
    measure: str = ""
    check: tuple[str, ...] = ()
    caution: tuple[str, ...] = ()
    meanwhile: str = ""
    clock: GlueClock | None = None
    minutes: float = 0.0
    people: int = 1
    half: int = 0
    bolts: tuple[str, ...] = ()

    @property
    def seen_from(self) -> Literal["front", "back"]:
        """Which side of the frame is towards you in the picture."""
        return "back" if self.lies == "FACE DOWN" else "front"
