"""Speed of what a page waits for while a work is being said or a rail is pushed along.

The baseline is the choice among all designs that follows. How long pages take and how many people a server serves is
measured by ``workshop.py`` and ``many_plans.py`` beside this. Run by ``make bench``.
"""

from __future__ import annotations

import time

import pytest

from longpoint.choosing.chooser import ComputedChooser
from longpoint.jobs.answer import Answered, first_answer, whole_answer
from longpoint.model.reading import parse_batch
from longpoint.web.told.answer import told_answer
from longpoint.web.told.voices import voice_for
from longpoint.works.brief import briefs_of

pytestmark = pytest.mark.bench

WORK = 'title = "x"\n[[work]]\nname = "Reeds"\nwidth = {width}\nheight = 600\n'
RAIL = (
    WORK
    + """[work.bars]
thickness = {bar_thickness}
depth = {bar_depth}
corner = "{corner}"
[work.inside]
cross_rails = [{rail}]
middle_pieces = false
end_rails = "none"
thickness = {rail_thickness}
depth = {rail_depth}
"""
)
"""As the page of a work states it: everything but where the rail is."""

AT_ONCE = 0.3
"""What a verdict may take. [s]"""


def test_first_verdict_against_the_whole_choice() -> None:
    batch = parse_batch(WORK.format(width=800))
    whole = whole_answer(briefs_of(batch)[0], ComputedChooser())
    assert isinstance(whole, Answered)
    like = whole.draft.designed.design
    first, all_of_it = [], []
    for width in (805, 811, 823, 840):
        batch = parse_batch(WORK.format(width=width))
        first_answer(briefs_of(batch)[0], like)  # the canvas of this face is prepared
        began = time.process_time()
        assert isinstance(first_answer(briefs_of(batch)[0], like), Answered)
        first.append(time.process_time() - began)
        began = time.process_time()
        whole_answer(briefs_of(batch)[0], ComputedChooser())
        all_of_it.append(time.process_time() - began)
    print(
        f"first verdict {1000 * min(first):.0f}-{1000 * max(first):.0f} ms of computing, "
        f"{min(all_of_it) / min(first):.1f} times as quick as the whole choice; {max(first) / AT_ONCE:.2f} of 300 ms"
    )


def test_a_moved_rail() -> None:
    say = voice_for("en", "mm")
    opened = parse_batch(WORK.format(width=800) + "[work.inside]\ncross_rails = 1\nmiddle_pieces = false\n")
    whole = whole_answer(briefs_of(opened)[0], ComputedChooser())
    assert isinstance(whole, Answered)
    design = whole.draft.designed.design
    stated = {
        name: float(getattr(design, name))
        for name in ("bar_thickness", "bar_depth", "rail_thickness", "rail_depth")
    }
    taken = []
    for rail in (390, 395, 400, 405, 410):
        batch = parse_batch(RAIL.format(width=800, rail=rail, corner=design.corner, **stated))
        began = time.process_time()
        answer = first_answer(briefs_of(batch)[0], None)
        assert isinstance(answer, Answered)
        told_answer(batch, answer, say)
        taken.append(time.process_time() - began)
    least, most = 1000 * min(taken), 1000 * max(taken)
    print(f"a moved rail: {least:.0f}-{most:.0f} ms of computing; {max(taken) / AT_ONCE:.2f} of 300 ms")
