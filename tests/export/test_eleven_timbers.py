"""The sheet of the frame of eleven timbers says why one of the five screws along an end rail is not where it is even.

Its lengths, places, cloth and screws are held to figures reckoned by hand in ``tests/jobs/test_at_the_bench.py``.
"""

from __future__ import annotations

import pytest

from longpoint.choosing.by_rule import design_of
from longpoint.drawing.sheets.build_lines import build_lines
from longpoint.drawing.words.voice import voice_of
from longpoint.jobs.plan import plan_batch
from longpoint.model.reading import parse_batch

BATCH = """
[bars]
thickness = 21
depth = 44
[inside]
cross_rails = 2
middle_pieces = {pieces}
end_rails = "short sides"
thickness = 21
[[work]]
name = "Eleven"
width = 1700
height = 1200
"""


@pytest.mark.slow
@pytest.mark.parametrize("pieces", ["true", "false"])
def test_a_screw_that_stands_aside_is_said_and_no_other(pieces: str) -> None:
    (work,) = plan_batch(parse_batch(BATCH.format(pieces=pieces)), choose=design_of).works
    said = " ".join(build_lines(work.build, say=voice_of("en")))
    aside = "599, not 579: a screw of another rail passes there"
    assert (aside in said) is (pieces == "true")
    assert said.count("passes there") == (1 if pieces == "true" else 0)
