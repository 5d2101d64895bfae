"""The work as it hangs: two points carry it, its bottom edge leans on the wall, its own weight bends it, years on.

Own weight is small beside the canvas's pull; what hanging adds is told so that nobody need wonder.
"""

from __future__ import annotations

import numpy as np

from longpoint.strength.coupled import couple
from longpoint.strength.coupled_rest import solve_coupled
from longpoint.strength.states import hung_supports
from longpoint.strength.verdicts.cases import CaseAnswer, Look, look_at
from longpoint.strength.verdicts.verdict import Verdict, bound_of, judged
from longpoint.strength.work_case import WorkCase
from longpoint.tables import limit


def hung_answer(later: Look) -> CaseAnswer | None:
    """The likely case years on, hung up; None where nobody says by what it hangs.

    Args:
        later: The likely case years on, lying.
    """
    case = later.case
    if case.hangers is None:
        return None
    model, canvas = later.system.model, later.system.canvas
    supports = hung_supports(model, hangers=case.hangers, bottom=case.pieces.bars[0])
    system = couple(model, canvas, bars=case.pieces.bars, supports=supports)
    state = solve_coupled(system, later.state.prestrain, weight=np.array([0.0, -1.0, 0.0]))
    return look_at(case, system, state, later.prestress, "likely", "later").answer


def hung_verdict(case: WorkCase, later: CaseAnswer, hung: CaseAnswer) -> Verdict:
    """How far the bar drawn in most comes as it hangs.

    Args:
        case: The work.
        later: Lying, years on.
        hung: The same hung up.
    """
    row = limit("pulled in, long run")
    index = int(np.argmax(np.abs(hung.bays)))
    change = hung.bays - later.bays
    most = int(np.argmax(np.abs(change)))
    return judged(
        "hung",
        float(hung.bays[index]),
        "mm",
        bound_of(row),
        low=float(min(later.bays[index], hung.bays[index])),
        high=float(max(later.bays[index], hung.bays[index])),
        numbers=(
            ("weighs", float(abs(change[most]))),
            ("hollow_lying", later.hollow),
            ("hollow_hung", hung.hollow),
        ),
        place=case.bays[index].bar,
    )
