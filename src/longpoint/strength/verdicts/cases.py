"""What a work does in the three cases a person asks about, now and in the long run.

*Likely*: the timber as the yard usually has it, at the tension that shall be left. *Weak*: boards that only one in
twenty falls below, at the same tension left. *Hard*: those weak boards, pulled hard. *Now*: the cloth as it is
stretched; *later*: years on, the frame crept, the cloth settled and painted. From now to later nothing is pulled
again: what is stretched stays stretched, the frame gives way under it, the settled cloth loses what the frame gives.

While all cloth is taut everything is in proportion to the tension, so the hard case follows from the weak one
without a further solve; where cloth goes slack it is solved.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from longpoint.errors import FaultsError
from longpoint.strength.answer import BarMovement, TensionMap, bar_movements, joint_forces, tension_map
from longpoint.strength.beams.beam import Floats
from longpoint.strength.beams.pieces import FramePieces
from longpoint.strength.canvas_edge import EdgeCanvas, prepare_canvas
from longpoint.strength.coupled import CoupledSystem, couple
from longpoint.strength.coupled_solve import CoupledState, prestrain_of, solve_coupled, solve_for_tension_left
from longpoint.strength.hanging import hung_supports
from longpoint.strength.winding import Winding, find_winding
from longpoint.strength.work_case import Bay, WorkCase
from longpoint.threads import on_one_thread

CaseName = Literal["likely", "weak", "hard", "soft cloth", "stiff cloth"]
When = Literal["now", "later"]

CASES: tuple[CaseName, ...] = ("likely", "weak", "hard")


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class CaseAnswer:
    """What the work does in one case at one time.

    Attributes:
        case: Which case.
        when: Now or later.
        bays: Greatest pull-in of each bay, signed, inward positive, shape (n_bays,). [mm]
        turning_in: Greatest turning in of any bar, signed. [rad]
        hollow: Greatest hollow of any bar, signed. [mm]
        mean: Mean tension left, both ways, along x, along y. [N/mm]
        lowest: Least tension of any window. [N/mm]
        highest: Greatest tension of any window. [N/mm]
        opening: Greatest turning of a corner's joint in the canvas plane. [rad]
    """

    case: CaseName
    when: When
    bays: Floats
    turning_in: float
    hollow: float
    mean: tuple[float, float, float]
    lowest: float
    highest: float
    opening: float

    @property
    def pulled_in(self) -> float:
        """The greatest pull-in of all bays, signed. [mm]"""
        return float(self.bays[np.argmax(np.abs(self.bays))])

    def scaled(self, factor: float, case: CaseName) -> CaseAnswer:
        """The same at another tension, all cloth taut."""
        return CaseAnswer(
            case=case,
            when=self.when,
            bays=self.bays * factor,
            turning_in=self.turning_in * factor,
            hollow=self.hollow * factor,
            mean=(self.mean[0] * factor, self.mean[1] * factor, self.mean[2] * factor),
            lowest=self.lowest * factor,
            highest=self.highest * factor,
            opening=self.opening * factor,
        )


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Look:
    """One case at one time, with everything further questions need.

    Attributes:
        case: The work.
        system: Frame and canvas.
        state: At rest.
        prestress: What it takes on a rigid frame. [N/mm]
        bars: How the bars move.
        tension: The tension map.
        answer: In short.
    """

    case: WorkCase
    system: CoupledSystem
    state: CoupledState
    prestress: float
    bars: dict[str, BarMovement]
    tension: TensionMap
    answer: CaseAnswer


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class AllCases:
    """Everything the verdicts are drawn from.

    Attributes:
        likely: The likely case now.
        later: The likely case years on.
        answers: Likely, weak, hard, each now and later; then the softest and the stiffest cloth, where their bands are
            known. Of a design that is only judged: likely now and later, hard now.
        winding: Of the likely case now.
        winding_later: Of the likely case years on.
        hung: The likely case years on, hung up; None where nobody says by what it hangs.
        weak: The weak case now, while more may be asked of it.
    """

    likely: Look
    later: Look
    answers: tuple[CaseAnswer, ...]
    winding: Winding
    winding_later: Winding
    hung: CaseAnswer | None
    weak: Look | None = None

    def settled(self) -> AllCases:
        """The same once every verdict is drawn: without what only further solving needs."""
        likely, later = (replace(look, system=look.system.settled()) for look in (self.likely, self.later))
        return replace(self, likely=likely, later=later, weak=None)

    def at(self, case: CaseName, when: When) -> CaseAnswer:
        """The answer of one case at one time."""
        return next(a for a in self.answers if a.case == case and a.when == when)


def raw_canvas(case: WorkCase) -> EdgeCanvas:
    """The canvas as stretched, made ready once per size and cloth."""
    return prepare_canvas(
        width=case.width, height=case.height, cloth=case.raw, columns=case.columns, rows=case.rows
    )


def settled_canvas(case: WorkCase) -> EdgeCanvas:
    """The canvas in service, made ready once per size and cloth."""
    return prepare_canvas(
        width=case.width, height=case.height, cloth=case.settled, columns=case.columns, rows=case.rows
    )


def with_stiffness(pieces: FramePieces, factor: float) -> FramePieces:
    """The same frame of stiffer or softer timber; joints as they are.

    Args:
        pieces: The frame.
        factor: On both stiffnesses of every member, above 0. [1]
    """
    members = tuple(
        replace(
            member,
            timber=replace(
                member.timber,
                modulus=member.timber.modulus * factor,
                shear_modulus=member.timber.shear_modulus * factor,
            ),
        )
        for member in pieces.members
    )
    return replace(pieces, members=members)


def years_on(pieces: FramePieces) -> FramePieces:
    """The same frame after years under load: timber and joints crept."""
    creep = {member.name: member.timber.creep for member in pieces.members}
    return replace(
        pieces,
        members=tuple(replace(member, timber=member.timber.in_the_long_run()) for member in pieces.members),
        joints=tuple(
            replace(joint, stiffness=joint.stiffness.in_the_long_run(creep[joint.second]))
            for joint in pieces.joints
        ),
        seams=tuple(
            replace(seam, stiffness=seam.stiffness.in_the_long_run(creep[seam.second]))
            for seam in pieces.seams
        ),
        breaks=tuple(cut.in_the_long_run(creep[cut.member]) for cut in pieces.breaks),
    )


@on_one_thread
def couple_pieces(pieces: FramePieces, canvas: EdgeCanvas) -> CoupledSystem:
    """A frame tied to a canvas."""
    return couple(pieces.model(), canvas, bars=pieces.bars)


@on_one_thread
def first_look(case: WorkCase, *, stiffness: float = 1.0) -> Look:
    """Solves a work now, at the tension that shall be left, or at what this frame leaves of cloth that tightens.

    Args:
        case: The work.
        stiffness: Timber's stiffness over the likely one. [1]

    Raises:
        FaultsError: If no prestrain leaves the tension.
    """
    system = couple_pieces(with_stiffness(case.pieces, stiffness), raw_canvas(case))
    scale = np.asarray(case.ratio, dtype=float) * 2 / sum(case.ratio)
    unit = prestrain_of(system.canvas, along_x=float(scale[0]), along_y=float(scale[1]))
    taut = solve_coupled(system, unit, slackens=False)
    case = case.on_this_frame(taut.mean_tension(system.canvas))
    state, prestress = solve_for_tension_left(system, case.tension_left, ratio=case.ratio, unit_state=taut)
    return look_at(case, system, state, prestress, "likely" if stiffness == 1.0 else "weak", "now")


def look_at(
    case: WorkCase,
    system: CoupledSystem,
    state: CoupledState,
    prestress: float,
    name: CaseName,
    when: When,
) -> Look:
    """Reads off what a person asks of a solved case.

    Args:
        case: The work.
        system: Frame and canvas.
        state: At rest.
        prestress: What it takes on a rigid frame. [N/mm]
        name: Which case.
        when: Now or later.
    """
    tension = tension_map(system, state)
    bars = bar_movements(system, state.movement)
    turning = np.concatenate([bar.turning_in for bar in bars.values()])
    hollow = np.concatenate([bar.hollow for bar in bars.values()])
    return Look(
        case=case,
        system=system,
        state=state,
        prestress=prestress,
        bars=bars,
        tension=tension,
        answer=CaseAnswer(
            case=name,
            when=when,
            bays=np.array([_in_bay(bars[bay.bar], bay) for bay in case.bays]),
            turning_in=_greatest(turning),
            hollow=_greatest(hollow),
            mean=(tension.mean, tension.mean_x, tension.mean_y),
            lowest=max(tension.lowest, 0.0),  # cloth cannot push: what is left below 0 is the solve's rest
            highest=tension.highest,
            opening=_corner_opening(system, state),
        ),
    )


def later_look(now: Look) -> Look:
    """The same work years on, nothing pulled again.

    Args:
        now: The work as it was stretched.
    """
    case = now.case
    canvas = settled_canvas(case)
    stiffness = _stiffness_of(now)
    system = couple_pieces(years_on(with_stiffness(case.pieces, stiffness)), canvas)
    # The settled cloth takes over the tension as it was; from there on only what still moves changes it.
    held = np.asarray(now.system.canvas.sheet.strain @ now.state.canvas_movement.ravel()).reshape(-1, 3)
    before = np.linalg.solve(case.settled.matrix, now.state.tension.T).T - held
    state = solve_coupled(system, before)
    return look_at(case, system, state, now.prestress, now.answer.case, "later")


def _stiffness_of(look: Look) -> float:
    return look.system.model.members[0].timber.modulus / look.case.pieces.members[0].timber.modulus


@on_one_thread
def judged_cases(likely: Look, *, later: Look, winding_later: Winding) -> AllCases:
    """What verdicts are judged by: their values and answers are those of `all_cases`, their ranges are not.

    No verdict is judged by the weak case or by the hard one years on, by other cloth, or by the winding now: these
    widen ranges only.

    Args:
        likely: The likely case now.
        later: The same years on.
        winding_later: What winds that up.
    """
    weak = first_look(likely.case, stiffness=likely.case.weak)
    return AllCases(
        likely=likely,
        later=later,
        answers=(likely.answer, later.answer, _hard(likely.case, weak)[0]),
        winding=winding_later,
        winding_later=winding_later,
        hung=hung_answer(later),
        weak=replace(weak, system=weak.system.solved()),
    )


def _hard(case: WorkCase, weak: Look) -> tuple[CaseAnswer, Look | None]:
    """Weak boards pulled hard, and the look at them where cloth is slack and it had to be solved."""
    if bool(np.all(weak.state.state == 2)):
        return weak.answer.scaled(case.hard_tension / case.tension_left, "hard"), None
    pulled = first_look(replace(case, tension_left=case.hard_tension), stiffness=case.weak)
    return replace(pulled.answer, case="hard"), pulled


@on_one_thread
def all_cases(
    likely: Look,
    *,
    later: Look | None = None,
    winding_later: Winding | None = None,
    judged: AllCases | None = None,
) -> AllCases:
    """The three cases, now and later, and what winds the frame up.

    Args:
        likely: The likely case now.
        later: The same years on, where it is known already.
        winding_later: What winds that up, where it is known already.
        judged: What it was judged by, with the same later and winding, where it was.
    """
    case = likely.case
    later = later or later_look(likely)
    weak = (judged and judged.weak) or first_look(case, stiffness=case.weak)
    weak_later = later_look(weak).answer
    hard, pulled = _hard(case, weak)
    hard_later = (
        weak_later.scaled(case.hard_tension / case.tension_left, "hard")
        if pulled is None
        else replace(later_look(pulled).answer, case="hard")
    )
    return AllCases(
        likely=likely,
        later=later,
        answers=(
            likely.answer,
            later.answer,
            weak.answer,
            weak_later,
            hard,
            hard_later,
            *_other_cloths(case),
        ),
        winding=find_winding(likely.system, likely.state),
        winding_later=winding_later or find_winding(later.system, later.state),
        hung=hung_answer(later) if judged is None else judged.hung,
    )


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


def _other_cloths(case: WorkCase) -> list[CaseAnswer]:
    """The likely frame under the softest and the stiffest cloth, at the same tension left."""
    if case.raw_band is None or case.settled_band is None:
        return []
    found = []
    names: tuple[CaseName, CaseName] = ("soft cloth", "stiff cloth")
    for name, raw, settled in zip(names, case.raw_band, case.settled_band, strict=True):
        try:
            now = first_look(replace(case, raw=raw, settled=settled))
        except FaultsError:  # soft cloth loses it all to the frame: the likely case says so in its own way
            continue
        found += [replace(now.answer, case=name), replace(later_look(now).answer, case=name)]
    return found


def _in_bay(bar: BarMovement, bay: Bay) -> float:
    inside = (bar.places > bay.start - 1e-6) & (bar.places < bay.stop + 1e-6)
    at = np.concatenate([[bay.start], bar.places[inside], [bay.stop]])
    return _greatest(np.interp(at, bar.places, bar.pulled_in))


def _greatest(values: Floats) -> float:
    return float(values[np.argmax(np.abs(values))])


def _corner_opening(system: CoupledSystem, state: CoupledState) -> float:
    bars = set(system.bars)
    found = [
        abs(joint.opening)
        for joint in joint_forces(system, state)
        if joint.first in bars and joint.second in bars
    ]
    return max(found, default=0.0)
