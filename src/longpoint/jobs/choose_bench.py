"""Computes designs of one work, each once, and tells before solving what cannot pass."""

from __future__ import annotations

from itertools import pairwise

from longpoint.errors import FaultsError
from longpoint.jobs.choose_answer import UNBUILDABLE
from longpoint.jobs.choose_candidates import Buildable
from longpoint.model.batch import Batch
from longpoint.strength.choice import Candidate
from longpoint.strength.quick_bounds import bare_winding_bound, rigid_ended_pull_in
from longpoint.strength.verdicts.cases import AllCases, Look, all_cases, first_look
from longpoint.strength.verdicts.drawn import all_verdicts, first_verdicts
from longpoint.strength.verdicts.verdict import OwnLimits, Verdict, passes_design
from longpoint.strength.work_case import WorkCase
from longpoint.tables import limit
from longpoint.works.designed import Designed
from longpoint.works.draft import Draft, draft_of
from longpoint.works.strength import Makes, makes_of, strength_case


def own_limits(batch: Batch) -> OwnLimits:
    """The user's limits as the verdicts take them."""
    stated = batch.limits
    return OwnLimits(
        pulled_in=None if stated.pulled_in is None else float(stated.pulled_in),
        hollow=None if stated.hollow is None else float(stated.hollow),
        turning_in=stated.turning_in,
        winding_factor=stated.winding_factor,
        tension_low=stated.tension_low,
        touch=stated.touch,
        mass=stated.mass,
        people=batch.shop.people,
    )


class Bench:
    """Computes designs of one work, each once."""

    def __init__(self, batch: Batch, index: int) -> None:
        self.batch, self.index, self.work = batch, index, batch.work[index]
        self.own = own_limits(batch)
        self.looks: dict[str, Look] = {}
        self.cases: dict[str, AllCases] = {}
        self.verdicts: dict[str, tuple[Verdict, ...]] = {}

    def makes(self, option: Buildable) -> Makes:
        """What a design is made of."""
        rails = (option.rails or option.bars).wood
        return makes_of(self.batch, self.work, bars=option.bars.wood, rails=rails)

    def case(self, candidate: Candidate[Buildable]) -> WorkCase:
        """The work with this design, in plain values."""
        option = candidate.design
        draft = self.draft(option)
        return strength_case(self.batch, self.work, draft.frame, self.makes(option), mass=draft.mass)

    def draft(self, option: Buildable) -> Draft:
        """What follows from a design alone."""
        return draft_of(self.batch, self.index, Designed(option.design, option.bars, option.rails, ""))

    def look(self, candidate: Candidate[Buildable]) -> tuple[tuple[Verdict, ...], str]:
        """Verdicts of one solve; a design that would pass must also go together with the screws there are."""
        try:
            look = first_look(self.case(candidate))
        except FaultsError as error:
            return (), error.faults[0].what
        self.looks[candidate.name] = look
        verdicts = first_verdicts(look, self.own)
        if passes_design(verdicts) and not self.goes_together(candidate.design):
            return verdicts, UNBUILDABLE
        return verdicts, ""

    def goes_together(self, option: Buildable) -> bool:
        """Whether the joints can be made with the screws there are."""
        return not self.draft(option).build().faults

    def judge(self, candidate: Candidate[Buildable]) -> tuple[Verdict, ...]:
        """Every verdict of a design."""
        if candidate.name not in self.verdicts:
            look = self.looks.get(candidate.name) or first_look(self.case(candidate))
            self.looks[candidate.name] = look
            cases = all_cases(look)
            self.cases[candidate.name] = cases
            self.verdicts[candidate.name] = all_verdicts(cases, self.own)
        return self.verdicts[candidate.name]

    def bound(self, candidate: Candidate[Buildable]) -> str:
        """A limit that this design cannot keep, seen before anything is solved."""
        design = candidate.design.design
        longest = max(_bays(candidate.design), key=lambda pair: pair[0])
        case = self.case(candidate)
        bar = case.pieces.members[0]
        span = limit("pulled in, of span").value * longest[0]
        most = min(self.own.pulled_in or limit("pulled in, now").value, span)
        least = rigid_ended_pull_in(
            case=case,
            inertia=_with_end_rail(candidate.design, bar.section.moment_across),
            modulus=bar.timber.modulus,
            span=longest[0],
            across=longest[1],
        )
        if least > most:
            return "pulled-in-now"
        if not design.has_rails:
            torsion = bar.timber.shear_modulus * bar.section.torsion_constant / (1 + bar.timber.creep)
            wanted = self.own.winding_factor or limit("winding factor").value
            if bare_winding_bound(case=case, torsion=torsion) < wanted:
                return "winding"
        return ""


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
