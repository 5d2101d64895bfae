"""Every answer of a plan checked by code that shares nothing with the search, before anyone sees it."""

from __future__ import annotations

import json
from collections.abc import Sequence

from longpoint.choosing.answer import ChosenDesign
from longpoint.errors import Fault, Where
from longpoint.joinery.joints.joint import Fixing
from longpoint.joinery.referee import check_build_plan, check_hangers
from longpoint.model.batch import Batch
from longpoint.needs.boards import SectionCut
from longpoint.needs.cloth import ClothCutting
from longpoint.needs.planned import PlannedWork
from longpoint.refereed import Refereed
from longpoint.strength.equilibrium import check_equilibrium
from longpoint.works.hanging import HungWork

OUT_OF_BALANCE, WHERE_SLACK = 1e-6, 1e-3
"""Share of the canvas's pull on one side that may be left over; answers are solved to about 1e-9 of it, and where
cloth goes slack to about 5e-4."""


def referees_on(
    batch: Batch,
    works: Sequence[PlannedWork],
    boards: Sequence[SectionCut],
    cloths: Sequence[ClothCutting],
    hung: Sequence[HungWork] = (),
) -> tuple[Refereed, ...]:
    """What the referees found of buildings, strength figures, board plans and lays.

    Args:
        batch: The batch.
        works: Its works.
        boards: How its boards are cut.
        cloths: How its cloth is laid.
        hung: How its works hang, in their order; () where none does.

    Returns:
        One entry for each answer, in that order.
    """
    found: list[Refereed] = []
    for index, work in enumerate(works):
        found.append(_build(batch, work, hung[index].fixings if hung else ()))
        if isinstance(work.designed, ChosenDesign):
            found.append(_balance(batch, work, work.designed))
    found += [section.plan.refereed for section in boards if section.plan.refereed is not None]
    found += [cloth.plan.refereed for cloth in cloths if cloth.plan.refereed is not None]
    return tuple(found)


def _build(batch: Batch, work: PlannedWork, hangers: Sequence[Fixing]) -> Refereed:
    wrong = check_build_plan(work.frame, work.build, drill=batch.shop.drill)
    wrong += check_hangers(work.frame, work.build, hangers)
    faults = tuple(_fault("build-refused", f"{work.name}: {what}.", work.name) for what in wrong)
    return Refereed("build", work.name, faults, case=_case(batch, work) if faults else "")


def _balance(batch: Batch, work: PlannedWork, designed: ChosenDesign) -> Refereed:
    cases = designed.strength.cases
    worst = 0.0
    for look in (cases.likely, cases.later):
        over = check_equilibrium(look.system, look.state).worst
        allowed = WHERE_SLACK if look.state.rounds > 1 else OUT_OF_BALANCE
        worst = max(worst, over if not over <= allowed else 0.0)
    faults: tuple[Fault, ...] = ()
    if worst:
        what = f"{work.name}: forces are out of balance by {worst:.1e} of the canvas's pull."
        faults = (_fault("out-of-balance", what, work.name),)
    return Refereed("equilibrium", work.name, faults, case=_case(batch, work) if faults else "")


def _fault(code: str, what: str, key: str) -> Fault:
    return Fault(code, what, "Please send us the case file.", Where(key=key))


def _case(batch: Batch, work: PlannedWork) -> str:
    """The batch with this work alone named: what we need to see the same."""
    return json.dumps(
        {"work": work.name, "batch": batch.model_dump(mode="json")}, ensure_ascii=False, indent=1
    )
