"""Pictures of joints keep to the window they are given, also where a bar is joined in several places."""

from __future__ import annotations

import pytest

from longpoint.choosing.by_rule import design_of
from longpoint.drawing.views.build import joint_view
from longpoint.drawing.words.voice import voice_of
from longpoint.jobs.plan import plan_batch
from longpoint.joinery import JointKind
from longpoint.model.reading import parse_batch

SIZE = (60.0, 70.0)


@pytest.mark.slow
@pytest.mark.parametrize("join", ["scarf", "half-lap with plate"])
def test_each_of_several_joins_of_a_bar_is_pictured_by_itself(join: str) -> None:
    text = (
        f'[bars]\njoin = "{join}"\n[inside]\nin_halves = false\n'
        '[[work]]\nname = "Horizon"\nwidth = 7000\nheight = 1100\n'
        '[[yard]]\nname = "batten"\nthickness = 24\ndepth = 58\nlengths = [3000]\n'
    )
    plan = plan_batch(parse_batch(text), choose=design_of)
    (work,) = plan.works
    kinds = (JointKind.SCARF, JointKind.SPLICED_LAP)
    joints = [joint for joint in work.build.joints if joint.kind in kinds]
    assert len(joints) == len(work.frame.design.joins) >= 2
    for joint in joints:
        view = joint_view(work.frame, work.build, joint, say=voice_of("en", plan.batch.style), size=SIZE)
        assert view.width <= SIZE[0] + 4 and view.height <= SIZE[1] + 4
