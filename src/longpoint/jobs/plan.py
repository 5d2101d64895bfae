"""The main wish: a batch becomes a plan.

A plan is everything a person needs, derived from what the batch states and nothing else: the same batch gives
the same plan, on any machine.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from longpoint.choosing.by_rule import design_of
from longpoint.costing.buying import BuyLine
from longpoint.costing.cost import CostSheet
from longpoint.costing.price import PriceList, prices_of
from longpoint.costing.purchases import costs_of, purchases_of
from longpoint.cutting.boards.values import BoardPlan, BoardProblem
from longpoint.cutting.cloth.problem import ClothPlan, ClothProblem
from longpoint.cutting.cloth.search import plan_cloth
from longpoint.errors import Caution, Fault, FaultsError
from longpoint.jobs.against import faults_against
from longpoint.jobs.refereeing import referees_on
from longpoint.model.batch import Batch
from longpoint.needs.boards import SectionCut, board_plans
from longpoint.needs.cautions import batch_cautions
from longpoint.needs.cloth import ClothCutting, lay_cloth
from longpoint.needs.handled import handled_works
from longpoint.needs.packing import Packs, packing_faults, packs_of, packs_refereed
from longpoint.needs.planned import PlannedWork
from longpoint.needs.works import planned_works
from longpoint.refereed import Refereed, cautions_of
from longpoint.threads import on_one_thread
from longpoint.works.brief import briefs_of
from longpoint.works.designed import Chooser, Designed, Say
from longpoint.works.hanging import HungOnWall, HungWork
from longpoint.works.leaving import WayOut
from longpoint.works.lifting import LiftedWork
from longpoint.works.printed_order import (
    SideBySide,
    one_by_one,
)
from longpoint.works.remembered import let_go

VERSION = 1
"""Of the plan's shape; raised whenever an older reader would misunderstand it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """Everything a person needs to build a batch.

    Attributes:
        version: Of its shape.
        revision: First signs of the batch's fingerprint.
        batch: What was stated.
        works: The works, in the order of the batch file.
        boards: Cutting plans of the boards.
        cloths: Lays on the rolls.
        buying: What to buy.
        cost: What it costs.
        prices: What to ask for it.
        ways: Every work on every way out that is stated for it.
        hung: How each work hangs; none where it has no two hangers.
        lifted: How each work is lifted.
        packs: How works are packed; None where nothing is said of it.
        rows: Every work in its place on every wall that is stated.
        refereed: What the referees found of it.
        cautions: What a person should know.
    """

    version: int
    revision: str
    batch: Batch
    works: tuple[PlannedWork, ...]
    boards: tuple[SectionCut, ...]
    cloths: tuple[ClothCutting, ...]
    buying: tuple[BuyLine, ...]
    cost: CostSheet
    prices: PriceList
    ways: tuple[WayOut, ...]
    hung: tuple[HungWork, ...]
    lifted: tuple[LiftedWork, ...]
    packs: Packs | None
    rows: tuple[HungOnWall, ...]
    refereed: tuple[Refereed, ...]
    cautions: tuple[Caution, ...]


@on_one_thread
def plan_batch(
    batch: Batch,
    *,
    choose: Chooser = design_of,
    cut: Callable[[BoardProblem], BoardPlan] | None = None,
    lay: Callable[[ClothProblem], ClothPlan] = plan_cloth,
    rehearsing: bool = False,
    rehearse: SideBySide = one_by_one,
    say: Say = lambda _text: None,
) -> Plan:
    """Plans a batch from end to end.

    Args:
        batch: What is stated.
        choose: Settles the design of one work.
        cut: Plans the cutting of one section; None: the cutting room's own.
        lay: Plans the lay of cloth.
        rehearsing: Whether the printed stapling order of every work is rehearsed on its own frame.
        rehearse: Rehearses them; the answers do not depend on it.
        say: Told what is being done.

    Returns:
        The plan.

    Raises:
        FaultsError: With everything that stands against it.
    """
    names = [work.name for work in batch.work]
    briefs = briefs_of(batch)
    stock = briefs[0].stock
    if against := faults_against(batch, briefs):
        raise FaultsError(_once(against, names))
    faults: list[Fault] = []
    designs: list[Designed] = []
    for brief in briefs:
        say(f"Designing {brief.work.name}")
        found = choose(brief)
        let_go(brief)
        if isinstance(found, Designed):
            designs.append(found)
        else:
            faults += found
    if faults:
        raise FaultsError(_once(faults, names))
    say("Joints, holes and the order of building")
    works, found_faults = planned_works(briefs, designs, rehearse=rehearse if rehearsing else None, say=say)
    boards: tuple[SectionCut, ...] = ()
    cloths: tuple[ClothCutting, ...] = ()
    try:
        boards = board_plans(
            batch, [(work.designed, work.parts) for work in works], solve=cut or _own_cut, say=say
        )
    except FaultsError as error:
        found_faults += error.faults
    pieces = sum(work.how_many for work in works)
    say(f"Laying {pieces} pieces of cloth" if pieces != 1 else "Laying the piece of cloth")
    try:
        cloths = lay_cloth(briefs, tuple(work.piece for work in works), sewn=batch.cloth, solve=lay)
    except FaultsError as error:
        found_faults += error.faults
    if found_faults:
        raise FaultsError(_once(found_faults, names))
    packs: Packs | None = None
    try:
        packs = packs_of(batch, stock, works, solve=cut or _own_cut)
    except FaultsError as error:
        raise FaultsError(packing_faults(batch, error.faults)) from None
    handled = handled_works(batch, briefs, works, boards)
    hung = handled.hung
    refereed = (*referees_on(batch, works, boards, cloths, hung), *packs_refereed(packs))
    buying = purchases_of(batch, stock, works, boards, cloths, packs, hung)
    costs = costs_of(batch, stock, works, boards, cloths, buying, packs)
    return Plan(
        version=VERSION,
        revision=fingerprint(batch)[:7],
        batch=batch,
        works=works,
        boards=boards,
        cloths=cloths,
        buying=buying,
        cost=costs,
        prices=prices_of(batch, costs),
        ways=handled.ways,
        hung=hung,
        lifted=handled.lifted,
        packs=packs,
        rows=handled.rows,
        refereed=refereed,
        cautions=(
            *handled.cautions,
            *batch_cautions(batch, briefs, works, boards, cloths),
            *_refusals(refereed),
        ),
    )


def fingerprint(batch: Batch) -> str:
    """A fingerprint of what is stated; two files that state the same have the same one."""
    stated = json.dumps(batch.model_dump(mode="json"), sort_keys=True, ensure_ascii=True)
    return hashlib.sha256(stated.encode()).hexdigest()


def _own_cut(problem: BoardProblem) -> BoardPlan:
    from longpoint.cutting import plan_boards  # compiled parts load only when timber is cut

    return plan_boards(problem)


def _refusals(refereed: Sequence[Refereed]) -> tuple[Caution, ...]:
    """Refusals that no caution of their own tells of yet: plans of boards and lays bring theirs."""
    return cautions_of(one for one in refereed if one.what in ("build", "equilibrium"))


def _once(faults: Sequence[Fault], works: Sequence[str]) -> list[Fault]:
    """Each fault once; what several works lack of the same hardware is said once, with their names."""
    said: dict[Fault, list[str]] = {}
    for fault in faults:
        name = next((work for work in works if fault.what.startswith(f"{work}: ")), "")
        shared = name and fault.where.key in _HARDWARE
        plain = Fault(fault.code, fault.what[len(name) + 2 :], fault.remedy, fault.where) if shared else fault
        said.setdefault(plain, []).append(name if shared else "")
    return [
        Fault(fault.code, f"{', '.join(dict.fromkeys(names))}: {fault.what}", fault.remedy, fault.where)
        if names[0]
        else fault
        for fault, names in said.items()
    ]


_HARDWARE = ("screw", "staple[1].leg")
