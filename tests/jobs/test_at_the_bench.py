"""What is put together and stapled at the bench: nothing meets, nothing splits.

The frame of eleven timbers was set out by hand; every figure here is worked by hand from 1700 × 1200 mm and timber
21 × 44 mm. Forty works drawn at random stand before the referees of building and stapling.
"""

from __future__ import annotations

import random
from dataclasses import replace
from fractions import Fraction

import pytest

from longpoint.choosing.by_rule import design_of
from longpoint.drawing.words.own_words import sentence_of
from longpoint.drawing.words.voice import voice_of
from longpoint.frame.members import Kind
from longpoint.joinery.joints.joint import JointKind
from longpoint.joinery.referee import check_build_plan
from longpoint.model.reading import parse_batch
from longpoint.stretching.staple_map import StapleUse
from longpoint.stretching.staple_referee import check_staples
from longpoint.works.brief import briefs_of
from longpoint.works.canvas import CanvasPlan
from longpoint.works.designed import Designed
from longpoint.works.draft import draft_of

F = Fraction

ELEVEN = """
[bars]
thickness = 21
depth = 44
[inside]
cross_rails = 2
middle_pieces = true
end_rails = "short sides"
thickness = 21
{inside}
[cloth]
tension_left = 200
{cloth}
[[work]]
name = "Eleven timbers"
width = 1700
height = 1200
"""


def bench(text):
    """A batch's first work as it is built and stapled, designed by rule."""
    batch = parse_batch(text)
    designed = design_of(briefs_of(batch)[0])
    assert isinstance(designed, Designed), designed
    draft = draft_of(briefs_of(batch)[0], designed)
    build = draft.build()
    canvas = draft.canvas(joints=build.joints, pressing=False)
    assert isinstance(canvas, CanvasPlan), canvas
    return batch, draft.frame, draft.parts, build, draft.piece, canvas


def eleven(inside="", cloth=""):
    return bench(ELEVEN.format(inside=inside, cloth=cloth))


def along_of(build):
    """Screws of the first end rail from the rail's lower end, which lies 21 mm up. [mm]"""
    joint = next(joint for joint in build.joints if joint.kind is JointKind.ALONG)
    return [float(fixing.start[1]) - 21 for fixing in joint.fixings]


def test_the_frame_of_eleven_timbers_is_cut_as_it_was_worked_by_hand():
    _, frame, parts, _, piece, _ = eleven()
    assert len(frame.members) == 11
    found = {
        (part.kind, float(part.long_point), float(part.short_point or part.long_point)) for part in parts
    }
    third = (
        1700 - 4 * 21 - 2 * 21
    ) / 3  # three bays between bar and end rail at both ends and two cross rails
    assert third == pytest.approx(524.67, abs=0.004)
    assert {(kind, long) for kind, long, _ in found if kind in (Kind.END_RAIL, Kind.CROSS_RAIL)} == {
        (Kind.END_RAIL, 1158.0),
        (Kind.CROSS_RAIL, 1158.0),
    }
    assert {(long, short) for kind, long, short in found if kind is Kind.BAR} == {
        (1700.0, 1658.0),
        (1200.0, 1158.0),
    }
    middles = [float(member.length) for member in frame.of_kind(Kind.MIDDLE_PIECE)]
    assert middles == pytest.approx([third] * 3)
    edges = [float(edge) for rail in frame.of_kind(Kind.CROSS_RAIL) for edge in (rail.low, rail.high)]
    assert edges == pytest.approx([566.7, 587.7, 1112.3, 1133.3], abs=0.05)
    assert (piece.width, piece.height) == (1860, 1360)
    assert pytest.approx(2080.9, abs=0.05) == (1700**2 + 1200**2) ** 0.5


def test_five_screws_along_an_end_rail_lie_evenly_but_where_the_middle_pieces_screw_stands():
    _, _, _, build, _, _ = eleven()
    # 47 clears the corner's screw; the middle one stands 5 diameters of a 4 mm screw beside the one at 579
    assert along_of(build) == [47, 313, 599, 845, 1111]


def test_where_nothing_stands_five_screws_along_an_end_rail_are_even():
    _, _, _, build, _, _ = bench(
        ELEVEN.format(inside="", cloth="").replace("middle_pieces = true", "middle_pieces = false")
    )
    assert along_of(build) == [47, 313, 579, 845, 1111]


def test_the_batch_file_says_how_many_screws_lie_along_an_end_rail():
    _, _, _, build, _, _ = eleven(inside="end_rail_screws = 4")
    assert along_of(build) == pytest.approx([47, 47 + 1064 / 3, 47 + 2 * 1064 / 3, 1111])


def test_staples_sit_in_the_middle_of_a_thin_bar_and_the_cloth_past_it_is_known():
    canvas = eleven()[-1]
    assert canvas.piece.row == 10.5  # half of 21
    assert canvas.piece.past_bar == 36 - 21
    assert {staple.across for staple in canvas.staples.staples} == {44 + 10.5}


def test_folds_lie_on_the_edges_that_the_batch_file_names():
    level = {s.side for s in eleven()[-1].staples.staples if s.use is StapleUse.FOLD}
    upright = {
        s.side
        for s in eleven(cloth='folds = "left and right"')[-1].staples.staples
        if s.use is StapleUse.FOLD
    }
    assert (level, upright) == ({"bottom", "top"}, {"left", "right"})


def test_the_corner_screw_lies_deeper_than_the_staple_above_it_goes():
    _, frame, _, build, _, canvas = eleven()
    lowest = min(
        fixing.start[2] + frame.design.bar_depth
        for joint in build.joints
        if joint.kind is JointKind.MITRE
        for fixing in joint.fixings
    )
    assert lowest - 2 >= F(canvas.leg) + 1  # a 4 mm screw, and a millimetre of wood


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"along": 10.5}, "staple-in-mitre"),  # on the mitre
        ({"along": 4.0}, "staple-near-edge"),
        ({"across": 44.0 + 3.0}, "staple-near-edge"),
        ({"across": 44.0 + 18.0}, "staple-near-edge"),  # 3 mm from the inner edge of a 21 mm bar
        ({"across": 22.0, "along": 577.0}, "screw-head"),  # down the side, on a cross rail's screw
        ({"along": 61.0}, "staple-meets-staple"),
    ],
)
def test_the_referee_finds_a_staple_that_was_planted_wrong(change, said):
    _, _, _, build, _, canvas = eleven()
    mapped = canvas.staples
    at = next(k for k, s in enumerate(mapped.staples) if s.side == "bottom" and s.along == 20.0)
    assert check_staples(build.frame, build.joints, mapped) == ()
    staples = list(mapped.staples)
    staples[at] = replace(staples[at], **change)
    wrong = check_staples(build.frame, build.joints, replace(mapped, staples=tuple(staples)))
    assert any(said in (one.code, dict(one.facts).get("metal")) for one in wrong), wrong
    for language in ("en", "de"):
        for one in wrong:
            sentence = sentence_of(replace(one, facts=(*one.facts, ("count", "1"))), voice_of(language))
            assert "Klammer" in sentence if language == "de" else "taple" in sentence
            assert not any(word in sentence for word in ("bottom", "screw")) or language == "en", sentence


def test_the_referee_finds_legs_that_reach_the_corner_screw():
    _, _, _, build, _, canvas = eleven()
    longer = replace(canvas.staples, seat=replace(canvas.staples.seat, leg=14.0, slant=0.0))
    assert any(("metal", "screw") in one.facts for one in check_staples(build.frame, build.joints, longer))


def any_work(seed):
    """A batch of one work drawn at random: 3/4 in to 45 mm bars, 19 to 90 deep, with and without rails."""
    draw = random.Random(seed)
    thickness = draw.choice([F(1905, 100), F(21), F(28), F(34), F(45), F(draw.randint(20, 45))])
    depth = F(draw.randint(19, 90))
    shallow = depth < 36
    width, height = draw.randint(260, 2600), draw.randint(260, 2600)
    inside = draw.choice(["none", "none", "rails", "rails", "end rails"]) if not shallow else "none"
    keys = {
        "none": 'cross_rails = 0\nmiddle_pieces = false\nend_rails = "none"',
        "rails": f"cross_rails = {draw.randint(1, 3)}\nmiddle_pieces = {draw.choice(['true', 'false'])}",
        "end rails": 'cross_rails = 0\nmiddle_pieces = false\nend_rails = "short sides"',
    }[inside]
    corner = draw.choice(["mitre", "mitre", "mitre with gusset", "mitre with glue block", "half-lap"])
    screws = "\n".join(
        f"[[screw]]\ndiameter = {diameter}\nlength = {length}"
        for diameter in (3, 3.5, 4, 4.5)
        for length in range(15, 125, 5)
    )
    return f"""
[bars]
thickness = {float(thickness)}
depth = {float(depth)}
bevel = {min(6, int(depth / 5))}
corner = "{corner}"
[inside]
{keys}
[cloth]
fasten = "{draw.choice(["back", "back", "hem"] + ([] if shallow else ["side"]))}"
folds = "{draw.choice(["bottom and top", "left and right"])}"
[[work]]
name = "Work"
width = {width}
height = {height}
[[staple]]
crown = {draw.choice([10, 12.7])}
leg = {draw.choice([6, 8, 10])}
{screws}
[shop.drill]
bit_length = 150
"""


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(40))
def test_forty_works_drawn_at_random_stand_before_the_referees_of_the_bench(seed):
    batch, frame, _, build, _, canvas = bench(any_work(seed))
    assert build.faults == ()
    assert check_build_plan(frame, build, drill=batch.shop.drill) == ()
    assert check_staples(build.frame, build.joints, canvas.staples) == ()
