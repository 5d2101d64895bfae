"""After something went wrong at the bench: the rest of a plan, with the least new timber, any number of times.

A rest is planned again from the first plan and everything said since, stage by stage. What earlier stages answered
is taken from the file that kept it and checked, not planned anew: a person has marked boards by it.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from longpoint.cutting.boards.accept import clear_sticks
from longpoint.cutting.boards.placing import place_on_stick
from longpoint.cutting.boards.values import BoardPlan, BoardProblem, Certificate, Cut, CutBoard, nanometres
from longpoint.cutting.rest.bench import Bench, bench_of
from longpoint.cutting.rest.events import Happened
from longpoint.cutting.rest.facts import Facts, facts_of, on_offer
from longpoint.cutting.rest.replan import Replanned, recall_boards, replan_boards
from longpoint.errors import Caution, Fault, FaultsError, gathered
from longpoint.frame.parts import Part
from longpoint.jobs.boards import SectionCut, board_plans
from longpoint.jobs.replan_events import InHand, by_section, with_readings
from longpoint.jobs.replan_old import (
    OldBoard,
    OldPlan,
    OldStage,
    damaged,
    derived_parts,
    old_designs,
    same_inside,
)
from longpoint.model.batch import Batch
from longpoint.model.events import Events
from longpoint.works.designed import Designed, Say

FAR_OFF = 10_000_000
"""A measure further from the plan than this is worth a second look. [nm] Estimate."""


@dataclass(frozen=True, slots=True)
class SectionReplan:
    """One section, planned again.

    Attributes:
        cut: The section as it was planned at first.
        again: What is left of it.
        touched: Whether anything happened to it since the plan in hand.
    """

    cut: SectionCut
    again: Replanned
    touched: bool


@dataclass(frozen=True, slots=True)
class Replan:
    """The rest of a plan.

    Attributes:
        batch: The batch, with what its timber measures.
        revision: Of the plan that it continues.
        sections: In the order of the plan.
        parts: Every part as it is to be made now.
        longer: Parts whose length follows the timber: mark, length before and now. [mm]
        cautions: What a person should know.
        so_far: The first plan with every stage since, this one among them: what the next stage goes on from.
    """

    batch: Batch
    revision: str
    sections: tuple[SectionReplan, ...]
    parts: tuple[Part, ...]
    longer: tuple[tuple[str, float, float], ...]
    cautions: tuple[Caution, ...]
    so_far: OldPlan


@dataclass(frozen=True, slots=True)
class _Standing:
    """How things stand between two stages.

    Attributes:
        batch: The batch with the readings so far.
        designs: The designs in the timber that came.
        problems: Every section with all its parts as they are wanted now.
        hands: Every section as the person has it in hand.
    """

    batch: Batch
    designs: tuple[Designed, ...]
    problems: tuple[BoardProblem, ...]
    hands: tuple[InHand, ...]


Answer = Callable[[int, Facts], Replanned]
"""Plans or recalls the rest of one section."""


def replan_after(old: OldPlan, events: Events, *, say: Say = lambda _text: None) -> Replan:
    """Plans the rest after something went wrong; nothing already cut is moved.

    Args:
        old: What the plan says, and what happened in earlier stages.
        events: What has been cut and what happened since the last of them.
        say: Told what is being done.

    Returns:
        The rest.

    Raises:
        FaultsError: With everything in which plan and events do not go together.
    """
    say("Reading the plan")
    designs = old_designs(old.batch, old.works)
    sections = _old_sections(old, designs)
    hands = tuple(
        InHand(section.use, bench_of(problem, section.plan), section.plan)
        for section, problem in zip(sections, _with_whole_rack(sections), strict=True)
    )
    standing = _Standing(old.batch, designs, tuple(section.problem for section in sections), hands)
    for number, stage in enumerate(old.stages, start=1):
        try:
            standing, *_ = _next(old, sections, standing, stage.events, _recall(stage, number))
        except FaultsError as error:
            if all(fault.code == "plan-damaged" for fault in error.faults):
                raise
            first = error.faults[0]
            what = f"what happened before its stage {number} contradicts it: {first.what.rstrip('.')}"
            raise FaultsError([damaged(what)]) from None

    def planned(_at: int, facts: Facts) -> Replanned:
        say(f"Cutting the rest of {facts.bench.problem.section}")
        return replan_boards(facts)

    now, answers, happened = _next(old, sections, standing, events, planned)
    found = tuple(
        SectionReplan(section, again, not what.is_nothing or then != since)
        for section, again, what, then, since in zip(
            sections, answers, happened, standing.problems, now.problems, strict=True
        )
    )
    stage = OldStage(events, tuple(again.plan.boards for again in answers))
    return Replan(
        now.batch,
        old.revision,
        found,
        _all_parts(now.designs, old),
        _longer(standing.designs, now.designs, old),
        _cautions(found, happened, standing, now),
        replace(old, stages=(*old.stages, stage)),
    )


def _next(
    old: OldPlan, sections: Sequence[SectionCut], standing: _Standing, events: Events, answer: Answer
) -> tuple[_Standing, list[Replanned], list[Happened]]:
    """One stage further."""
    faults: list[Fault] = []
    batch = with_readings(standing.batch, events, faults)
    happened = by_section(standing.batch, standing.hands, events, faults)
    designs, problems = standing.designs, standing.problems
    if events.timber and not faults:
        designs, against = same_inside(batch, standing.designs, old.works)
        faults += against
        if not against:
            problems = tuple(section.problem for section in _problems(batch, designs, old, sections))
    facts: list[Facts | None] = []
    for hand, what, problem in zip(standing.hands, happened, problems, strict=True):
        try:
            facts.append(facts_of(hand.bench, what, now=problem))
        except FaultsError as error:
            facts.append(None)
            faults += error.faults
    # A rack board serves one section only: what any of them has taken is gone for all.
    taken = Counter(
        board.board for one in facts if one is not None for board in one.boards if board.timber.at_hand
    )
    answers: list[Replanned] = []
    for at, one in enumerate(facts):
        if one is None:
            continue
        own = Counter(board.board for board in one.boards if not board.timber.at_hand)
        one = replace(one, on_offer=on_offer(one.bench.problem.boards, taken | own))
        try:
            again = answer(at, one)
        except FaultsError as error:
            faults += error.faults
            continue
        taken.update(board.board for board in again.to_take if board.at_hand)
        answers.append(again)
    if faults:
        raise FaultsError(dict.fromkeys(faults))
    hands = tuple(
        InHand(hand.use, again.bench, again.plan) for hand, again in zip(standing.hands, answers, strict=True)
    )
    return _Standing(batch, designs, problems, hands), answers, happened


def _recall(stage: OldStage, number: int) -> Answer:
    """What a stage answered then."""

    def recalled(at: int, facts: Facts) -> Replanned:
        boards = stage.sections[at] if at < len(stage.sections) else ()
        again, wrong = recall_boards(facts, boards)
        if again is None:
            why = (
                str(wrong[0].what)
                if wrong
                else f"{facts.bench.problem.section} is cut from other boards or parts"
            )
            raise FaultsError(
                [damaged(f"its stage {number} does not follow from what happened: {why.rstrip('.')}")]
            )
        return again

    return recalled


def _with_whole_rack(sections: Sequence[SectionCut]) -> list[BoardProblem]:
    """The problems with every rack board as often as it was there before any section took one."""
    most: dict[str, int] = {}
    for section in sections:
        for board in section.problem.boards:
            if board.at_hand and board.how_many is not None:
                most[board.name] = max(most.get(board.name, 0), board.how_many)
    return [
        replace(
            section.problem,
            boards=tuple(
                replace(board, how_many=most[board.name])
                if board.at_hand and board.how_many is not None
                else board
                for board in section.problem.boards
            ),
        )
        for section in sections
    ]


def _all_parts(designs: Sequence[Designed], old: OldPlan) -> tuple[Part, ...]:
    return tuple(
        part
        for designed, work in zip(designs, old.works, strict=True)
        for part in derived_parts(designed, work)
    )


def _problems(
    batch: Batch, designs: Sequence[Designed], old: OldPlan, sections: Sequence[SectionCut]
) -> tuple[SectionCut, ...]:
    """The problems of a batch whose answers are known already, in the same order."""
    answers = iter(section.plan for section in sections)
    works = [
        (designed, derived_parts(designed, work)) for designed, work in zip(designs, old.works, strict=True)
    ]
    return board_plans(batch, works, solve=lambda _problem: next(answers), apart=old.apart)


def _old_sections(old: OldPlan, designs: Sequence[Designed]) -> tuple[SectionCut, ...]:
    """The sections as they were planned, every cut exactly where it was."""
    rows = iter(old.sections)

    def answer(problem: BoardProblem) -> BoardPlan:
        row = next(rows, None)
        if row is None or row.section != problem.section:
            raise FaultsError([damaged(f"the boards of {problem.section} are missing")])
        boards = {board.name for board in problem.boards}
        parts = {part.name for part in problem.parts}
        strange = {board.board for board in row.boards} - boards
        strange |= {part for board in row.boards for part, _ in board.cuts} - parts
        if strange:
            raise FaultsError([damaged(f"{word} is not of its batch") for word in sorted(strange)])
        cut_boards = tuple(_exact(board, problem) for board in row.boards)
        cost = sum((board.cost for board in cut_boards), Fraction(0))
        return BoardPlan(
            problem.section,
            cut_boards,
            cost,
            Fraction(0),
            cost == 0,
            "",
            Fraction(0),
            Certificate(Fraction(1), ()),
        )

    works = [
        (designed, derived_parts(designed, work)) for designed, work in zip(designs, old.works, strict=True)
    ]
    return board_plans(old.batch, works, solve=answer, apart=old.apart)


def _exact(row: OldBoard, problem: BoardProblem) -> CutBoard:
    """A board with its cuts laid again, since a file keeps fewer figures than the saw list was made with."""
    board = next(board for board in problem.boards if board.name == row.board)
    named = {part.name: part for part in problem.parts}
    cuts: list[Cut] = []
    for stick in clear_sticks(board, problem.shop):
        mine = [
            named[part]
            for part, start in row.cuts
            if stick.start - 1000 <= nanometres(start) < stick.start + stick.length
        ]
        cuts += place_on_stick(mine, stick, problem.shop).cuts
    rounded = [nanometres(start) for _, start in row.cuts]
    if len(cuts) != len(rounded) or any(
        abs(cut.start - start) > 2000 for cut, start in zip(cuts, rounded, strict=True)
    ):
        raise FaultsError([damaged(f"the cuts of board {row.board} no. {row.copy} do not lie side by side")])
    return CutBoard(row.board, row.copy, board.length, Fraction(board.cost), board.at_hand, tuple(cuts), 0)


def _longer(
    before: Sequence[Designed], now: Sequence[Designed], old: OldPlan
) -> tuple[tuple[str, float, float], ...]:
    then = {part.mark: part.long_point for part in _all_parts(before, old)}
    return tuple(
        (part.mark, float(then[part.mark]), float(part.long_point))
        for part in _all_parts(now, old)
        if part.long_point != then[part.mark]
    )


def _cautions(
    found: Sequence[SectionReplan], happened: Sequence[Happened], standing: _Standing, now: _Standing
) -> tuple[Caution, ...]:
    cautions: list[Caution] = []
    show = now.batch.style.finer().show
    for section, what, then, since in zip(found, happened, standing.hands, now.hands, strict=True):
        planned = _lengths(then.bench)
        for piece in what.measured:
            off = piece.length - planned[piece.part]
            if abs(off) > FAR_OFF:
                text = (
                    f"It measures {show(Fraction(abs(off), 10**6))} {'more' if off > 0 else 'less'} than planned: "
                    "measure the frame again, both diagonals too, before this piece is cut."
                )
                cautions.append(Caution("measured-off", text, piece.part))
        for pieces in since.bench.pieces:
            off = pieces.part.length - planned.get(pieces.name, pieces.part.length)
            if off and pieces.made and not pieces.measured:
                text = (
                    f"{pieces.made} cut before the timber was measured: now it is wanted "
                    f"{show(Fraction(abs(off), 10**6))} {'longer' if off > 0 else 'shorter'}. Hold it to the frame; "
                    "what does not fit is [[spoiled]]."
                )
                cautions.append(Caution("cut-before-measured", text, pieces.name))
        if not section.again.finished:
            cautions += section.again.plan.cautions
            if what.lost:
                text = (
                    "A split runs further than it shows: crosscut a little before the mark, look at the fresh end, "
                    "and go on until it is clean."
                )
                cautions.append(Caution("split-runs-on", text, section.cut.problem.section))
    return gathered(cautions)


def _lengths(bench: Bench) -> Mapping[str, int]:
    return {pieces.name: pieces.part.length for pieces in bench.pieces}
