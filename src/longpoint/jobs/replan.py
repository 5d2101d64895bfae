"""After something went wrong at the bench: the rest of a plan, with the least new timber, any number of times.

A rest is planned again from the first plan and everything said since, stage by stage. What earlier stages answered
is taken from the file that kept it and checked, not planned anew: a person has marked boards by it.
"""

from __future__ import annotations

from dataclasses import replace

from longpoint.cutting.remainder.bench import bench_of
from longpoint.cutting.remainder.facts import Facts
from longpoint.cutting.remainder.replan import Replanned, replan_boards
from longpoint.errors import FaultsError
from longpoint.model.events import Events
from longpoint.replanning.answer import Replan, SectionReplan
from longpoint.replanning.cautions import cautions_of, longer_parts
from longpoint.replanning.events import InHand
from longpoint.replanning.old import (
    OldPlan,
    OldStage,
    damaged,
    old_designs,
)
from longpoint.replanning.sections import all_parts, old_sections, with_whole_rack
from longpoint.replanning.stage import Standing, next_stage, recall
from longpoint.works.designed import Say


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
    sections = old_sections(old, designs)
    hands = tuple(
        InHand(section.use, bench_of(problem, section.plan), section.plan)
        for section, problem in zip(sections, with_whole_rack(sections), strict=True)
    )
    standing = Standing(old.batch, designs, tuple(section.problem for section in sections), hands)
    for number, stage in enumerate(old.stages, start=1):
        try:
            standing, *_ = next_stage(old, sections, standing, stage.events, recall(stage, number))
        except FaultsError as error:
            if all(fault.code == "plan-damaged" for fault in error.faults):
                raise
            first = error.faults[0]
            what = f"what happened before its stage {number} contradicts it: {first.what.rstrip('.')}"
            raise FaultsError([damaged(what)]) from None

    def planned(_at: int, facts: Facts) -> Replanned:
        say(f"Cutting the rest of {facts.bench.problem.section}")
        return replan_boards(facts)

    now, answers, happened = next_stage(old, sections, standing, events, planned)
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
        all_parts(now.designs, old),
        longer_parts(standing.designs, now.designs, old),
        cautions_of(found, happened, standing, now),
        replace(old, stages=(*old.stages, stage)),
    )
