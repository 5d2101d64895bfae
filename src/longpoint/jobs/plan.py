"""The main wish: a batch becomes a plan.

A plan is everything a person needs, derived from what the batch states and nothing else: the same batch gives
the same plan, on any machine.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from math import inf

from longpoint.choosing.answer import ChosenDesign
from longpoint.choosing.by_rule import design_of
from longpoint.choosing.cautions import cautions_of as cautions_of_choice
from longpoint.costing.buying import BuyLine
from longpoint.costing.cost import CostSheet
from longpoint.cutting.boards.values import BoardPlan, BoardProblem
from longpoint.cutting.cloth.problem import ClothPlan, ClothProblem
from longpoint.cutting.cloth.search import plan_cloth
from longpoint.errors import Caution, Fault, FaultsError, gathered
from longpoint.jobs.against import faults_against
from longpoint.jobs.boards import SectionCut, board_plans
from longpoint.jobs.cloth import ClothCutting, cloth_cautions, lay_cloth
from longpoint.jobs.planned import PlannedWork
from longpoint.jobs.purchases import costs_of, purchases_of
from longpoint.jobs.refereeing import referees_on
from longpoint.jobs.rejudge import rejudged
from longpoint.model.batch import Batch
from longpoint.refereed import Refereed, cautions_of
from longpoint.stretching.staple_referee import check_staples
from longpoint.threads import on_one_thread
from longpoint.works.assumed import assumed_cautions
from longpoint.works.build import screw_cautions
from longpoint.works.canvas import NOTHING_PROVEN, CanvasPlan, Proven
from longpoint.works.cloth import coat_cautions
from longpoint.works.designed import Chooser, Designed, Say
from longpoint.works.draft import draft_of
from longpoint.works.printed_order import (
    Answer,
    MapToRehearse,
    PrintedRehearsal,
    SideBySide,
    map_to_rehearse,
    one_by_one,
    rehearsed_maps,
)
from longpoint.works.stock import stock_cautions
from longpoint.works.tension import as_rehearsed

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
    if against := faults_against(batch):
        raise FaultsError(_once(against, names))
    faults: list[Fault] = []
    designs: list[Designed] = []
    for index, work in enumerate(batch.work):
        say(f"Designing {work.name}")
        found = choose(batch, index)
        if isinstance(found, Designed):
            designs.append(found)
        else:
            faults += found
    if faults:
        raise FaultsError(_once(faults, names))
    say("Joints, holes and the order of building")
    works, found_faults = _planned_works(batch, designs, rehearse=rehearse if rehearsing else None, say=say)
    boards: tuple[SectionCut, ...] = ()
    cloths: tuple[ClothCutting, ...] = ()
    try:
        boards = board_plans(
            batch, [(work.designed, work.parts) for work in works], solve=cut or _own_cut, say=say
        )
    except FaultsError as error:
        found_faults += error.faults
    say(f"Laying {sum(work.how_many for work in works)} pieces of cloth")
    try:
        cloths = lay_cloth(batch, tuple(work.piece for work in works), solve=lay)
    except FaultsError as error:
        found_faults += error.faults
    if found_faults:
        raise FaultsError(_once(found_faults, names))
    refereed = referees_on(batch, works, boards, cloths)
    buying = purchases_of(batch, works, boards, cloths)
    return Plan(
        version=VERSION,
        revision=fingerprint(batch)[:7],
        batch=batch,
        works=works,
        boards=boards,
        cloths=cloths,
        buying=buying,
        cost=costs_of(batch, works, boards, cloths, buying),
        refereed=refereed,
        cautions=(*_cautions(batch, works, boards, cloths), *_refusals(refereed)),
    )


def fingerprint(batch: Batch) -> str:
    """A fingerprint of what is stated; two files that state the same have the same one."""
    stated = json.dumps(batch.model_dump(mode="json"), sort_keys=True, ensure_ascii=True)
    return hashlib.sha256(stated.encode()).hexdigest()


def _own_cut(problem: BoardProblem) -> BoardPlan:
    from longpoint.cutting import plan_boards  # compiled parts load only when timber is cut

    return plan_boards(problem)


def _planned_works(
    batch: Batch, designs: Sequence[Designed], *, rehearse: SideBySide | None, say: Say
) -> tuple[tuple[PlannedWork, ...], list[Fault]]:
    """Every work with its building and canvas; what stands against any of them is collected."""
    works: list[PlannedWork] = []
    faults: list[Fault] = []
    maps: list[MapToRehearse] = []
    for index, designed in enumerate(designs):
        work, draft = batch.work[index], draft_of(batch, index, designed)
        build = draft.build()
        canvas = draft.canvas(
            joints=build.joints,
            proven=_proven(designed),
            pressing=rehearse is None,
        )
        faults += build.faults
        if not isinstance(canvas, CanvasPlan):
            faults += canvas
            continue
        maps.append(map_to_rehearse(batch, index, designed=designed, frame=draft.frame, canvas=canvas))
        works.append(
            PlannedWork(
                index=index,
                name=work.name,
                code=draft.code,
                how_many=work.how_many,
                notes=work.notes,
                in_set=next((group.name for group in batch.set if work.name in group.members), ""),
                designed=designed,
                frame=draft.frame,
                parts=draft.parts,
                cloth=draft.cloth,
                piece=draft.piece,
                build=build,
                canvas=canvas,
                mass=draft.mass.likely,
                strength=designed.strength if isinstance(designed, ChosenDesign) else None,
            )
        )
    if rehearse is None or faults:  # what cannot be built is told at once, not after minutes
        return tuple(works), faults
    answers: list[Answer] = rehearsed_maps(maps, run=rehearse, say=say)
    planned: list[PlannedWork] = []
    again: dict[object, Designed] = {}
    for planned_work, answer in zip(works, answers, strict=True):
        if isinstance(answer, tuple):
            faults += answer
        else:
            planned.append(_as_rehearsed(batch, planned_work, answer, again))
    return tuple(planned), faults


def _as_rehearsed(
    batch: Batch, work: PlannedWork, found: PrintedRehearsal, again: dict[object, Designed]
) -> PlannedWork:
    """A work with its verdicts and canvas pages drawn from what its rehearsal leaves; alike works are judged once."""
    tensions = as_rehearsed(batch, batch.work[work.index], work.cloth, found.means)
    draft = draft_of(batch, work.index, work.designed)
    designed = work.designed
    if isinstance(designed, ChosenDesign):
        key = (id(designed.strength), tensions)
        if key not in again:
            again[key] = rejudged(draft, designed, tensions)
        designed = again[key]
    canvas = draft.canvas(joints=work.build.joints, tensions=tensions, proven=_proven(designed))
    assert isinstance(canvas, CanvasPlan)
    return replace(
        work,
        designed=designed,
        canvas=canvas,
        rehearsed=found,
        strength=designed.strength if isinstance(designed, ChosenDesign) else None,
    )


def _staple_cautions(work: PlannedWork) -> tuple[Caution, ...]:
    """What the referee of the staples found, said as something to mind at the bench."""
    wrong = check_staples(work.build.frame, work.build.joints, work.canvas.staples)
    if not wrong:
        return ()
    more = f" ({len(wrong)} in all)" if len(wrong) > 1 else ""
    what = f"{wrong[0]}{more}: feel for it and drive that staple a little aside, or take shorter legs."
    return (Caution("staple-meets", what[0].upper() + what[1:], work.name),)


def _proven(designed: Designed) -> Proven:
    if not isinstance(designed, ChosenDesign):
        return NOTHING_PROVEN
    touching = [verdict for verdict in designed.strength.verdicts if verdict.key.startswith("touch-")]
    missed = [verdict.value for verdict in touching if verdict.use > 1]
    return Proven(designed.strength.passes, min(missed, default=inf) if touching else None)


_TOLD_AT_THE_JOINT = frozenset({"glue-carries"})
"""Cautions that ask nobody to do otherwise: they stand on the page of the joint they explain."""


def _cautions(
    batch: Batch,
    works: Sequence[PlannedWork],
    boards: Sequence[SectionCut],
    cloths: Sequence[ClothCutting],
) -> tuple[Caution, ...]:
    sections = tuple(
        section
        for work in works
        for section in (work.designed.bars, work.designed.rails)
        if section is not None
    )
    found = [
        *(
            caution
            for work in works
            if work.strength is not None
            for caution in cautions_of_choice(work.name, work.strength, batch)
        ),
        *assumed_cautions(batch, [work.designed for work in works]),
        *stock_cautions(batch, sections),
        *screw_cautions(batch, [work.build for work in works]),
        *cloth_cautions(batch, cloths),
        *coat_cautions(batch, [work.cloth for work in works]),
        *(caution for board in boards for caution in board.plan.cautions),
        *(caution for cloth in cloths for caution in cloth.plan.cautions),
        *(
            caution
            for work in works
            for caution in work.build.cautions
            if caution.code not in _TOLD_AT_THE_JOINT
        ),
        *(caution for work in works for caution in _staple_cautions(work)),
        *(
            replace(caution, about=work.name)
            for work in works
            if work.rehearsed is not None
            for caution in work.rehearsed.cautions
        ),
        *(
            replace(caution, about=caution.about or work.name)
            for work in works
            for caution in work.canvas.cautions
            if not caution.code.startswith("safety-")  # these stand at their step
        ),
    ]
    everyone = ", ".join(work.name for work in works)
    return tuple(
        replace(caution, about="all works") if len(works) > 1 and caution.about == everyone else caution
        for caution in gathered(found)
    )


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
