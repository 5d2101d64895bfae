"""The choice of a design: the first one, in order of what is wished, that passes everything.

Candidates come priced from outside, since price belongs to the yard. They are taken in order of cost (or mass, or
stiffness); quick lower bounds throw out what cannot pass, one solve throws out most of the rest, and only what is
left is judged in full. The first that passes is the answer. A few more are looked at afterwards, so that a person
can pick another: the designs that no other beats in cost, mass and pull-in, and the two nearest rivals. Every
limit counts work, never time, so that the answer is the same on any machine.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Generic, Literal, TypeVar

from longpoint.strength.verdicts.verdict import Verdict, passes_design, worst_of

Design = TypeVar("Design")
First = Literal["cheapest", "lightest", "stiffest"]

#: Designs looked at beyond the first that passes, for rivals and the ones that no other beats.
FURTHER = 4
#: Most designs solved for one work.
MOST = 40
#: Most designs judged in full for one work.
MOST_FULL = 6


@dataclass(frozen=True, slots=True)
class Candidate(Generic[Design]):
    """A design that could be built.

    Attributes:
        design: The design.
        name: Unique; ties fall to the name that sorts first.
        cost: What it costs, in money or, where nothing is priced, in timber.
        mass: Of its timber. [kg]
        hours: To make it. [h]
    """

    design: Design
    name: str
    cost: float
    mass: float
    hours: float


@dataclass(frozen=True, slots=True)
class Tried(Generic[Design]):
    """A candidate and what came of it.

    Attributes:
        candidate: The candidate.
        verdicts: What was found: every verdict, or those of one solve; () where it was thrown out unsolved.
        full: Whether it was judged in full.
        bound: Name of the quick bound that threw it out; "" where none did.
        broken: Why no tension could be left on it; "" where it could.
    """

    candidate: Candidate[Design]
    verdicts: tuple[Verdict, ...]
    full: bool = False
    bound: str = ""
    broken: str = ""

    @property
    def passes(self) -> bool:
        """Whether it was judged in full and keeps every limit of a design."""
        return self.full and passes_design(self.verdicts)

    @property
    def worst(self) -> Verdict | None:
        """The verdict that uses most of its limit; None where nothing was solved."""
        return worst_of(self.verdicts) if self.verdicts else None

    @property
    def pulled_in(self) -> float:
        """Greatest pull-in now; infinite where nothing was solved. [mm]"""
        for verdict in self.verdicts:
            if verdict.key == "pulled-in-now":
                return abs(verdict.value)
        return float("inf")


@dataclass(frozen=True, slots=True)
class Choice(Generic[Design]):
    """What was chosen and against what.

    Attributes:
        chosen: The first that passes, or the nearest miss.
        passes: Whether it passes.
        decided: The limit that threw out the nearest miss among the designs before it in order: the one that
            decided; None where the very first passed.
        rivals: The two nearest: the nearest miss of those before it, the first of those after it that passes.
        unbeaten: Designs that no other passing one beats in cost, mass and pull-in.
        tried: Everything tried, in order.
        solved: How many were solved.
    """

    chosen: Tried[Design]
    passes: bool
    decided: Verdict | None
    rivals: tuple[Tried[Design], ...]
    unbeaten: tuple[Tried[Design], ...]
    tried: tuple[Tried[Design], ...]
    solved: int


def choose(
    candidates: Iterable[Candidate[Design]],
    *,
    bound: Callable[[Candidate[Design]], str],
    look: Callable[[Candidate[Design]], tuple[tuple[Verdict, ...], str]],
    judge: Callable[[Candidate[Design]], tuple[Verdict, ...]],
    first: First = "cheapest",
) -> Choice[Design]:
    """Chooses a design.

    Args:
        candidates: Every design that could be built, at least one.
        bound: Name of a quick bound that the design cannot meet; "" if it may pass.
        look: Verdicts of one solve, and why it could not be solved ("" if it could).
        judge: Every verdict.
        first: What is looked for first.

    Returns:
        The choice.
    """
    ordered = sorted(candidates, key=lambda c: _order(c, first))
    tried: list[Tried[Design]] = []
    solved = full = 0
    further = 0
    found: Tried[Design] | None = None
    if first == "stiffest":
        return _stiffest(ordered, bound=bound, look=look, judge=judge)
    for candidate in ordered:
        if solved >= MOST or full >= MOST_FULL or (found is not None and further >= FURTHER):
            break
        why = bound(candidate)
        if why:
            tried.append(Tried(candidate, (), bound=why))
            continue
        verdicts, broken = look(candidate)
        solved += 1
        further += found is not None
        done = Tried(candidate, verdicts, broken=broken)
        if not broken and passes_design(verdicts):
            full += 1
            done = Tried(candidate, judge(candidate), full=True)
            if found is None and done.passes:
                found = done
        tried.append(done)
    if found is None:
        # bounds leave out nothing that could be the nearest miss by much, but if they left out all, solve the last
        if not any(t.verdicts for t in tried):
            last = ordered[-1]
            verdicts, broken = look(last)
            tried.append(Tried(last, verdicts, broken=broken))
            solved += 1
        found = _nearest_miss(tried, judge)
        tried = [found if t.candidate.name == found.candidate.name and not t.bound else t for t in tried]
    return _answer(found, tried, solved)


def _order(candidate: Candidate[Design], first: First) -> tuple[float, float, float, str]:
    cost, mass = round(candidate.cost, 6), round(candidate.mass, 6)
    lead = (mass, cost) if first == "lightest" else (cost, mass)
    return (*lead, round(candidate.hours, 6), candidate.name)


def _stiffest(
    ordered: Sequence[Candidate[Design]],
    *,
    bound: Callable[[Candidate[Design]], str],
    look: Callable[[Candidate[Design]], tuple[tuple[Verdict, ...], str]],
    judge: Callable[[Candidate[Design]], tuple[Verdict, ...]],
) -> Choice[Design]:
    """The least pulled in of those that pass; the dearest are solved where there are too many."""
    bounds = [(candidate, bound(candidate)) for candidate in ordered]
    tried = [Tried(candidate, (), bound=why) for candidate, why in bounds if why]
    open_ones = [candidate for candidate, why in bounds if not why][-MOST:] or list(ordered[-1:])
    looked = []
    for candidate in open_ones:
        verdicts, broken = look(candidate)
        looked.append(Tried(candidate, verdicts, broken=broken))
    looked.sort(key=lambda t: (round(t.pulled_in, 9), t.candidate.cost, t.candidate.name))
    found = None
    for index, item in enumerate(looked):
        if index >= MOST_FULL:
            break
        if not item.broken and passes_design(item.verdicts):
            looked[index] = Tried(item.candidate, judge(item.candidate), full=True)
            if found is None and looked[index].passes:
                found = looked[index]
    if found is None:
        found = _nearest_miss(looked, judge)
        looked = [found if t.candidate.name == found.candidate.name else t for t in looked]
    return _answer(found, [*tried, *looked], len(looked))


def _nearest_miss(
    tried: Sequence[Tried[Design]], judge: Callable[[Candidate[Design]], tuple[Verdict, ...]]
) -> Tried[Design]:
    """The design that overruns its worst limit by least; judged in full, so that all it misses is said."""
    solved = [t for t in tried if t.verdicts]
    if not solved:
        return tried[-1]
    best = min(solved, key=lambda t: (t.worst.use if t.worst else float("inf"), t.candidate.name))
    return best if best.full else Tried(best.candidate, judge(best.candidate), full=True)


def _answer(found: Tried[Design], tried: Sequence[Tried[Design]], solved: int) -> Choice[Design]:
    place = next(i for i, t in enumerate(tried) if t.candidate.name == found.candidate.name and not t.bound)
    before = [t for t in tried[:place] if t.verdicts and not t.passes]
    after = [t for t in tried[place + 1 :] if t.verdicts]
    # of what comes earlier in order the nearest miss says most; of what comes later the first that holds
    nearest = sorted(before, key=lambda t: (_use(t), t.candidate.name))
    holding = [t for t in after if t.passes]
    spare = sorted((t for t in after if not t.passes), key=lambda t: (_use(t), t.candidate.name))
    rivals = [*nearest[:1], *holding[:1]]
    rivals += [*holding[1:], *nearest[1:], *spare][: max(0, 2 - len(rivals))]
    passing = [t for t in tried if t.passes]
    unbeaten = tuple(t for t in passing if not any(_beats(other, t) for other in passing))
    decided = nearest[0].worst if nearest and found.passes else None
    if not found.passes:
        decided = found.worst
    return Choice(
        chosen=found,
        passes=found.passes,
        decided=decided,
        rivals=tuple(rivals),
        unbeaten=unbeaten,
        tried=tuple(tried),
        solved=solved,
    )


def _use(tried: Tried[Design]) -> float:
    return tried.worst.use if tried.worst else float("inf")


def _beats(one: Tried[Design], other: Tried[Design]) -> bool:
    a = (one.candidate.cost, one.candidate.mass, one.pulled_in)
    b = (other.candidate.cost, other.candidate.mass, other.pulled_in)
    return all(x <= y + 1e-9 for x, y in zip(a, b, strict=True)) and any(
        x < y - 1e-9 for x, y in zip(a, b, strict=True)
    )
