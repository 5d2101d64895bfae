"""Verdicts: what the computed cases mean to a person, each number beside its limit and where the limit comes from.

A verdict holds numbers only; its sentence is made where sheets and screens are made. Each is judged by somebody:
*design* (a rail or a thicker bar changes it), *wish* (the tension asked for), *bench* (how straight the timber
is and how flat it is glued), or by nobody, when it only tells what to expect.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Literal

from longpoint.tables import Limit, Tag

Judge = Literal["design", "wish", "bench", "nobody"]
Answer = Literal["holds", "unless", "not"]
"""Holds; holds unless what is uncertain comes out badly; does not hold."""

STRENGTH = frozenset({"bears", "corner-use", "join-use", "seam-bolt", "buckling", "timber-use"})
"""Limits that keep things from breaking, held on the unfavourable end of the range; others are of looks or touch."""

ESTIMATE_GIVES = 0.1
"""Share by which a limit that is an estimate may be passed and the work still holds, which is then said: nobody can
see, measure or break that difference. [1]"""

UNSEEN = frozenset({"tension-spread"})
"""Limits that are estimates of what nobody sees, measures or breaks: told however far they are passed, and no timber is
added for them. What is seen of uneven tension, cloth that flaps, is the lowest tension, a limit of its own."""

Stage = Literal["left", "making", "year", "years", "any"]

STAGES: dict[str, Stage] = {
    "bears": "any",
    "corner-use": "making",
    "corner-opening": "making",
    "join-use": "making",
    "seam-opening": "making",
    "seam-step": "making",
    "seam-bolt": "making",
    "buckling": "making",
    "timber-use": "making",
    "pulled-in-later": "years",
    "turning-in-later": "years",
    "hollow-later": "years",
    "winding": "years",
    "hung": "years",
    "wind": "years",
    "year": "year",
}
"""When a verdict is about, where that is not the canvas as it is left."""


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

    @property
    def stage(self) -> Stage:
        """When it is about: "left" (as the canvas is left), "making", "year", "years" (on), or "any" of them."""
        return STAGES.get(self.key, "left")

    @property
    def worst(self) -> float:
        """The unfavourable end of the range."""
        if self.sense == "at most":
            return max(self.value, self.low, self.high, key=abs)
        return min(self.value, self.low, self.high)

    @property
    def answer(self) -> Answer | None:
        """Holds, holds unless, does not hold; None where nothing is judged.

        A limit of strength must be kept by the unfavourable end of the range, a limit of looks or touch by the likely
        value. What the bench can still put right holds unless it is not put right.
        """
        if self.limit is None:
            return None
        if not self.passes:
            within = self.key in UNSEEN or self.use <= 1.0 + ESTIMATE_GIVES + 1e-9
            slight = self.tag == "estimate" and within
            return "unless" if self.judge == "bench" or (slight and self.judge == "design") else "not"
        if self.key in STRENGTH and replace(self, value=self.worst).use > 1.0 + 1e-9:
            return "unless"
        return "holds"

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


def answer_of(verdicts: Iterable[Verdict]) -> Answer:
    """The answer for a whole work: its worst. A wish out of its window leaves a doubt, since the frame is not at fault.

    Args:
        verdicts: Every verdict of it.
    """
    found: set[Answer] = {"holds"}
    for verdict in verdicts:
        if verdict.answer is not None:
            found.add("unless" if verdict.answer == "not" and verdict.judge == "wish" else verdict.answer)
    return next(answer for answer in ("not", "unless", "holds") if answer in found)


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
