"""One wish: how one work stands while it is being said, at once with a design like the last, then for good.

At once means by what one solve tells: how it lies as stretched. Years on, winding and touching take several more.
"""

from __future__ import annotations

from dataclasses import dataclass

from longpoint.choosing.answer import ChosenDesign
from longpoint.choosing.bench import Bench
from longpoint.choosing.candidates import Buildable, Price, alike_candidates_of, candidates_of, price_of
from longpoint.choosing.parted import as_planned
from longpoint.choosing.refusals import tension_faults
from longpoint.errors import Fault
from longpoint.frame.design import FrameDesign
from longpoint.strength.choice import Candidate
from longpoint.strength.verdicts.verdict import Verdict
from longpoint.threads import on_one_thread
from longpoint.works.brief import Brief
from longpoint.works.designed import Chooser, Designed
from longpoint.works.draft import Draft, draft_of


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Answered:
    """How one work stands.

    Attributes:
        draft: The work as its design makes it.
        verdicts: What was judged of it.
        price: What its frame takes; None where its design was not computed.
        chosen: The design as the choice gives it; None where other designs were not looked at yet.
    """

    draft: Draft
    verdicts: tuple[Verdict, ...]
    price: Price | None
    chosen: ChosenDesign | None = None


@on_one_thread
def first_answer(
    brief: Brief, like: FrameDesign | None, *, fully: bool = False
) -> Answered | tuple[Fault, ...]:
    """How a work stands with a design like one that was chosen before; no other is looked at.

    Args:
        brief: The work.
        like: The design chosen last for it; None: the one that takes least.
        fully: Whether every verdict is drawn; else those that one solve tells.

    Returns:
        The answer, or everything that stands against it.
    """
    if like is not None:
        brief = as_planned(brief, like)
    if against := tension_faults(brief):
        return against
    bench = Bench(brief)
    alike = () if like is None else alike_candidates_of(brief, like)
    candidate = _cheapest(bench, alike)
    if candidate is None:
        candidates, faults = candidates_of(brief)
        candidate = _cheapest(bench, candidates)
        if candidate is None:
            return faults
    verdicts, _ = bench.look(candidate)
    if verdicts and fully:
        verdicts = tuple(bench.values(candidate, {"touch-bar", "touch-rail"}).values())
    return Answered(
        draft=_draft(brief, candidate),
        verdicts=verdicts,
        price=price_of(brief, candidate.design),
    )


def whole_answer(brief: Brief, choose: Chooser) -> Answered | tuple[Fault, ...]:
    """How a work stands with the design that a plan would give it.

    Args:
        brief: The work.
        choose: Settles its design.

    Returns:
        The answer, or everything that stands against it.
    """
    found = choose(brief)
    if not isinstance(found, Designed):
        return found
    draft = draft_of(brief, found)
    if not isinstance(found, ChosenDesign):
        return Answered(draft=draft, verdicts=(), price=None)
    strength = found.strength
    return Answered(draft=draft, verdicts=strength.verdicts, price=strength.price, chosen=found)


def _draft(brief: Brief, candidate: Candidate[Buildable]) -> Draft:
    option = candidate.design
    return draft_of(brief, Designed(option.design, option.bars, option.rails))


def _cheapest(bench: Bench, candidates: tuple[Candidate[Buildable], ...]) -> Candidate[Buildable] | None:
    """The one that takes least of those whose joints have screws."""
    by_cost = sorted(candidates, key=lambda one: (one.cost, one.name))
    return next((one for one in by_cost if bench.has_screws(one)), None)
