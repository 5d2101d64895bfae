"""Split battens: screws clear of everything, loads that add up to the weight, offcuts that are there and taken once."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from itertools import pairwise

import pytest
from pytest import approx

from longpoint.choosing.by_rule import design_of
from longpoint.drawing.words.own_words import caution_words
from longpoint.drawing.words.voice import voice_of
from longpoint.handling.hanging import GRAVITY
from longpoint.jobs.plan import Plan, plan_batch
from longpoint.joinery.referee import check_hangers
from longpoint.model.reading import parse_batch
from longpoint.works.split_batten import APART, Offcut, batten_cautions, from_offcuts

TEXT = """
[[work]]
name = "Reeds"
width = 800
height = 600
how_many = 2
[[work]]
name = "Marsh"
width = 1300
height = 900
[[yard]]
name = "strip"
thickness = 21
depth = 44
lengths = [2400]
[hanger]
by = "{by}"
"""


@cache
def plan(by: str = "split batten") -> Plan:
    return plan_batch(parse_batch(TEXT.format(by=by)), choose=design_of)


def test_its_screws_stand_in_the_top_bar_clear_of_the_frames_own() -> None:
    for work, one in zip(plan().works, plan().hung, strict=True):
        assert one.batten is not None
        assert one.moved is not None
        places = [float(fixing.start[0]) for fixing in one.fixings]
        assert all(fixing.into.startswith("top") for fixing in one.fixings)
        assert check_hangers(work.frame, work.build, one.fixings) == ()
        width = float(work.frame.design.width)
        low, high = (width - one.batten.length) / 2, (width + one.batten.length) / 2
        assert one.hooks == (low, high)
        assert all(low < at < high for at in places)
        gaps = [after - before for before, after in pairwise(places)]
        assert max(gaps) <= APART * 5 / 3
        assert min(gaps) > 0


def test_its_screws_carry_the_weight_and_the_moment_about_them_and_nothing_else() -> None:
    for work, one in zip(plan().works, plan().hung, strict=True):
        weight = work.mass * GRAVITY
        assert one.sideways * len(one.fixings) == approx(weight)
        assert 2 * one.on_hook == approx(weight)
        # moments about the foot: the pull at the batten times its height over it, the weight times its arm to the wall
        design = work.frame.design
        arm = 0.55 * float(design.bar_depth) + 21
        assert one.pulled * len(one.fixings) * (float(design.height) - one.below_top) == approx(weight * arm)
        assert one.leaning.tilt == 0
        assert one.leaning.top_gap == 21
        assert one.times > 1


def test_offcuts_are_long_enough_of_their_section_and_taken_once() -> None:
    hung = plan().hung
    lengths = {one.work: one.batten.length for one in hung if one.batten is not None}
    counts = {"Reeds": 2, "Marsh": 1}
    sides = (21.0, 44.0)
    enough = [
        Offcut("a", sides, 480),
        Offcut("b", sides, 490),
        Offcut("c", sides, 800),
        Offcut("d", (21.0, 28.0), 900),
    ]
    assert lengths == {"Reeds": 480, "Marsh": 780}
    found = {one.work: one.batten.offcut for one in from_offcuts(hung, enough, counts) if one.batten}
    assert found == {"Reeds": "a, b", "Marsh": "c"}
    for missing in range(3):
        some = [one for index, one in enumerate(enough) if index != missing]
        bare = [replace(one, batten=replace(one.batten, offcut="")) for one in hung if one.batten]
        left = from_offcuts(bare, some, counts)
        said = [one.about for one in batten_cautions(plan().batch.style, left)]
        assert said == (["Marsh"] if missing == 2 else ["Reeds"])


@pytest.mark.parametrize("by", ["split batten", "two hooks"])
def test_hanging_screws_are_on_the_buying_list_and_plates_only_where_they_hang_by_them(by: str) -> None:
    made = plan(by)
    bought = sum(line.need for line in made.buying if line.group == "screws" and line.unit == "screws")
    own = sum(line.count * work.how_many for work in made.works for line in work.build.screws)
    hung = sum(len(one.fixings) * work.how_many for work, one in zip(made.works, made.hung, strict=True))
    assert hung > 0
    assert bought == own + hung
    assert any(line.group == "hangers" for line in made.buying) is (by == "two hooks")


def test_what_must_be_bought_is_said_in_both_languages() -> None:
    bare = [replace(one, batten=replace(one.batten, offcut="")) for one in plan().hung if one.batten]
    for language, word in (("en", "split batten (480 mm)"), ("de", "geteilte Latte (480 mm)")):
        assert word in caution_words(batten_cautions(plan().batch.style, bare)[0], voice_of(language))
