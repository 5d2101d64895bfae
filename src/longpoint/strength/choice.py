"""The choice of a design: the first one, in order of what is wished, that passes everything.

Candidates come priced from outside, since price belongs to the yard. They are taken in order of cost (or mass, or
stiffness); a quick lower bound throws out what cannot pass, one solve throws out most of the rest, and only what is
left is judged in full. The first that holds is the answer: nothing cheaper holds, and where the answer is that
nothing holds, every candidate was thrown out by a bound or by what was solved of it. A few more are looked at
afterwards, so that a person can pick another: the designs that no other beats in cost, mass and pull-in, and the two
nearest rivals.

Most limits are estimates, and an estimate is no sharper than a tenth: a design that overruns one by less is taken
where it is cheaper, and what it leaves is said. Of what nobody sees or measures (`UNSEEN`) any overrun is only said.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Generic, Literal, TypeVar

from longpoint.strength.verdicts.verdict import Verdict, worst_of

Design = TypeVar("Design")
First = Literal["cheapest", "lightest", "stiffest"]

#: Designs looked at beyond the first that passes, for rivals and the ones that no other beats.
FURTHER = 4
#: Nearest misses judged in full where nothing holds.
NEAREST = 3
#: Nearest misses of which it is asked whether they can be screwed together, where one has been found that can.
ASKED = 6
#: Why a design that would hold is none: no screws that can be had hold it together.
UNBUILDABLE = "cannot be screwed together"


def holds(verdict: Verdict) -> bool:
    """Whether a limit that a design can keep is kept, estimates to within a tenth."""
    return verdict.judge != "design" or verdict.answer != "not"


def all_hold(verdicts: Iterable[Verdict]) -> bool:
    """Whether every limit that a design can keep is kept, estimates to within a tenth."""
    return all(holds(verdict) for verdict in verdicts)


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
        return self.full and not self.broken and all_hold(self.verdicts)

    @property
    def worst(self) -> Verdict | None:
        """The verdict that uses most of its limit; None where nothing was solved."""
        return worst_of(self.verdicts) if self.verdicts else None

    @property
    def missed(self) -> Verdict | None:
        """The limit that is missed by most; None where all that is known of is kept, estimates to within a tenth."""
        missed = [verdict for verdict in self.verdicts if not holds(verdict)]
        return max(missed, key=lambda verdict: (verdict.use, verdict.key), default=None)

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
        decided: The limit that the nearest miss among the designs before it in order does not keep: the one that
            decided; None where the very first passed, or where it keeps all and cannot be built.
        led: Whether none before it in order was thrown out once it was solved.
        rivals: The two nearest: the nearest miss of those before it, the first of those after it that passes.
        unbeaten: Designs that no other passing one beats in cost, mass and pull-in.
        tried: Everything tried, in order.
        solved: How many were solved.
    """

    chosen: Tried[Design]
    passes: bool
    decided: Verdict | None
    led: bool
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
    together: Callable[[Candidate[Design]], bool] = lambda _candidate: True,
    first: First = "cheapest",
) -> Choice[Design]:
    """Chooses a design.

    Args:
        candidates: Every design that could be built, at least one.
        bound: Name of a quick bound that the design cannot meet; "" if it may pass.
        look: Verdicts of one solve, and why it could not be solved ("" if it could).
        judge: Every verdict; or, of a design that does not hold, enough to tell that.
        together: Whether it can be screwed together with what can be had.
        first: What is looked for first.

    Returns:
        The choice.
    """
    ordered = sorted(candidates, key=lambda c: _order(c, first))
    if first == "stiffest":
        ordered = _stiffest_first(ordered, bound=bound, look=look)
    tried: list[Tried[Design]] = []
    found: Tried[Design] | None = None
    further = 0
    for candidate in ordered:
        if found is not None and further >= FURTHER:
            break
        why = bound(candidate)
        if why:
            tried.append(Tried(candidate, (), bound=why))
            continue
        further += found is not None
        done = _tried(candidate, look=look, judge=judge, together=together)
        tried.append(done)
        if found is None and done.passes:
            found = done
    if found is None:
        # bounds leave out nothing that could be the nearest miss by much, but if they left out all, solve the last
        if not any(t.verdicts for t in tried):
            verdicts, broken = look(ordered[-1])
            tried.append(Tried(ordered[-1], verdicts, broken=broken))
        found = _nearest_miss(tried, judge=judge, together=together)
        tried = [found if t.candidate.name == found.candidate.name and not t.bound else t for t in tried]
    return _answer(found, tried, sum(bool(t.verdicts or t.broken) for t in tried))


def any_holds(
    candidates: Iterable[Candidate[Design]],
    *,
    bound: Callable[[Candidate[Design]], str],
    look: Callable[[Candidate[Design]], tuple[tuple[Verdict, ...], str]],
    judge: Callable[[Candidate[Design]], tuple[Verdict, ...]],
    together: Callable[[Candidate[Design]], bool],
) -> bool:
    """Whether any of some designs holds; the arguments are those of `choose`."""
    return any(
        not bound(one) and _tried(one, look=look, judge=judge, together=together).passes for one in candidates
    )


def _tried(
    candidate: Candidate[Design],
    *,
    look: Callable[[Candidate[Design]], tuple[tuple[Verdict, ...], str]],
    judge: Callable[[Candidate[Design]], tuple[Verdict, ...]],
    together: Callable[[Candidate[Design]], bool],
) -> Tried[Design]:
    verdicts, broken = look(candidate)
    if broken or not all_hold(verdicts):
        return Tried(candidate, verdicts, broken=broken)
    verdicts = judge(candidate)
    if all_hold(verdicts) and not together(candidate):  # building it takes longer than judging it
        return Tried(candidate, verdicts, broken=UNBUILDABLE)
    return Tried(candidate, verdicts, full=True)


def _order(candidate: Candidate[Design], first: First) -> tuple[float, float, float, str]:
    cost, mass = round(candidate.cost, 6), round(candidate.mass, 6)
    lead = (mass, cost) if first == "lightest" else (cost, mass)
    return (*lead, round(candidate.hours, 6), candidate.name)


def _stiffest_first(
    ordered: Sequence[Candidate[Design]],
    *,
    bound: Callable[[Candidate[Design]], str],
    look: Callable[[Candidate[Design]], tuple[tuple[Verdict, ...], str]],
) -> list[Candidate[Design]]:
    """All that no bound throws out, the least pulled in first; the last one where bounds throw out all."""
    open_ones = [candidate for candidate in ordered if not bound(candidate)] or list(ordered[-1:])
    pulled = {c.name: Tried(c, look(c)[0]).pulled_in for c in open_ones}
    return sorted(open_ones, key=lambda c: (round(pulled[c.name], 9), c.cost, c.name))


def _nearest_miss(
    tried: Sequence[Tried[Design]],
    *,
    judge: Callable[[Candidate[Design]], tuple[Verdict, ...]],
    together: Callable[[Candidate[Design]], bool],
) -> Tried[Design]:
    """The design that can be built and overruns its worst limit by least, judged in full so that all it misses is said.

    A design that cannot be screwed together is only answered where none can.
    """
    solved = [t for t in tried if t.verdicts]
    if not solved:
        return tried[-1]
    near: list[Tried[Design]] = []
    for asked, item in enumerate(sorted(solved, key=lambda t: (_use(t), t.candidate.name))):
        if len(near) >= NEAREST or (near and asked >= ASKED):
            break
        if item.broken != UNBUILDABLE and together(item.candidate):
            near.append(item if item.full else Tried(item.candidate, judge(item.candidate), full=True))
    if not near:
        return min(solved, key=lambda t: (_use(t), t.candidate.name))
    return min(near, key=lambda t: (_use(t), t.candidate.name))


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
    decided = (nearest[0].missed if nearest else None) if found.passes else found.missed
    return Choice(
        chosen=found,
        passes=found.passes,
        decided=decided,
        led=not nearest,
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
