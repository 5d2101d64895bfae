"""Verdicts: what the computed cases mean to a person, each number beside its limit and where the limit comes from.

A verdict holds numbers only; its sentence is made where sheets and screens are made. Each is judged by somebody:
*design* (a rail or a thicker bar changes it), *wish* (the tension asked for), *bench* (how straight the timber
is and how flat it is glued), or by nobody, when it only tells what to expect.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from longpoint.tables import Limit, Tag

Judge = Literal["design", "wish", "bench", "nobody"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Remedy:
    """A change that would meet a limit.

    Attributes:
        what: Short stable names of what is changed, e.g. ``middle-pieces``.
        value: What the judged number becomes.
        price: What it costs more; None where nothing is priced.
        timber: Timber it takes more, all sections together. [m]
        numbers: What the sentence needs besides.
    """

    what: tuple[str, ...]
    value: float
    price: float | None
    timber: float
    numbers: tuple[tuple[str, float], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """One result and what it is held against.

    Attributes:
        key: Short stable name, e.g. ``pulled-in-now``.
        value: The judged number.
        unit: Its unit: mm, N/mm, 1, deg, N, kg.
        low: Least of all cases; the same as ``value`` where there is one case.
        high: Greatest of all cases.
        limit: What it is held against; None where nothing is.
        sense: "at most" or "at least".
        source: Where the limit comes from.
        tag: How far the limit can be trusted: read, from memory, computed, estimate, common practice, yours.
        judge: Who can change it.
        numbers: Further numbers the sentence needs.
        place: Name of the bar, member or bay it is about; "" for the whole.
        remedy: What would meet the limit; None where it is met or nothing found does.
    """

    key: str
    value: float
    unit: str
    low: float
    high: float
    limit: float | None
    sense: str
    source: str
    tag: str
    judge: Judge
    numbers: tuple[tuple[str, float], ...] = ()
    place: str = ""
    remedy: Remedy | None = None

    @property
    def use(self) -> float:
        """How much of the limit is used up; above 1 it is not kept, 0 where there is no limit. [1]"""
        if self.limit is None:
            return 0.0
        if self.sense == "at most":
            return abs(self.value) / self.limit
        return self.limit / self.value if self.value > 1e-12 else 1e6

    @property
    def passes(self) -> bool | None:
        """Whether the limit is kept; None where nothing is judged."""
        return None if self.limit is None else self.use <= 1.0 + 1e-9

    def number(self, name: str) -> float:
        """One of the further numbers."""
        return dict(self.numbers)[name]


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnLimits:
    """Limits the user stated; None leaves the table's.

    Attributes:
        pulled_in: Now; the limits for the long run and for a hard pull follow in proportion. [mm]
        hollow: [mm]
        turning_in: [deg]
        winding_factor: [1]
        tension_low: Least share of the mean that the lowest tension may be. [1]
        touch: For bars and rails. [N]
        mass: [kg]
        people: How many lift together.
    """

    pulled_in: float | None = None
    hollow: float | None = None
    turning_in: float | None = None
    winding_factor: float | None = None
    tension_low: float | None = None
    touch: float | None = None
    mass: float | None = None
    people: int = 1


def passes_design(verdicts: tuple[Verdict, ...]) -> bool:
    """Whether every limit is kept that a design can keep."""
    return all(
        verdict.passes for verdict in verdicts if verdict.judge == "design" and verdict.limit is not None
    )


def worst_of(verdicts: tuple[Verdict, ...]) -> Verdict:
    """The verdict of the design that uses most of its limit."""
    return max((v for v in verdicts if v.judge == "design"), key=lambda v: (v.use, v.key))


@dataclass(frozen=True, slots=True)
class Bound:
    """What a number is held against, and where that comes from.

    Attributes:
        value: The limit.
        sense: "at most" or "at least".
        source: Where it comes from; "" where the user stated it.
        tag: How far it can be trusted: the table's tag, or "yours".
    """

    value: float
    sense: str
    source: str
    tag: str


def bound_of(row: Limit, stated: float | None = None, *, factor: float = 1.0) -> Bound:
    """The limit of a table's row, unless the user stated one.

    Args:
        row: The table's.
        stated: The user's, before ``factor``.
        factor: What the user's is multiplied with.
    """
    if stated is not None:
        return Bound(stated * factor, row.sense, "", "yours")
    return Bound(row.value, row.sense, row.source.text, str(Tag(row.source.tag)))


def judged(
    key: str,
    value: float,
    unit: str,
    bound: Bound,
    *,
    low: float,
    high: float,
    judge: Judge = "design",
    numbers: tuple[tuple[str, float], ...] = (),
    place: str = "",
) -> Verdict:
    """A number held against a bound.

    Args:
        key: Short stable name.
        value: The judged number.
        unit: Its unit.
        bound: What it is held against.
        low: Least of all cases.
        high: Greatest of all cases.
        judge: Who can change it.
        numbers: Further numbers the sentence needs.
        place: Name of the part it is about; "" for the whole.
    """
    return Verdict(
        key=key,
        value=value,
        unit=unit,
        low=low,
        high=high,
        limit=bound.value,
        sense=bound.sense,
        source=bound.source,
        tag=bound.tag,
        judge=judge,
        numbers=numbers,
        place=place,
    )
