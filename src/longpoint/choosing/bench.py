"""Computes designs of one work, each once, and tells before solving what cannot pass."""

from __future__ import annotations

from collections.abc import Set
from dataclasses import replace
from itertools import pairwise
from typing import TypeVar

from longpoint.choosing.candidates import Buildable
from longpoint.errors import Fault, FaultsError
from longpoint.frame.members import derive_frame
from longpoint.joinery import BuildPlan
from longpoint.model.shop import Limits
from longpoint.strength.choice import UNBUILDABLE, Candidate, all_hold
from longpoint.strength.quick_bounds import rigid_ended_pull_in
from longpoint.strength.verdicts.cases import (
    AllCases,
    Look,
    all_cases,
    first_look,
    judged_cases,
    later_look,
)
from longpoint.strength.verdicts.drawn import all_verdicts, first_verdicts, later_verdicts
from longpoint.strength.verdicts.timber import buckling_verdict, timber_verdict
from longpoint.strength.verdicts.touch import touching_verdicts
from longpoint.strength.verdicts.verdict import ESTIMATE_GIVES, OwnLimits, Verdict
from longpoint.strength.verdicts.winding import winding_verdict
from longpoint.strength.winding import Winding, find_winding
from longpoint.strength.work_case import WorkCase
from longpoint.tables import limit
from longpoint.works.brief import Brief
from longpoint.works.build import has_screws
from longpoint.works.designed import Designed
from longpoint.works.draft import Draft, draft_of
from longpoint.works.strength import Makes, makes_of, strength_case, weakened
from longpoint.works.tension import Tensions, tensions_of

Found = TypeVar("Found")


def own_limits(stated: Limits, *, people: int) -> OwnLimits:
    """The user's limits as the verdicts take them."""
    return OwnLimits(
        pulled_in=None if stated.pulled_in is None else float(stated.pulled_in),
        hollow=None if stated.hollow is None else float(stated.hollow),
        turning_in=stated.turning_in,
        winding_factor=stated.winding_factor,
        tension_low=stated.tension_low,
        touch=stated.touch,
        mass=stated.mass,
        people=people,
    )


_HOLES_COUNT = frozenset({"buckling", "timber-use"})
"""Verdicts that hang on the wood which joints take out."""

_FAR_BELOW = 0.7
"""Share of the worst below which such a verdict is not made the worst by holes: they take a tenth or so."""

RECENT = 8
"""Solved designs that stay at hand with their matrices; an earlier one is solved again, should anybody ask."""


class Bench:
    """Computes designs of one work. What is found of each is kept; its matrices only of the last few."""

    def __init__(self, brief: Brief) -> None:
        self.brief = brief
        self.own = own_limits(brief.limits, people=brief.shop.people)
        self._cases: dict[str, AllCases] = {}
        self._drafts: dict[str, Draft] = {}
        self._works: dict[str, WorkCase] = {}
        self._looks: dict[str, Look] = {}
        self._later: dict[str, tuple[Look, Winding]] = {}
        self._judged: dict[str, AllCases] = {}
        self._screws: dict[str, bool] = {}
        self._builds: dict[str, tuple[Fault, ...]] = {}
        self._weighed: dict[str, tuple[Verdict, ...]] = {}
        self._first: dict[str, tuple[tuple[Verdict, ...], str]] = {}
        self._verdicts: dict[str, tuple[Verdict, ...]] = {}

    def makes(self, option: Buildable) -> Makes:
        """What a design is made of."""
        rails = (option.rails or option.bars).wood
        return makes_of(self.brief.work_cloth, bars=option.bars.wood, rails=rails)

    def case(self, candidate: Candidate[Buildable]) -> WorkCase:
        """The work with this design, in plain values."""
        if candidate.name not in self._works:
            option = candidate.design
            draft = self._draft(candidate)
            self._works[candidate.name] = strength_case(
                self.brief, draft.frame, self.makes(option), mass=draft.mass
            )
        return self._works[candidate.name]

    def tensions(self, look: Look) -> Tensions:
        """Tensions at each stage on the frame that was solved."""
        return tensions_of(self.brief, share=look.answer.mean[0] / look.prestress)

    def _draft(self, candidate: Candidate[Buildable]) -> Draft:
        """What follows from a design alone."""
        if candidate.name not in self._drafts:
            option = candidate.design
            designed = Designed(option.design, option.bars, option.rails)
            self._drafts[candidate.name] = draft_of(self.brief, designed)
        return self._drafts[candidate.name]

    def look(self, candidate: Candidate[Buildable]) -> tuple[tuple[Verdict, ...], str]:
        """Verdicts of one solve, or why there is none."""
        if candidate.name not in self._first:
            try:
                self._first[candidate.name] = first_verdicts(self._look(candidate), self.own), ""
            except FaultsError as error:
                self._first[candidate.name] = (), error.faults[0].what
        return self._first[candidate.name]

    def _look(self, candidate: Candidate[Buildable]) -> Look:
        if candidate.name not in self._looks:
            _keep(self._looks, candidate.name, first_look(self.case(candidate)))
        return self._looks[candidate.name]

    def _built_look(self, candidate: Candidate[Buildable]) -> Look:
        """The same with the wood that its joints take out: worked out only for what may hold without."""
        look, draft = self._look(candidate), self._draft(candidate)
        if not look.case.weakenings:
            look = replace(look, case=weakened(look.case, draft.frame, self.build(candidate).joints))
            self._looks[candidate.name] = look
        return look

    def faults_of_build(self, candidate: Candidate[Buildable]) -> tuple[Fault, ...]:
        """What stands against making the joints with the screws there are."""
        if candidate.name not in self._builds:
            self._builds[candidate.name] = self.build(candidate).faults
        return self._builds[candidate.name]

    def build(self, candidate: Candidate[Buildable]) -> BuildPlan:
        """How its frame goes together."""
        return self._draft(candidate).build()

    def goes_together(self, candidate: Candidate[Buildable]) -> bool:
        """Whether the joints can be made with the screws there are."""
        return self.has_screws(candidate) and not self.faults_of_build(candidate)

    def has_screws(self, candidate: Candidate[Buildable]) -> bool:
        """Whether there is a screw for every place that needs one; without, it does not go together."""
        if candidate.name not in self._screws:
            frame = derive_frame(candidate.design.design)
            self._screws[candidate.name] = has_screws(self.brief, frame=frame)
        return self._screws[candidate.name]

    def weigh(self, candidate: Candidate[Buildable]) -> tuple[Verdict, ...]:
        """What every verdict of a design is judged by, or, where it misses one, enough to tell that.

        What is dearest comes last. Values and answers are those of `judge`; ranges are not.
        """
        if candidate.name in self._verdicts:
            return self._verdicts[candidate.name]
        if candidate.name not in self._weighed:
            self._weighed[candidate.name] = self._weigh(candidate)
        return self._weighed[candidate.name]

    def _weigh(self, candidate: Candidate[Buildable]) -> tuple[Verdict, ...]:
        look = self._look(candidate)
        found = first_verdicts(look, self.own)
        later = later_look(look)
        found += later_verdicts(look, later, self.own)
        if not all_hold(found):
            return self._missed(candidate, found)
        winding_later = find_winding(later.system, later.state)
        _keep(self._later, candidate.name, (later, winding_later))
        found += (winding_verdict(look.case, winding_later, winding_later, later, self.own),)
        if not all_hold(found):
            return self._missed(candidate, found)
        touching = touching_verdicts(look.case, look, self.own, until_it_holds=True)
        if not all_hold(touching):
            return self._missed(candidate, (*found, *touching))
        cases = judged_cases(self._built_look(candidate), later=later, winding_later=winding_later)
        _keep(self._judged, candidate.name, cases)
        return all_verdicts(cases, self.own, touching=touching)

    def _missed(self, candidate: Candidate[Buildable], found: tuple[Verdict, ...]) -> tuple[Verdict, ...]:
        """What is told of a design that misses a limit: what hangs on its holes only where that may be missed by most.

        Joints take longer to work out than a solve.
        """
        wood = [verdict for verdict in found if verdict.key in _HOLES_COUNT]
        rest = tuple(verdict for verdict in found if verdict.key not in _HOLES_COUNT)
        worst = max((verdict.use for verdict in rest), default=0.0)
        if not all_hold(rest) and all(verdict.use < _FAR_BELOW * worst for verdict in wood):
            return rest
        look = self._built_look(candidate)
        return (*rest, buckling_verdict(look), timber_verdict(look))

    def values(self, candidate: Candidate[Buildable], keys: Set[str]) -> dict[str, Verdict]:
        """Verdicts of a design by their keys, those asked for among them; no more is solved than they take.

        Values and answers are those of `judge`; ranges are not.
        """
        look = self._built_look(candidate)
        found = {verdict.key: verdict for verdict in first_verdicts(look, self.own)}
        if keys <= found.keys():
            return found
        later = later_look(look)
        found |= {verdict.key: verdict for verdict in later_verdicts(look, later, self.own)}
        if keys <= found.keys():
            return found
        cases = judged_cases(look, later=later, winding_later=find_winding(later.system, later.state))
        touching = None
        if not any(key.startswith("touch") for key in keys):
            touching = touching_verdicts(look.case, look, self.own, until_it_holds=True)
        return {verdict.key: verdict for verdict in all_verdicts(cases, self.own, touching=touching)}

    def judge(self, candidate: Candidate[Buildable]) -> tuple[Verdict, ...]:
        """Every verdict of a design."""
        if candidate.name not in self._verdicts:
            self._verdicts[candidate.name] = all_verdicts(self.cases(candidate), self.own)
        return self._verdicts[candidate.name]

    def cases(self, candidate: Candidate[Buildable]) -> AllCases:
        """Everything computed of a design, now and later."""
        if candidate.name not in self._cases:
            later, winding = self._later.get(candidate.name, (None, None))
            found = all_cases(
                self._built_look(candidate),
                later=later,
                winding_later=winding,
                judged=self._judged.get(candidate.name),
            )
            _keep(self._cases, candidate.name, found)
        return self._cases[candidate.name]

    def bound(self, candidate: Candidate[Buildable]) -> str:
        """A limit that this design cannot keep, or that no screw fits, seen before anything is solved."""
        if not self.has_screws(candidate):
            return UNBUILDABLE
        longest = max(_bays(candidate.design), key=lambda pair: pair[0])
        case = self.case(candidate)
        bar = case.pieces.members[0]
        span = limit("pulled in, of span").value * longest[0]
        most = min(self.own.pulled_in or limit("pulled in, now").value, span) * (1 + ESTIMATE_GIVES)
        least = rigid_ended_pull_in(
            case=case,
            inertia=_with_end_rail(candidate.design, bar.section.moment_across),
            modulus=bar.timber.modulus,
            span=longest[0],
            across=longest[1],
        )
        return "pulled-in-now" if least > most else ""


def _keep(store: dict[str, Found], name: str, found: Found) -> None:
    """Keeps what was found, and lets go what was found long before."""
    store[name] = found
    if len(store) > RECENT:
        del store[next(iter(store))]


def _bays(option: Buildable) -> list[tuple[float, float]]:
    """Clear lengths of the bays of all bars, each with the canvas across."""
    design = option.design
    length, breadth = float(design.length), float(design.breadth)
    thick, rail = float(design.bar_thickness), float(design.rail_thickness)
    edges = [thick, *(float(centre) for centre in design.cross_rails), length - thick]
    bays = [(b - a - rail, breadth) for a, b in pairwise(edges)]
    clear = breadth - 2 * thick
    bays.append(((clear - rail) / 2 - float(design.shift) if design.middle_pieces else clear, length))
    return bays


def _with_end_rail(option: Buildable, inertia: float) -> float:
    """The bar's second moment, as if every bar had an end rail glued on fully: never too low."""
    design = option.design
    if not design.end_rails:
        return inertia
    return float(design.bar_depth * (design.bar_thickness + design.rail_thickness) ** 3) / 12
