"""The worked example in the docs: 1.9 × 1.3 m, bars 21 × 44, with more and more inside.

``LONGPOINT_WRITE_DOCS=1`` writes docs/theory/strength-example.md anew; otherwise its numbers are compared.
"""

from __future__ import annotations

import os
import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from pytest import approx

from longpoint.strength.membrane.solve import Cloth
from oracles.plain import FrameAnswer, solve_case, support_case
from oracles.support_case import BarSize, RailSize, Support, evenly

DOCS = Path(__file__).parents[2] / "docs" / "theory" / "strength-example.md"
HEAD = """# Worked example: 1.9 × 1.3 m, bars 21 × 44 mm

Made by the tests; do not edit. Bars 21 × 44 mm on edge with a bevel of 5 mm,
rails 21 × 30 mm, softwood of class C16 (EN 338: E 8000, G 500 MPa), corners with glued blocks, rails screwed, end rails
glued. 200 N/m left in every case. Cloth: 40 kN/m along the warp, 60 along the weft, Poisson's ratio 0.15, shear 12 kN/m
(estimates for raw cloth; a softer one lets the bare frame be pulled in further, the braced ones hardly).

| inside | prestress | long bar in | short bar in | at most | turning | hollow | lowest | highest | winding | timber |
|---|---|---|---|---|---|---|---|---|---|---|
|  | N/m | mm | mm | mm | ° | mm | N/m | N/m | factor | kg |
"""
BARE = Support(width=1900.0, height=1300.0, bar=BarSize(thickness=21.0, depth=44.0, bevel=5.0))
RAILS = replace(
    BARE, rail=RailSize(thickness=21.0, depth=30.0, drop=2.0), cross_rails=evenly(2, width=1900.0)
)
INSIDE = {
    "nothing": BARE,
    "two cross rails": RAILS,
    "two cross rails, three middle pieces": replace(RAILS, middle_pieces=True),
    "two cross rails, three middle pieces, end rails": replace(RAILS, middle_pieces=True, end_rails=True),
}
CLOTH = Cloth(
    warp_stiffness=40.0, weft_stiffness=60.0, poisson_warp=0.15, shear_stiffness=12.0, areal_mass=0.4e-6
)


@pytest.fixture(scope="module")
def answers() -> dict[str, FrameAnswer]:
    return {
        name: solve_case(support_case(support, cloth=CLOTH, tension_left=0.2))
        for name, support in INSIDE.items()
    }


def line(name: str, answer: FrameAnswer) -> str:
    long, short = answer.bars["bottom"], answer.bars["right"]
    dead = max(np.abs(bar.pulled_in).max() for bar in answer.dead.values())
    turning = max(np.degrees(bar.turning_in.max()) for bar in answer.bars.values())
    hollow = max(bar.hollow.max() for bar in answer.bars.values())
    t = answer.tension
    return (
        f"| {name} | {1000 * answer.prestress:.0f} | {long.greatest_pull_in:.2f} | {short.greatest_pull_in:.2f} | "
        f"{dead:.1f} | {turning:.2f} | {hollow:.2f} | {1000 * t.lowest:.0f} | {1000 * t.highest:.0f} | "
        f"{answer.winding.factor:.2f} | {answer.timber_mass:.2f} |"
    )


@pytest.mark.slow
def test_what_is_put_inside_shows(answers: dict[str, FrameAnswer]) -> None:
    most = [max(abs(bar.greatest_pull_in) for bar in a.bars.values()) for a in answers.values()]
    assert most[0] > most[1] > most[2] >= most[3] * 0.99
    assert most[0] > 8 * most[2]
    factors = [a.winding.factor for a in answers.values()]
    assert factors == sorted(factors)
    assert all(a.tension.mean == approx(0.2, rel=1e-3) for a in answers.values())


@pytest.mark.slow
def test_docs_table_of_the_example_is_the_one_computed(answers: dict[str, FrameAnswer]) -> None:
    text = HEAD + "\n".join(line(name, answer) for name, answer in answers.items()) + "\n"
    if os.environ.get("LONGPOINT_WRITE_DOCS") == "1":
        DOCS.parent.mkdir(parents=True, exist_ok=True)
        DOCS.write_text(text, encoding="utf-8")
    written = DOCS.read_text(encoding="utf-8")
    number = r"[-+]?\d+\.?\d*"
    assert re.sub(number, "#", text) == re.sub(number, "#", written)
    ours, theirs = ([float(n) for n in re.findall(number, page)] for page in (text, written))
    assert ours == approx(theirs, rel=5e-3, abs=2.0e-2)
