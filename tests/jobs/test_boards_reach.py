"""Bars are chosen of a section that has boards long enough, where there is one."""

from __future__ import annotations

from longpoint.choosing.candidates import candidates_of
from longpoint.jobs.against import faults_against
from longpoint.model.reading import parse_batch
from longpoint.works.brief import briefs_of

# The thin section would be cheaper, but its longest board gives 1170 between trims of 15.
TWO_SECTIONS = """
[[work]]
name = "Weir"
width = 1700
height = 1210
[[yard]]
name = "thin"
thickness = 21
depth = 44
lengths = [1200]
serves = ["bars"]
[[yard]]
name = "thick"
thickness = 28
depth = 44
lengths = [{thick}]
serves = ["bars"]
[[yard]]
name = "rail wood"
thickness = 21
depth = 28
lengths = [2400]
serves = ["rails"]
"""


def test_a_section_whose_boards_are_too_short_is_not_chosen_where_another_reaches() -> None:
    batch = parse_batch(TWO_SECTIONS.format(thick=2400))
    candidates, _ = candidates_of(briefs_of(batch)[0])
    assert {candidate.design.bars.thickness for candidate in candidates} == {28}
    assert faults_against(batch, briefs_of(batch)) == ()


def test_where_no_section_reaches_the_nearest_board_is_named_once() -> None:
    batch = parse_batch('as_stated = true\nbars = { join = "none" }\n' + TWO_SECTIONS.format(thick=1500))
    (fault,) = faults_against(batch, briefs_of(batch))
    assert fault.code == "no-board-gives"
    assert "1500 comes nearest: it is 230 mm too short" in fault.what  # 1700 - (1500 - 2 × 15)
