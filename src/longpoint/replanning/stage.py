"""One stage further: what happened is told to every section, and the rest of each is planned or recalled."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from longpoint.cutting.boards.values import BoardProblem
from longpoint.cutting.remainder.events import Happened
from longpoint.cutting.remainder.facts import Facts, facts_of, on_offer
from longpoint.cutting.remainder.replan import Replanned, recall_boards
from longpoint.errors import Fault, FaultsError
from longpoint.model.batch import Batch
from longpoint.model.events import Events
from longpoint.needs.boards import SectionCut
from longpoint.replanning.events import InHand, by_section, with_readings
from longpoint.replanning.old import (
    OldPlan,
    OldStage,
    damaged,
    same_inside,
)
from longpoint.replanning.sections import problems_of
from longpoint.works.designed import Designed


@dataclass(frozen=True, slots=True)
class Standing:
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


def next_stage(
    old: OldPlan, sections: Sequence[SectionCut], standing: Standing, events: Events, answer: Answer
) -> tuple[Standing, list[Replanned], list[Happened]]:
    """One stage further."""
    faults: list[Fault] = []
    batch = with_readings(standing.batch, events, faults)
    happened = by_section(standing.batch, standing.hands, events, faults)
    designs, problems = standing.designs, standing.problems
    if events.timber and not faults:
        designs, against = same_inside(batch, standing.designs, old.works)
        faults += against
        if not against:
            problems = tuple(section.problem for section in problems_of(batch, designs, old, sections))
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
    return Standing(batch, designs, problems, hands), answers, happened


def recall(stage: OldStage, number: int) -> Answer:
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
